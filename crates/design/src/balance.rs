//! Where the weight lies.

use quantity::{Grams, Length};
use rig::FLOOR;
use rig::geometry::standing;

use crate::Design;

/// The centre of mass of what stands on the board, in plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// From the left edge.
    pub x: Length,
    /// From the front edge.
    pub y: Length,
    /// The mass it counts: the board and every device with a known mass and a place on it.
    pub counted: Grams,
    /// Tags of devices on the board whose mass or place is not known.
    pub left_out: Vec<String>,
    /// Whether any mass it rests on is only assumed.
    pub assumed: bool,
}

/// The centre of mass in plan; `None` when nothing with a mass has a place.
///
/// The board counts in the middle of its outline, each device in the middle of its body.
pub fn balance(design: &Design) -> Option<Balance> {
    let rig = &design.rig;
    let mut sum = [0.0; 3];
    let mut left_out = Vec::new();
    let mut assumed = false;
    let extent = rig.board.extent();
    let mut add = |grams: f64, x: f64, y: f64| {
        sum[0] += grams;
        sum[1] += grams * x;
        sum[2] += grams * y;
    };
    if let Some(mass) = rig.board.mass.value {
        assumed |= rig.board.mass.is_assumed();
        add(mass.get(), (extent.x + extent.width.half()).as_mm(), (extent.y + extent.depth.half()).as_mm());
    }
    for device in rig.devices.iter().filter(|device| !device.outside) {
        if device.place.as_ref().is_some_and(|place| place.deck == FLOOR) {
            continue;
        }
        match (device.mass.value, standing(rig, device)) {
            (Some(mass), Some(at)) => {
                assumed |= device.mass.is_assumed();
                let at = at.at;
                add(mass.get(), (at.x + at.width.half()).as_mm(), (at.y + at.depth.half()).as_mm());
            }
            _ => left_out.push(device.tag.clone()),
        }
    }
    let [mass, x, y] = sum;
    (mass > 0.0).then(|| Balance {
        x: Length::from_mm_rounded(x / mass),
        y: Length::from_mm_rounded(y / mass),
        counted: Grams::new(mass).unwrap_or_default(),
        left_out,
        assumed,
    })
}
