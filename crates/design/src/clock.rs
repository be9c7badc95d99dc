//! Plug clocking: how far the two plugs of a lead are turned against each other, as the bench solders them.

use rig::geometry::{port_direction, port_point};
use rig::{Exit, Face, PlugAngle, Rig};

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

type Axis = [i32; 3];

/// The angle between the two ends of a lead that is laid without twist.
///
/// The cable is followed from the first plug along the way between the two places to the second one, and the
/// first tip is carried along; what is left between it and the second tip is the angle. Places stand in for
/// routes: the way is taken along the longer of the two horizontal distances.
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
    let arriving = a.cable;
    let leaving = minus(b.cable);
    let along = chord([q[0].nm() - p[0].nm(), q[1].nm() - p[1].nm(), q[2].nm() - p[2].nm()], arriving);
    let mut tip = a.tip;
    if leaving == minus(along) || leaving == along {
        // Both lie in the plane of the way already.
        tip = carry(tip, arriving, leaving);
    } else {
        tip = carry(tip, arriving, along);
        tip = carry(tip, along, leaving);
    }
    if tip == b.tip {
        Clocking::Turned(0)
    } else if tip == minus(b.tip) {
        Clocking::Turned(180)
    } else if dot(cross(tip, b.tip), leaving) > 0 {
        Clocking::Turned(90)
    } else {
        Clocking::Turned(270)
    }
}

struct End {
    /// Where the tip points: into the jack.
    tip: Axis,
    /// Where the cable leaves the plug.
    cable: Axis,
}

fn end(rig: &Rig, end: &LeadEndAt) -> Result<End, Clocking> {
    if !end.has_plug() || end.port.port.is_empty() {
        return Err(Clocking::Free);
    }
    let plug = end.plug.plug.as_ref().ok_or(Clocking::Open)?;
    if plug.angle == PlugAngle::Straight {
        return Err(Clocking::Free);
    }
    let device = rig.device(&end.port.device).ok_or(Clocking::Open)?;
    let looks = port_direction(device, &end.port.port).ok_or(Clocking::Open)?;
    let quarters = device.place.as_ref().map(|place| place.quarters).ok_or(Clocking::Open)?;
    let cable = exit(end.plug.exit.ok_or(Clocking::Open)?, quarters);
    let tip = minus(axis(looks));
    if dot(tip, cable) == 0 { Ok(End { tip, cable }) } else { Err(Clocking::Open) }
}

fn axis(face: Face) -> Axis {
    match face {
        Face::Front => [0, -1, 0],
        Face::Right => [1, 0, 0],
        Face::Back => [0, 1, 0],
        Face::Left => [-1, 0, 0],
    }
}

fn exit(exit: Exit, quarters: u8) -> Axis {
    match (exit, exit.face()) {
        (_, Some(face)) => axis(face.turned(quarters)),
        (Exit::Up, None) => [0, 0, 1],
        _ => [0, 0, -1],
    }
}

/// The axis the way mostly follows, never the one the cable leaves on.
fn chord(way: [i64; 3], not: Axis) -> Axis {
    let mut best = (0_usize, -1_i64);
    for (index, part) in way.iter().enumerate() {
        // Height is the last choice: leads run along the deck.
        let size = if index == 2 { part.saturating_abs() / 1000 } else { part.saturating_abs() };
        if not[index] == 0 && size > best.1 {
            best = (index, size);
        }
    }
    let mut out = [0; 3];
    out[best.0] = if way[best.0] < 0 { -1 } else { 1 };
    out
}

/// Turns a direction the way that turns `from` into `to`; both are axes.
fn carry(v: Axis, from: Axis, to: Axis) -> Axis {
    if from == to {
        return v;
    }
    let along = dot(v, from);
    let across = dot(v, to);
    let mut out = [0; 3];
    for (index, part) in out.iter_mut().enumerate() {
        *part =
            v[index] - along * from[index] - across * to[index] + along * to[index] - across * from[index];
    }
    out
}

fn minus(v: Axis) -> Axis {
    v.map(|part| -part)
}

fn dot(a: Axis, b: Axis) -> i32 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

fn cross(a: Axis, b: Axis) -> Axis {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}
