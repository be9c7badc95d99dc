//! Numbers in order at the jacks that take leads from outside.

use rig::PortRef;
use rig::geometry::{port_direction, port_point};

use super::{View, step};
use crate::book::{DISC, disc};
use crate::model::{Item, Point, SheetRect};
use crate::sketch::Sketch;
use crate::style::Style;

/// How far a number stands off the board or the body that its jack is in.
const OFF: f64 = 3.4;

/// Draws the numbers, each as far out as its neighbours leave it room.
pub(super) fn numbers(view: &View<'_>, sketch: &mut Sketch, numbers: &[(PortRef, usize)]) {
    let board = view.board();
    let mut taken: Vec<SheetRect> = Vec::new();
    for (port, number) in numbers {
        let Some(device) = view.design.rig.device(&port.device) else { continue };
        let (Some([x, y, _]), Some(face)) =
            (port_point(&view.design.rig, device, &port.port), port_direction(device, &port.port))
        else {
            continue;
        };
        let at = view.point(x, y);
        let (dx, dy) = step(face);
        // Off the board where the jack is near its edge; beside its body where it is far within.
        let out = |at: f64, step: f64, low: f64, high: f64| match step {
            step if step < 0.0 => at.min(low),
            step if 0.0 < step => at.max(high),
            _ => at,
        };
        let edge = Point::new(out(at.x, dx, board.left, board.right), out(at.y, dy, board.top, board.bottom));
        let from = if (edge.x - at.x).abs() + (edge.y - at.y).abs() < 12.0 { edge } else { at };
        let place = (0..24_u8)
            .map(|trial| {
                // Straight out, then to either side, then a row further.
                let row = f64::from(trial / 8);
                let side = f64::from((trial % 8).div_ceil(2)) * if trial % 2 == 0 { 1.0 } else { -1.0 };
                let (out, along) = (OFF + DISC + row * 2.2 * DISC, side * 1.1 * DISC);
                from.moved(dx * out - dy * along, dy * out + dx * along)
            })
            .find(|place| {
                let area = SheetRect::around(*place, 2.2 * DISC, 2.2 * DISC);
                taken.iter().all(|other| !other.overlaps(&area))
            })
            .unwrap_or(from);
        let area = SheetRect::around(place, 2.2 * DISC, 2.2 * DISC);
        taken.push(area);
        sketch.take(area);
        sketch.push(Item::Line { from: at, to: place, style: Style::Wide });
        sketch.items.extend(disc(place, *number));
    }
}
