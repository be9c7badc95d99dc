//! Each proposal can be written, and the document then says what was proposed: places, plugs, exits.

use layout::{Config, NeverCancelled, NoProgress, Outcome, solve};
use rig::geometry::lead_ends;
use rig::{Exit, Place, Rig};

use crate::boards::{self, Dice, EXAMPLES};

/// Two pedals with angled plugs and no entry for the lead between them: the exits want a row of their own.
const ANGLED: &str = r#"format = 1
[job]
title = "two pedals"
[board]
mass = "1 kg"
[board.deck.main]
size = { width = "400 mm", depth = "200 mm" }
[leads]
signal = { cable = "patch-4", plug = "jack-flat" }
[[device]]
tag = "A1"
kind = "compact-66x122x50"
power = { type = "none" }
[[device]]
tag = "A2"
kind = "compact-66x122x50"
power = { type = "none" }
[[run]]
name = "main"
stops = ["A1.OUT", "A2.IN"]
"#;

/// An insert on one jack, with no entry for its lead, then with one that leaves the exits open; and a splitter of a signal.
const INSERT: &str = r#"format = 1
[job]
title = "insert"
[board]
mass = "1 kg"
[board.deck.main]
size = { width = "400 mm", depth = "200 mm" }
[leads]
signal = { cable = "patch-4", plug = "jack-flat" }
[[device]]
tag = "A1"
kind = "compact-66x122x50"
power = { type = "none" }
port.INS = { role = "send", connector = "jack-6.35-trs", face = "left", offset = "40 mm", height = "20 mm" }
insert.L = { send = "INS", return = "INS", normal = "full" }
[[device]]
tag = "FX"
kind = "compact-66x122x50"
power = { type = "none" }
[[run]]
name = "ins"
stops = ["A1.INS", "FX", "A1.INS"]
"#;
const INSERT_SAID: &str = r#"
[[lead]] # the insert
ends = ["A1.INS", "FX.IN", "FX.OUT"]
plugs = { "A1.INS" = "jack-trs-flat" }
"#;
const SPLITTER: &str = r#"
[[device]]
tag = "B1"
kind = "compact-66x122x50"
power = { type = "none" }
[[run]]
name = "out"
stops = ["B1.OUT", "FX.IN"]
[[run]]
name = "more"
stops = ["B1.OUT", "A1.IN"]
[[lead]]
ends = ["B1.OUT", "FX.IN", "A1.IN"]
exits = { "A1.IN" = "heel" }
"#;

/// A new job as the program begins it, with two devices, one of them placed.
const NEW_JOB: &str = r#"# A new job.
format = 1

[job]
title = "New board"
# player = "…"

[source.guitar]
pickup = "single-coil"
lead = "5 m"
cable = "instrument"
plug = "jack-straight"

[sink.amp]
kind = "amp"
lead = "3 m"
cable = "instrument"
plug = "jack-straight"

[board]
kind = "frame-480x190"

# [[run]]
# name = "main"

[leads]
signal = { cable = "patch-4", plug = "jack-flat" }

[[device]]
tag = "A1"
kind = "compact-73x129x59"
power = { type = "none" }
place = { deck = "main", x = "68 mm", y = "0 mm" }

[[run]]
name = "main"
stops = ["guitar", "A1", "A2", "amp"]
[[device]]
tag = "A2"
kind = "compact-73x129x59"
power = { type = "none" }
"#;

fn config(moves: u64) -> Config {
    Config { moves, alternatives: 1, relax: false, ..Config::standard() }
}

/// Device by device and end by end: where it stands, which plug is on it, where cable leaves.
#[derive(Debug, PartialEq)]
struct Said {
    places: Vec<(String, Option<Place>)>,
    ends: Vec<(String, Option<String>, Option<Exit>)>,
}

fn said(rig: &Rig) -> Said {
    let places = rig.devices.iter().map(|device| (device.tag.clone(), device.place.clone()));
    let mut ends: Vec<(String, Option<String>, Option<Exit>)> = lead_ends(rig)
        .into_iter()
        .map(|end| {
            let plug = end.plug.plug.map(|plug| plug.id);
            (format!("{} towards {}", end.port, end.other), plug, end.plug.exit)
        })
        .collect();
    ends.sort();
    Said { places: places.collect(), ends }
}

