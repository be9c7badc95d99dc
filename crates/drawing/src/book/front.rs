//! One device from above, with its jacks and switches named.

use rig::{Device, Face};

use crate::marks::switch;
use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Text, Weight};
use crate::sketch::{Sketch, text};
use crate::style::Style;
use crate::text::{SMALL, TAG, clean, fit, width};

/// A jack's tab: how far it stands off, and how wide it is.
const JACK: (f64, f64) = (2.2, 4.4);
/// Radius of a foot switch, in true millimetres (common practice, no source).
const SWITCH: f64 = 7.0;

/// A device as it lies before its player, not turned: its body, its jacks by name, its foot switches.
///
/// `None` where its size is not known.
pub fn front(device: &Device, scale: Scale) -> Option<Drawing> {
    let size = device.size.value?;
    let k = scale.factor();
    let (wide, deep) = (size.width.as_mm() * k, size.depth.as_mm() * k);
    let body = SheetRect { left: 0.0, top: -deep, right: wide, bottom: 0.0 };
    let mut sketch = Sketch::new();
    for face in [Face::Front, Face::Right, Face::Back, Face::Left] {
        jacks(&mut sketch, device, face, &body, k);
    }
    let corner = (device.corner.as_mm() * k).clamp(0.0, wide.min(deep) / 2.0);
    sketch.push(Item::Rect { area: body, corner, style: Style::Outline });
    if device.treadle.is_some() {
        let inset = (8.0 * k).min(wide.min(deep) / 4.0);
        sketch.push(Item::Rect { area: body.grown(-inset), corner: 0.6, style: Style::Narrow });
    }
    for one in &device.switches {
        let at = Point::new(one.x.as_mm() * k, -one.y.as_mm() * k);
        sketch.items.extend(switch(at, SWITCH * k));
    }
    let tag = fit(&clean(&device.tag), TAG * 1.3, Weight::Bold, wide - 2.0);
    let highest = device.switches.iter().map(|one| one.y.as_mm() * k + SWITCH * k).fold(0.0, f64::max);
    let free = SheetRect { bottom: -highest.min(deep * 0.6), ..body };
    let at = free.centre().moved(0.0, TAG * 0.45);
    let mut label = text(at, tag, TAG * 1.3, Anchor::Middle, Weight::Bold, Style::Ink);
    label.halo = Some(Style::SheetGround);
    sketch.push(Item::Text(label));
    let title = clean(&format!("{} {}", device.tag, device.title));
    Some(sketch.finish("front", title, scale, 0.6))
}

/// The jacks of one side with their names, in further rows where one has no room.
fn jacks(sketch: &mut Sketch, device: &Device, face: Face, body: &SheetRect, k: f64) {
    let mut here: Vec<(f64, String)> = device
        .ports
        .iter()
        .filter(|port| port.face.value == Some(face))
        .filter_map(|port| Some((port.offset.value?.as_mm() * k, clean(&port.printed()))))
        .collect();
    here.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut ends = [f64::NEG_INFINITY; 6];
    for (along, name) in here {
        let (out, across) = JACK;
        let tab = match face {
            Face::Back => SheetRect::around(Point::new(along, body.top - out / 2.0), across, out),
            Face::Front => SheetRect::around(Point::new(along, body.bottom + out / 2.0), across, out),
            Face::Left => SheetRect::around(Point::new(body.left - out / 2.0, -along), out, across),
            Face::Right => SheetRect::around(Point::new(body.right + out / 2.0, -along), out, across),
        };
        sketch.push(Item::Rect { area: tab, corner: 0.0, style: Style::Tab });
        let name = fit(&name, SMALL, Weight::Regular, 26.0);
        let half = width(&name, SMALL, Weight::Regular) / 2.0 + 0.6;
        let words = |at: Point, anchor: Anchor| -> Text {
            text(at, name.clone(), SMALL, anchor, Weight::Regular, Style::Faint)
        };
        let label = match face {
            Face::Left => words(Point::new(tab.left - 0.8, -along + SMALL * 0.36), Anchor::End),
            Face::Right => words(Point::new(tab.right + 0.8, -along + SMALL * 0.36), Anchor::Start),
            Face::Back | Face::Front => {
                // The first row in which it meets no neighbour; its line goes past those below it.
                let row = ends.iter().position(|end| *end < along - half).unwrap_or(ends.len() - 1);
                ends[row] = along + half;
                let off = 1.0 + 3.0 * f64::from(u8::try_from(row).unwrap_or(0));
                let (edge, at) = if face == Face::Back {
                    (tab.top, Point::new(along, tab.top - off))
                } else {
                    (tab.bottom, Point::new(along, tab.bottom + off + SMALL * 0.72))
                };
                if 0 < row {
                    let near = if face == Face::Back { at.y + 0.6 } else { at.y - SMALL * 0.8 };
                    let (from, to) = (Point::new(along, edge), Point::new(along, near));
                    sketch.push(Item::Line { from, to, style: Style::Hair });
                }
                words(at, Anchor::Middle)
            }
        };
        sketch.push(Item::Text(label));
    }
}
