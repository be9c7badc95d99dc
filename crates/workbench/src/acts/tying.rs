//! Edits of tie points: where a lead is tied down on its way.

use document::edit::list_of;
use document::tie_point;
use finding::{Change, Field};
use quantity::Length;

use crate::act::{Form, Made, named};
use crate::acts::entered::with_unit;
use crate::read::Read;

/// Ties a lead at a place, or unties it there.
pub(super) fn edit(read: &Read, form: &Form) -> Made {
    let tag = form.need("lead")?.to_owned();
    let lead = read.design.leads.iter().find(|lead| lead.tag == tag);
    let lead = lead.ok_or_else(|| format!("there is no lead `{tag}`"))?;
    let id = lead.name.clone();
    let mut typed: Option<String> = None;
    let (name, ties) = if form.get("act") == Some("tie") {
        let (x, y) = (written(form, "x")?, written(form, "y")?);
        let at = [length(&x, "x")?, length(&y, "y")?];
        typed = Some(format!("{x}, {y}"));
        (format!("tie {tag} at {x}, {y}"), design::tied(&read.design, lead, at))
    } else {
        let at = usize::try_from(form.whole("at")?).ok().filter(|at| *at < lead.ties.len());
        let at = at.ok_or_else(|| format!("{tag} is not tied there"))?;
        let mut ties = lead.ties.clone();
        let gone = ties.remove(at);
        (format!("untie {tag} at {}, {}", gone[0], gone[1]), ties)
    };
    let field = Field::lead(&id, "ties");
    // What stands there stays as it is written, and what was typed is written as typed.
    let known = list_of(read.job.text(), &field).map_err(|error| error.to_string())?;
    let is_of = |tie: &[Length; 2], text: &&String| tie_point(text) == Some(*tie);
    let as_written = |tie: &[Length; 2]| {
        let found = known.iter().chain(&typed).find(|text| is_of(tie, text)).cloned();
        found.unwrap_or_else(|| format!("{}, {}", tie[0], tie[1]))
    };
    let texts: Vec<String> = ties.iter().map(as_written).collect();
    named(name, [Change::set_or_remove(field, Some(texts).filter(|texts| !texts.is_empty()))])
}

/// A length as it was typed; a bare number is in the unit of its field.
fn written(form: &Form, key: &str) -> Result<String, String> {
    let unit = form.get("unit").filter(|unit| *unit == "in").unwrap_or("mm");
    Ok(with_unit(form.need(key)?, unit))
}

fn length(text: &str, key: &str) -> Result<Length, String> {
    text.parse::<Length>().map_err(|error| format!("{key}: {error}"))
}
