//! Feeds and what is special about one lead.

use finding::{Change, Field};

use crate::act::{Form, Made, named};
use crate::format_at::{entered, key_at};

pub(super) fn feed(form: &Form) -> Made {
    let tag = form.need("tag")?.to_owned();
    let outlets: Vec<String> = form.all("outlet").into_iter().filter(|outlet| !outlet.is_empty()).collect();
    if outlets.is_empty() {
        return named(format!("remove the feed of {tag}"), [Change::remove(Field::device(&tag, "feed"))]);
    }
    let kind = form.get("type").filter(|kind| *kind != "single");
    let crossing = form.get("crossing").map(|_| true);
    named(
        format!("feed {tag} from {}", outlets.join(" and ")),
        [
            Change::set(Field::device(&tag, "feed.outlets"), outlets),
            Change::set_or_remove(Field::device(&tag, "feed.type"), kind),
            Change::set_or_remove(Field::device(&tag, "feed.crossing"), crossing),
        ],
    )
}

/// What is special about one lead; an empty value takes the key away.
pub(super) fn lead(form: &Form) -> Made {
    let id = form.need("lead")?.to_owned();
    let key = form.need("key")?.to_owned();
    let value = form.get("value").unwrap_or("").trim().to_owned();
    let unit = form.get("unit").filter(|unit| *unit == "in").unwrap_or("mm");
    let value =
        key_at(&Field::lead(&id, &key)).map_or_else(|| value.clone(), |known| entered(known, &value, unit));
    let shown = form.get("shown").unwrap_or(&id).to_owned();
    let name = if value.is_empty() {
        format!("leave {key} of {shown} open")
    } else {
        format!("{key} of {shown}: {value}")
    };
    let value = Some(value).filter(|value| !value.is_empty());
    // A lead that is cut bears its number from then on.
    let tag = form.get("shown").filter(|_| key == "cut" && value.is_some());
    let tag = tag.map(|tag| Change::set(Field::lead(&id, "tag"), tag));
    let change = Change::set_or_remove(Field::lead(&id, &key), value);
    named(name.replace('_', " "), tag.into_iter().chain([change]))
}
