//! Outlets, holes, labels and tests.

use std::collections::BTreeMap;

use design::{Design, LabelKind, TestLine, TestPart, outlet_words, plates, tests as lines};
use quantity::Length;
use rig::PortRef;

use crate::{Became, LeadChange, RevisionChange};

/// One outlet, before and after, in words; empty where it is not there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outlet {
    /// Which.
    pub outlet: String,
    /// Setting and what hangs on it.
    pub before: String,
    /// The same afterwards.
    pub after: String,
}

/// A hole by where it is and how large.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Hole {
    /// The panel and its face, or the deck.
    pub plate: String,
    /// What it is for.
    pub of: String,
    /// From the datum to the right, when known.
    pub x: Option<Length>,
    /// From the datum up, or to the back on a deck.
    pub y: Option<Length>,
    /// Its diameter, or its width where it is a cut-out.
    pub width: Option<Length>,
    /// Height of a cut-out.
    pub height: Option<Length>,
}

impl Hole {
    /// All but what it is for: a hole that is there serves whatever goes through.
    fn cut(&self) -> (&str, [Option<Length>; 4], &str) {
        // A hole whose place is not known is known by what it is for.
        let of = if self.x.is_none() || self.y.is_none() { self.of.as_str() } else { "" };
        (&self.plate, [self.x, self.y, self.width, self.height], of)
    }
}

/// One label by what it is stuck to and what stands on it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct LabelOf {
    /// `lead`, `device`, `outlet` or `jack`.
    pub kind: &'static str,
    /// What it belongs to.
    pub of: String,
    /// Its lines.
    pub lines: Vec<String>,
}

pub(crate) fn outlets(before: &Design, after: &Design) -> Vec<Outlet> {
    let words = |design: &Design| {
        let mut out: BTreeMap<String, String> = BTreeMap::new();
        for device in &design.rig.devices {
            for outlet in &device.outlets {
                let port = PortRef::new(&device.tag, &outlet.name);
                let load = design.outlets.iter().find(|load| load.outlet == port);
                let to = load.map_or_else(|| "spare".to_owned(), |load| load.devices.join(", "));
                out.insert(port.to_string(), format!("{} to {to}", outlet_words(device, outlet)));
            }
        }
        out
    };
    let (old, new) = (words(before), words(after));
    let mut out = Vec::new();
    for (outlet, now) in &new {
        let then = old.get(outlet).cloned().unwrap_or_default();
        if then != *now {
            out.push(Outlet { outlet: outlet.clone(), before: then, after: now.clone() });
        }
    }
    for (outlet, then) in old.into_iter().filter(|(outlet, _)| !new.contains_key(outlet)) {
        out.push(Outlet { outlet, before: then, after: String::new() });
    }
    out
}

/// Every hole of a design: jacks of panels, passages of decks.
fn all_holes(design: &Design) -> Vec<Hole> {
    let mut out = Vec::new();
    for plate in plates(design) {
        for hole in &plate.holes {
            out.push(Hole {
                plate: format!("{} {}", plate.panel, plate.face.word()),
                of: hole.port.clone(),
                x: hole.x.value,
                y: hole.y.value,
                width: hole.diameter.value,
                height: hole.height.value,
            });
        }
    }
    for deck in &design.rig.board.decks {
        for passage in &deck.passages {
            out.push(Hole {
                plate: format!("deck {}", deck.name),
                of: passage.name.clone(),
                x: Some(passage.at.x),
                y: Some(passage.at.y),
                width: Some(passage.at.width),
                height: Some(passage.at.depth),
            });
        }
    }
    out
}

/// Holes to blank and holes to drill.
pub(crate) fn holes(before: &Design, after: &Design) -> (Vec<Hole>, Vec<Hole>) {
    let (old, new) = (all_holes(before), all_holes(after));
    (less(&old, &new, |a, b| a.cut() == b.cut()), less(&new, &old, |a, b| a.cut() == b.cut()))
}

/// What is left of the first when each of the second has taken one like it.
fn less<T: Clone>(from: &[T], taken: &[T], like: impl Fn(&T, &T) -> bool) -> Vec<T> {
    let mut left = taken.to_vec();
    let mut out = Vec::new();
    for item in from {
        match left.iter().position(|other| like(item, other)) {
            Some(at) => {
                left.swap_remove(at);
            }
            None => out.push(item.clone()),
        }
    }
    out
}

fn all_labels(design: &Design) -> Vec<LabelOf> {
    design::labels(design)
        .into_iter()
        .map(|label| LabelOf {
            kind: match label.kind {
                LabelKind::LeadEnd => "lead",
                LabelKind::Device => "device",
                LabelKind::Outlet => "outlet",
                LabelKind::Jack => "jack",
            },
            of: label.of,
            lines: label.lines,
        })
        .collect()
}

/// Labels that come off and labels that go on.
pub(crate) fn labels(before: &Design, after: &Design) -> (Vec<LabelOf>, Vec<LabelOf>) {
    let (old, new) = (all_labels(before), all_labels(after));
    (less(&old, &new, PartialEq::eq), less(&new, &old, PartialEq::eq))
}

/// Ids of tests to make again, and how many results stand: a result stands where the test is as it was, no lead it is about
/// is made anew, and no device it is about is another one or fed otherwise. What is asked of the whole board is asked again
/// after any change of devices or leads.
pub(crate) fn tests(before: &Design, after: &Design, change: &RevisionChange) -> (Vec<String>, usize) {
    let old = lines(before);
    let leads = &change.leads;
    let anew: Vec<&str> = leads
        .iter()
        .filter(|lead| matches!(lead.became, Became::Remade { .. } | Became::Altered { .. } | Became::New))
        .map(LeadChange::tag)
        .collect();
    let lies = |lead: &LeadChange| matches!(lead.became, Became::Stays | Became::Redrawn { .. });
    let touched = !leads.iter().all(lies) || !change.devices.is_empty();
    let fresh = change.fresh_devices();
    let fed = |tag: &str| change.feeds.iter().any(|words| words.of == tag && !words.after.is_empty());
    let mut again = Vec::new();
    let mut stand = 0;
    for line in lines(after) {
        let of = |tag: &str| is_about(after, &line, tag);
        let changed = match line.part {
            TestPart::Whole => touched,
            TestPart::Ends => fed(&line.subject) || fresh.iter().any(|tag| of(tag)),
            _ => fresh.iter().any(|tag| of(tag)),
        };
        if changed || anew.contains(&line.subject.as_str()) || !old.contains(&line) {
            again.push(line.id);
        } else {
            stand += 1;
        }
    }
    (again, stand)
}

/// Whether a test is about a device: itself, a jack, an outlet or an insert of it, a state that engages or bypasses it, or a
/// run or an output that it is on the way to.
fn is_about(design: &Design, line: &TestLine, tag: &str) -> bool {
    let rig = &design.rig;
    let on = |run: &rig::Run| {
        run.stops
            .iter()
            .any(|stop| [&stop.arrives, &stop.leaves].into_iter().flatten().any(|at| at.device == tag))
    };
    let named =
        line.subject.strip_prefix(tag).is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', ' ']));
    let signal = || rig.runs.iter().any(|run| run.carries == rig::Carries::Signal && on(run));
    match line.part {
        TestPart::States => {
            let engages = line
                .engaged(rig)
                .is_some_and(|engaged| engaged.is_empty() || engaged.iter().any(|on| on == tag));
            named || (engages && signal())
        }
        TestPart::Control => rig.runs.iter().any(|run| run.name == line.subject && on(run)),
        TestPart::Outputs | TestPart::Recordings => signal(),
        _ => named,
    }
}
