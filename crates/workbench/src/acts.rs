//! From what a page asks for to one named edit of a document.

use document::edit::Editor;
use finding::{Change, Edit, Field, Value};
use quantity::Length;
use rig::{Device, FLOOR, Lead, LeadSpec, PortRef, Rig};

use crate::act::Form;
use crate::bench::Read;
use crate::pages::value::unpacked;

/// An edit, or why there is none.
pub(crate) type Made = Result<Edit, String>;

/// An edit of these changes.
#[expect(clippy::unnecessary_wraps, reason = "every edit ends with this call, and may be refused before")]
pub(crate) fn named(name: impl Into<String>, changes: impl IntoIterator<Item = Change>) -> Made {
    Ok(Edit::new(name, changes))
}

/// The edit a form asks for, on this text. `read` is what the page looked at; without it (the document cannot be
/// read) only plain values can be set.
pub(crate) fn edit(text: &str, read: Option<&Read>, form: &Form) -> Made {
    let act = form.need("act")?;
    if act == "set" {
        return values(text, form);
    }
    let read = read.ok_or("the document cannot be read; mend it first")?;
    let rig = &read.design.rig;
    match act {
        "move" => shift(rig, form),
        "turn" => turn(rig, form),
        "lock" => toggle(rig, form, "locked"),
        "under" => toggle(rig, form, "under"),
        "place" => place(rig, form),
        "unplace" => {
            let tag = form.need("tag")?;
            named(format!("take {tag} off the board"), [Change::remove(Field::device(tag, "place"))])
        }
        "add" => add(rig, form),
        "measure" => measure(rig, form),
        "paste" => paste(rig, form),
        "away" => {
            let tag = form.need("tag")?;
            named(format!("take {tag} away"), away(rig, tag))
        }
        "rename" => {
            let (tag, to) = (form.need("tag")?, form.need("to")?.trim());
            named(format!("rename {tag} to {to}"), [Change::rename(Field::of("device", tag, ""), to)])
        }
        "run" => new_run(rig, form),
        "run-away" => {
            let run = form.need("run")?;
            named(format!("take run {run} away"), [Change::remove(Field::run(run, ""))])
        }
        "stops" => stops(rig, form),
        "end" => end(rig, form),
        "end-away" => {
            let (list, id) = (form.need("list")?, form.need("id")?);
            named(format!("take {id} away"), [Change::remove(Field::of(list, id, ""))])
        }
        "feed" => feed(form),
        "lead" => lead(form),
        "requirement" => requirement(rig, form),
        "accept" => accept(text, form),
        "cure" => cure(read, form),
        "list" | "rows" | "named" | "row" | "row-away" | "hole" => crate::writing::edit(rig, form),
        "tie" | "untie" => crate::tying::edit(read, form),
        "hang" | "feed-lock" | "allocate" | "power-cure" | "buffers" | "arranged" => {
            crate::proposals::edit(read, form)
        }
        other => Err(format!("there is no edit `{other}`")),
    }
}

fn device<'a>(rig: &'a Rig, form: &Form) -> Result<&'a Device, String> {
    let tag = form.need("tag")?;
    rig.device(tag).ok_or_else(|| format!("there is no device `{tag}`"))
}

/// Whole steps a thing moved: `54 mm right, 3 mm back`.
fn way(x: Length, y: Length) -> String {
    let mut words = Vec::new();
    for (by, plus, minus) in [(x, "right", "left"), (y, "back", "forward")] {
        if by != Length::ZERO {
            words.push(format!("{} {}", by.abs(), if Length::ZERO < by { plus } else { minus }));
        }
    }
    words.join(", ")
}

fn shift(rig: &Rig, form: &Form) -> Made {
    let device = device(rig, form)?;
    let tag = device.tag.clone();
    let place = device.place.as_ref().ok_or_else(|| format!("{tag} has no place yet"))?;
    if place.locked {
        return Err(format!("{tag} is locked"));
    }
    let by = |key: &str| form.whole(key).map(Length::from_mm);
    let (dx, dy) = (by("dx")?, by("dy")?);
    if dx == Length::ZERO && dy == Length::ZERO {
        return Err(format!("{tag} did not move"));
    }
    let (x, y) = (place.x + dx, place.y + dy);
    let at = |key: &str, to: Length| Change::set(Field::device(&tag, "place").below(key), to);
    named(format!("move {tag} {}", way(dx, dy)), [at("x", x), at("y", y)])
}

