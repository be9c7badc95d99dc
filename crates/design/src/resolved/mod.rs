//! The resolved rig as JSON, for outside checkers and other tools: every default filled in, every box and
//! clearance that the answer rests on, units in the key names.

mod brief;
mod device;
mod lengths;
mod parts;
mod space;
pub mod wire;

use crate::Design;

/// The resolved rig. `program` is the program's version, `inputs` a hash of the files it came from.
pub fn resolved<'a>(design: &'a Design, program: &'a str, inputs: &'a str) -> wire::Resolved<'a> {
    let rig = &design.rig;
    let states = rig.states.iter().map(|state| wire::State { name: &state.name, engaged: &state.engaged });
    let switching = rig.switching.iter().map(|switching| wire::Switching {
        name: &switching.name,
        way: switching.way.word(),
        devices: &switching.devices,
    });
    wire::Resolved {
        schema: wire::RESOLVED_SCHEMA,
        program,
        inputs_sha256: inputs,
        job: wire::Job {
            title: &rig.job.title,
            number: rig.job.number.as_deref(),
            player: rig.job.player.as_deref(),
            revision: rig.job.revision.as_deref(),
            date: rig.job.date.as_deref(),
        },
        requirements: rig.brief.requirements.iter().map(brief::requirement).collect(),
        limits: parts::limits(&design.limits),
        sources: rig.sources.iter().map(parts::source).collect(),
        sinks: rig.sinks.iter().map(parts::sink).collect(),
        board: space::board(&rig.board),
        usual_plugs: rig.plugs.iter().map(|(class, plug)| (class.key(), device::plug(plug))).collect(),
        devices: rig.devices.iter().map(|device| device::device(design, device)).collect(),
        runs: rig.runs.iter().map(parts::run).collect(),
        states: states.collect(),
        switching: switching.collect(),
        lead_ends: space::lead_ends(rig),
        clearances: space::clearances(&design.limits),
        boxes: space::boxes(&design.solids),
        boxes_missing: space::missing(&design.solids),
        sockets: space::sockets(design),
        conflicts: space::conflicts(design),
        leads: design.leads.iter().map(|lead| parts::lead(design, lead)).collect(),
        outlets: design.outlets.iter().map(parts::outlet_load).collect(),
        mass: parts::mass(&design.mass),
    }
}
