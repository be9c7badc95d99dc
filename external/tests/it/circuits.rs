//! What the signal loses against a solver in Python that builds its own circuit from the document's contacts and visits
//! every switching state: highest and lowest level, named states, and the reference, on rigs by lot.

use serde_json::{Value, json};
use signal::{BufferSearch, Outcome, solve_with};

/// What is planted in rigs by lot, each time often enough to mean something.
const TRAPS: &[&str] = &[
    "branches that sum",
    "coupling at a return",
    "coupling at an input",
    "coupling at an output",
    "device in two runs",
    "guest at an insert",
    "insert on one jack",
    "lead with a joint",
    "loop beside the sound",
    "loop beside the sound in one run",
    "loop with several devices",
    "one at a time of some",
    "panel input that breaks another source",
    "passive box with its own switch",
    "send used as an output",
    "switcher entered by a return",
    "tap at a half normal",
    "transformer with stated turns",
    "tuner that nothing follows",
    "two channels on one switch",
    "two inserts in a row on one panel",
];

/// Rigs in the ordinary test; `BOARDWRIGHT_SOAK` asks for as many as it names, 2000 where it names none.
const RIGS: usize = 200;

/// The places in the grid of 20 Hz to 20 kHz that the peer looks at: every half octave from k = −130.
fn looked_at(values: &[f64]) -> Vec<Value> {
    values.iter().skip(136 - 130).step_by(12).take(20).map(|value| json!(value)).collect()
}

/// What the engine says of a document, as the peer takes it.
fn answers(document: &str) -> Value {
    let job = document::read_text("rig.toml", document, None)
        .unwrap_or_else(|error| panic!("{error:?}\n{document}"));
    let design = design::derive(job.rig, job.limits);
    let outcome: Outcome = solve_with(&design.signal_input(), &design.signal_config(), BufferSearch::Skip);
    let ways: Vec<Value> = outcome
        .ways
        .iter()
        .map(|way| {
            let states: Vec<Value> = way
                .states
                .iter()
                .map(|state| json!({ "engaged": state.engaged, "levels": looked_at(&state.level_db()) }))
                .collect();
            json!({
                "source": way.source,
                "sink": way.sink,
                "exact": way.band.exact,
                "upper": looked_at(&way.band.upper_db),
                "lower": looked_at(&way.band.lower_db),
                "reference": looked_at(&way.reference_db),
                "load": way.reference_load,
                "states": states,
            })
        })
        .collect();
    Value::Array(ways)
}

pub(crate) fn drawn(first: usize, count: usize) -> Vec<Value> {
    let (first, count) = (first.to_string(), count.to_string());
    let (fine, text) = external::peer("circuits/peer.py", &["draw", &first, &count], "");
    assert!(fine, "{text}");
    text.lines().map(|line| serde_json::from_str(line).expect("a rig")).collect()
}

fn judged(cases: &[Value]) -> (bool, String) {
    let lines: Vec<String> = cases.iter().map(Value::to_string).collect();
    external::peer("circuits/peer.py", &["judge"], &lines.join("\n"))
}

#[test]
fn every_state_of_rigs_by_lot_solved_from_their_contacts() {
    let count = match std::env::var("BOARDWRIGHT_SOAK") {
        Ok(text) => text.parse().unwrap_or(2000),
        Err(_) => RIGS,
    };
    let first = std::env::var("BOARDWRIGHT_SEED").ok().and_then(|text| text.parse().ok()).unwrap_or(0);
    let mut cases = drawn(first, count);
    for case in &mut cases {
        let document = case["document"].as_str().expect("text").to_owned();
        case["ways"] = answers(&document);
    }
    for trap in TRAPS {
        let planted =
            |case: &&Value| case["traps"].as_array().is_some_and(|traps| traps.contains(&json!(trap)));
        let met = cases.iter().filter(planted).count();
        assert!(count <= 30 * met, "{trap} in {met} rigs of {count}");
    }
    let (same, text) = judged(&cases);
    assert!(same, "{text}");
    println!("soak: {}", text.trim());
}

#[test]
fn the_peer_notices_a_wrong_level() {
    let mut case = drawn(0, 1).remove(0);
    let document = case["document"].as_str().expect("text").to_owned();
    case["ways"] = answers(&document);
    let level = case["ways"][0]["upper"][7].as_f64().expect("a level");
    case["ways"][0]["upper"][7] = json!(level + 0.02);
    let (same, text) = judged(&[case]);
    assert!(!same && text.contains("upper"), "{text}");
}
