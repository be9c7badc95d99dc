//! Levels that the document states of outputs, at the inputs that they may meet.

use quantity::Volts;
use rig::way::{junctions, ways};
use rig::{PortRef, Rig};

use crate::level::decibels;

/// Peaks stand 12 dB over the nominal level (common practice, no source).
const PEAK: f64 = 3.981_071_705_534_972;

/// An output whose nominal level is written down, and an input that it may meet.
#[derive(Debug, Clone, PartialEq)]
pub struct StatedLevel {
    /// The output.
    pub from: PortRef,
    /// The input.
    pub to: PortRef,
    /// Its peaks in volts: those of a sine 12 dB over the nominal level, which is an effective value.
    pub peak: f64,
    /// What is left to the largest level that the input takes, in dB; negative clips; unknown where nobody has said.
    pub headroom_db: Option<f64>,
}

/// Every output whose level is written down with every input of a device that it may meet, bypassed devices between them.
pub(crate) fn stated_levels(rig: &Rig) -> Vec<StatedLevel> {
    let mut out: Vec<StatedLevel> = Vec::new();
    for way in ways(rig) {
        for junction in junctions(rig, &way) {
            let ends = (way.steps[junction.giver].leaves, way.steps[junction.taker].arrives);
            let (Some(from), Some(to)) = ends else { continue };
            if out.iter().any(|other| (&other.from, &other.to) == (from, to)) {
                continue;
            }
            let (Some(giver), Some(device)) = (rig.port(from), rig.device(&to.device)) else { continue };
            let Some(level) = giver.level.value else { continue };
            let peak = level.get() * PEAK * std::f64::consts::SQRT_2;
            let most = rig.max_input(device).value.value.map(Volts::get);
            let headroom_db = most.map(|most| decibels(most / peak));
            out.push(StatedLevel { from: from.clone(), to: to.clone(), peak, headroom_db });
        }
    }
    out
}