/// Writes what a search proposed, reads it again and compares; gives the new text.
fn written(name: &str, text: &str, outcome: &Outcome) -> String {
    let after = document::edit::apply(text, &outcome.edit).unwrap_or_else(|error| panic!("{name}: {error}"));
    let again = boards::read(&after);
    assert_eq!(said(&again.rig), said(&outcome.rig), "{name}");
    let twice = document::edit::apply(&after, &outcome.edit).expect("it applies again");
    assert_eq!(twice, after, "{name}: the document says it already");
    for comment in text.lines().filter(|line| line.trim_start().starts_with('#')) {
        assert!(after.contains(comment), "{name}: {comment} is lost");
    }
    after
}

#[test]
fn a_proposal_for_a_new_job_is_written() {
    for (name, text) in [("angled plugs", ANGLED), ("new job", NEW_JOB)] {
        let job = boards::read(text);
        let outcome = solve(&boards::input(&job), &config(20_000), &NoProgress, &NeverCancelled);
        assert!(outcome.feasible, "{name}: {:?}", outcome.breaches);
        let after = written(name, text, &outcome);
        assert!(after.contains("[[lead]]"), "{name}: the lead has a row of its own\n{after}");
    }
}

#[test]
fn a_proposal_for_a_lead_with_a_joint_is_written_end_by_end() {
    let said = format!("{INSERT}{INSERT_SAID}");
    let (devices, _) = INSERT.split_once("[[run]]").expect("its run comes last");
    let splitter = format!("{devices}{SPLITTER}");
    let cases = [
        ("no entry", INSERT.to_owned(), "A1.INS"),
        ("an entry", said, "A1.INS"),
        ("splitter", splitter, "B1.OUT"),
    ];
    for (name, text, jack) in cases {
        let job = boards::read(&text);
        assert!(rig::leads(&job.rig).iter().any(rig::Lead::is_joined), "{name}");
        let outcome = solve(&boards::input(&job), &config(20_000), &NoProgress, &NeverCancelled);
        assert!(outcome.feasible, "{name}: {:?}", outcome.breaches);
        let ends = lead_ends(&outcome.rig);
        let exit = ends.iter().find(|end| end.port.to_string() == jack).and_then(|end| end.plug.exit);
        assert!(exit.is_some(), "{name}: an exit is chosen");
        let after = written(name, &text, &outcome);
        assert!(after.contains("exits"), "{name}: {after}");
        assert_eq!(after.matches("[[lead]]").count(), 1, "{name}: one entry\n{after}");
    }
}

#[test]
fn each_placement_of_an_example_is_written() {
    let mut count = 0;
    for name in EXAMPLES.into_iter().flat_map(|name| [name.to_owned(), format!("{name}-corrected")]) {
        let job = boards::job(&name);
        let outcome = solve(&boards::input(&job).unplaced(), &config(4_000), &NoProgress, &NeverCancelled);
        written(&name, job.text(), &outcome);
        for other in &outcome.alternatives {
            let again = document::edit::apply(job.text(), &other.edit).expect("it applies");
            assert_eq!(said(&boards::read(&again).rig).places, said(&other.rig).places, "{name}");
        }
        count += usize::from(!outcome.edit.changes.is_empty());
    }
    assert!(10 <= count, "only {count} examples had anything to write");
}

#[test]
fn each_placement_of_a_random_rig_is_written() {
    for seed in 0..60 {
        // Every second one says nothing of its leads at all, and every third nothing of their class.
        let text = boards::random(seed);
        let bare = |line: &&str| {
            let of_leads = *line == "[leads]" || line.starts_with("signal = ") || line.starts_with("dc = ");
            !(seed % 2 == 0 && of_leads || seed % 3 == 0 && line.starts_with("dc = "))
        };
        let text: String = text.lines().filter(bare).flat_map(|line| [line, "\n"]).collect();
        let mut dice = Dice(seed);
        let text = if dice.below(2) == 0 { text.replace("place = ", "# stays\nplace = ") } else { text };
        let job = boards::read(&text);
        let outcome = solve(&boards::input(&job), &config(1_000), &NoProgress, &NeverCancelled);
        written(&format!("seed {seed}"), &text, &outcome);
    }
}
