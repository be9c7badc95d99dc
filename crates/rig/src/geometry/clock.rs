//! How the two plugs of a lead are turned against each other when it lies without twist.

use crate::geometry::Heading;
use crate::{Device, PlugAngle, PlugSpec};

type Axis = [i64; 3];

/// How an angled plug lies: where its tip points, and where its cable leaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlugTurn {
    /// Into the jack.
    tip: Axis,
    /// Out of the plug.
    cable: Axis,
}

impl PlugTurn {
    /// The turn of a plug in a jack of a device that is turned by so many quarters; `None` for a straight plug, which
    /// turns freely, and where plug, exit or side of the jack are open.
    pub fn of(device: &Device, port: &str, spec: &PlugSpec, quarters: u8) -> Option<Self> {
        if spec.plug.as_ref()?.angle == PlugAngle::Straight {
            return None;
        }
        let looks = device.port(port)?.face.value?.turned(quarters);
        let tip = minus(Heading::To(looks).step());
        let cable = Heading::of(spec.exit?, quarters).step();
        (dot(tip, cable) == 0).then_some(Self { tip, cable })
    }
}

/// The degrees that the second plug is turned against the first, clockwise seen along the cable from the first end: 0, 90,
/// 180 or 270.
///
/// The cable is followed from the first plug along `way`, from jack to jack, to the second one, and the first tip is carried
/// along; what is left between it and the second tip is the angle. The way is taken along the longer of the two horizontal
/// distances.
pub fn clocked(a: &PlugTurn, b: &PlugTurn, way: [i64; 3]) -> u32 {
    let arriving = a.cable;
    let leaving = minus(b.cable);
    let along = chord(way, arriving);
    let mut tip = a.tip;
    if leaving == minus(along) || leaving == along {
        // Both lie in the plane of the way already.
        tip = carry(tip, arriving, leaving);
    } else {
        tip = carry(tip, arriving, along);
        tip = carry(tip, along, leaving);
    }
    if tip == b.tip {
        0
    } else if tip == minus(b.tip) {
        180
    } else if 0 < dot(cross(tip, b.tip), leaving) {
        90
    } else {
        270
    }
}

/// The axis the way mostly follows, never the one the cable leaves on.
fn chord(way: [i64; 3], not: Axis) -> Axis {
    let mut best = (0_usize, -1_i64);
    for (index, part) in way.iter().enumerate() {
        // Height is the last choice: leads run along the deck.
        let size = if index == 2 { part.saturating_abs() / 1000 } else { part.saturating_abs() };
        if not[index] == 0 && best.1 < size {
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
    let (along, across) = (dot(v, from), dot(v, to));
    std::array::from_fn(|index| {
        v[index] - along * from[index] - across * to[index] + along * to[index] - across * from[index]
    })
}

fn minus(v: Axis) -> Axis {
    v.map(|part| -part)
}

fn dot(a: Axis, b: Axis) -> i64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

fn cross(a: Axis, b: Axis) -> Axis {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}
