//! A lead as it lies on the bench while it is soldered: both ends, how one plug is turned against the other, what each label
//! says.
//!
//! Not to scale, and the same for every lead, so that what differs is seen: the first tip points up, the second as it is
//! turned. A tip that points out of the sheet is a dot in a circle, one that points into it a cross in a circle.

use design::{Clocking, Design, Lead, LeadEndAt, Strip, clocking, end_words, strip};
use rig::{LeadClass, PlugAngle};

use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Weight};
use crate::sketch::{Sketch, centred, group, text};
use crate::style::Style;
use crate::text::{BENCH, SMALL, clean, fit};

/// Width of the drawing, where the cable lies, and the plugs on it.
const WIDE: f64 = 96.0;
const CABLE: f64 = 15.0;
const BODY: f64 = 12.0;
const HALF: f64 = 4.0;
const TIP: f64 = 8.0;
/// Half the width of a tip.
const BARREL: f64 = 1.1;
/// Where a plug begins, from the edge.
const EDGE: f64 = 9.0;

/// Where the stripped ends are drawn, and how long jacket, core and bare wire are drawn there: not to scale.
const STRIPPED: f64 = 50.0;
const JACKET: f64 = 11.0;
const CORE: f64 = 19.0;
const BARE: f64 = 7.0;

/// How a tip points on the sheet.
#[derive(Clone, Copy)]
enum Points {
    Up,
    Out,
    Down,
    In,
    /// Along the cable: a straight plug.
    Along,
}

/// The lead as it is made; `None` for one with a joint, which has a picture of its own.
pub fn making(design: &Design, lead: &Lead) -> Option<Drawing> {
    if lead.is_joined() || lead.ends.len() != 2 {
        return None;
    }
    let (from, to) = (lead.from(), lead.to());
    let turned = clocking(&design.rig, lead);
    let second = match turned {
        Clocking::Turned(degrees) => match degrees % 360 {
            45..135 => Points::Out,
            135..225 => Points::Down,
            225..315 => Points::In,
            _ => Points::Up,
        },
        Clocking::Free | Clocking::Open => Points::Up,
    };
    let mut items = Vec::new();
    let (left, right) = (EDGE + BODY, WIDE - EDGE - BODY);
    let middle = WIDE / 2.0;
    for (a, b) in [(left, middle - 3.0), (middle + 3.0, right)] {
        items.push(Item::Path {
            points: vec![Point::new(a, CABLE), Point::new(b, CABLE)],
            closed: false,
            round: 0.0,
            style: Style::Lead(lead.class),
            width: Some(2.0),
        });
    }
    // Cut short: it is longer than the sheet.
    for x in [middle - 3.0, middle + 1.5] {
        let (foot, head) = (Point::new(x - 1.0, CABLE + 3.0), Point::new(x + 1.5, CABLE - 3.0));
        items.push(Item::Line { from: foot, to: head, style: Style::Narrow });
    }
    end(from, false, if is_straight(from) { Points::Along } else { Points::Up }, &mut items);
    end(to, true, if is_straight(to) { Points::Along } else { second }, &mut items);
    let words = match turned {
        Clocking::Turned(degrees) => {
            let alike = match second {
                Points::Up | Points::Along => "tips alike",
                Points::Down => "tips opposite",
                Points::Out => "second tip towards you",
                Points::In => "second tip away from you",
            };
            (format!("{degrees}°"), alike)
        }
        Clocking::Free => (String::new(), "turned as it likes"),
        Clocking::Open => (String::new(), "turning not decided"),
    };
    let at = |y: f64| Point::new(middle, y);
    items.push(Item::Text(text(at(BENCH * 1.1), words.0, BENCH, Anchor::Middle, Weight::Bold, Style::Ink)));
    let below =
        text(at(BENCH * 1.1 + SMALL * 1.4), words.1, SMALL, Anchor::Middle, Weight::Regular, Style::Faint);
    items.push(Item::Text(below));
    for (end, x, anchor) in [(from, 0.0, Anchor::Start), (to, WIDE, Anchor::End)] {
        let line = |y: f64, words: String, weight, style| {
            let words = fit(&words, SMALL, weight, WIDE / 2.0 - 2.0);
            Item::Text(text(Point::new(x, y), words, SMALL, anchor, weight, style))
        };
        let foot = CABLE + HALF + TIP + SMALL;
        items.push(line(foot, format!("{} {}", lead.tag, end.port), Weight::Bold, Style::Ink));
        items.push(line(foot + SMALL * 1.35, end_words(end).to_owned(), Weight::Regular, Style::Faint));
    }
    let strips = [strip(from), strip(to)];
    let alike = if strips[0] == strips[1] { 1 } else { 2 };
    for (k, one) in strips.into_iter().enumerate().take(alike) {
        let Some(one) = one else { continue };
        let words = match (alike, k) {
            (1, _) => "both ends".to_owned(),
            (_, 0) => from.port.to_string(),
            _ => to.port.to_string(),
        };
        stripped(lead, one, &words, if k == 0 { 0.0 } else { WIDE / 2.0 + 3.0 }, &mut items);
    }
    let title = clean(&format!("{}, {}, {} {}", lead.tag, lead.route_words(), turned_words(turned), words.1));
    let mut sketch = Sketch::new();
    sketch.push(Item::Group(group("making", "lead", &lead.tag, title.clone(), items)));
    // The sheet is as wide for every lead.
    for x in [0.0, WIDE] {
        sketch.push(Item::Text(text(
            Point::new(x, CABLE),
            "",
            SMALL,
            Anchor::Start,
            Weight::Regular,
            Style::Ink,
        )));
    }
    Some(sketch.finish("making", title, Scale::one_to(1), 0.5))
}

