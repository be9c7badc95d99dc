//! From a device's own frame to the board's.

use quantity::Length;

use crate::{Device, FLOOR, Face, Rect, Rig, Size};

/// A placed device's body in the board's frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Standing {
    /// Footprint in the board's frame, turned.
    pub at: Rect,
    /// Height of its base.
    pub base: Length,
    /// Its size before turning.
    pub size: Size,
    /// Its quarter turns.
    pub quarters: u8,
}

/// Where a device's body stands on the board, or `None` when its place, its size or its deck is unknown.
///
/// A device under a deck hangs upright in its bracket: its top is the deck's underside less the bracket.
pub fn standing(rig: &Rig, device: &Device) -> Option<Standing> {
    let size = device.size.value?;
    let place = device.place.as_ref()?;
    let local = device.footprint()?;
    let (dx, dy, base) = if place.deck == FLOOR {
        (Length::ZERO, Length::ZERO, rig.board.floor_level())
    } else {
        let deck = rig.board.deck(&place.deck)?;
        let base = if place.under {
            deck.z - deck.thickness - device.bracket.value.unwrap_or(Length::ZERO) - size.height
        } else {
            deck.z + deck.ground(&local)
        };
        (deck.x, deck.y, base)
    };
    let at = Rect { x: local.x + dx, y: local.y + dy, ..local };
    Some(Standing { at, base, size, quarters: place.quarters % 4 })
}

impl Standing {
    /// A point given from the front left corner of the unturned body, in the board's frame.
    pub fn point(&self, x: Length, y: Length) -> (Length, Length) {
        let (width, depth) = (self.size.width, self.size.depth);
        let (u, v) = match self.quarters {
            0 => (x, y),
            1 => (depth - y, x),
            2 => (width - x, depth - y),
            _ => (y, width - x),
        };
        (self.at.x + u, self.at.y + v)
    }
}

/// The centre of a port on its wall, in the board's frame.
///
/// `None` when a value it rests on is unknown. An unknown height counts as half the body's height for
/// places without one.
pub fn port_point(rig: &Rig, device: &Device, port: &str) -> Option<[Length; 3]> {
    let standing = standing(rig, device)?;
    let port = device.port(port)?;
    let face = port.face.value?;
    let offset = port.offset.value?;
    let height = port.height.value?;
    let (x, y) = match face {
        Face::Front => (offset, Length::ZERO),
        Face::Back => (offset, standing.size.depth),
        Face::Left => (Length::ZERO, offset),
        Face::Right => (standing.size.width, offset),
    };
    let (x, y) = standing.point(x, y);
    Some([x, y, standing.base + height])
}

/// The side a port looks to once its device is turned.
pub fn port_direction(device: &Device, port: &str) -> Option<Face> {
    let place = device.place.as_ref()?;
    Some(device.port(port)?.face.value?.turned(place.quarters))
}

/// The centre of a foot switch in the board's frame.
pub fn switch_point(rig: &Rig, device: &Device, index: usize) -> Option<(Length, Length)> {
    let switch = device.switches.get(index)?;
    Some(standing(rig, device)?.point(switch.x, switch.y))
}
