//! Where a device is measured: a box from above and from its right side, each length with a letter.
//!
//! Not to scale: any box, to show where the tool goes.

use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Weight};
use crate::sketch::{Sketch, group, text};
use crate::style::Style;
use crate::text::{BENCH, SMALL};

/// Where to measure: A width, B depth, C height of the box, D knobs above it, E from the front edge to a jack, F from the base
/// to a jack, G nut to the end of the plug, H wall to the outer face of the nut.
pub fn measuring() -> Drawing {
    let mut sketch = Sketch::new();
    let mut items = Vec::new();
    let rect = |left, top, right, bottom, style| Item::Rect {
        area: SheetRect { left, top, right, bottom },
        corner: 1.0,
        style,
    };
    // From above: the body, a jack with its plug at the right.
    items.push(rect(0.0, 0.0, 30.0, 50.0, Style::Wide));
    items.push(Item::Circle { centre: Point::new(15.0, 40.0), radius: 3.5, style: Style::Switch });
    items.push(rect(30.0, 16.0, 32.5, 24.0, Style::Narrow));
    items.push(rect(32.5, 15.0, 44.0, 25.0, Style::Plug));
    // From the right: the same body, its knob, the nut of the jack.
    items.push(rect(80.0, 24.0, 130.0, 48.0, Style::Wide));
    items.push(rect(112.0, 17.0, 120.0, 24.0, Style::Narrow));
    items.push(Item::Circle { centre: Point::new(110.0, 38.0), radius: 4.0, style: Style::Narrow });
    let mut length = |letter: &str, from: Point, to: Point| {
        let across = (from.x - to.x).abs() < 0.1;
        let tick = |at: Point| {
            let (dx, dy) = if across { (1.5, 0.0) } else { (0.0, 1.5) };
            vec![at.moved(-dx, -dy), at.moved(dx, dy)]
        };
        for points in [vec![from, to], tick(from), tick(to)] {
            items.push(Item::Path {
                points,
                closed: false,
                round: 0.0,
                style: Style::Dimension,
                width: None,
            });
        }
        let middle = Point::new(f64::midpoint(from.x, to.x), f64::midpoint(from.y, to.y));
        let at = if across { middle.moved(3.0, BENCH * 0.35) } else { middle.moved(0.0, -1.2) };
        items.push(Item::Text(text(at, letter, BENCH, Anchor::Middle, Weight::Bold, Style::Ink)));
    };
    length("A", Point::new(0.0, 55.0), Point::new(30.0, 55.0));
    length("B", Point::new(-6.0, 0.0), Point::new(-6.0, 50.0));
    length("E", Point::new(50.0, 50.0), Point::new(50.0, 20.0));
    length("G", Point::new(32.5, 11.0), Point::new(44.0, 11.0));
    length("H", Point::new(30.0, 29.0), Point::new(32.5, 29.0));
    length("C", Point::new(136.0, 24.0), Point::new(136.0, 48.0));
    length("D", Point::new(124.0, 17.0), Point::new(124.0, 24.0));
    length("F", Point::new(100.0, 38.0), Point::new(100.0, 48.0));
    for (x, words) in [(15.0, "from above"), (105.0, "from the right side")] {
        let at = Point::new(x, 62.0);
        items.push(Item::Text(text(at, words, SMALL, Anchor::Middle, Weight::Regular, Style::Faint)));
    }
    let title = "where to measure a device".to_owned();
    sketch.push(Item::Group(group("measuring", "points", "all", title.clone(), items)));
    sketch.finish("measuring", title, Scale::one_to(1), 1.0)
}