/// How the cable is stripped for a plug, with its figures.
fn stripped(lead: &Lead, strip: Strip, words: &str, left: f64, items: &mut Vec<Item>) {
    let y = STRIPPED;
    let at = |x: f64, y: f64| Point::new(left + x, y);
    let put = |at: Point, words: String, anchor, weight, style| {
        Item::Text(text(at, words, SMALL, anchor, weight, style))
    };
    let (bare, end) = (JACKET + CORE, JACKET + CORE + BARE);
    items.push(Item::Path {
        points: vec![at(0.0, y), at(JACKET, y)],
        closed: false,
        round: 0.0,
        style: Style::Lead(lead.class),
        width: Some(4.6),
    });
    // A screen is twisted aside.
    let is_screened = !matches!(lead.class, LeadClass::Dc | LeadClass::Ac | LeadClass::Mains);
    if is_screened {
        let points = vec![at(JACKET, y + 1.6), at(JACKET + 3.5, y + 4.2), at(JACKET + 9.0, y + 4.9)];
        items.push(Item::Path { points, closed: false, round: 2.0, style: Style::Wide, width: None });
    }
    let area = SheetRect { left: left + JACKET, top: y - 1.2, right: left + bare, bottom: y + 1.2 };
    items.push(Item::Rect { area, corner: 0.3, style: Style::Outline });
    items.push(Item::Line { from: at(bare, y), to: at(end, y), style: Style::Wide });
    let mut measured = |from: f64, to: f64, line: f64| {
        for x in [from, to] {
            items.push(Item::Line { from: at(x, y), to: at(x, line), style: Style::Hair });
        }
        items.push(Item::Line { from: at(from, line), to: at(to, line), style: Style::Narrow });
    };
    measured(JACKET, end, y - 4.4);
    measured(bare, end, y + 4.0);
    let figure = |what: &str, known: rig::Known<quantity::Length>| {
        format!("{what} {}", known.value.unwrap_or_default().figure_mm(0))
    };
    let jacket = figure("jacket", strip.jacket);
    items.push(put(at(JACKET + 0.5, y - 5.2), jacket, Anchor::Start, Weight::Bold, Style::Ink));
    let core = figure("core", strip.core);
    items.push(put(at(end, y + 4.0 + SMALL * 1.2), core, Anchor::End, Weight::Bold, Style::Ink));
    let is_assumed = strip.jacket.is_assumed() || strip.core.is_assumed();
    let words = if is_assumed { format!("strip {words}, assumed") } else { format!("strip {words}") };
    items.push(put(at(0.0, y - 5.2 - SMALL * 1.35), words, Anchor::Start, Weight::Regular, Style::Faint));
}

fn turned_words(turned: Clocking) -> String {
    match turned {
        Clocking::Turned(degrees) => format!("turned {degrees}°:"),
        Clocking::Free | Clocking::Open => "twist:".to_owned(),
    }
}

fn is_straight(end: &LeadEndAt) -> bool {
    end.plug.plug.as_ref().is_some_and(|plug| plug.angle == PlugAngle::Straight)
}

/// One end: a plug with its tip, or bare wires.
fn end(end: &LeadEndAt, right: bool, points: Points, items: &mut Vec<Item>) {
    let out = |mm: f64| if right { WIDE - EDGE - BODY + mm } else { EDGE + BODY - mm };
    if !end.has_plug() {
        for (far, rise) in [(7.0, -2.0), (5.0, 2.0)] {
            let (from, to) = (Point::new(out(0.0), CABLE), Point::new(out(far), CABLE + rise));
            items.push(Item::Line { from, to, style: Style::Wide });
        }
        return;
    }
    let (a, b) = (out(0.0), out(BODY));
    let area = SheetRect { left: a.min(b), top: CABLE - HALF, right: a.max(b), bottom: CABLE + HALF };
    items.push(Item::Rect { area, corner: 1.0, style: Style::Outline });
    let middle = Point::new(out(BODY / 2.0), CABLE);
    // A barrel, from the plug's body on.
    let tip = |from: Point, to: Point| {
        let (x, y) = if matches!(points, Points::Along) { (0.0, BARREL) } else { (BARREL, 0.0) };
        let area = SheetRect {
            left: from.x.min(to.x) - x,
            top: from.y.min(to.y) - y,
            right: from.x.max(to.x) + x,
            bottom: from.y.max(to.y) + y,
        };
        Item::Rect { area, corner: 0.9, style: Style::Outline }
    };
    match points {
        Points::Up => items.push(tip(middle.moved(0.0, -HALF), middle.moved(0.0, -HALF - TIP))),
        Points::Down => items.push(tip(middle.moved(0.0, HALF), middle.moved(0.0, HALF + TIP))),
        Points::Along => {
            let from = Point::new(out(BODY), CABLE);
            items.push(tip(from, Point::new(out(BODY + TIP), CABLE)));
        }
        Points::Out => {
            items.push(Item::Circle { centre: middle, radius: 2.2, style: Style::Hair });
            items.push(Item::Circle { centre: middle, radius: 1.0, style: Style::Mark });
        }
        Points::In => {
            items.push(Item::Circle { centre: middle, radius: 2.2, style: Style::Hair });
            items.push(Item::Text(centred(middle, "×", BENCH, Weight::Bold, Style::Ink)));
        }
    }
}
