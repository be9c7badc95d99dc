//! Changes against what they are said to make: the change list, applied to the old revision's leads, outlets, holes and
//! labels, gives the new one's.

use std::collections::BTreeMap;

use change::{Became, Made, RevisionChange, Side, compare};
use design::{Design, Making};
use quantity::Length;

use crate::jobs::{Draw, job};

fn example(name: &str) -> std::path::PathBuf {
    std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name)
}

fn design_of(text: &str) -> Design {
    let read =
        document::read_text("rig.toml", text, None).unwrap_or_else(|error| panic!("{error:?}\n{text}"));
    design::derive(read.rig, read.limits)
}

fn changed(before: &Design, after: &Design) -> RevisionChange {
    compare(&Side { design: before, findings: &[] }, &Side { design: after, findings: &[] })
}

/// A lead as its parts are counted here, from the design alone: cable, plugs by port, pieces.
type Parts = (Option<String>, Vec<(String, Option<String>)>, Vec<Option<Length>>);

fn parts_of(design: &Design) -> BTreeMap<String, Parts> {
    let parts = design.leads.iter().map(|lead| {
        let plugs = lead.ends.iter().map(|end| {
            let plug = end.plug.plug.as_ref().filter(|_| end.has_plug()).map(|plug| plug.id.clone());
            (end.port.to_string(), plug)
        });
        let cuts = if lead.is_joined() {
            lead.legs.iter().map(|leg| leg.cut.value).collect()
        } else {
            vec![lead.cut.value]
        };
        (lead.name.clone(), (lead.cable.as_ref().map(|cable| cable.id.clone()), plugs.collect(), cuts))
    });
    parts.collect()
}

fn parts(made: &Made) -> Parts {
    let plugs = made.ends.iter().map(|end| (end.port.clone(), end.plug.clone())).collect();
    (made.cable.clone(), plugs, made.cuts.clone())
}

/// The old leads after the list is carried out.
fn carried_out(old: &Design, change: &RevisionChange) -> BTreeMap<String, Parts> {
    let mut out = parts_of(old);
    for lead in &change.leads {
        match &lead.became {
            Became::Stays | Became::Reaches { .. } | Became::Redrawn { .. } | Became::Unclear { .. } => {}
            Became::Gone { .. } => {
                out.remove(&lead.name).unwrap_or_else(|| panic!("{} was there", lead.name));
            }
            Became::Remade { .. } | Became::Altered { .. } | Became::New => {
                out.remove(lead.was.as_ref().unwrap_or(&lead.name));
                out.insert(lead.name.clone(), parts(lead.after.as_ref().expect("it is made")));
            }
        }
    }
    out
}

fn check_leads(name: &str, old: &Design, new: &Design, change: &RevisionChange) {
    let got = carried_out(old, change);
    let want = parts_of(new);
    assert_eq!(got.keys().collect::<Vec<_>>(), want.keys().collect::<Vec<_>>(), "{name}: the same leads");
    for lead in &new.leads {
        let (got, want) = (&got[&lead.name], &want[&lead.name]);
        assert_eq!((&got.0, &got.1), (&want.0, &want.1), "{name}: cable and plugs of {}", lead.name);
        let entry = change.leads.iter().find(|entry| entry.name == lead.name).expect("every lead is listed");
        match &entry.became {
            Became::Reaches { spare } => {
                let cut = got.2[0].expect("a length");
                assert_eq!(cut - lead.least.value.expect("a way"), *spare, "{name}: spare of {}", lead.name);
                assert!(Length::ZERO <= *spare, "{name}: {} does not reach", lead.name);
            }
            Became::Remade { .. } if lead.made => {
                assert_eq!(got.2, [lead.needed.value], "{name}: {}", lead.name);
            }
            Became::New if lead.made => {}
            // It is left as it is made; what the drawing says of it is for the next one.
            Became::Redrawn { .. } | Became::Unclear { .. } => {}
            _ => assert_eq!(got.2, want.2, "{name}: pieces of {}", lead.name),
        }
    }
}

fn taken<T: PartialEq + Clone + std::fmt::Debug>(from: &[T], off: &[T], on: &[T]) -> Vec<T> {
    let mut out = from.to_vec();
    for item in off {
        let at = out.iter().position(|other| other == item).unwrap_or_else(|| panic!("{item:?} is there"));
        out.remove(at);
    }
    out.extend_from_slice(on);
    out
}

