//! A lead with a joint, or with wires that cross: its ends, its legs with their lengths, and which contact goes to which.
//!
//! Not to scale: it is looked at while soldering.

use design::{Contact, Design, Lead, Wire, end_words, wiring};

use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Weight};
use crate::sketch::{Sketch, group, text};
use crate::style::Style;
use crate::text::{BENCH, SMALL, clean, fit};
use crate::words;

/// Width of the plate of one end.
const PLATE: f64 = 58.0;
/// Height of the line of one contact.
const LINE: f64 = 5.0;
/// Height of a plate's two lines of words.
const HEAD: f64 = 11.0;
/// Room between two plates.
const GAP: f64 = 4.0;

/// One end on the sketch.
struct Plate {
    end: usize,
    area: SheetRect,
    contacts: Vec<Contact>,
    left: bool,
}

/// The sketch of one lead on a sheet of this width; `None` for a lead that is simply through.
pub fn joint(design: &Design, lead: &Lead, width_mm: f64) -> Option<Drawing> {
    let wires = wiring(&design.rig, lead);
    if wires.is_empty() {
        return None;
    }
    let plates = plates(lead, &wires, width_mm);
    let mut sketch = Sketch::new();
    let mut items = Vec::new();
    for plate in &plates {
        draw_plate(lead, plate, &mut items);
    }
    let inner = (PLATE, width_mm - PLATE);
    let count = u32::try_from(wires.len()).unwrap_or(u32::MAX);
    let step = ((inner.1 - inner.0) * 0.5 / f64::from(count + 1)).min(6.0);
    let first = f64::midpoint(inner.0, inner.1) - step * f64::from(count - 1) / 2.0;
    let mut x = first;
    let mut corners: Vec<((usize, Contact), Point)> = Vec::new();
    for wire in &wires {
        let (Some(from), Some(to)) = (dot(&plates, wire.from), dot(&plates, wire.to)) else { continue };
        items.push(Item::Path {
            points: vec![from, Point::new(x, from.y), Point::new(x, to.y), to],
            closed: false,
            round: 1.2,
            // Whole lines whatever the class: each is one wire to follow with a finger.
            style: Style::Wide,
            width: Some(0.6),
        });
        corners.push((wire.from, Point::new(x, from.y)));
        corners.push((wire.to, Point::new(x, to.y)));
        x += step;
    }
    // Where wires of one contact part there is a dot; where there is none they only cross.
    for (contact, at) in &corners {
        let is_left = plates.iter().any(|plate| plate.end == contact.0 && plate.left);
        let goes_on = corners.iter().any(|(other, further)| {
            other == contact && if is_left { at.x < further.x } else { further.x < at.x }
        });
        if goes_on {
            items.push(Item::Circle { centre: *at, radius: 0.9, style: Style::LeadEnd(lead.class) });
        }
    }
    for plate in &plates {
        for contact in &plate.contacts {
            if let Some(centre) = dot(&plates, (plate.end, *contact)) {
                items.push(Item::Circle { centre, radius: 0.9, style: Style::LeadEnd(lead.class) });
            }
        }
    }
    let foot = plates.iter().map(|plate| plate.area.bottom).fold(0.0, f64::max);
    if lead.is_joined() {
        // The sleeve of the joint, behind the wires.
        let area = SheetRect {
            left: first - 4.0,
            top: -1.5,
            right: first + step * f64::from(count - 1) + 4.0,
            bottom: foot + 1.5,
        };
        items.insert(0, Item::Rect { area, corner: 2.0, style: Style::Wash });
        let at = Point::new(area.centre().x, area.bottom + SMALL * 1.3);
        items.push(Item::Text(text(at, words::JOINT, SMALL, Anchor::Middle, Weight::Regular, Style::Faint)));
    }
    let title = clean(&format!("{}, {}, {}", lead.tag, lead.shape.word(), lead.route_words()));
    sketch.push(Item::Group(group("joint", "lead", &lead.tag, title.clone(), items)));
    // The sheet is as wide as it was asked for.
    for x in [0.0, width_mm] {
        let corner = Point::new(x, foot + SMALL * 2.0);
        sketch.push(Item::Text(text(corner, "", SMALL, Anchor::Start, Weight::Regular, Style::Ink)));
    }
    Some(sketch.finish("joint", title, Scale::one_to(1), 0.5))
}

