//! Runs with their stops, sources and sinks.

use finding::{Change, Field, Value};
use rig::Rig;

use super::gear::free_tag;
use crate::act::{Form, Made, named};
use crate::acts::entered::with_unit;

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
        return Err("a run has at least two stops; remove the whole run instead".to_owned());
    }
    let mut here = stops.to_vec();
    let stop = here.remove(at);
    there.insert(to, stop.clone());
    named(
        format!("move {stop} from run {from} into {into}"),
        [Change::set(Field::run(from, "stops"), here), Change::set(Field::run(into, "stops"), there)],
    )
}

pub(super) fn new_run(rig: &Rig, form: &Form) -> Made {
    let name = form.need("name")?.trim().to_owned();
    if rig.runs.iter().any(|run| run.name == name) {
        return Err(format!("there is a run `{name}` already"));
    }
    if name.is_empty() {
        return Err("a run has a name".to_owned());
    }
    let stops: Vec<String> = form.all("stop").iter().map(|stop| stop.trim().to_owned()).collect();
    if stops.len() < 2 {
        return Err("a run goes from one stop to another".to_owned());
    }
    let is_there = |run: &&rig::Run| {
        run.stops.windows(2).any(|pair| stops.len() == 2 && pair.iter().map(|stop| &stop.text).eq(&stops))
    };
    if let Some(run) = rig.runs.iter().find(is_there) {
        return Err(format!("{} goes to {} already, in run {}", stops[0], stops[1], run.name));
    }
    let carries = form.get("carries").filter(|word| !word.is_empty() && *word != "signal").map(str::to_owned);
    let carries = carries.map(|carries| Change::set(Field::run(&name, "carries"), carries));
    let stops = Change::set(Field::run(&name, "stops"), stops);
    named(format!("add run {name}"), carries.into_iter().chain([stops]))
}

pub(super) fn stops(rig: &Rig, form: &Form) -> Made {
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
            said = format!("insert {stop} into run {name}");
            // A loop by its name is its two jacks, one after the other.
            match looped(rig, &stop) {
                Some([send, back]) => new.splice(at..at, [send, back]).for_each(drop),
                None => new.insert(at, stop),
            }
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
            said = format!("remove {} from run {name}", new.remove(at));
        }
        "all" => {
            new = form.all("stop");
            said = format!("change the stops of run {name}");
        }
        other => return Err(format!("there is no way to `{other}` stops")),
    }
    if new.len() < 2 {
        return Err("a run has at least two stops; remove the whole run instead".to_owned());
    }
    named(said, [Change::set(Field::run(&name, "stops"), new)])
}

/// The two jacks of the loop that goes by this name, alone or after its device's: `FX`, `A1 FX`. Nothing where none does, or
/// several.
fn looped(rig: &Rig, name: &str) -> Option<[String; 2]> {
    let mut found = rig.devices.iter().flat_map(|device| {
        let own = device.loops.iter();
        own.filter(|pair| pair.name == name || format!("{} {}", device.tag, pair.name) == name).map(
            move |pair| {
                let port = |port: &str| rig::PortRef::new(&device.tag, port).to_string();
                [port(&pair.send), port(&pair.back)]
            },
        )
    });
    let first = found.next()?;
    found.next().is_none().then_some(first)
}

/// A source or a sink.
pub(super) fn end(rig: &Rig, form: &Form) -> Made {
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
        // The player's own lead is bought by the metre.
        changes.push(set("lead", Value::given(with_unit(&length, "m"), "assumed")));
        changes.push(set("cable", cable.into()));
        changes.push(set("plug", plug.into()));
    }
    named(format!("add {list} {id}"), changes)
}