fn label_lines(design: &Design) -> Vec<(String, Vec<String>)> {
    design::labels(design).into_iter().map(|label| (label.of, label.lines)).collect()
}

/// Places and sizes of all holes.
fn cuts(design: &Design) -> Vec<(String, [Option<Length>; 4])> {
    let mut out = Vec::new();
    for plate in design::plates(design) {
        for hole in plate.holes {
            let name = format!("{} {}", plate.panel, plate.face.word());
            out.push((name, [hole.x.value, hole.y.value, hole.diameter.value, hole.height.value]));
        }
    }
    for deck in &design.rig.board.decks {
        for hole in &deck.passages {
            let at = [hole.at.x, hole.at.y, hole.at.width, hole.at.depth].map(Some);
            out.push((format!("deck {}", deck.name), at));
        }
    }
    out
}

/// What each outlet is set to and feeds.
fn loads(design: &Design) -> BTreeMap<String, (String, Vec<String>)> {
    let mut out = BTreeMap::new();
    for device in &design.rig.devices {
        for outlet in &device.outlets {
            let port = rig::PortRef::new(&device.tag, &outlet.name);
            let fed = design.outlets.iter().find(|load| load.outlet == port);
            let devices = fed.map(|load| load.devices.clone()).unwrap_or_default();
            out.insert(port.to_string(), (design::outlet_words(device, outlet), devices));
        }
    }
    out
}

fn check_rest(name: &str, old: &Design, new: &Design, change: &RevisionChange) {
    let sorted = |mut all: Vec<(String, Vec<String>)>| {
        all.sort();
        all
    };
    let lines = |all: &[change::LabelOf]| -> Vec<(String, Vec<String>)> {
        all.iter().map(|label| (label.of.clone(), label.lines.clone())).collect()
    };
    let got = taken(&label_lines(old), &lines(&change.labels_off), &lines(&change.labels_on));
    assert_eq!(sorted(got), sorted(label_lines(new)), "{name}: labels");
    let holes = |all: &[change::Hole]| -> Vec<_> {
        all.iter().map(|hole| (hole.plate.clone(), [hole.x, hole.y, hole.width, hole.height])).collect()
    };
    let mut got = taken(&cuts(old), &holes(&change.blanked), &holes(&change.drilled));
    let mut want = cuts(new);
    got.sort();
    want.sort();
    assert_eq!(got, want, "{name}: holes");
    let (old, new) = (loads(old), loads(new));
    let differ: Vec<&String> = old
        .keys()
        .chain(new.keys().filter(|outlet| !old.contains_key(*outlet)))
        .filter(|outlet| old.get(*outlet) != new.get(*outlet))
        .collect();
    let mut told: Vec<&String> = change.outlets.iter().map(|outlet| &outlet.outlet).collect();
    let mut differ = differ;
    told.sort();
    differ.sort();
    assert_eq!(told, differ, "{name}: outlets");
}

/// What stays does not differ, and a change of nothing is empty.
fn check_same(name: &str, design: &Design) {
    let change = changed(design, design);
    assert!(change.is_empty(), "{name}: {change:?}");
    assert!(change.acts.is_empty() && change.needs.is_empty(), "{name}: nothing to do");
}

fn check(name: &str, old: &Design, new: &Design) -> RevisionChange {
    let change = changed(old, new);
    check_leads(name, old, new, &change);
    check_rest(name, old, new, &change);
    for lead in change.leads.iter().filter(|lead| lead.became == Became::Stays) {
        let (then, now) = (lead.before.as_ref().expect("it was"), lead.after.as_ref().expect("it is"));
        assert_eq!(parts(then), parts(now), "{name}: {} stays", lead.name);
        assert_eq!(then.turned, now.turned, "{name}: {} stays", lead.name);
        assert_eq!(lead.renumbered, then.tag != now.tag);
    }
    let back = changed(new, old);
    let count = |change: &RevisionChange, word: &str| {
        change.leads.iter().filter(|lead| lead.became.word() == word).count()
    };
    assert_eq!(count(&change, "new"), count(&back, "gone"), "{name}: there and back");
    assert_eq!(
        (change.drilled.len(), change.blanked.len()),
        (back.blanked.len(), back.drilled.len()),
        "{name}"
    );
    assert_eq!(change.is_empty(), back.is_empty(), "{name}");
    change
}

