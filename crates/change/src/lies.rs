//! Whether a lead can lie where it lay.

use design::{Design, Lead};
use rig::geometry::{BoxClass, Solid, port_direction, port_point};

/// Whether nobody has to touch a lead: its ends, ties and joint are where they were on the same devices, the decks are as they
/// were, and nothing that is new or moved stands in the way that was drawn for it. That the engine lays the lead otherwise,
/// because other leads moved, is no reason to.
pub(crate) fn as_before((before, old): (&Design, &Lead), (after, new): (&Design, &Lead)) -> bool {
    let ends = |design: &Design, lead: &Lead| {
        let end = |end: &design::LeadEndAt| {
            let device = design.rig.device(&end.port.device);
            let kind = device.and_then(|device| device.kind.clone());
            let at = device.and_then(|device| port_point(&design.rig, device, &end.port.port));
            let looks = device.and_then(|device| port_direction(device, &end.port.port));
            (kind, device.and_then(|device| device.place.clone()), at, looks)
        };
        lead.ends.iter().map(end).collect::<Vec<_>>()
    };
    // Decks have no order to compare them by; their words have all there is of them.
    let decks = |design: &Design| format!("{:?}", design.rig.board.decks);
    (&old.ties, old.service, old.joint, &old.through) == (&new.ties, new.service, new.joint, &new.through)
        && ends(before, old) == ends(after, new)
        && decks(before) == decks(after)
        && !is_crossed(before, old, after)
}

/// Whether something that was not there stands in the way of a lead as it was laid; never where it was not laid.
fn is_crossed(before: &Design, old: &Lead, after: &Design) -> bool {
    if !before.is_laid() {
        return false;
    }
    let same = |a: &Solid, b: &Solid| a.owner == b.owner && a.low == b.low && a.high == b.high;
    let bodies = |design: &Design| -> Vec<Solid> {
        design.solids.boxes.iter().filter(|solid| solid.class == BoxClass::Body).cloned().collect()
    };
    let known = bodies(before);
    let fresh: Vec<Solid> =
        bodies(after).into_iter().filter(|solid| !known.iter().any(|other| same(solid, other))).collect();
    before.routes().ways(old).any(|(_, laid)| {
        laid.path.windows(2).any(|pair| fresh.iter().any(|solid| is_through(pair[0], pair[1], solid)))
    })
}

/// Whether the straight line between two points, in millimetres, passes through a box.
fn is_through(from: [f64; 3], to: [f64; 3], solid: &Solid) -> bool {
    let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
    for axis in 0..3 {
        let (low, high) = (solid.low[axis].as_mm(), solid.high[axis].as_mm());
        let step = to[axis] - from[axis];
        if step.abs() < f64::EPSILON {
            if from[axis] <= low || high <= from[axis] {
                return false;
            }
            continue;
        }
        let (a, b) = ((low - from[axis]) / step, (high - from[axis]) / step);
        enters = enters.max(a.min(b));
        leaves = leaves.min(a.max(b));
    }
    enters < leaves
}

/// Whether the engine was asked for the way of a lead, or of one of its legs, and found none.
pub(crate) fn has_no_way(design: &Design, lead: &Lead) -> bool {
    design.is_laid()
        && !lead.laid
        && design.routes().input.leads.iter().any(|piece| lead.leg_of(&piece.id).is_some())
}
