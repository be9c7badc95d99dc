//! Devices that come, are measured, pasted in, and go.

use finding::{Change, Edit, Field, Value};
use quantity::Length;
use rig::{Lead, LeadSpec, PortRef, Rig};

use crate::act::{Form, Made, Values, named};
use crate::acts::entered::with_unit;
use crate::format_at::{entered, key_at};
use crate::read::Read;

/// A tag that no device has: as wished, else counted from A1.
pub(super) fn free_tag(rig: &Rig, wished: Option<&str>, taken: &[String]) -> Result<String, String> {
    let is_free = |tag: &str| !rig.has_name(tag) && !taken.iter().any(|other| other == tag);
    match wished.map(str::trim).filter(|tag| !tag.is_empty()) {
        Some(tag) if tag.contains('.') => Err(format!("a tag must not contain a dot: {tag}")),
        Some(tag) if is_free(tag) => Ok(tag.to_owned()),
        Some(tag) => Err(format!("`{tag}` is the name of something else in this rig")),
        None => (1..=999)
            .map(|number| format!("A{number}"))
            .find(|tag| is_free(tag))
            .ok_or_else(|| "no free tag".to_owned()),
    }
}

pub(super) fn add(rig: &Rig, form: &Form) -> Made {
    let kind = form.need("kind")?.to_owned();
    let tag = free_tag(rig, form.get("tag"), &[])?;
    let title = form.get("title").map(str::trim).filter(|title| !title.is_empty()).map(str::to_owned);
    let title = title.map(|title| Change::set(Field::device(&tag, "title"), title));
    // What decides and nobody can see is read off the device when it comes.
    let mut said: Vec<(&str, String)> = Vec::new();
    for key in ["power.volts", "power.current", "power.sign", "signal.bypass"] {
        if let Some(text) = form.get(key).map(str::trim).filter(|text| !text.is_empty()) {
            let known = key_at(&Field::device(&tag, key));
            said.push((key, known.map_or_else(|| text.to_owned(), |known| entered(known, text, "mm"))));
        }
    }
    let has = |key: &str| said.iter().any(|(known, _)| *known == key);
    // A barrel with a polarity carries DC: alternating voltage has none.
    let dc = (has("power.volts") && has("power.sign"))
        .then(|| Change::set(Field::device(&tag, "power.type"), Value::given("dc", "assumed")));
    let printed =
        |(key, text): &(&str, String)| Change::set(Field::device(&tag, key), Value::given(text, "printed"));
    let kind = Change::set(Field::device(&tag, "kind"), kind);
    named(format!("add {tag}"), [kind].into_iter().chain(title).chain(dc).chain(said.iter().map(printed)))
}

/// What says the values of a new device: what stands by itself first, then where it comes from, then its tables.
fn device_of(tag: &str, from: &str, values: &Values) -> Vec<Change> {
    let set = |(key, value): &(String, String)| Change::set(Field::device(tag, key), value);
    changes_of(tag, from, values, &set)
}

/// As [`device_of`], with lengths that were measured from photographs: what the form says of how surely stands beside each.
fn photographed(tag: &str, form: &Form, values: &Values) -> Vec<Change> {
    let set = |(key, value): &(String, String)| {
        let field = Field::device(tag, key);
        let within = form.get(&format!("within.{key}")).filter(|within| !within.is_empty());
        match within.filter(|_| key_at(&field).is_some_and(|key| key.given)) {
            Some(within) => Change::set(field, Value::noted(value, "photo", format!("± {within} mm"))),
            None => Change::set(field, value),
        }
    };
    changes_of(tag, "measured", values, &set)
}

fn changes_of(
    tag: &str,
    from: &str,
    values: &Values,
    set: &dyn Fn(&(String, String)) -> Change,
) -> Vec<Change> {
    let mut changes = vec![Change::add(Field::of("device", tag, ""))];
    changes.extend(values.iter().filter(|(key, _)| !key.contains('.')).map(set));
    if !from.is_empty() {
        changes.push(Change::set(Field::device(tag, "from"), from));
    }
    changes.extend(values.iter().filter(|(key, _)| key.contains('.')).map(set));
    changes
}