fn wanted(name: &str, usual: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

#[test]
fn random_revisions_become_each_other() {
    let first = wanted("BOARDWRIGHT_SEED", 1);
    let mut became: BTreeMap<&str, usize> = BTreeMap::new();
    for seed in first..first + wanted("BOARDWRIGHT_REVISIONS", 40) {
        let (old, new) =
            (design_of(&job(&mut Draw::new(2 * seed))), design_of(&job(&mut Draw::new(2 * seed + 1))));
        let name = format!("revisions {seed}");
        check_same(&name, &old);
        for lead in check(&name, &old, &new).leads {
            *became.entry(lead.became.word()).or_default() += 1;
        }
    }
    for word in ["stays", "reaches", "remade", "new", "gone"] {
        assert!(became.contains_key(word), "no lead ever {word}: {became:?}");
    }
}

#[test]
fn an_example_becomes_its_corrected_twin() {
    for name in [
        "baritone-ambient",
        "cabin-board",
        "church-bass",
        "session-two-deck",
        "theatre-pit",
        "two-voice-acoustic",
        "wet-dry-touring",
    ] {
        let read = |name: &str| {
            let read = document::read(&example(name), None).expect("it reads");
            design::derive(read.rig, read.limits)
        };
        let (old, new) = (read(name), read(&format!("{name}-corrected")));
        let change = check(name, &old, &new);
        assert!(!change.is_empty(), "{name} differs from its twin");
        check_same(name, &new);
    }
}

/// A device is swapped for another kind and back again: nothing is left of it, and every lead has its old number.
#[test]
fn there_and_back_is_nothing() {
    let text = std::fs::read_to_string(example("cabin-board-corrected").join("rig.toml")).expect("it reads");
    let old = design_of(&text);
    let pedal = old.rig.devices.iter().find(|device| device.role == rig::Role::Pedal).expect("a pedal");
    let kind = finding::Field::device(&pedal.tag, "kind");
    let other = "large-146x121x60";
    let was = pedal.kind.clone().expect("a kind");
    assert_ne!(was, other);
    let apply = |text: &str, to: &str| {
        let edit = finding::Edit::new("swap", [finding::Change::set(kind.clone(), to)]);
        document::edit::apply(text, &edit).expect("it is written")
    };
    let there = apply(&text, other);
    let new = design_of(&there);
    assert!(!changed(&old, &new).is_empty());
    let back = design_of(&apply(&there, &was));
    assert!(changed(&old, &back).is_empty());
    let tags = |design: &Design| design.leads.iter().map(|lead| lead.tag.clone()).collect::<Vec<_>>();
    assert_eq!(tags(&old), tags(&back));
    assert!(new.leads.iter().filter(|lead| lead.making == Making::Made).count() <= tags(&old).len());
}

/// What the checks say is told as new and gone, and the other way round on the way back.
#[test]
fn findings_come_and_go() {
    let of = |name: &str| {
        let read = document::read(&example(name), None).expect("it reads");
        let design = design::derive(read.rig, read.limits);
        let findings = checks::check(&design);
        (design, findings)
    };
    let (old, new) = (of("cabin-board"), of("cabin-board-corrected"));
    let there =
        compare(&Side { design: &old.0, findings: &old.1 }, &Side { design: &new.0, findings: &new.1 });
    let back =
        compare(&Side { design: &new.0, findings: &new.1 }, &Side { design: &old.0, findings: &old.1 });
    let gone =
        |change: &RevisionChange| change.findings.iter().filter(|finding| finding.after.is_none()).count();
    let fresh =
        |change: &RevisionChange| change.findings.iter().filter(|finding| finding.before.is_none()).count();
    assert!(0 < gone(&there), "the twin cures something");
    assert_eq!((gone(&there), fresh(&there)), (fresh(&back), gone(&back)));
    assert!(there.void.contains(&"findings") && there.good.iter().all(|name| !there.void.contains(name)));
}
