//! Jacks that a plate gets, alone or as the pair of an insert, and those that it loses.

use design::Plate;
use finding::{Change, Field, Value};
use quantity::Length;
use rig::Rig;

use super::entered::with_unit;
use crate::act::{Form, Made, named};
use crate::read::Read;

/// From one jack of a pair to the other, and the least from the end of a plate to the middle of a jack. *Common practice, no
/// source.*
const PAIR: Length = Length::from_mm(32);
/// What stands behind the plate where nobody has said it. *Common practice, no source.*
const BEHIND: Length = Length::from_mm(30);

fn plate_of(read: &Read, form: &Form) -> Result<Plate, String> {
    let (tag, face) = (form.need("tag")?, form.need("face")?);
    let plates = design::plates(&read.design);
    let found = plates.into_iter().find(|plate| plate.panel == tag && plate.face.word() == face);
    found.ok_or_else(|| format!("{tag} has no plate at its {face} any more"))
}

/// The name of a jack from what is printed beside it: letters, figures and `_`.
fn named_by(legend: &str) -> String {
    let word = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_uppercase() } else { '_' };
    let name: String = legend.trim().chars().map(word).collect();
    name.trim_matches('_').to_owned()
}

/// A jack more, or two with an insert between them.
pub(super) fn add(read: &Read, form: &Form) -> Made {
    let plate = plate_of(read, form)?;
    let tag = &plate.panel;
    let legend = form.need("legend")?.trim();
    let name = named_by(legend);
    if name.is_empty() {
        return Err("a jack wants a name in letters or figures, as it is printed beside it".to_owned());
    }
    let device = read.design.rig.device(tag).ok_or_else(|| format!("there is no device {tag}"))?;
    let connector = form.need("connector")?;
    let is_pair = form.get("pair") == Some("yes");
    let jacks: Vec<(String, String)> = if is_pair {
        ["send", "return"]
            .map(|end| {
                // In the letters of what it is added to.
                let loud = end.to_uppercase();
                let printed = if legend.chars().any(char::is_lowercase) { end } else { loud.as_str() };
                (format!("{name}_{loud}"), format!("{legend} {printed}"))
            })
            .to_vec()
    } else {
        vec![(name.clone(), legend.to_owned())]
    };
    if let Some((taken, _)) = jacks.iter().find(|(name, _)| device.port(name).is_some()) {
        return Err(format!("{tag} has a jack {taken} already"));
    }
    let typed = |key: &str| -> Result<Option<Length>, String> {
        let text = form.get(key).unwrap_or("").trim();
        if text.is_empty() {
            return Ok(None);
        }
        let unit = form.get("unit").filter(|unit| *unit == "in").unwrap_or("mm");
        with_unit(text, unit).parse().map(Some).map_err(|_| format!("`{text}` is not a length"))
    };
    let half = if is_pair { PAIR.half() } else { Length::ZERO };
    let middle = match typed("x")? {
        // What is typed is where the first one goes.
        Some(x) => x + half,
        None => {
            let (from, to) =
                plate.widest_gap().ok_or("no room is known on this plate: type how far from its left end")?;
            (from + to).half()
        }
    };
    let up = match typed("y")? {
        Some(y) => y,
        None => plate.height.value.ok_or("the height of this plate is unknown: type how far up")?.half(),
    };
    let mut changes = Vec::new();
    for (number, (port, legend)) in jacks.iter().enumerate() {
        let x = if number == 0 { middle - half } else { middle + half };
        let offset = plate.offset(x).ok_or("the width of this plate is unknown: say it in Gear first")?;
        let at = Field::device(tag, "port").below(port);
        let mut put = |key: &str, value: Value| changes.push(Change::set(at.below(key), value));
        if *legend != port.replace('_', " ") {
            put("legend", legend.as_str().into());
        }
        put("role", "through".into());
        put("connector", connector.into());
        put("face", plate.face.word().into());
        put("offset", offset.into());
        put("height", up.into());
        put("behind", Value::given(Value::from(BEHIND), "assumed"));
        put("insulated", Value::given(Value::from(true), "assumed"));
    }
    if let ([(send, _), (back, _)], true) = (jacks.as_slice(), is_pair) {
        let at = Field::device(tag, "insert").below(&name);
        changes.push(Change::set(at.below("send"), send.as_str()));
        changes.push(Change::set(at.below("return"), back.as_str()));
        if let Some(normal) = form.get("normal").filter(|word| !word.is_empty()) {
            changes.push(Change::set(at.below("normal"), normal));
        }
    }
    let said = if is_pair { format!("{name} send and return") } else { name };
    named(format!("add {said} to {tag}"), changes)
}

/// Takes a jack off its plate, with the insert that it is half of. What something is plugged into stays.
pub(super) fn away(rig: &Rig, form: &Form) -> Made {
    let (tag, name) = (form.need("tag")?, form.need("port")?);
    let device = rig.device(tag).ok_or_else(|| format!("there is no device {tag}"))?;
    let lead = rig::leads(rig).into_iter().find(|lead| {
        lead.flows.iter().any(|(from, to)| [from, to].iter().any(|end| end.device == tag && end.port == name))
    });
    let port = format!("{tag}.{name}");
    let run = rig.runs.iter().find(|run| run.stops.iter().any(|stop| stop.text == port));
    if let Some(run) = run {
        return Err(format!("{port} is a stop of {}: take it out there first, on Path", run.name));
    }
    if let Some(lead) = lead {
        let (from, to) =
            lead.flows.first().map(|(from, to)| (from.to_string(), to.to_string())).unwrap_or_default();
        return Err(format!("a lead from {from} to {to} uses it: take that away first"));
    }
    let gone =
        |table: &str, name: &str| Change::set(Field::device(tag, table).below(name).below("absent"), true);
    let inserts = device.inserts.iter().filter(|insert| insert.send == name || insert.back == name);
    let changes =
        std::iter::once(gone("port", name)).chain(inserts.map(|insert| gone("insert", &insert.name)));
    named(format!("take {port} away"), changes)
}