/// Ends that give stand at the left, those that take at the right; the one jack of an insert lead stands at the left.
fn plates(lead: &Lead, wires: &[Wire], width_mm: f64) -> Vec<Plate> {
    let mut down = [0.0, 0.0];
    let mut out = Vec::new();
    for end in 0..lead.ends.len() {
        let left = lead.side(rig::geometry::EndKind::From).any(|(from, _)| from == end);
        let mut contacts: Vec<Contact> = wires
            .iter()
            .flat_map(|wire| [wire.from, wire.to])
            .filter(|(of, _)| *of == end)
            .map(|(_, contact)| contact)
            .collect();
        contacts.sort_unstable();
        contacts.dedup();
        let rows = u32::try_from(contacts.len()).unwrap_or(u32::MAX);
        let high = HEAD + LINE * f64::from(rows) + 1.5;
        let side = &mut down[usize::from(!left)];
        let x = if left { 0.0 } else { width_mm - PLATE };
        let area = SheetRect { left: x, top: *side, right: x + PLATE, bottom: *side + high };
        *side += high + GAP;
        out.push(Plate { end, area, contacts, left });
    }
    // The lower side stands in the middle of the higher one.
    let whole = down[0].max(down[1]);
    for plate in &mut out {
        let by = (whole - down[usize::from(!plate.left)]) / 2.0;
        plate.area.top += by;
        plate.area.bottom += by;
    }
    out
}

fn draw_plate(lead: &Lead, plate: &Plate, items: &mut Vec<Item>) {
    let end = &lead.ends[plate.end];
    let area = plate.area;
    items.push(Item::Rect { area, corner: 1.0, style: Style::Outline });
    let head = if lead.is_joined() {
        let cut = lead.legs.get(plate.end).and_then(|leg| leg.cut.value);
        let cut = cut.map_or_else(|| "?".to_owned(), |cut| cut.figure_mm(0));
        format!("{}  {}  {cut} mm", end.letter, end.port)
    } else {
        end.port.to_string()
    };
    let mut line = |y: f64, words: &str, size: f64, weight: Weight, style: Style| {
        let words = fit(words, size, weight, PLATE - 4.0);
        items.push(Item::Text(text(
            Point::new(area.left + 2.0, y),
            words,
            size,
            Anchor::Start,
            weight,
            style,
        )));
    };
    line(area.top + BENCH * 1.15, &head, BENCH, Weight::Bold, Style::Ink);
    line(area.top + BENCH * 1.15 + SMALL * 1.35, end_words(end), SMALL, Weight::Regular, Style::Faint);
    for (index, contact) in plate.contacts.iter().enumerate() {
        let y = row(plate, index) + SMALL * 0.36;
        let (x, anchor) =
            if plate.left { (area.right - 3.0, Anchor::End) } else { (area.left + 3.0, Anchor::Start) };
        items.push(Item::Text(text(
            Point::new(x, y),
            contact.word(),
            SMALL,
            anchor,
            Weight::Regular,
            Style::Ink,
        )));
    }
}

fn row(plate: &Plate, index: usize) -> f64 {
    let down = u32::try_from(index).unwrap_or(u32::MAX);
    plate.area.top + HEAD + LINE * (f64::from(down) + 0.5)
}

/// Where a contact's wire begins: at the edge of its plate.
fn dot(plates: &[Plate], (end, contact): (usize, Contact)) -> Option<Point> {
    let plate = plates.iter().find(|plate| plate.end == end)?;
    let index = plate.contacts.iter().position(|own| *own == contact)?;
    let x = if plate.left { plate.area.right } else { plate.area.left };
    Some(Point::new(x, row(plate, index)))
}
