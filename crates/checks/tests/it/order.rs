//! Where a device stands in the document decides nothing: not what is told, not what is proposed, not how leads lie.

use std::path::PathBuf;

use design::Design;
use rig::{Limits, Rig};

use crate::numbers::{Dice, Plan};

/// What `check`, `feed` and `leads` answer, each line once more where it stands twice.
fn answers(rig: Rig, limits: Limits) -> [Vec<String>; 3] {
    let design = design::derive(rig, limits).laid();
    let mut told: Vec<String> = checks::check(&design)
        .into_iter()
        .map(|finding| {
            let of: Vec<String> = finding.touched.iter().map(|touched| touched.message.clone()).collect();
            format!("{} {:?}: {} {of:?}", finding.rule, finding.severity, finding.message)
        })
        .collect();
    let mut feeds: Vec<String> = feeds(&design);
    let mut leads: Vec<String> =
        design.leads.iter().map(|lead| format!("{} {} {:?}", lead.tag, lead.name, lead.cut)).collect();
    for list in [&mut told, &mut feeds, &mut leads] {
        list.sort();
    }
    [told, feeds, leads]
}

fn feeds(design: &Design) -> Vec<String> {
    let (input, outcome) = (design.power_input(), design.feeds());
    let fed = outcome.allocation.iter().map(|feed| {
        let outlets: Vec<String> = feed
            .outlets
            .iter()
            .map(|&at| {
                let outlet = &input.outlets[at];
                format!("{}.{}", input.bricks[outlet.brick].tag, outlet.name)
            })
            .collect();
        format!("{} {:?} {outlets:?} {:?}", input.needs[feed.need].tag, feed.kind, feed.socket)
    });
    let conflicts = outcome.conflicts.iter().map(|conflict| conflict.words.clone());
    fed.chain(conflicts).collect()
}

fn assert_alike(name: &str, rig: &Rig, limits: &Limits, dice: &mut Dice) {
    let first = answers(rig.clone(), limits.clone());
    let mut other = rig.clone();
    other.devices.reverse();
    assert_eq!(answers(other.clone(), limits.clone()), first, "{name}, the other way round");
    for last in (1..other.devices.len()).rev() {
        other.devices.swap(last, dice.below(last + 1));
    }
    assert_eq!(answers(other, limits.clone()), first, "{name}, shuffled");
}

#[test]
fn the_order_of_devices_decides_nothing_in_an_example() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let mut names: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the examples are there")
        .filter_map(|entry| Some(entry.ok()?.path()).filter(|path| path.join("rig.toml").is_file()))
        .collect();
    names.sort();
    assert!(12 <= names.len(), "{names:?}");
    let mut dice = Dice(7);
    for path in names {
        let job = document::read(&path, None).expect("it is read");
        assert_alike(&path.display().to_string(), &job.rig, &job.limits, &mut dice);
    }
}

#[test]
fn the_order_of_devices_decides_nothing_in_a_random_rig() {
    let mut dice = Dice(11);
    for seed in 0..40 {
        let text = Plan::random(&mut dice).text();
        let job = document::read_text("rig.toml", &text, None).expect("it is read");
        assert_alike(&format!("rig {seed}\n{text}"), &job.rig, &job.limits, &mut dice);
    }
}