/// The values a measuring form gives, without the empty ones.
pub(crate) fn measured(form: &Form) -> Values {
    let mut out = Vec::new();
    let mut put = |key: String, value: &str, unit: &str| {
        let value = value.trim();
        if value.is_empty() {
            return;
        }
        out.push((key, with_unit(value, unit)));
    };
    let length = form.get("unit").filter(|unit| *unit == "in").unwrap_or("mm");
    for (name, unit) in [
        ("title", ""),
        ("size.width", length),
        ("size.depth", length),
        ("size.height", length),
        ("knobs", length),
        ("corner", length),
        ("mass", "g"),
        ("power.type", ""),
        ("power.volts", "V"),
        ("power.current", "mA"),
        ("power.sign", ""),
        ("signal.bypass", ""),
    ] {
        put(name.to_owned(), form.get(name).unwrap_or(""), unit);
    }
    for number in 1..=12 {
        let of = |key: &str| form.get(&format!("port{number}.{key}")).unwrap_or("").trim();
        let name = of("name").replace('.', "");
        if name.is_empty() {
            continue;
        }
        for (key, unit) in [
            ("role", ""),
            ("connector", ""),
            ("face", ""),
            ("offset", length),
            ("height", length),
            ("z", "Ω"),
        ] {
            put(format!("port.{name}.{key}"), of(key), unit);
        }
    }
    if let (Some(x), Some(y)) = (form.get("switch.x"), form.get("switch.y"))
        && !x.trim().is_empty()
        && !y.trim().is_empty()
    {
        put("switch.FOOT.x".into(), x, length);
        put("switch.FOOT.y".into(), y, length);
    }
    out
}

/// A document with nothing but this device on it, at the front left, for a live view.
pub(crate) fn alone(form: &Form) -> Result<String, String> {
    const BLANK: &str = "format = 1\n[job]\ntitle = \"kind\"\n";
    let mut changes = device_of("NEW", "measured", &measured(form));
    let zero = || Value::from(Length::ZERO);
    changes.push(Change::set(Field::device("NEW", "place"), Value::table([("x", zero()), ("y", zero())])));
    let deck =
        |key: &str| Change::set(Field::new(["board", "deck", "bench", "size", key]), Length::from_mm(1));
    changes.extend([deck("width"), deck("depth")]);
    document::edit::apply(BLANK, &Edit::new("", changes)).map_err(|error| error.to_string())
}

/// A kind for the shop's catalogue.
pub(crate) fn kind(form: &Form, id: &str) -> Made {
    let values = measured(form);
    if values.is_empty() {
        return Err("nothing was measured".to_owned());
    }
    named(format!("keep {id}"), photographed(id, form, &values))
}

/// The id of a kind from its title: small letters, digits and hyphens.
pub(crate) fn kind_id(title: &str) -> String {
    let mut id = String::new();
    for c in title.chars().flat_map(char::to_lowercase) {
        if c.is_ascii_alphanumeric() {
            id.push(c);
        } else if !id.ends_with('-') && !id.is_empty() {
            id.push('-');
        }
    }
    let id: String = id.trim_end_matches('-').chars().take(40).collect();
    if id.is_empty() { "own-kind".to_owned() } else { id }
}

/// Another kind for a device. What names its jacks and outlets stays as it is, so that a kind without them is refused.
pub(super) fn of_kind(rig: &Rig, form: &Form) -> Made {
    let (tag, kind) = (form.need("tag")?, form.need("kind")?);
    let device = rig.device(tag).ok_or_else(|| format!("there is no device {tag}"))?;
    if device.kind.as_deref().unwrap_or_default() == kind {
        return Err(format!("{tag} is of that kind already"));
    }
    let name = if kind.is_empty() {
        format!("make {tag} its own kind")
    } else {
        format!("change {tag} to kind {kind}")
    };
    named(
        name,
        [Change::set_or_remove(Field::device(tag, "kind"), Some(kind).filter(|kind| !kind.is_empty()))],
    )
}

pub(super) fn measure(rig: &Rig, form: &Form) -> Made {
    let tag = free_tag(rig, form.get("tag"), &[])?;
    if let Some(kind) = form.get("kept-kind") {
        return named(format!("add {tag}, measured"), [Change::set(Field::device(&tag, "kind"), kind)]);
    }
    let values = measured(form);
    if values.is_empty() {
        return Err("nothing was measured".to_owned());
    }
    named(format!("add {tag}, measured"), photographed(&tag, form, &values))
}

pub(super) fn paste(read: &Read, form: &Form) -> Made {
    let rig = &read.design.rig;
    let sheet = crate::paste::read(form.need("rows")?, rig, &read.job.catalogue);
    if let Some(problem) = sheet.first_problem() {
        return Err(format!("nothing was added: {problem}"));
    }
    let mut taken = Vec::new();
    let mut rows = Vec::new();
    for row in &sheet.rows {
        let tag = free_tag(rig, row.tag.as_deref(), &taken)?;
        taken.push(tag.clone());
        rows.push((tag, row));
    }
    if rows.is_empty() {
        return Err("there are no rows to add".to_owned());
    }
    let from = form.get("from").unwrap_or("printed");
    named(
        format!("add {} rows from a spreadsheet", rows.len()),
        rows.iter().flat_map(|(tag, row)| {
            let assumed = row.assumed.iter();
            let set = assumed.map(|(key, value)| {
                let field = Field::device(tag, key);
                let is_given = key_at(&field).is_some_and(|key| key.given);
                let value = Value::from(value);
                Change::set(field, if is_given { Value::given(value, "assumed") } else { value })
            });
            device_of(tag, from, &row.values).into_iter().chain(set).collect::<Vec<_>>()
        }),
    )
}