fn turn(rig: &Rig, form: &Form) -> Made {
    let device = device(rig, form)?;
    let tag = device.tag.clone();
    let place = device.place.as_ref().ok_or_else(|| format!("{tag} has no place yet"))?;
    if place.locked {
        return Err(format!("{tag} is locked"));
    }
    let quarters = (place.quarters + 1) % 4;
    // About its middle, on whole millimetres, so that it stays where the eye left it.
    let by = device.size.value.map_or(Length::ZERO, |size| {
        let half = if place.quarters % 2 == 0 { size.width - size.depth } else { size.depth - size.width };
        Length::from_mm(half.half().nm().div_euclid(1_000_000))
    });
    let (x, y) = (place.x + by, place.y - by);
    let degrees = 90 * i64::from(quarters);
    let at = |key: &str, to: Value| Change::set(Field::device(&tag, "place").below(key), to);
    named(
        format!("turn {tag} to {degrees}°"),
        [at("turn", degrees.into()), at("x", x.into()), at("y", y.into())],
    )
}

fn toggle(rig: &Rig, form: &Form, key: &'static str) -> Made {
    let device = device(rig, form)?;
    let tag = device.tag.clone();
    let place = device.place.as_ref().ok_or_else(|| format!("{tag} has no place yet"))?;
    let on = if key == "locked" { place.locked } else { place.under };
    let name = match (key, on) {
        ("locked", false) => format!("lock {tag}"),
        ("locked", true) => format!("unlock {tag}"),
        (_, false) => format!("put {tag} under the deck"),
        (_, true) => format!("put {tag} on the deck"),
    };
    named(name, [Change::set_or_remove(Field::device(&tag, "place").below(key), (!on).then_some(true))])
}

fn place(rig: &Rig, form: &Form) -> Made {
    let device = device(rig, form)?;
    let tag = device.tag.clone();
    let first = rig.board.decks.first().map(|deck| deck.name.clone()).unwrap_or_default();
    let deck = form.get("deck").filter(|deck| !deck.is_empty()).map_or(first.clone(), str::to_owned);
    if deck != FLOOR && rig.board.deck(&deck).is_none() {
        return Err(format!("the board has no deck `{deck}`"));
    }
    let written = |key: &str| -> Result<String, String> {
        let text = form.need(key)?.trim();
        // A bare number in a field that shows its unit beside it is meant in that unit.
        let unit = form.get("unit").filter(|unit| *unit == "in").unwrap_or("mm");
        if text.parse::<f64>().is_ok() { Ok(format!("{text} {unit}")) } else { Ok(text.to_owned()) }
    };
    let (x, y) = (written("x")?, written("y")?);
    let has_deck = device.place.is_some();
    let at = |key: &str, to: &String| Change::set(Field::device(&tag, "place").below(key), to);
    let deck = (has_deck || deck != first).then(|| at("deck", &deck));
    named(format!("place {tag} at {x}, {y}"), deck.into_iter().chain([at("x", &x), at("y", &y)]))
}

/// A tag that no device has: as wished, else counted from A1.
fn free_tag(rig: &Rig, wished: Option<&str>, taken: &[String]) -> Result<String, String> {
    let is_free = |tag: &str| {
        rig.device(tag).is_none()
            && rig.source(tag).is_none()
            && rig.sink(tag).is_none()
            && !taken.iter().any(|other| other == tag)
    };
    match wished.map(str::trim).filter(|tag| !tag.is_empty()) {
        Some(tag) if tag.contains('.') => Err(format!("a tag has no point, `{tag}` has")),
        Some(tag) if is_free(tag) => Ok(tag.to_owned()),
        Some(tag) => Err(format!("`{tag}` is the name of something else in this rig")),
        None => (1..=999)
            .map(|number| format!("A{number}"))
            .find(|tag| is_free(tag))
            .ok_or_else(|| "no free tag".to_owned()),
    }
}

