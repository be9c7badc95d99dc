//! A twin in Python rebuilds the boxes from the exported JSON and finds the same conflicts.
//!
//! Source: the rules of `ARCHITECTURE.md`, "One geometry"; the twin shares no code with the program.

use external::examples;

/// The resolved rig, to be read and spoiled.
fn told(design: &design::Design) -> serde_json::Value {
    serde_json::to_value(design::resolved(design, "test", "")).expect("JSON")
}

fn twin(json: &str) -> (bool, String) {
    external::peer("geometry/boxes_twin.py", &[], json)
}

#[test]
fn the_twin_agrees_on_every_example() {
    let folders = examples();
    assert!(4 <= folders.len(), "rigs A and B and their twins");
    let mut conflicts = 0;
    for folder in folders {
        let job =
            document::read(&folder, None).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
        let design = design::derive(job.rig, job.limits);
        conflicts += design.conflicts.len();
        let json = told(&design).to_string();
        let (same, text) = twin(&json);
        assert!(same, "{}:\n{text}", folder.display());
    }
    assert!(0 < conflicts, "the planted rigs have some, else the comparison shows nothing");
}

#[test]
fn the_twin_notices_a_wrong_box() {
    let job =
        document::read(&external::example("cabin-board"), None).unwrap_or_else(|error| panic!("{error}"));
    let design = design::derive(job.rig, job.limits);
    let mut value = told(&design);
    let high = &mut value["boxes"][1]["high_mm"][0];
    *high = serde_json::json!(high.as_f64().expect("a number") + 0.000_001);
    let (same, text) = twin(&value.to_string());
    assert!(!same && text.contains("only the program has"), "{text}");
}

#[test]
fn the_twin_notices_a_wrong_pose() {
    let job =
        document::read(&external::example("cabin-board"), None).unwrap_or_else(|error| panic!("{error}"));
    let design = design::derive(job.rig, job.limits);
    let mut value = told(&design);
    let ends = value["lead_ends"].as_array_mut().expect("the ends of leads");
    let pose = ends.iter_mut().map(|end| &mut end["pose"]).find(|pose| pose["leaves_mm"].is_array());
    let leaves = &mut pose.expect("a plug in a port")["leaves_mm"][1];
    *leaves = serde_json::json!(leaves.as_f64().expect("a number") - 0.000_001);
    let (same, text) = twin(&value.to_string());
    assert!(!same && text.contains("pose of the plug at"), "{text}");
}
