//! Edits of tie points: where a lead is tied down on its way.

use document::edit::{append, remove, set_list};
use finding::Field;
use quantity::Length;

use crate::act::Form;
use crate::acts::{Made, named};
use crate::bench::Read;

/// Ties a lead at a place, or unties it there.
pub(crate) fn edit(read: &Read, form: &Form) -> Made {
    let tag = form.need("lead")?.to_owned();
    let lead = read.design.leads.iter().find(|lead| lead.tag == tag);
    let lead = lead.ok_or_else(|| format!("there is no lead `{tag}`"))?;
    let id = format!("{} > {}", lead.from.port, lead.to.port);
    let (name, ties) = if form.get("act") == Some("tie") {
        let at = [length(form, "x")?, length(form, "y")?];
        (format!("tie {tag} at {}, {}", at[0], at[1]), design::tied(&read.design, lead, at))
    } else {
        let at = usize::try_from(form.whole("at")?).ok().filter(|at| *at < lead.ties.len());
        let at = at.ok_or_else(|| format!("{tag} is not tied there"))?;
        let mut ties = lead.ties.clone();
        let gone = ties.remove(at);
        (format!("untie {tag} at {}, {}", gone[0], gone[1]), ties)
    };
    let texts: Vec<String> = ties.iter().map(|tie| format!("{}, {}", tie[0], tie[1])).collect();
    named(name, move |text| {
        let field = Field::new(["lead", &id, "ties"]);
        if texts.is_empty() {
            return remove(text, &field);
        }
        let text = append(text, "lead", &id)?;
        set_list(&text, &field, &texts)
    })
}

/// A length as it was typed; a bare number is in the unit of its field.
fn length(form: &Form, key: &str) -> Result<Length, String> {
    let text = form.need(key)?.trim();
    let unit = form.get("unit").filter(|unit| *unit == "in").unwrap_or("mm");
    let text = if text.parse::<f64>().is_ok() { format!("{text} {unit}") } else { text.to_owned() };
    text.parse::<Length>().map_err(|error| format!("{key}: {error}"))
}
