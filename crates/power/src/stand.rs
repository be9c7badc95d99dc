//! Where a brick stands on a deck or hangs under one, and what may be there instead.

use quantity::Length;
use rig::{Device, Face, Rect};

/// What an angled plug of the direct-current kind stands out beyond the wall, nut included.
/// *Common practice, no source:* the limits have 12 mm and 3 mm.
const PLUG: Length = Length::from_mm(15);
/// The same of the plug of an adaptor in a brick's own inlet. *Common practice, no source.*
const INLET: Length = Length::from_mm(18);

/// Where a brick stands on a deck or hangs under one: what is free there once it is gone, and its corner.
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
    /// Whether it hangs, and its bracket takes height.
    pub(crate) hangs: bool,
    /// What it takes there itself.
    pub(crate) own: Option<Footprint>,
}

/// The body of a brick, and what its plugs want on its left, right, front and back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Footprint {
    size: [Length; 3],
    sides: [Length; 4],
    bracket: Length,
}

impl Footprint {
    /// Of a device whose size is known.
    pub(crate) fn of(device: &Device) -> Option<Self> {
        let size = device.size.value?;
        let sides = [Face::Left, Face::Right, Face::Front, Face::Back].map(|face| side(device, face));
        let bracket = device.bracket.value.unwrap_or(Length::ZERO);
        Some(Self { size: [size.width, size.depth, size.height], sides, bracket })
    }

    /// Turned counter-clockwise.
    fn turned(mut self, quarters: u8) -> Self {
        for _ in 0..quarters {
            let ([width, depth, height], [left, right, front, back]) = (self.size, self.sides);
            (self.size, self.sides) = ([depth, width, height], [back, front, left, right]);
        }
        self
    }

    /// How high it is with its bracket, where that counts.
    fn high(&self, hangs: bool) -> Length {
        if hangs { self.size[2] + self.bracket } else { self.size[2] }
    }

    /// Whether it takes no more than another on any side of their common corner, and in height.
    fn is_within(&self, other: &Self, hangs: bool) -> bool {
        let reach = |of: &Self| {
            let ([width, depth, _], [left, right, front, back]) = (of.size, of.sides);
            [width + right, depth + back, left, front, of.high(hangs)]
        };
        reach(self).iter().zip(&reach(other)).all(|(own, other)| own <= other)
    }

    /// Whether its body and plugs may be with its corner where another has it. What takes no more than the other fits where that
    /// is, whatever is thought of its place.
    pub(crate) fn stands(&self, stand: &Stand) -> bool {
        let turned = self.turned(stand.quarters);
        if stand.own.is_some_and(|own| turned.is_within(&own.turned(stand.quarters), stand.hangs)) {
            return true;
        }
        let ([width, depth, _], [left, right, front, back]) = (turned.size, turned.sides);
        let [x, y] = stand.corner;
        let whole =
            Rect { x: x - left, y: y - front, width: left + width + right, depth: front + depth + back };
        turned.high(stand.hangs) <= stand.height && stand.free.iter().any(|free| free.holds(&whole))
    }
}

/// What the plugs on a side of a device want beyond its wall.
pub(crate) fn side(device: &Device, face: Face) -> Length {
    let here = |port: &&rig::Port| port.face.value == Some(face);
    let wants = |port: &rig::Port| if port.role.value == Some(rig::PortRole::Power) { INLET } else { PLUG };
    device.ports.iter().filter(here).map(wants).max().unwrap_or(Length::ZERO)
}
