//! A loom laid out straight, as it is tied on a board: the trunk with its leads side by side, where each joins it and
//! leaves it, and the tail of each to its port.
//!
//! Lengths along the trunk are to scale, and so are the figures of the ruler; tails are named and not drawn to length.

use design::Design;
use leads::{Loom, LoomLead};

use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Weight};
use crate::sketch::{Sketch, group, text};
use crate::style::Style;
use crate::text::{BENCH, clean, fit, width};
use crate::words;

/// Height of the row of one lead, in sizes of type.
const ROW: f64 = 1.75;
/// Room for the words at either side.
const SIDE: f64 = 62.0;
/// How far a lead bends away from the trunk where it leaves it.
const AWAY: f64 = 3.0;
/// Steps of the ruler to choose from, in true millimetres: the first that leaves room for its figures.
const STEPS: [f64; 5] = [20.0, 50.0, 100.0, 200.0, 500.0];

/// One loom, on a sheet of this width.
pub fn loom(design: &Design, loom: &Loom, width_mm: f64) -> Drawing {
    let mut sketch = Sketch::new();
    let (left, right) = (SIDE, width_mm - SIDE);
    let scale = (right - left) / loom.trunk_mm.max(1.0);
    let x = |along: f64| left + along.clamp(0.0, loom.trunk_mm) * scale;
    let row = BENCH * ROW;
    let top = BENCH * 1.2;
    #[expect(clippy::cast_precision_loss, reason = "a loom has some dozens of leads")]
    let middle = |index: usize| top + row * (index as f64 + 0.5);
    let foot = middle(loom.members.len()) - row * 0.5 + 1.0;
    sketch.push(Item::Rect {
        area: SheetRect { left, top: top - 1.0, right, bottom: foot },
        corner: 0.0,
        style: Style::Wash,
    });
    for (index, member) in loom.members.iter().enumerate() {
        lead(
            &mut sketch,
            design,
            loom,
            member,
            [x(member.on_trunk_mm[0]), x(member.on_trunk_mm[1])],
            middle(index),
            [left, right],
        );
    }
    ruler(&mut sketch, loom, x, foot);
    for corner in [Point::new(0.0, 0.0), Point::new(width_mm, foot + BENCH * 2.2)] {
        sketch.push(Item::Text(text(corner, "", 0.0, Anchor::Start, Weight::Regular, Style::Ink)));
    }
    sketch.finish("loom", format!("{} {}", words::LOOM, loom.number), Scale::one_to(1), 0.0)
}

/// One lead: its way along the trunk, and at either side where it comes from or goes to and how long its tail is.
fn lead(
    sketch: &mut Sketch,
    design: &Design,
    loom: &Loom,
    member: &LoomLead,
    at: [f64; 2],
    y: f64,
    [left, right]: [f64; 2],
) {
    let Some(lead) = design.lead_of(&member.id) else { return };
    // A leg goes from its own end to the joint.
    let leg = lead.leg_of(&member.id).filter(|_| lead.is_joined());
    let end_name = |end: Option<&design::LeadEndAt>| end.map(|end| end.port.to_string()).unwrap_or_default();
    let names = match leg {
        Some(leg) => [end_name(lead.ends.get(leg)), words::JOINT.to_owned()],
        None => [end_name(Some(lead.from())), end_name(Some(lead.to()))],
    };
    let [first, second] = names;
    let ends = [(first, member.tails_mm[0]), (second, member.tails_mm[1])];
    // Whichever way it runs, its left end stands at the left.
    let turned = at[1] < at[0];
    let (a, b) = if turned { (at[1], at[0]) } else { (at[0], at[1]) };
    let [one, other] = ends;
    let [first, second] = if turned { [other, one] } else { [one, other] };
    let away = BENCH * 0.5;
    let mut items = vec![Item::Path {
        points: vec![
            Point::new(a - AWAY, y - away),
            Point::new(a, y),
            Point::new(b.max(a + 0.5), y),
            Point::new(b.max(a + 0.5) + AWAY, y - away),
        ],
        closed: false,
        round: 1.5,
        style: Style::Lead(loom.class),
        width: Some(0.9),
    }];
    let base = y + BENCH * 0.36;
    let words_of = |(end, tail): (String, f64)| format!("{end}  {tail:.0}");
    let first = fit(&words_of(first), BENCH, Weight::Regular, SIDE - 2.0);
    let second = fit(&words_of(second), BENCH, Weight::Regular, SIDE - 2.0);
    items.push(Item::Text(text(
        Point::new(left - 4.5, base),
        first,
        BENCH,
        Anchor::End,
        Weight::Regular,
        Style::Ink,
    )));
    items.push(Item::Text(text(
        Point::new(right + 4.5, base),
        second,
        BENCH,
        Anchor::Start,
        Weight::Regular,
        Style::Ink,
    )));
    // Its number breaks its line where there is room, else it stands beside it.
    let tag = fit(&member.id, BENCH, Weight::Bold, 30.0);
    let wide = width(&tag, BENCH, Weight::Bold);
    let middle = if wide + 3.0 < b - a {
        f64::midpoint(a, b)
    } else if right - b > wide + AWAY + 3.0 {
        b + AWAY + 1.5 + wide / 2.0
    } else {
        a - AWAY - 1.5 - wide / 2.0
    };
    let mut label = text(Point::new(middle, base), tag, BENCH, Anchor::Middle, Weight::Bold, Style::Ink);
    label.halo = Some(Style::SheetGround);
    items.push(Item::Text(label));
    let title = clean(&format!("{}, {}", lead.tag, lead.route_words()));
    let mut group = group("loom", "lead", &lead.tag, title, items);
    group.lead = Some(lead.tag.clone());
    sketch.push(Item::Group(group));
}

/// True millimetres along the trunk.
fn ruler(sketch: &mut Sketch, loom: &Loom, x: impl Fn(f64) -> f64, y: f64) {
    let line = |from: Point, to: Point| Item::Line { from, to, style: Style::Dimension };
    sketch.push(line(Point::new(x(0.0), y), Point::new(x(loom.trunk_mm), y)));
    let room = width("0000", BENCH, Weight::Regular) + 3.0;
    let step = STEPS.into_iter().find(|step| room < x(*step) - x(0.0)).unwrap_or(1000.0);
    let mut at = 0.0;
    while at <= loom.trunk_mm + 1e-6 {
        sketch.push(line(Point::new(x(at), y), Point::new(x(at), y + 1.6)));
        let spot = Point::new(x(at), y + 1.6 + BENCH);
        sketch.push(Item::Text(text(
            spot,
            format!("{at:.0}"),
            BENCH,
            Anchor::Middle,
            Weight::Regular,
            Style::Faint,
        )));
        at += step;
    }
}
