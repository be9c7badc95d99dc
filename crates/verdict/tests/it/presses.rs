//! Every way out of what cannot be fed, pressed: the document that it leaves can be read, feeds all that it promises, keeps the
//! locks that it does not name, and is not stopped for anything that stood before.

use std::path::{Path, PathBuf};

use design::Design;
use document::Job;
use finding::Severity;

/// Rig by rig: what the cheapest way out is called, and what is said of what cannot be fed.
const CASES: &[(&str, &str, &str)] = &[
    ("bank-full", "replace S by a", "draw 510 mA together, and bank K of S gives 500 mA in all"),
    ("battery", "give an adaptor of its own to A on STRIP.S1", "the strongest outlet gives 50 mA"),
    (
        "far-and-alternating",
        "make the supply leads of thicker cable: DC cable, two cores 0.5 mm² (dc-0.5) and give an adaptor of its own to C on STRIP.S2",
        "take thicker cable",
    ),
    (
        "far-and-shared",
        "make the supply leads of thicker cable: DC cable, two cores 0.5 mm² (dc-0.5)",
        "draw 1800 mA together, and along their leads too much of the voltage is lost",
    ),
    (
        "far-in-its-place",
        "make the supply leads of thicker cable: DC cable, two cores 0.5 mm² (dc-0.5)",
        "along the lead to any outlet too much of the voltage is lost",
    ),
    (
        "far-lead",
        "make the supply leads of thicker cable: DC cable, two cores 0.5 mm² (dc-0.5)",
        "take thicker cable",
    ),
    ("four-hopeless", "replace SUP by a", "X3 needs 40 V DC, and no outlet gives that"),
    ("full-strip", "replace S by a", "the strongest outlet gives 100 mA"),
    (
        "isolation-unknown",
        "find out whether the outlets of S are isolated; if they are it works",
        "find out whether S.1 and S.2 are",
    ),
    (
        "lock-in-the-way",
        "unlock the feed of A and give an adaptor of its own to C on STRIP.S2",
        "A is locked to S.1, and nothing else suits B",
    ),
    (
        "lock-is-cheaper",
        "unlock the feed of A2, replace SUP0 by a",
        "A5 needs 12 V AC, and no outlet gives AC",
    ),
    ("lock-on-five", "replace S by a", "at least 300 mA each, and only one outlet gives that"),
    ("locked-converter", "give an adaptor of its own to A on STRIP.S2", "the strongest outlet gives 50 mA"),
    ("made-leads", "replace S by a", "the strongest outlet gives 100 mA"),
    ("mains-through", "", "the strongest outlet gives 100 mA"),
    ("no-socket", "", "A1 needs 5 V DC, and no outlet gives that"),
    ("no-strip", "add a", "only one outlet gives that"),
    ("one-polarity", "add a", "draw 270 mA together"),
    (
        "open-polarity",
        "find out the polarity of B; if it is centre negative it may share an outlet",
        "nobody knows what B needs",
    ),
    ("own-adaptor-brick", "replace S by a", "only one outlet gives that"),
    ("own-adaptor-locked", "replace S by a", "the strongest outlet gives 100 mA"),
    ("panel-run", "replace S by a", "B needs 18 V DC"),
    ("ring-of-three", "unlock the feeds of", "are locked to each other in a ring"),
    ("set-otherwise", "set SUP.5 to 12 V", "A1 is locked to SUP.5, which gives 9 V, and it needs 12 V"),
    ("standing-brick", "replace S by a", "only one outlet gives that"),
    (
        "two-locks",
        "unlock the feed of B and give an adaptor of its own to C on STRIP.S2",
        "B is locked to S.3",
    ),
    (
        "unknown-current",
        "give an adaptor of its own to B on STRIP.S2",
        "S.2 might and is not checked: find out current of outlet 2 on S",
    ),
    (
        "unknown-polarity",
        "give an adaptor of its own to B on STRIP.S2",
        "S.2 might and is not checked: find out polarity of outlet 2 on S",
    ),
    (
        "watts-near",
        "give an adaptor of its own to A on STRIP.S2",
        "draw 3.61 W together, and S gives 3.60 W in all",
    ),
];

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/presses")
}

/// The stops of a design; only those of feeds where what comes is told not to fit.
fn stops(design: &Design, fits: bool) -> Vec<String> {
    let open = checks::check_stated(design).into_iter().filter(finding::Finding::is_open_stop);
    open.filter(|finding| {
        finding.severity == Severity::Stop && (fits || verdict::FEED.contains(&finding.rule))
    })
    .map(|finding| finding.message)
    .collect()
}

fn derived(job: &Job) -> Design {
    design::derive(job.rig.clone(), job.limits.clone())
}

fn press(name: &str, first: &str, why: &str) {
    let job = document::read(&folder().join(format!("{name}.toml")), None)
        .unwrap_or_else(|error| panic!("{name}: {error:?}"));
    let design = derived(&job);
    let outcome = design.feeds_with(&job.catalogue.devices(), &job.catalogue.cables(), None);
    let cheapest = outcome.cures.first().map_or("", |cure| cure.name.as_str());
    assert!(cheapest.starts_with(first), "{name}: {cheapest}");
    let said: Vec<&str> = outcome.conflicts.iter().map(|conflict| conflict.words.as_str()).collect();
    assert!(said.iter().any(|words| words.contains(why)), "{name}: {said:?}");
    let before = stops(&design, true);
    for cure in &outcome.cures {
        let Some(edit) = &cure.edit else { continue };
        let text = document::edit::apply(job.text(), edit)
            .unwrap_or_else(|error| panic!("{name}: {}: {error}", cure.name));
        let after =
            job.with_text(&text).unwrap_or_else(|error| panic!("{name}: {}: {error:?}\n{text}", cure.name));
        let then = derived(&after);
        for device in &job.rig.devices {
            let locked = device.feed.as_ref().filter(|feed| feed.locked);
            let is_named = cure.name.split(" and ").any(|step| step.contains("unlock"))
                && cure.name.contains(&device.tag);
            let Some(feed) = locked.filter(|_| !is_named) else { continue };
            let now = after.rig.device(&device.tag).and_then(|device| device.feed.as_ref());
            let stays = now.is_some_and(|now| now.locked && now.outlets == feed.outlets);
            assert!(stays, "{name}: {} takes the lock of {}\n{text}", cure.name, device.tag);
        }
        let unserved: Vec<&str> =
            then.allocation().unserved.iter().map(|unserved| unserved.device.as_str()).collect();
        let promised: Vec<&str> = cure.leaves.iter().map(String::as_str).collect();
        assert_eq!(unserved, promised, "{name}: {}\n{text}", cure.name);
        let new: Vec<String> =
            stops(&then, cure.fits).into_iter().filter(|stop| !before.contains(stop)).collect();
        assert!(new.is_empty(), "{name}: {}: {new:?}\n{text}", cure.name);
    }
}

#[test]
fn every_way_out_can_be_pressed_and_does_what_it_says() {
    let mut files: Vec<String> = std::fs::read_dir(folder())
        .expect("the rigs are there")
        .filter_map(|entry| Some(entry.ok()?.path().file_stem()?.to_str()?.to_owned()))
        .collect();
    files.sort();
    assert_eq!(files, CASES.iter().map(|(name, _, _)| *name).collect::<Vec<_>>(), "each rig has its line");
    for (name, first, why) in CASES {
        press(name, first, why);
    }
}
