//! A plan with what a change does to it: new, gone, moved, changed, each by a shape and a word.

use change::{Became, LeadChange, Moved, RevisionChange};
use design::Design;
use rig::geometry::standing;

use super::{MARGIN, View, bodies, deck, device, lead};
use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Weight};
use crate::sketch::{Sketch, group, text};
use crate::style::Style;
use crate::text::{SMALL, clean, width};
use crate::words;

/// What a change does to a device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mark {
    /// It was not there: a frame with a plus.
    New,
    /// It is there no more: crossed out.
    Gone,
    /// It stands elsewhere: a frame, and where it stood a dashed one.
    Moves,
    /// It stands where it stood and is another one, or is set otherwise: a frame.
    Changes,
}

impl Mark {
    /// The word that stands on it.
    fn word(self) -> &'static str {
        match self {
            Self::New => words::NEW,
            Self::Gone => words::GONE,
            Self::Moves => words::MOVES,
            Self::Changes => words::CHANGES,
        }
    }
}

/// How far the frame of a mark stands off its body, in sheet millimetres.
const OFF: f64 = 0.5;

/// The plans of all decks before and after a change, with what it does to each device marked by a shape and a word, and the
/// numbers of those leads alone that do not stay as they are.
pub fn compared(before: &Design, after: &Design, change: &RevisionChange, scale: Scale) -> [Drawing; 2] {
    let mut marks: Vec<(&str, Mark)> = Vec::new();
    for device in &change.devices {
        let mark = match device.moved {
            Moved::New => Mark::New,
            Moved::Gone => Mark::Gone,
            Moved::Moves => Mark::Moves,
            Moved::Stands => Mark::Changes,
        };
        // Where a value comes from, and what the device is called, is no change of it.
        let is_aside = |value: &change::Value| value.key == "title" || value.key.ends_with("from");
        if mark != Mark::Changes || device.kind.is_some() || !device.values.iter().all(is_aside) {
            marks.push((&device.tag, mark));
        }
    }
    let touched = |lead: &&LeadChange| !matches!(lead.became, Became::Stays | Became::Redrawn { .. });
    let tags = |of: fn(&LeadChange) -> Option<&change::Made>| -> Vec<String> {
        change.leads.iter().filter(touched).filter_map(|lead| Some(of(lead)?.tag.clone())).collect()
    };
    [
        one(before, None, scale, &marks, &tags(|lead| lead.before.as_ref())),
        one(after, Some(before), scale, &marks, &tags(|lead| lead.after.as_ref())),
    ]
}

/// One of the two plans. Where the other is handed in, the places that marked devices had there are dashed.
fn one(
    design: &Design,
    stood: Option<&Design>,
    scale: Scale,
    marks: &[(&str, Mark)],
    leads: &[String],
) -> Drawing {
    let mut view = View::new(design, None, scale);
    view.boxes = &[];
    let mut sketch = Sketch::new();
    deck::decks(&view, &mut sketch);
    deck::origin(&view, &mut sketch);
    let found = lead::find(&view);
    let outer = bodies(&view, &mut sketch, &found);
    for &(tag, mark) in marks {
        let is_elsewhere = matches!(mark, Mark::Moves | Mark::Gone);
        if let Some(there) = stood.filter(|_| is_elsewhere).and_then(|stood| area(&view, stood, tag)) {
            sketch.push(Item::Rect { area: there, corner: 0.0, style: Style::NotPlaced });
            let was = format!("{} {}", clean(tag), words::STOOD_HERE);
            if area(&view, design, tag).is_none() {
                word(&mut sketch, &there, &was);
            }
        }
        if let Some(here) = area(&view, design, tag) {
            let items = marked(&here.grown(OFF), mark);
            let title = format!("{} {}", clean(tag), mark.word());
            sketch.push(Item::Group(group("compared", "mark", tag, title, items)));
            word(&mut sketch, &here, mark.word());
        }
    }
    // Numbers look for room around the marks.
    let (touched, _): (Vec<_>, Vec<_>) = found.into_iter().partition(|found| found.is_one_of(leads));
    lead::labels(&view, &mut sketch, &touched);
    device::outer_labels(outer, &mut sketch);
    device::hidden_labels(&view, &mut sketch);
    sketch.finish("compared", words::PLAN.to_owned(), scale, MARGIN)
}

/// The room of a device of a design on the sheet of a view; nothing where it has no place there.
fn area(view: &View<'_>, design: &Design, tag: &str) -> Option<SheetRect> {
    let device = design.rig.device(tag).filter(|device| !device.outside)?;
    Some(view.area(&standing(&design.rig, device)?.at))
}

fn marked(area: &SheetRect, mark: Mark) -> Vec<Item> {
    let line = |from: Point, to: Point| Item::Line { from, to, style: Style::Wide };
    let mut items = vec![Item::Rect { area: *area, corner: 0.0, style: Style::Wide }];
    let (left, right, top, bottom) = (area.left, area.right, area.top, area.bottom);
    match mark {
        Mark::Gone => {
            items.push(line(Point::new(left, top), Point::new(right, bottom)));
            items.push(line(Point::new(left, bottom), Point::new(right, top)));
        }
        Mark::New => {
            let arm = (area.width().min(area.height()) / 6.0).min(1.6);
            let at = Point::new(right - arm - 0.8, top + arm + 0.8);
            items.push(line(at.moved(-arm, 0.0), at.moved(arm, 0.0)));
            items.push(line(at.moved(0.0, -arm), at.moved(0.0, arm)));
        }
        Mark::Moves | Mark::Changes => {}
    }
    items
}

/// A word at the front edge of a body, within it where it has the room.
fn word(sketch: &mut Sketch, area: &SheetRect, content: &str) {
    let (wide, centre) = (width(content, SMALL, Weight::Bold), area.centre());
    let inside = wide + 1.0 <= area.width();
    let below = if inside { area.bottom - 0.9 } else { area.bottom + SMALL + 0.4 };
    let mut label =
        text(Point::new(centre.x, below), content, SMALL, Anchor::Middle, Weight::Bold, Style::Ink);
    label.halo = Some(Style::PlateGround);
    sketch.push(Item::Text(label));
}
