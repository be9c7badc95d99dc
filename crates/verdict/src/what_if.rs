//! What if: a question about a job, answered as an edit that leaves alone all that need not change.

use document::Job;
use finding::{Change, Edit, Field, Finding, Value};
use layout::{Config, Input, NeverCancelled, NoProgress};
use rig::{Nature, Rig};

use crate::joint::joint_of_run;
use crate::judge::judge;

/// A question about a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WhatIf {
    /// Another kind of device in the place of this one.
    Swap {
        /// The device.
        tag: String,
        /// Catalogue id of the kind that would stand there.
        kind: String,
    },
    /// One more device.
    Add {
        /// Catalogue id of its kind.
        kind: String,
        /// The device that it would follow in its run; none where it joins no run.
        after: Option<String>,
    },
    /// A second amp, fed by what feeds the first.
    Amp,
    /// A country more on the tour list.
    Tour {
        /// Its name or its ISO 3166 letters.
        country: String,
    },
    /// Something outside the board that wants an outlet: a charger, a lamp.
    Outlet {
        /// Volts, with their unit.
        volts: String,
        /// What it draws, with its unit.
        current: String,
    },
}

/// How the questions are typed.
const FORMS: &str =
    "`swap TAG KIND`, `add KIND` or `add KIND after TAG`, `amp`, `tour COUNTRY`, `outlet VOLTS CURRENT`";

impl std::str::FromStr for WhatIf {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let words: Vec<&str> = text.split_whitespace().collect();
        let own = |word: &&str| (*word).to_owned();
        match words.as_slice() {
            ["swap", tag, kind] => Ok(Self::Swap { tag: own(tag), kind: own(kind) }),
            ["add", kind] => Ok(Self::Add { kind: own(kind), after: None }),
            ["add", kind, "after", tag] => Ok(Self::Add { kind: own(kind), after: Some(own(tag)) }),
            ["amp"] => Ok(Self::Amp),
            ["tour", country @ ..] if !country.is_empty() => Ok(Self::Tour { country: country.join(" ") }),
            ["outlet", volts, current] => Ok(Self::Outlet { volts: own(volts), current: own(current) }),
            _ => Err(format!("“{text}”: ask {FORMS}")),
        }
    }
}

/// The edit that a question comes to.
///
/// What is built stays: only the device that the question is about gets a place and a feed; all others keep theirs. Where no
/// place or no outlet is free for it, the edit leaves that open, and the checks say so. Made leads that no longer serve are
/// to be made again, which the edit says too. `today` is what the checks say of the job as it stands.
///
/// # Errors
/// Why the question cannot be asked of this job, in words.
pub fn what_if(job: &Job, today: &[Finding], ask: &WhatIf) -> Result<Edit, String> {
    let (mut edit, tag) = plain(job, ask)?;
    if matches!(ask, WhatIf::Amp) {
        // Two leads cannot leave one jack: one that branches does.
        let runs: Vec<String> = then(job, &edit)?.rig.runs.iter().map(|run| run.name.clone()).collect();
        let fresh = runs.iter().find(|name| job.rig.runs.iter().all(|run| run.name != **name));
        if let Some(joint) = fresh.and_then(|name| joint_of_run(&then(job, &edit).ok()?.rig, name)) {
            edit.changes.extend(joint.changes);
        }
    }
    if let Some(tag) = tag {
        let after = then(job, &edit)?;
        if !matches!(ask, WhatIf::Outlet { .. }) {
            edit.changes.extend(placed(&after, &tag));
        }
        let feed = fed(job, &edit, &tag)?;
        if let (WhatIf::Outlet { volts, current }, true) = (ask, feed.is_empty()) {
            return Err(format!("no outlet that is free gives {volts} and {current}"));
        }
        edit.changes.extend(feed);
    }
    let is_made = |spec: &rig::LeadSpec| spec.cut.is_some() || !spec.legs.is_empty() || spec.fitted;
    if job.rig.leads.iter().any(is_made) {
        return Ok(judge(job, today, &edit).map_err(|error| error.to_string())?.edit);
    }
    Ok(edit)
}

/// The job as an edit leaves it.
fn then(job: &Job, edit: &Edit) -> Result<Job, String> {
    let text = document::edit::apply(job.text(), edit).map_err(|error| error.to_string())?;
    job.with_text(&text).map_err(|error| match &error {
        document::ReadError::Problems { problems, .. } => {
            problems.first().map_or_else(|| error.to_string(), |problem| problem.message.clone())
        }
        _ => error.to_string(),
    })
}

