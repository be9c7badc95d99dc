//! What engines propose, on the text: cures feed every device, moves cost what they say, buffers keep the limits.

use std::path::Path;

use document::edit::apply;
use power::{Status, stated, verify::verify};

/// Six pedals with hard bypass, two metres of cable between each.
const LONG_LEADS: &str = include_str!("rigs/long-leads.toml");

fn example(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name).join("rig.toml");
    std::fs::read_to_string(path).expect("example")
}

fn read(text: &str) -> (document::Job, design::Design) {
    let job = document::read_text("rig.toml", text, None).unwrap_or_else(|error| panic!("{error:?}"));
    let design = design::derive(job.rig.clone(), job.limits.clone());
    (job, design)
}

/// The cures of a document that cannot be fed, checked one by one; gives their names.
fn cured(text: &str) -> Vec<String> {
    let (job, design) = read(text);
    let outcome = design.feeds_with(&job.catalogue.devices(), &job.catalogue.cables(), None);
    assert_eq!(outcome.status, Status::Impossible);
    assert!(!outcome.conflicts.is_empty());
    for cure in &outcome.cures {
        let Some(edit) = &cure.edit else { continue };
        let after = apply(text, edit).unwrap_or_else(|error| panic!("{}: {error}", cure.name));
        let (_, design) = read(&after);
        let input = design.power_input();
        let verdict = verify(input, &stated(input));
        assert_eq!(verdict.breaches, [], "{}", cure.name);
        assert_eq!(verdict.unfed, Vec::<String>::new(), "{}", cure.name);
    }
    outcome.cures.iter().filter(|cure| cure.edit.is_some()).map(|cure| cure.name.clone()).collect()
}

#[test]
fn every_impossible_example_has_ways_out_that_work() {
    for name in ["cabin-board", "baritone-ambient", "theatre-pit"] {
        let names = cured(&example(name));
        println!("{name}: {names:?}");
        assert!(!names.is_empty(), "{name} has a way out that can be pressed");
    }
}

#[test]
fn a_lock_in_the_way_is_a_way_out() {
    // Two digital devices of 300 mA and one outlet that gives it, locked to a small one.
    let text = example("cabin-board-corrected");
    let (_, design) = read(&text);
    assert_ne!(design.feeds().status, Status::Impossible);
    let text =
        text.replace("feed = { outlets = [\"SUP.1\"]", "feed = { locked = true, outlets = [\"SUP.5\"]");
    let names = cured(&text);
    assert!(names.iter().any(|name| name.contains("unlock the feed of A1")), "{names:?}");
}

#[test]
fn a_move_costs_what_it_says() {
    let mut tried = 0;
    for name in ["cabin-board-corrected", "theatre-pit-corrected", "wet-dry-touring-corrected"] {
        let text = example(name);
        let (_, design) = read(&text);
        let input = design.power_input();
        let before = verify(input, &stated(input)).breaches;
        for need in &input.needs {
            for found in power::moves(input, &need.tag) {
                let Some(edit) = &found.edit else {
                    assert!(found.here || need.lock().is_some(), "{} {}", need.tag, found.outlet);
                    continue;
                };
                let after = apply(&text, edit).unwrap_or_else(|error| panic!("{}: {error}", edit.name));
                let (_, design) = read(&after);
                let input = design.power_input();
                let broken = verify(input, &stated(input)).breaches;
                let worse = broken.iter().any(|breach| !before.contains(breach));
                assert_eq!(worse, !found.breaches.is_empty(), "{name}: {}: {broken:?}", edit.name);
                let margin = power::measure(input, &stated(input)).margin_permille;
                assert_eq!(margin, found.margin_permille, "{name}: {}", edit.name);
                tried += 1;
            }
        }
    }
    assert!(100 < tried, "{tried} moves");
}

#[test]
fn buffers_put_in_as_advised_keep_the_limits() {
    let mut tried = 0;
    let mut texts = vec![("long patch leads".to_owned(), LONG_LEADS.to_owned())];
    let names = ["baritone-ambient-corrected", "wet-dry-touring", "wet-dry-touring-corrected"];
    texts.extend(names.map(|name| (name.to_owned(), example(name))));
    for (name, text) in texts {
        let (_, design) = read(&text);
        let config = design.signal_config();
        let advice = signal::solve(&design.signal_input(), &config).advice;
        for set in &advice.alternatives {
            let edit = signal::fit_buffers(&design.rig, &config, &set.places).expect("a run passes there");
            let after = apply(&text, &edit).unwrap_or_else(|error| panic!("{}: {error}", edit.name));
            let (_, design) = read(&after);
            let then = signal::solve(&design.signal_input(), &config).advice;
            assert_eq!(then.status, signal::AdviceStatus::NoneNeeded, "{name}: {}", edit.name);
            let figures = [set.after, then.before].map(|figures| figures.change_at_4k_db);
            assert!((figures[0] - figures[1]).abs() < 0.05, "{name}: {}: {figures:?}", edit.name);
            tried += 1;
        }
    }
    assert!(0 < tried, "no set was advised");
}

#[test]
fn a_state_by_itself_is_the_state_of_the_whole() {
    for name in ["cabin-board", "wet-dry-touring", "two-voice-acoustic"] {
        let (_, design) = read(&example(name));
        let (input, config) = (design.signal_input(), design.signal_config());
        for way in &design.signal().ways {
            for state in &way.states {
                let alone = signal::in_state(&input, &config, &state.engaged, &way.source, &way.sink);
                assert_eq!(
                    alone.map(|alone| alone.response),
                    Some(state.response.clone()),
                    "{name} {}",
                    state.name
                );
            }
        }
    }
}
