//! The resolved rig as JSON, for outside checkers and other tools: every default filled in, every box and
//! clearance that the answer rests on, units in the key names.

mod parts;
mod space;

use serde_json::{Value, json};

use crate::Design;

/// The version of this JSON. It changes when a key changes its meaning.
pub const RESOLVED_SCHEMA: &str = "boardwright.resolved.1";

/// The resolved rig. `program` is the program's version, `inputs` a hash of the files it came from.
pub fn resolved(design: &Design, program: &str, inputs: &str) -> Value {
    let rig = &design.rig;
    json!({
        "schema": RESOLVED_SCHEMA,
        "program": program,
        "inputs_sha256": inputs,
        "job": {
            "title": rig.job.title,
            "number": rig.job.number,
            "player": rig.job.player,
            "revision": rig.job.revision,
            "date": rig.job.date,
        },
        "limits": parts::limits(&design.limits),
        "sources": rig.sources.iter().map(parts::source).collect::<Vec<_>>(),
        "sinks": rig.sinks.iter().map(parts::sink).collect::<Vec<_>>(),
        "board": space::board(&rig.board),
        "devices": rig.devices.iter().map(|device| parts::device(design, device)).collect::<Vec<_>>(),
        "runs": rig.runs.iter().map(parts::run).collect::<Vec<_>>(),
        "states": rig.states.iter().map(|state| json!({ "name": state.name, "engaged": state.engaged })).collect::<Vec<_>>(),
        "lead_ends": space::lead_ends(rig),
        "clearances": space::clearances(&design.limits),
        "boxes": space::boxes(&design.solids),
        "boxes_missing": space::missing(&design.solids),
        "sockets": space::sockets(design),
        "conflicts": space::conflicts(design),
        "leads": design.leads.iter().map(|lead| parts::lead(design, lead)).collect::<Vec<_>>(),
        "outlets": design.outlets.iter().map(parts::outlet_load).collect::<Vec<_>>(),
        "mass": parts::mass(&design.mass),
    })
}

/// A length in millimetres; a whole nanometre survives the way through the number.
fn mm(length: quantity::Length) -> f64 {
    length.as_mm()
}

/// A value with its provenance.
fn known<T: Copy>(value: rig::Known<T>, number: impl Fn(T) -> Value) -> Value {
    json!({ "is": value.value.map(number), "from": value.from.word() })
}
