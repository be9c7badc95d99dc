//! Where a brick stands on a deck, and what may stand there instead.

use quantity::Length;
use rig::{Device, Face, Rect};

/// What an angled plug of the direct-current kind stands out beyond the wall, nut included.
/// *Common practice, no source:* the limits have 12 mm and 3 mm.
const PLUG: Length = Length::from_mm(15);

/// Where a brick stands on a deck: what is free there once it is gone, and its corner.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stand {
    /// Left and front edge of its turned body, in the board's frame.
    pub(crate) corner: [Length; 2],
    /// Counter-clockwise quarter turns.
    pub(crate) quarters: u8,
    /// The widest, deepest boxes of its deck that nothing else stands in.
    pub(crate) free: Vec<Rect>,
    /// Nothing higher is known to fit.
    pub(crate) height: Length,
}

/// The body of a brick, and what its plugs want on its left, right, front and back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Footprint {
    size: [Length; 3],
    sides: [Length; 4],
}

impl Footprint {
    /// Of a device whose size is known.
    pub(crate) fn of(device: &Device) -> Option<Self> {
        let size = device.size.value?;
        let sides = [Face::Left, Face::Right, Face::Front, Face::Back].map(|face| side(device, face));
        Some(Self { size: [size.width, size.depth, size.height], sides })
    }

    /// Whether it may stand with its corner where another stands.
    pub(crate) fn stands(&self, stand: &Stand) -> bool {
        let [mut width, mut depth, height] = self.size;
        let [mut left, mut right, mut front, mut back] = self.sides;
        for _ in 0..stand.quarters {
            (width, depth) = (depth, width);
            (left, right, front, back) = (back, front, left, right);
        }
        let [x, y] = stand.corner;
        let whole =
            Rect { x: x - left, y: y - front, width: left + width + right, depth: front + depth + back };
        height <= stand.height && stand.free.iter().any(|free| free.holds(&whole))
    }
}

/// What the plugs on a side of a device want beyond its wall.
pub(crate) fn side(device: &Device, face: Face) -> Length {
    let used = device.ports.iter().any(|port| port.face.value == Some(face));
    if used { PLUG } else { Length::ZERO }
}
