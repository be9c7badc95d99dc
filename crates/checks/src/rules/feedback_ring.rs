//! Devices that feed each other in a ring.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Decibels;
use signal::Ring;

use super::CUSTOM;
use crate::asked::Asked;
use crate::{Page, Rule};

const ID: &str = "feedback-ring";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "devices that feed each other in a ring",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[],
    limits: &[],
    page: Page {
        what: "Devices whose outputs come back to their own inputs, for every named state, or with everything on where no \
               state is named: the loop gain where it is largest between 20 Hz and 20 kHz, with devices' largest gains. From \
               0 dB on, to the tenth of a dB, it is a stop; below that a look.",
        why: "What comes round as strong as it was sent grows by itself: the ring howls, and no level in it means anything.",
        source: CUSTOM,
        example: "A splitter's second output goes through a delay back into the mixer before it.",
        remedy: "take one lead out of the ring, or put something into it that keeps the loop gain below 0 dB",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    design.signal().rings.iter().filter_map(|ring| judge(design, ring)).collect()
}

fn judge(design: &Design, ring: &Ring) -> Option<Finding> {
    let about = || ring.devices.iter().cloned();
    if !ring.howls() && !ring.lacks.is_empty() {
        let asked = Asked { lacks: ring.lacks.clone(), ..Asked::default() };
        return asked.cannot_judge(ID, "whether a ring of devices howls", about());
    }
    let severity = if ring.howls() { Severity::Stop } else { Severity::Look };
    let gain = Decibels::new((ring.gain_db * 10.0).round() / 10.0)?;
    let finding =
        Finding::new(ID, severity, ring.words()).about(about()).with(Evidence::at_most(gain, Decibels::ZERO));
    let goes_round = |run: &&rig::Run| {
        let stops = run.stops.iter().filter_map(|stop| stop.arrives.as_ref().or(stop.leaves.as_ref()));
        1 < stops.filter(|port| ring.devices.contains(&port.device)).count()
    };
    let runs = design.rig.runs.iter().filter(goes_round);
    Some(runs.fold(finding, |finding, run| finding.at(Field::run(&run.name, "stops"), "")))
}