/// What the question says itself, without place and feed, and the device that wants them.
fn plain(job: &Job, ask: &WhatIf) -> Result<(Edit, Option<String>), String> {
    let rig = &job.rig;
    let title = |kind: &str| -> Result<String, String> {
        let found = job.catalogue.devices().into_iter().find(|device| device.kind.as_deref() == Some(kind));
        found.map(|device| device.title).ok_or_else(|| format!("the catalogue has no kind `{kind}`"))
    };
    match ask {
        WhatIf::Swap { tag, kind } => {
            let device = rig.device(tag).ok_or_else(|| format!("there is no device `{tag}` in this rig"))?;
            let title = title(kind)?;
            if device.kind.as_deref() == Some(kind) {
                return Err(format!("{tag} is of that kind already"));
            }
            Ok((swap(device, kind, &title), Some(tag.clone())))
        }
        WhatIf::Add { kind, after } => {
            let (tag, title) = (free_tag(rig, "A"), title(kind)?);
            let mut changes = vec![Change::set(Field::device(&tag, "kind"), kind.as_str())];
            let mut name = format!("add {tag}, {title}");
            if let Some(after) = after {
                let (run, mut stops, at) = stop_of(rig, after)?;
                stops.insert(at + 1, tag.clone());
                changes.push(Change::set(Field::run(run, "stops"), stops));
                name += &format!(", after {after}");
            }
            Ok((Edit::new(name, changes), Some(tag)))
        }
        WhatIf::Amp => Ok((second_amp(rig)?, None)),
        WhatIf::Tour { country } => {
            let country = country.trim();
            let known = rig.brief.countries.iter().any(|known| known.eq_ignore_ascii_case(country));
            if country.is_empty() || known {
                return Err(format!("{country} is on the tour list already"));
            }
            let all = rig.brief.countries.iter().cloned().chain([country.to_owned()]);
            let change = Change::set(Field::new(["brief", "countries"]), Value::list(all));
            Ok((Edit::new(format!("tour {country}"), [change]), None))
        }
        WhatIf::Outlet { volts, current } => {
            let tag = free_tag(rig, "X");
            let set = |key: &str, to: Value| Change::set(Field::device(&tag, key), to);
            let changes = [
                set("title", format!("outlet for a charger, {volts}").into()),
                set("role", "other".into()),
                set("outside", true.into()),
                set("port.DC.role", "power".into()),
                set("port.DC.connector", "barrel-5.5-2.1".into()),
                set("power.type", Value::given("dc", "assumed")),
                set("power.volts", Value::given(volts.as_str(), "assumed")),
                set("power.current", Value::given(current.as_str(), "assumed")),
                set("power.sign", Value::given("centre-negative", "assumed")),
            ];
            Ok((Edit::new(format!("an outlet of {volts} for {current}"), changes), Some(tag)))
        }
    }
}

/// Another device under the same tag: what the document said of the old one goes, but for where it stands, how it is fed and
/// what the job calls it for.
fn swap(device: &rig::Device, kind: &str, title: &str) -> Edit {
    let tag = device.tag.as_str();
    let gone = [
        "from", "size", "corner", "knobs", "mass", "port", "insert", "loop", "switch", "controls", "signal",
        "midi", "power", "note", "serial",
    ];
    let mut changes: Vec<Change> =
        gone.into_iter().map(|key| Change::remove(Field::device(tag, key))).collect();
    changes.push(Change::set(Field::device(tag, "kind"), kind));
    changes.push(Change::set(Field::device(tag, "title"), title));
    Edit::new(format!("swap {tag} for {title}"), changes)
}

/// The run of signal that passes a device, its stops, and where it leaves the device last.
fn stop_of<'a>(rig: &'a Rig, tag: &str) -> Result<(&'a str, Vec<String>, usize), String> {
    let runs = rig.runs.iter().filter(|run| run.carries == rig::Carries::Signal);
    for run in runs {
        let leaves = |stop: &rig::Stop| stop.leaves.as_ref().is_some_and(|port| port.device == tag);
        if let Some(at) = run.stops.iter().rposition(leaves)
            && at + 1 < run.stops.len()
        {
            return Ok((&run.name, run.stops.iter().map(|stop| stop.text.clone()).collect(), at));
        }
    }
    Err(format!("no run of signal goes on from `{tag}`"))
}

