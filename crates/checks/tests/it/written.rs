//! Feeds, cures and buffers that are proposed can be written, and the document then says what was proposed.

use std::path::PathBuf;

use design::Design;
use document::edit::apply;
use finding::{Change, Edit, Value};
use quantity::Length;
use rig::Rig;

fn derived(text: &str) -> (document::Job, Design) {
    let job = match document::read_text("rig.toml", text, None) {
        Ok(job) => job,
        Err(document::ReadError::Problems { problems, .. }) => panic!("{problems:#?}\n{text}"),
        Err(error) => panic!("{error}"),
    };
    let design = design::derive(job.rig.clone(), job.limits.clone());
    (job, design)
}

fn examples() -> Vec<(String, String)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let mut out: Vec<(String, String)> = std::fs::read_dir(&folder)
        .expect("examples")
        .map(|entry| entry.expect("entry").path())
        .filter_map(|path| {
            let text = std::fs::read_to_string(path.join("rig.toml")).ok()?;
            Some((path.file_name()?.to_string_lossy().into_owned(), text))
        })
        .collect();
    out.sort();
    assert!(12 <= out.len(), "the examples are there");
    out
}

/// A chain without any entry for its leads, some of it fed, some placed upon one another, one answer that matches
/// nothing.
fn random(seed: u64) -> String {
    let mut state = seed;
    // A plain multiplicative generator (Knuth, MMIX constants) suffices for choosing shapes.
    let mut below = |end: u64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % end
    };
    let kinds = ["compact-42x93x52", "compact-66x122x56", "compact-73x129x59", "medium-120x120x60"];
    let count = 2 + below(5);
    let mut text = String::from(
        "# kept\nformat = 1\n[job]\ntitle = \"random\"\n[source.guitar]\npickup = \"single-coil\"\nlead = \"5 m\"\n[sink.amp]\nkind = \"amp\"\nlead = \"8 m\"\n[board]\nkind = \"frame-600x320\"\n[[device]]\ntag = \"SUP\"\nkind = \"brick-4x100-1x500\"\n",
    );
    for index in 0..count {
        let kind = kinds[usize::try_from(below(4)).unwrap_or(0)];
        text += &format!("[[device]]\ntag = \"D{index}\"\nkind = \"{kind}\"\n");
        text += &format!(
            "power = {{ type = \"dc\", volts = \"9 V\", current = \"{} mA\", sign = \"centre-negative\" }}\n",
            20 + below(150)
        );
        text += &format!("place = {{ x = \"{} mm\", y = \"{} mm\" }}\n", below(500), below(200));
        if below(2) == 0 {
            text += &format!("feed = {{ outlets = [\"SUP.{}\"] }}\n", 1 + below(5));
        }
    }
    let stops: Vec<String> = (0..count).map(|index| format!("\"D{index}\"")).collect();
    text += &format!("[[run]]\nname = \"main\"\nstops = [\"guitar\", {}, \"amp\"]\n", stops.join(", "));
    if below(2) == 0 {
        text += "[[accept]]\nrule = \"mass\"\ndevices = [\"D0\"]\nreason = \"was so once\"\n";
    }
    text
}

/// Whether a rig says what one change says, for the changes that proposals make of places and feeds.
fn holds(rig: &Rig, change: &Change) -> bool {
    let parts: Vec<&str> = change.field().parts().iter().map(String::as_str).collect();
    let outlets = |feed: &rig::Feed| Value::list(feed.outlets.iter().map(ToString::to_string));
    match (parts.as_slice(), change) {
        (["device", tag, "place", axis], Change::Set { to, .. }) => {
            let place = rig.device(tag).and_then(|device| device.place.as_ref());
            let at = |at: Length| at.to_string();
            place.is_some_and(|place| {
                to.as_text() == Some(at(if *axis == "x" { place.x } else { place.y }).as_str())
            })
        }
        (["device", tag, "feed"], Change::Set { to, .. }) => {
            let feed = rig.device(tag).and_then(|device| device.feed.as_ref());
            feed.is_some_and(|feed| to.get("outlets") == Some(&outlets(feed)))
        }
        (["device", tag, "feed", "outlets"], Change::Set { to, .. }) => {
            let feed = rig.device(tag).and_then(|device| device.feed.as_ref());
            feed.is_some_and(|feed| *to == outlets(feed))
        }
        (["device", tag, "feed"], Change::Remove { .. }) => {
            rig.device(tag).is_none_or(|device| device.feed.is_none())
        }
        (["device", tag, "feed", "crossing"], change) => {
            let crossing = change.to() == Some(&Value::Flag(true));
            rig.device(tag)
                .and_then(|device| device.feed.as_ref())
                .is_some_and(|feed| feed.crossing == crossing)
        }
        (["run", name, "stops"], Change::Set { to, .. }) => {
            let run = rig.runs.iter().find(|run| run.name == *name);
            run.is_some_and(|run| *to == Value::list(run.stops.iter().map(|stop| stop.text.clone())))
        }
        _ => true,
    }
}

