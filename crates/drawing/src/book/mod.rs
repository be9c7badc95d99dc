//! Pictures for those who play the board: its jacks face on, how it is switched on, a device with its knobs.

mod channels;
mod dials;
mod faces;
mod front;
mod start;

pub use channels::channels;
pub use dials::{Dial, dials};
pub use faces::faces;
pub use front::front;
pub use start::{StartAct, start};

use crate::model::{Item, Point, Weight};
use crate::sketch::centred;
use crate::style::Style;
use crate::text::SMALL;

/// Radius of a number in order.
pub(crate) const DISC: f64 = 2.6;

/// A number in order: white in a filled disc, so that nobody takes it for a measured place.
pub(crate) fn disc(centre: Point, number: usize) -> Vec<Item> {
    vec![
        Item::Circle { centre, radius: DISC, style: Style::Mark },
        Item::Text(centred(centre, number.to_string(), SMALL * 1.15, Weight::Bold, Style::SheetGround)),
    ]
}