/// An amp more, on the jack that feeds the first.
fn second_amp(rig: &Rig) -> Result<Edit, String> {
    let feeds = |run: &&rig::Run| {
        let last = run.stops.last().map(|stop| stop.text.as_str());
        let sink = rig.sinks.iter().find(|sink| Some(sink.id.as_str()) == last);
        run.carries == rig::Carries::Signal
            && run.purpose.is_none()
            && 2 <= run.stops.len()
            && sink.is_some_and(|sink| sink.amp != Some(false))
    };
    let run = rig.runs.iter().find(feeds).ok_or("no run goes to an amp yet")?;
    let from = run.stops[run.stops.len() - 2].leaves.as_ref().ok_or("no jack feeds the amp yet")?;
    let id = free_tag(rig, "amp_");
    let name = (2..=99)
        .map(|number| format!("amp {number}"))
        .find(|name| rig.runs.iter().all(|run| run.name != *name))
        .ok_or("there are too many amps")?;
    let set = |key: &str, to: Value| Change::set(Field::of("sink", &id, key), to);
    let changes = [
        set("title", "second amp".into()),
        set("kind", "amp".into()),
        set("lead", Value::given("3 m", "assumed")),
        set("cable", "instrument".into()),
        set("plug", "jack-straight".into()),
        Change::set(Field::run(&name, "stops"), vec![from.to_string(), id.clone()]),
    ];
    Ok(Edit::new("add a second amp", changes))
}

/// A name that nothing in the rig has.
fn free_tag(rig: &Rig, letter: &str) -> String {
    (1..=rig.devices.len() + rig.sinks.len() + rig.sources.len() + 1)
        .map(|number| format!("{letter}{number}"))
        .find(|tag| !rig.has_name(tag))
        .unwrap_or_else(|| format!("{letter}0"))
}

/// Moves of the search for one device's place: far fewer than for a board. *Common practice, no source.*
const MOVES: u64 = 20_000;

/// A place for one device while all others stay. Nothing where it stands well already, or where there is no room.
fn placed(job: &Job, tag: &str) -> Vec<Change> {
    let mut rig = job.rig.clone();
    let is_panel = rig.device(tag).is_none_or(|device| device.role == rig::Role::Panel || device.outside);
    if is_panel {
        return Vec::new();
    }
    let config = Config { moves: MOVES, relax: false, alternatives: 0, ..Config::of_shop(&job.limits) };
    let input = |rig: &Rig| Input::from_rig(rig, &job.limits).with_stock(job.catalogue.plugs());
    let has_place = rig.device(tag).is_some_and(|device| device.place.is_some());
    if has_place && layout::measure(&input(&rig), &config).feasible {
        return Vec::new();
    }
    for device in &mut rig.devices {
        if device.tag == tag {
            device.place = None;
        } else if let Some(place) = &mut device.place {
            place.locked = true;
        }
    }
    let found = layout::solve(&input(&rig), &config, &NoProgress, &NeverCancelled);
    if !found.feasible {
        return Vec::new();
    }
    let own = Field::device(tag, "place");
    let of_it = |change: &Change| change.field().parts().starts_with(own.parts());
    found.edit.changes.into_iter().filter(of_it).collect()
}

/// An outlet for one device while all others keep theirs: the one that it has, where that serves, else the free one with the
/// shortest lead.
fn fed(job: &Job, edit: &Edit, tag: &str) -> Result<Vec<Change>, String> {
    let after = then(job, edit)?;
    let Some(device) = after.rig.device(tag) else { return Ok(Vec::new()) };
    // Where nobody knows what it runs on, the outlet that is there stays, and the checks say what to find out.
    let Some(nature) = device.power.nature.value else { return Ok(Vec::new()) };
    let is_fed = matches!(nature, Nature::Dc | Nature::Ac);
    let has = device.feed.clone();
    if !is_fed {
        return Ok(has.map(|_| Change::remove(Field::device(tag, "feed"))).into_iter().collect());
    }
    if has.as_ref().is_some_and(|feed| feed.locked) {
        return Ok(Vec::new());
    }
    let mut without = after.rig.clone();
    if let Some(device) = without.devices.iter_mut().find(|device| device.tag == tag) {
        device.feed = None;
        // What stands beside the board is asked for like what stands on it.
        device.outside = false;
    }
    let design = design::derive(without, after.limits.clone());
    let moves = power::moves(design.power_input(), tag);
    let serves = |found: &&power::Move| found.breaches.is_empty();
    let kept = |found: &&power::Move| {
        has.as_ref().is_some_and(|feed| feed.outlets.iter().any(|outlet| outlet.to_string() == found.outlet))
    };
    if moves.iter().filter(serves).any(|found| kept(&found)) {
        return Ok(Vec::new());
    }
    let cost = |found: &&power::Move| (found.looks.len(), found.special, found.longer_mm.unwrap_or(0));
    let best = moves.iter().filter(serves).min_by_key(cost);
    Ok(best.and_then(|found| found.edit.clone()).map(|edit| edit.changes).unwrap_or_default())
}