/// Writes a proposal, reads it again, and holds each of its changes against the rig.
fn written(name: &str, text: &str, edit: &Edit) {
    let after = apply(text, edit).unwrap_or_else(|error| panic!("{name}: {}: {error}", edit.name));
    let (_, design) = derived(&after);
    for (index, change) in edit.changes.iter().enumerate() {
        let later = edit.changes[index + 1..].iter().any(|later| {
            later.field().parts().starts_with(change.field().parts())
                || change.field().parts().starts_with(later.field().parts())
        });
        assert!(later || holds(&design.rig, change), "{name}: {}: {change:?}\n{after}", edit.name);
    }
    for comment in text.lines().filter(|line| line.starts_with('#')) {
        assert!(after.contains(comment), "{name}: {}: {comment} is lost", edit.name);
    }
}

/// Every proposal for a document but that of places; gives how many were written.
fn all_written(name: &str, text: &str) -> [usize; 4] {
    let (job, design) = derived(text);
    let mut counts = [0; 4];
    let mut write = |of: usize, edit: &Edit| {
        written(name, text, edit);
        counts[of] += usize::from(!edit.changes.is_empty());
    };
    write(0, &power::edits(design.feeds()));
    for cure in &design.feeds_with(&job.catalogue.devices(), &job.catalogue.cables(), None).cures {
        cure.edit.iter().for_each(|edit| write(1, edit));
    }
    let config = design.signal_config();
    for set in &signal::solve(&design.signal_input(), &config).advice.alternatives {
        if let Some(edit) = signal::fit_buffers(&design.rig, &config, &set.places) {
            write(2, &edit);
        }
    }
    for finding in checks::check(&design) {
        finding.edit.iter().for_each(|edit| write(3, edit));
    }
    counts
}

#[test]
fn the_buffer_of_the_catalogue_is_the_one_that_advice_reckons_with() {
    let (_, text) = examples().into_iter().next().expect("an example");
    let (job, design) = derived(&text);
    let devices = job.catalogue.devices();
    let buffer = devices.iter().find(|kind| kind.kind.as_deref() == Some(signal::BUFFER)).expect("the kind");
    let config = design.signal_config();
    let z = |port: &str| buffer.port(port).and_then(|port| port.z.value).map(quantity::Ohms::get);
    assert_eq!((z("IN"), z("OUT")), (Some(config.buffer_input), Some(config.buffer_output)));
    assert!(buffer.size.value.is_some() && buffer.port("DC").is_some());
}

#[test]
fn every_proposal_for_an_example_is_written() {
    let mut sums = [0; 4];
    for (name, text) in examples() {
        let counts = all_written(&name, &text);
        sums.iter_mut().zip(counts).for_each(|(sum, count)| *sum += count);
    }
    let [feeds, ways_out, _, cures] = sums;
    assert!([feeds, ways_out, cures].iter().all(|sum| 0 < *sum), "feeds, ways out, buffers, cures: {sums:?}");
}

#[test]
fn every_proposal_for_a_rig_without_leads_is_written() {
    let mut sums = [0; 4];
    for seed in 0..16 {
        let counts = all_written(&format!("seed {seed}"), &random(seed));
        sums.iter_mut().zip(counts).for_each(|(sum, count)| *sum += count);
    }
    assert!(0 < sums[0] && 0 < sums[3], "feeds, ways out, buffers, cures: {sums:?}");
}
