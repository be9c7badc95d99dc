//! Small rigs that were fed wrongly once: what is answered now, and that the checks find no fault with the feeds that follow.

use document::edit::apply;
use power::{Outcome, Status};

/// A case by its folder: the document, and the outcome.
fn solved(name: &str) -> (String, Outcome) {
    let path = format!("{}/tests/feeds/{name}/rig.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("a document");
    let design = derived(&text);
    let catalogue = document::Catalogue::standard();
    let outcome = match design.allocation().status {
        Status::Impossible => design.feeds_with(&catalogue.devices(), &catalogue.cables(), None),
        _ => design.allocation().clone(),
    };
    (text, outcome)
}

fn derived(text: &str) -> design::Design {
    let job = document::read_text("rig.toml", text, None).unwrap_or_else(|error| panic!("{error}\n{text}"));
    design::derive(job.rig, job.limits)
}

/// The rules that judge a feed.
const OF_FEEDS: [&str; 10] = [
    "no-feed",
    "outlet-setting",
    "outlet-load",
    "brick-load",
    "supply-nature",
    "supply-voltage",
    "supply-sign",
    "supply-drop",
    "start-surge",
    "shared-outlet",
];

/// What stops of feeds the checks find, by rule and device.
fn stops(text: &str) -> Vec<String> {
    let found = checks::check_stated(&derived(text));
    let stops = found.into_iter().filter(|finding| finding.severity == finding::Severity::Stop);
    let stops = stops.filter(|finding| OF_FEEDS.contains(&finding.rule));
    stops.map(|finding| format!("{}: {}", finding.rule, finding.devices.join(", "))).collect()
}

/// The feeds with their reasons, who goes without and why, what was assumed and is to be looked at, and the first way out: as
/// they stand beside the document. Those that are written are what the checks want, but for who goes without.
fn case(name: &str) {
    let (text, outcome) = solved(name);
    let lines = power::text(&outcome, None);
    let is_load = |line: &&str| ["outlet ", "bank ", "brick "].iter().any(|word| line.starts_with(word));
    let mut told: Vec<&str> = lines.lines().take_while(|line| !is_load(line)).map(str::trim_end).collect();
    told.extend(lines.lines().find(|line| line.starts_with("would help")));
    let path = format!("{}/tests/feeds/{name}/outcome.txt", env!("CARGO_MANIFEST_DIR"));
    let wanted = std::fs::read_to_string(path).expect("an outcome");
    assert_eq!(told.join("\n").trim_end(), wanted.trim_end(), "{name}");
    let written = apply(&text, &power::edits(&outcome)).expect("applies");
    let without: Vec<String> =
        outcome.unserved.iter().map(|unserved| format!("no-feed: {}", unserved.device)).collect();
    assert_eq!(stops(&written), without, "{name}\n{written}");
}

macro_rules! cases {
    ($($test:ident: $name:literal),* $(,)?) => {
        $(#[test] fn $test() { case($name) })*
    };
}

cases! {
    chained_brick: "chained-brick",
    drop_on_lead: "drop-on-lead",
    locked_pair: "locked-pair",
    mixed_signs: "mixed-signs",
    positive_ground_unknown: "positive-ground-unknown",
    series_pair: "series-pair",
    surge: "surge",
    two_adaptors: "two-adaptors",
    unknown_draw: "unknown-draw",
    usb_lead: "usb-lead",
}
