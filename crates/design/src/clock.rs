//! Plug clocking: how far the two plugs of a lead are turned against each other, as the bench solders them.

use rig::geometry::{PlugTurn, clocked, port_point};
use rig::{PlugAngle, Rig};

use crate::{Lead, LeadEndAt};

/// How the second plug is turned against the first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Clocking {
    /// Degrees clockwise, seen along the cable from the first end: 0 when both tips point the same way.
    Turned(u32),
    /// At least one end turns freely: a straight plug, or soldered behind a jack.
    Free,
    /// An exit, a place or a plug is not decided yet.
    Open,
}

/// The angle between the two ends of a lead that is laid without twist.
///
/// [`rig::geometry::clocked`] tells it; places stand in for routes.
///
/// A lead with a joint is not clocked as a whole: each leg is turned at the joint as it lies.
pub fn clocking(rig: &Rig, lead: &Lead) -> Clocking {
    if lead.is_joined() {
        return Clocking::Free;
    }
    let (a, b) = (end(rig, lead.from()), end(rig, lead.to()));
    let (a, b) = match (a, b) {
        (Ok(a), Ok(b)) => (a, b),
        (Err(Clocking::Free), _) | (_, Err(Clocking::Free)) => return Clocking::Free,
        _ => return Clocking::Open,
    };
    let place = |end: &LeadEndAt| port_point(rig, rig.device(&end.port.device)?, &end.port.port);
    let (Some(p), Some(q)) = (place(lead.from()), place(lead.to())) else { return Clocking::Open };
    Clocking::Turned(clocked(&a, &b, [0, 1, 2].map(|axis| q[axis].nm() - p[axis].nm())))
}

fn end(rig: &Rig, end: &LeadEndAt) -> Result<PlugTurn, Clocking> {
    if !end.has_plug() || end.port.port.is_empty() {
        return Err(Clocking::Free);
    }
    let plug = end.plug.plug.as_ref().ok_or(Clocking::Open)?;
    if plug.angle == PlugAngle::Straight {
        return Err(Clocking::Free);
    }
    let device = rig.device(&end.port.device).ok_or(Clocking::Open)?;
    let quarters = device.place.as_ref().map(|place| place.quarters).ok_or(Clocking::Open)?;
    PlugTurn::of(device, &end.port.port, &end.plug, quarters).ok_or(Clocking::Open)
}