/// Takes a device away with what names it: its stops, its leads, feeds from it, acceptances. Numbers that its leads bore
/// are retired: labels bear them still, and no other lead may get them.
pub(super) fn away(rig: &Rig, tag: &str) -> Vec<Change> {
    let own = |name: &str| name == tag || name.strip_prefix(tag).is_some_and(|rest| rest.starts_with('.'));
    let mut out = vec![Change::remove(Field::of("device", tag, ""))];
    for run in &rig.runs {
        let stops: Vec<String> = run.stops.iter().map(|stop| stop.text.clone()).collect();
        if stops.iter().any(|stop| own(stop)) {
            let rest: Vec<String> = stops.into_iter().filter(|stop| !own(stop)).collect();
            out.push(if rest.len() < 2 {
                Change::remove(Field::run(&run.name, ""))
            } else {
                Change::set(Field::run(&run.name, "stops"), rest)
            });
        }
    }
    let mut retired = Vec::new();
    for lead in rig.leads.iter().filter(|lead| lead.ends().any(|end| own(&end.to_string()))) {
        let now = rig::leads(rig).into_iter().find(|now| now.spec.as_ref() == Some(lead));
        let stays = now.map(|now| without(lead, &now, tag)).unwrap_or_default();
        if stays.is_empty() {
            out.push(Change::remove(Field::lead(&lead.name(), "")));
            retired.extend(lead.tag.clone().filter(|tag| !rig.retired.contains(tag)));
        }
        out.extend(stays);
    }
    if !retired.is_empty() {
        let all = rig.retired.iter().cloned().chain(retired);
        out.push(Change::set(Field::new(["leads", "retired"]), Value::list(all)));
    }
    for other in rig.devices.iter().filter(|other| other.tag != tag) {
        if other.feed.as_ref().is_some_and(|feed| feed.outlets.iter().any(|outlet| outlet.device == tag)) {
            out.push(Change::remove(Field::device(&other.tag, "feed")));
        }
    }
    for state in &rig.states {
        if state.engaged.iter().any(|name| name == tag) {
            let rest: Vec<String> = state.engaged.iter().filter(|name| *name != tag).cloned().collect();
            out.push(Change::set(Field::of("state", &state.name, "engaged"), rest));
        }
    }
    for switching in &rig.switching {
        let is_gone = |name: &String| name.split('.').next() == Some(tag);
        let rest: Vec<String> = switching.devices.iter().filter(|name| !is_gone(name)).cloned().collect();
        if rest.len() == switching.devices.len() {
            continue;
        }
        // What is left alone is switched by itself, which needs no entry.
        out.push(match rest.len() {
            0 | 1 => Change::remove(Field::of("switching", &switching.name, "")),
            _ => Change::set(Field::of("switching", &switching.name, "devices"), rest),
        });
    }
    // From the last to the first, so that the numbers of the others stay.
    for accept in rig.acceptances.iter().rev().filter(|accept| accept.devices.iter().any(|d| d == tag)) {
        out.push(Change::remove(Field::of("accept", &accept.index.to_string(), "")));
    }
    out
}

/// What a lead with a joint says when a device at some of its ends goes: it stays, with its number and the letters of its
/// other legs, while something still flows along it. Nothing where it goes too.
fn without(spec: &LeadSpec, lead: &Lead, tag: &str) -> Vec<Change> {
    let gone: Vec<&PortRef> = spec.ends().filter(|end| end.device == tag).collect();
    // The feeds from a supply go with it.
    let unfed = lead.run.is_none() && lead.flows.iter().any(|(from, _)| from.device == tag);
    let flow = lead.flows.iter().find(|(from, to)| from.device != tag && to.device != tag);
    // An entry of two ends has no letters to keep.
    let is_left = flow.is_some() && spec.is_joined() && lead.is_joined() && !unfed;
    if !is_left || spec.ends().count() < gone.len() + 2 {
        return Vec::new();
    }
    let name = spec.name();
    let of_leg = |end: &&PortRef| {
        ["plugs", "exits", "legs"].map(|key| Change::remove(Field::lead(&name, key).below(&end.to_string())))
    };
    let mut out: Vec<Change> = gone.iter().flat_map(of_leg).collect();
    let names = name.split(" + ").map(|end| {
        let is_gone = gone.iter().any(|port| port.to_string() == end);
        if is_gone { rig::GONE_END } else { end }
    });
    out.push(Change::rename(Field::lead(&name, ""), names.collect::<Vec<_>>().join(" + ")));
    out
}