fn add(rig: &Rig, form: &Form) -> Made {
    let kind = form.need("kind")?.to_owned();
    let tag = free_tag(rig, form.get("tag"), &[])?;
    let title = form.get("title").map(str::trim).filter(|title| !title.is_empty()).map(str::to_owned);
    let title = title.map(|title| Change::set(Field::device(&tag, "title"), title));
    named(format!("add {tag}"), [Change::set(Field::device(&tag, "kind"), kind)].into_iter().chain(title))
}

/// Values of a new device, key by key, with where they come from.
pub(crate) type Values = Vec<(String, String)>;

/// What says the values of a new device: what stands by itself first, then where it comes from, then its tables.
fn device_of(tag: &str, from: &str, values: &Values) -> Vec<Change> {
    let set = |(key, value): &(String, String)| Change::set(Field::device(tag, key), value);
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
        let bare = value.parse::<f64>().is_ok() && !unit.is_empty();
        out.push((key, if bare { format!("{value} {unit}") } else { value.to_owned() }));
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
        for (key, unit) in
            [("role", ""), ("connector", ""), ("face", ""), ("offset", length), ("height", length), ("z", "")]
        {
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
    named(format!("keep {id}"), device_of(id, "measured", &values))
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

fn measure(rig: &Rig, form: &Form) -> Made {
    let tag = free_tag(rig, form.get("tag"), &[])?;
    if let Some(kind) = form.get("kept-kind") {
        return named(format!("add {tag}, measured"), [Change::set(Field::device(&tag, "kind"), kind)]);
    }
    let values = measured(form);
    if values.is_empty() {
        return Err("nothing was measured".to_owned());
    }
    named(format!("add {tag}, measured"), device_of(&tag, "measured", &values))
}

fn paste(rig: &Rig, form: &Form) -> Made {
    let sheet = crate::paste::read(form.need("rows")?, rig);
    if let Some(problem) = sheet.first_problem() {
        return Err(format!("nothing was added: {problem}"));
    }
    let mut taken = Vec::new();
    let mut rows = Vec::new();
    for row in &sheet.rows {
        let tag = free_tag(rig, row.tag.as_deref(), &taken)?;
        taken.push(tag.clone());
        rows.push((tag, row.values.clone()));
    }
    if rows.is_empty() {
        return Err("there are no rows to add".to_owned());
    }
    let from = form.get("from").unwrap_or("printed");
    named(
        format!("add {} rows from a spreadsheet", rows.len()),
        rows.iter().flat_map(|(tag, values)| device_of(tag, from, values)),
    )
}

/// Takes a device away with what names it: its stops, its leads, feeds from it, acceptances. Numbers that its leads bore
/// are retired: labels bear them still, and no other lead may get them.
fn away(rig: &Rig, tag: &str) -> Vec<Change> {
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

/// A stop out of one run and before a place of another, as one edit.
fn across(rig: &Rig, form: &Form, from: &str, stops: &[String]) -> Made {
    let into = form.need("into")?;
    let other =
        rig.runs.iter().find(|run| run.name == into).ok_or_else(|| format!("there is no run `{into}`"))?;
    let index = |key: &str| usize::try_from(form.whole(key)?).map_err(|_| "there is no such stop".to_owned());
    let (at, to) = (index("at")?, index("to")?);
    let mut there: Vec<String> = other.stops.iter().map(|stop| stop.text.clone()).collect();
    if stops.len() <= at || there.len() < to {
        return Err("there is no such stop".to_owned());
    }
    if stops.len() < 3 {
        return Err("a run has at least two stops; take the whole run away instead".to_owned());
    }
    let mut here = stops.to_vec();
    let stop = here.remove(at);
    there.insert(to, stop.clone());
    named(
        format!("move {stop} from run {from} into {into}"),
        [Change::set(Field::run(from, "stops"), here), Change::set(Field::run(into, "stops"), there)],
    )
}

fn new_run(rig: &Rig, form: &Form) -> Made {
    let name = form.need("name")?.trim().to_owned();
    if rig.runs.iter().any(|run| run.name == name) {
        return Err(format!("there is a run `{name}` already"));
    }
    let stops = form.all("stop");
    if stops.len() < 2 {
        return Err("a run goes from one stop to another".to_owned());
    }
    let carries = form.get("carries").filter(|word| !word.is_empty() && *word != "signal").map(str::to_owned);
    let carries = carries.map(|carries| Change::set(Field::run(&name, "carries"), carries));
    let stops = Change::set(Field::run(&name, "stops"), stops);
    named(format!("add run {name}"), carries.into_iter().chain([stops]))
}

fn stops(rig: &Rig, form: &Form) -> Made {
    let name = form.need("run")?.to_owned();
    let run =
        rig.runs.iter().find(|run| run.name == name).ok_or_else(|| format!("there is no run `{name}`"))?;
    let old: Vec<&str> = run.stops.iter().map(|stop| stop.text.as_str()).collect();
    let mut new: Vec<String> = old.iter().map(|stop| (*stop).to_owned()).collect();
    let index = |key: &str| -> Result<usize, String> {
        let at = usize::try_from(form.whole(key)?).map_err(|_| "there is no such stop".to_owned())?;
        Ok(at)
    };
    let said;
    match form.need("how")? {
        "move" if form.get("into").is_some_and(|into| into != name) => return across(rig, form, &name, &new),
        "move" => {
            let (from, to) = (index("at")?, index("to")?);
            if new.len() <= from || new.len() <= to {
                return Err("there is no such stop".to_owned());
            }
            let stop = new.remove(from);
            said = format!("move {stop} in run {name}");
            new.insert(to, stop);
        }
        "insert" => {
            let stop = form.need("stop")?.trim().to_owned();
            let at = index("at")?.min(new.len());
            said = format!("put {stop} into run {name}");
            new.insert(at, stop);
        }
        "loop" => {
            let (send, back) = (form.need("send")?.to_owned(), form.need("back")?.to_owned());
            let at = index("at")?;
            let until = index("until")?;
            if until < at || new.len() <= until {
                return Err("a loop holds stops that follow one another".to_owned());
            }
            said = format!("put {} to {} into a loop", new[at], new[until]);
            new.insert(until + 1, back);
            new.insert(at, send);
        }
        "out" => {
            let at = index("at")?;
            if new.len() <= at {
                return Err("there is no such stop".to_owned());
            }
            said = format!("take {} out of run {name}", new.remove(at));
        }
        "all" => {
            new = form.all("stop");
            said = format!("change the stops of run {name}");
        }
        other => return Err(format!("there is no way to `{other}` stops")),
    }
    if new.len() < 2 {
        return Err("a run has at least two stops; take the whole run away instead".to_owned());
    }
    named(said, [Change::set(Field::run(&name, "stops"), new)])
}

/// A source or a sink.
fn end(rig: &Rig, form: &Form) -> Made {
    let list = form.need("list")?.to_owned();
    let id = free_tag(rig, Some(form.need("id")?), &[])?;
    let kind = form.need("kind")?.to_owned();
    let key = if list == "source" { "pickup" } else { "kind" };
    let cable = if list == "source" { "instrument" } else { "balanced" };
    let length = form.get("lead").map(str::trim).filter(|text| !text.is_empty()).map(str::to_owned);
    let cable = form.get("cable").filter(|text| !text.is_empty()).unwrap_or(cable).to_owned();
    let plug = form.get("plug").filter(|text| !text.is_empty()).unwrap_or("jack-straight").to_owned();
    let set = |key: &str, to: Value| Change::set(Field::of(&list, &id, key), to);
    let mut changes = vec![set(key, kind.into())];
    if let Some(length) = length {
        changes.push(set("lead", Value::given(length, "assumed")));
        changes.push(set("cable", cable.into()));
        changes.push(set("plug", plug.into()));
    }
    named(format!("add {list} {id}"), changes)
}

fn feed(form: &Form) -> Made {
    let tag = form.need("tag")?.to_owned();
    let outlets: Vec<String> = form.all("outlet").into_iter().filter(|outlet| !outlet.is_empty()).collect();
    if outlets.is_empty() {
        return named(format!("take the feed of {tag} away"), [Change::remove(Field::device(&tag, "feed"))]);
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
fn lead(form: &Form) -> Made {
    let id = form.need("lead")?.to_owned();
    let key = form.need("key")?.to_owned();
    let value = form.get("value").unwrap_or("").trim().to_owned();
    let value = if key == "cut" && value.parse::<f64>().is_ok() {
        format!("{value} {}", form.get("unit").unwrap_or("mm"))
    } else {
        value
    };
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

fn requirement(rig: &Rig, form: &Form) -> Made {
    let text_of = form.need("text")?.trim().to_owned();
    let mut all: Vec<(String, String)> =
        rig.brief.requirements.iter().map(|r| (r.id.clone(), r.text.clone())).collect();
    let id = match form.get("id").filter(|id| !id.is_empty()) {
        Some(id) => id.to_owned(),
        None => (1..=999)
            .map(|n| format!("R{n}"))
            .find(|id| all.iter().all(|(other, _)| other != id))
            .unwrap_or_default(),
    };
    let name =
        if text_of.is_empty() { format!("take requirement {id} away") } else { format!("requirement {id}") };
    match all.iter_mut().find(|(other, _)| *other == id) {
        Some((_, old)) => old.clone_from(&text_of),
        None => all.push((id, text_of)),
    }
    all.retain(|(_, text)| !text.is_empty());
    let rows: Vec<Vec<(String, Value)>> = all
        .into_iter()
        .map(|(id, text)| vec![("id".to_owned(), id.into()), ("text".to_owned(), text.into())])
        .collect();
    named(name, [Change::set(Field::new(["brief", "requirements"]), Value::Rows(rows))])
}

fn accept(text: &str, form: &Form) -> Made {
    let rule = form.need("rule")?;
    let devices = form.all("device");
    let reason = form.need("reason")?.trim();
    if reason.is_empty() {
        return Err("a reason is missing; write why you answer for it".to_owned());
    }
    let by = form.get("by").map(str::trim).filter(|by| !by.is_empty());
    document::edit::accept(text, rule, &devices, reason, by).map_err(|error| error.to_string())
}

fn cure(read: &Read, form: &Form) -> Made {
    let (rule, mut devices) = (form.need("rule")?, form.all("device"));
    devices.sort();
    let edit = read
        .all_findings()
        .iter()
        .find(|finding| finding.rule == rule && finding.devices == devices)
        .and_then(|finding| finding.edit.clone());
    edit.ok_or_else(|| "that finding is gone, or nothing cures it in one step".to_owned())
}

/// What a field is called in the list of edits. Title block and brief need no head: there is one of each.
fn called(field: &Field) -> String {
    match field.parts() {
        [table, key] if table == "job" || table == "brief" => key.replace('_', " "),
        _ => field.words(),
    }
}

/// Any values of the format: `field` and `value` in pairs, `from` where a value says where it comes from. A value is
/// said of what is there: a row that nobody added is not made by it.
fn values(text: &str, form: &Form) -> Made {
    let fields: Vec<Field> = form.all("field").iter().map(|word| unpacked(word)).collect();
    let (values, froms) = (form.all("value"), form.all("from"));
    if fields.is_empty() || fields.len() != values.len() {
        return Err("an edit sets one value for each field".to_owned());
    }
    let editor = Editor::open(text).map_err(|error| error.to_string())?;
    if let Some(field) = fields.iter().find(|field| !editor.has_row(field)) {
        return Err(format!("there is no `{field}` in the document"));
    }
    let name = match form.get("name") {
        Some(name) => name.to_owned(),
        None => format!("{} set to {}", called(&fields[0]), values[0].trim()),
    };
    let unit = form.get("unit").unwrap_or("");
    let changes = fields.into_iter().zip(&values).enumerate().map(|(index, (field, value))| {
        let value = value.trim();
        let value = if value.parse::<f64>().is_ok() && !unit.is_empty() {
            format!("{value} {unit}")
        } else {
            value.to_owned()
        };
        match froms.get(index).map(String::as_str).filter(|from| !from.is_empty()) {
            Some(from) if !value.is_empty() || from == "unknown" => {
                Change::set(field, Value::given(value, from))
            }
            _ => Change::set_or_remove(field, Some(value).filter(|value| !value.is_empty())),
        }
    });
    named(name, changes)
}
