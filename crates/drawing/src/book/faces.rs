//! The plates of a board as its player sees them, with a number at each jack that takes a lead from outside.

use design::{Design, Hole, Plate};
use rig::{ConnectorFamily, PortRef};

use super::{DISC, disc};
use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Weight};
use crate::sketch::{Sketch, text};
use crate::style::Style;
use crate::text::{SMALL, clean, fit, wrap};
use crate::words;

/// Room between two plates, and above and below their holes, on the sheet.
const BETWEEN: f64 = 6.0;
/// From the foot of one row of plates to the head of the next: numbers, and what comes there.
const ROW: f64 = 9.0;

/// The plates that take leads from outside, side by side in rows of at most so many millimetres: each with its jacks, their
/// legends, and below each jack its number in order, where it has one. A plate too wide for a row is drawn smaller.
///
/// `None` where nothing that has a number sits in a plate of known size.
pub fn faces(design: &Design, numbers: &[(PortRef, usize)], wide: f64) -> Option<Drawing> {
    let number = |plate: &Plate, hole: &Hole| {
        numbers.iter().find(|(port, _)| port.device == plate.panel && port.port == hole.port).map(|(_, n)| *n)
    };
    let plates: Vec<Plate> = design::plates(design)
        .into_iter()
        .filter(|plate| plate.width.value.is_some() && plate.height.value.is_some())
        .filter(|plate| plate.holes.iter().any(|hole| number(plate, hole).is_some()))
        .collect();
    let longest = plates.iter().filter_map(|plate| plate.width.value).max()?;
    let scale = [2, 5, 10]
        .map(Scale::one_to)
        .into_iter()
        .find(|scale| longest.as_mm() * scale.factor() <= wide)
        .unwrap_or(Scale::one_to(20));
    let k = scale.factor();
    let mut sketch = Sketch::new();
    let (mut left, mut top, mut deepest) = (0.0, 0.0, 0.0_f64);
    for plate in &plates {
        let (Some(across), Some(up)) = (plate.width.value, plate.height.value) else { continue };
        let (across, up) = (across.as_mm() * k, up.as_mm() * k);
        if 0.0 < left && wide < left + across {
            top += deepest + ROW;
            (left, deepest) = (0.0, 0.0);
        }
        let area = SheetRect { left, top, right: left + across, bottom: top + up };
        let caption = clean(&format!("{}, {}", plate.panel, words::side(plate.face)));
        let at = Point::new(left, top - 1.0);
        let caption = fit(&caption, SMALL, Weight::Regular, across.max(30.0));
        sketch.push(Item::Text(text(at, caption, SMALL, Anchor::Start, Weight::Regular, Style::Faint)));
        sketch.push(Item::Rect { area, corner: 0.0, style: Style::Outline });
        for hole in &plate.holes {
            let (Some(x), Some(y)) = (hole.x.value, hole.y.value) else { continue };
            let at = Point::new(area.left + x.as_mm() * k, area.bottom - y.as_mm() * k);
            let family = design
                .rig
                .device(&plate.panel)
                .and_then(|panel| panel.port(&hole.port))
                .and_then(|port| port.connector.as_ref())
                .map(|connector| connector.family);
            sketch.items.extend(jack(family, at, k));
            let room = beside(plate, hole) * k - 0.6;
            for (line, legend) in
                wrap(&clean(&hole.legend), SMALL, Weight::Bold, room, 2).into_iter().enumerate()
            {
                let down = SMALL + 0.6 + if line == 0 { 0.0 } else { SMALL * 1.1 };
                let place = Point::new(at.x, area.top + down);
                let mut label = text(place, legend, SMALL, Anchor::Middle, Weight::Bold, Style::Ink);
                label.halo = Some(Style::SheetGround);
                sketch.push(Item::Text(label));
            }
            if let Some(number) = number(plate, hole) {
                sketch.items.extend(disc(Point::new(at.x, area.bottom + DISC + 0.8), number));
            }
        }
        left += across + BETWEEN;
        deepest = deepest.max(up);
    }
    Some(sketch.finish("faces", words::FACES.to_owned(), scale, 0.6))
}

/// What the legend of a hole may take across, in true millimetres: to its nearest neighbour, at most to the edge.
fn beside(plate: &Plate, hole: &Hole) -> f64 {
    let Some(here) = hole.x.value.map(quantity::Length::as_mm) else { return 0.0 };
    let wide = plate.width.value.map_or(0.0, quantity::Length::as_mm);
    let edge = 2.0 * here.min(wide - here);
    let others = plate.holes.iter().filter_map(|other| Some((other.x.value?.as_mm() - here).abs()));
    others.filter(|apart| 0.0 < *apart).fold(edge.max(12.0), f64::min)
}

/// A jack as it is seen from where its plug comes.
fn jack(family: Option<ConnectorFamily>, at: Point, k: f64) -> Vec<Item> {
    let ring = |radius: f64, style: Style| Item::Circle { centre: at, radius: radius * k, style };
    let dot = |dx: f64, dy: f64| Item::Circle {
        centre: at.moved(dx * k, dy * k),
        radius: (1.4 * k).max(0.35),
        style: Style::Mark,
    };
    let stroke = |dx: f64, dy: f64| Item::Line {
        from: at.moved(dx * k, (dy - 2.5) * k),
        to: at.moved(dx * k, (dy + 2.5) * k),
        style: Style::Wide,
    };
    match family {
        Some(ConnectorFamily::Xlr) => {
            vec![
                ring(11.0, Style::Narrow),
                ring(8.5, Style::Narrow),
                dot(-3.6, -1.0),
                dot(3.6, -1.0),
                dot(0.0, 3.2),
            ]
        }
        Some(ConnectorFamily::Mains) => {
            let area = SheetRect::around(at, 27.0 * k, 20.0 * k);
            vec![
                Item::Rect { area, corner: 3.0 * k, style: Style::Narrow },
                stroke(-7.0, 1.5),
                stroke(0.0, -3.0),
                stroke(7.0, 1.5),
            ]
        }
        Some(ConnectorFamily::Din) => {
            let pins = [(-5.0, 0.5), (-3.5, 3.8), (0.0, 5.2), (3.5, 3.8), (5.0, 0.5)];
            let mut items = vec![ring(8.0, Style::Narrow)];
            items.extend(pins.map(|(dx, dy)| dot(dx, dy)));
            items
        }
        Some(ConnectorFamily::Usb) => {
            let area = SheetRect::around(at, 13.0 * k, 6.5 * k);
            vec![
                Item::Rect { area, corner: 0.0, style: Style::Narrow },
                Item::Line { from: at.moved(-4.5 * k, 0.0), to: at.moved(4.5 * k, 0.0), style: Style::Wide },
            ]
        }
        Some(ConnectorFamily::Barrel) => vec![ring(5.5, Style::Narrow), dot(0.0, 0.0)],
        Some(ConnectorFamily::Snap | ConnectorFamily::Bare) => {
            vec![ring(6.0, Style::Narrow), dot(-2.5, 0.0), dot(2.5, 0.0)]
        }
        Some(ConnectorFamily::Jack | ConnectorFamily::Fixed) | None => {
            vec![ring(8.0, Style::Narrow), ring(3.2, Style::Narrow)]
        }
    }
}
