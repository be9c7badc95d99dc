//! The term of made leads, counted anew from two rigs.

use quantity::Length;
use rig::geometry::{PlugTurn, clocked, port_point};
use rig::{FLOOR, Lead, PortRef, Rig};

/// Cable in the joint of a leg. *Common practice, no source.*
const IN_JOINT: Length = Length::from_mm(15);

/// Around the edge of a deck without a passage. *Common practice, no source.*
const AROUND: Length = Length::from_mm(400);

/// The numbers of the made leads that a placement has made again, by the estimate of the objective: longer than today, and
/// than what they were cut to leaves for their way; or with plugs turned otherwise against each other.
pub fn remade(before: &Rig, after: &Rig) -> Vec<String> {
    let made = rig::leads(before).into_iter().filter(Lead::is_made);
    let changed = |lead: &Lead| {
        lead.flows.iter().any(|flow| is_short(before, after, lead, flow))
            || turned(before, lead).is_some_and(|was| turned(after, lead) != Some(was))
    };
    made.filter(changed).map(|lead| lead.tag).collect()
}

fn is_short(before: &Rig, after: &Rig, lead: &Lead, (from, to): &(PortRef, PortRef)) -> bool {
    let Some(then) = estimate(after, from, to) else { return false };
    let mut inside = Length::ZERO;
    for end in lead.ends.iter().filter(|end| end.port == *from || end.port == *to) {
        inside += end.plug.plug.as_ref().and_then(|plug| plug.allowance.value).unwrap_or(Length::ZERO);
    }
    let spec = lead.spec.as_ref();
    let cut = if lead.is_joined() {
        let legs = spec.map_or(&[][..], |spec| &spec.legs);
        let both: Vec<Length> =
            legs.iter().filter(|(end, _)| end == from || end == to).map(|(_, cut)| *cut - IN_JOINT).collect();
        (both.len() == 2).then(|| both[0] + both[1])
    } else {
        spec.and_then(|spec| Some(spec.cut? - spec.service.unwrap_or(Length::ZERO)))
    };
    let today = estimate(before, from, to);
    (cut.is_some() || today.is_some())
        && cut.is_none_or(|cut| cut < then + inside)
        && today.is_none_or(|today| today < then)
}

/// Along the axes from port to port; by way of the nearest passage of a deck that lies between them.
fn estimate(rig: &Rig, from: &PortRef, to: &PortRef) -> Option<Length> {
    let there = |port: &PortRef| {
        let device = rig.device(&port.device).filter(|device| !device.outside)?;
        Some((device.place.as_ref()?, port_point(rig, device, &port.port)?))
    };
    let ((p, a), (q, b)) = (there(from)?, there(to)?);
    let along = |a: [Length; 2], b: [Length; 2]| (a[0] - b[0]).abs() + (a[1] - b[1]).abs();
    let (a2, b2) = ([a[0], a[1]], [b[0], b[1]]);
    let mut plan = along(a2, b2);
    // What hangs under a deck is shut from what stands on it, and from all above it.
    let shut = |one: &rig::Place, other: &rig::Place| {
        let (deck, far) = (rig.board.deck(&one.deck)?, rig.board.deck(&other.deck)?);
        let is_above = if other.under { deck.z < far.z } else { deck.z <= far.z };
        (one.under && other.deck != FLOOR && is_above).then_some(deck)
    };
    let between: Vec<&rig::Deck> = [shut(p, q), shut(q, p)].into_iter().flatten().collect();
    let around = if between.is_empty() { Length::ZERO } else { AROUND };
    let holes = between.into_iter().flat_map(|deck| {
        let middle = |at: &rig::Rect| [deck.x + at.x + at.width.half(), deck.y + at.y + at.depth.half()];
        deck.passages.iter().map(move |passage| middle(&passage.at)).collect::<Vec<_>>()
    });
    plan = holes.map(|hole| along(a2, hole) + along(hole, b2)).min().unwrap_or(plan + around);
    Some(plan + (a[2] - b[2]).abs())
}

/// How the plugs of a plain lead are turned in a rig.
fn turned(rig: &Rig, lead: &Lead) -> Option<u32> {
    let (from, to) = lead.flows.first().filter(|_| !lead.is_joined())?;
    let plug = |port: &PortRef| {
        let end = lead.ends.iter().find(|end| end.port == *port)?;
        let device = rig.device(&port.device)?;
        let at = port_point(rig, device, &port.port)?;
        let plugged = !end.inner && end.fitting == rig::Fitting::Plugged;
        let turn = PlugTurn::of(device, &port.port, &end.plug, device.place.as_ref()?.quarters);
        turn.filter(|_| plugged).map(|turn| (turn, at))
    };
    let ((a, p), (b, q)) = (plug(from)?, plug(to)?);
    Some(clocked(&a, &b, [0, 1, 2].map(|axis| q[axis].nm() - p[axis].nm())))
}
