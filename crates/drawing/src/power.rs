//! The power map of one brick: its outlets, what hangs on each, and how much of it is taken.

use design::{Design, OutletLoad, outlet_words};
use rig::{Device, Feed, FeedKind, LeadClass, Nature, Outlet, PortRef, Sign};

use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Weight};
use crate::path::caption;
use crate::sketch::{Sketch, centred, group, text};
use crate::style::Style;
use crate::text::{BENCH, SMALL, TAG, clean, fit};
use crate::words;

/// Height of a row.
const ROW: f64 = 13.4;
/// Half the height of a device's box: two lines of bench type.
const HALF: f64 = 6.1;
/// Room for the brick's name and its lower edge.
const HEAD: f64 = 12.0;
/// Width of the brick.
const BRICK: f64 = 50.0;
/// Where a device's box begins, and how wide it is, as parts of the width.
const DEVICE: (f64, f64) = (0.40, 0.28);
/// Where the bar begins.
const BAR: f64 = 0.71;

/// One brick with its outlets from top to bottom.
pub fn power(design: &Design, brick: &Device, width_mm: f64) -> Drawing {
    let all: Vec<&Outlet> = brick.outlets.iter().collect();
    part(design, brick, &all, width_mm)
}

/// The same in as many pieces as it takes to keep each within a height, for pages that break between outlets.
pub fn power_parts(design: &Design, brick: &Device, width_mm: f64, height_mm: f64) -> Vec<Drawing> {
    let mut parts: Vec<Vec<&Outlet>> = vec![Vec::new()];
    let mut used = 0.0;
    for outlet in &brick.outlets {
        let high = height(design, brick, outlet);
        let full = height_mm - HEAD < used + high;
        match parts.last_mut() {
            Some(part) if !full || part.is_empty() => {
                part.push(outlet);
                used += high;
            }
            _ => {
                parts.push(vec![outlet]);
                used = high;
            }
        }
    }
    parts.iter().map(|outlets| part(design, brick, outlets, width_mm)).collect()
}

/// The height of an outlet with everything that hangs on it.
fn height(design: &Design, brick: &Device, outlet: &Outlet) -> f64 {
    let port = PortRef::new(&brick.tag, &outlet.name);
    let load = design.outlets.iter().find(|load| load.outlet == port);
    ROW * f64::from(u32::try_from(load.map_or(1, |load| load.devices.len().max(1))).unwrap_or(1))
}

fn part(design: &Design, brick: &Device, outlets: &[&Outlet], width_mm: f64) -> Drawing {
    let mut sketch = Sketch::new();
    let mut y = 0.0;
    let mut rows = Vec::new();
    for outlet in outlets {
        let port = PortRef::new(&brick.tag, &outlet.name);
        let load = design.outlets.iter().find(|load| load.outlet == port);
        rows.push((*outlet, port, load, y));
        y += height(design, brick, outlet);
    }
    let body = SheetRect { left: 0.0, top: -8.0, right: BRICK, bottom: y + 1.5 };
    sketch.push(Item::Rect { area: body, corner: 2.0, style: Style::Outline });
    let tag = fit(&brick.tag, TAG, Weight::Bold, BRICK / 2.0 - 2.0);
    sketch.push(Item::Text(text(
        Point::new(3.0, -2.6),
        tag.clone(),
        TAG,
        Anchor::Start,
        Weight::Bold,
        Style::Ink,
    )));
    let used = crate::text::width(&tag, TAG, Weight::Bold) + 5.0;
    let title = fit(&brick.title, BENCH, Weight::Regular, BRICK - used - 1.5);
    sketch.push(Item::Text(text(
        Point::new(used, -2.6),
        title,
        BENCH,
        Anchor::Start,
        Weight::Regular,
        Style::Faint,
    )));
    let mut above: Option<(&str, f64)> = None;
    for (outlet, port, load, y) in rows {
        let row = Row { design, brick, outlet, port, load, width: width_mm };
        let alone = load.and_then(|load| match load.devices.as_slice() {
            [tag] => Some(tag.as_str()),
            _ => None,
        });
        // The second outlet of a pair feeds the device that the row above drew: one box, one lead, two legs.
        let met = above.filter(|(tag, _)| alone == Some(*tag) && row.is_pair(tag)).map(|(_, y)| y);
        row.draw(&mut sketch, y, met);
        above = alone.map(|tag| (tag, met.unwrap_or(y + ROW / 2.0)));
    }
    // The sheet is as wide as it was asked for.
    let edge = text(Point::new(width_mm, 0.0), "", SMALL, Anchor::Start, Weight::Regular, Style::Ink);
    sketch.push(Item::Text(edge));
    sketch.finish("power", clean(&format!("{} {}", brick.tag, brick.title)), Scale::one_to(1), 0.5)
}

struct Row<'a> {
    design: &'a Design,
    brick: &'a Device,
    outlet: &'a Outlet,
    port: PortRef,
    load: Option<&'a OutletLoad>,
    width: f64,
}

/// From a device's box back to the joint of its pair.
const JOINT: f64 = 6.0;

impl Row<'_> {
    /// Whether a device is fed by a pair, this outlet one of it.
    fn is_pair(&self, tag: &str) -> bool {
        let feed = self.design.rig.device(tag).and_then(|device| device.feed.as_ref());
        feed.is_some_and(|feed| matches!(feed.kind, FeedKind::SeriesPair | FeedKind::ParallelPair))
    }

    /// The leg of a joined lead from this outlet up to where it meets the other.
    fn leg(&self, items: &mut Vec<Item>, class: LeadClass, from: Point, to_y: f64, tag: &str) {
        let joint = Point::new(self.width * DEVICE.0 - JOINT, to_y);
        items.push(Item::Path {
            points: vec![from, Point::new(joint.x, from.y), joint],
            closed: false,
            round: 1.5,
            style: Style::Lead(class),
            width: Some(0.7),
        });
        items.push(Item::Circle { centre: joint, radius: 1.1, style: Style::Mark });
        self.number(items, Point::new(f64::midpoint(from.x + 6.0, joint.x), from.y), tag);
    }

    /// The number of the lead from this outlet to a device, with the letter of its leg where it has a joint.
    fn number(&self, items: &mut Vec<Item>, at: Point, tag: &str) {
        let lead = self.design.leads.iter().find(|lead| {
            lead.run.is_none() && lead.flows.iter().any(|(from, to)| *from == self.port && to.device == tag)
        });
        let Some(lead) = lead else { return };
        // The leg that is here and nowhere else: of a splitter the device's, else the outlet's.
        let is_here = |end: &design::LeadEndAt| {
            if lead.shape == rig::LeadShape::Splitter {
                end.port.device == tag
            } else {
                end.port == self.port
            }
        };
        let leg = lead.ends.iter().position(is_here);
        let name = leg.map_or_else(|| lead.tag.clone(), |leg| lead.part(leg));
        let mut number = centred(at, fit(&name, BENCH, Weight::Bold, 18.0), BENCH, Weight::Bold, Style::Ink);
        number.halo = Some(Style::SheetGround);
        items.push(Item::Text(number));
    }

    fn draw(&self, sketch: &mut Sketch, top: f64, met: Option<f64>) {
        let middle = top + ROW / 2.0;
        let mut items = Vec::new();
        let class = if self.outlet.nature.value == Some(Nature::Ac) { LeadClass::Ac } else { LeadClass::Dc };
        let socket = SheetRect { left: BRICK - 10.0, top: middle - 3.8, right: BRICK, bottom: middle + 3.8 };
        items.push(Item::Rect { area: socket, corner: 0.8, style: Style::Tab });
        let name = fit(&self.outlet.name, BENCH, Weight::Bold, 9.0);
        items.push(Item::Text(centred(socket.centre(), name, BENCH, Weight::Bold, Style::Ink)));
        let set = outlet_words(self.brick, self.outlet);
        let at = Point::new(BRICK - 12.0, middle + BENCH * 0.36);
        items.push(Item::Text(text(at, set, BENCH, Anchor::End, Weight::Regular, Style::Ink)));
        if class == LeadClass::Dc && !self.brick.is_sign_settled(self.outlet) {
            items.extend(polarity(Point::new(7.5, middle), self.outlet.sign.value));
        }
        let Some(load) = self.load else {
            let at = Point::new(BRICK + 4.0, middle + BENCH * 0.36);
            items.push(Item::Text(text(
                at,
                words::SPARE_OUTLET,
                BENCH,
                Anchor::Start,
                Weight::Regular,
                Style::Faint,
            )));
            self.finish(sketch, items);
            return;
        };
        let socket_at = Point::new(BRICK, middle);
        if let (Some(to_y), [tag]) = (met, load.devices.as_slice()) {
            self.leg(&mut items, class, socket_at, to_y, tag);
            self.bar(&mut items, load, middle);
            self.finish(sketch, items);
            return;
        }
        for (index, tag) in load.devices.iter().enumerate() {
            let y = middle + ROW * f64::from(u32::try_from(index).unwrap_or(0));
            self.device(&mut items, class, socket_at, y, tag);
        }
        self.bar(&mut items, load, middle);
        self.finish(sketch, items);
    }

    fn finish(&self, sketch: &mut Sketch, items: Vec<Item>) {
        let name = self.port.to_string();
        sketch.push(Item::Group(group("power", "outlet", &name, clean(&name), items)));
    }

    fn device(&self, items: &mut Vec<Item>, class: LeadClass, from: Point, y: f64, tag: &str) {
        let left = self.width * DEVICE.0;
        let to = Point::new(left, y);
        let bend = from.x + 6.0;
        let points = if (from.y - y).abs() < 0.01 {
            vec![from, to]
        } else {
            vec![from, Point::new(bend, from.y), Point::new(bend, y), to]
        };
        items.push(Item::Path {
            points,
            closed: false,
            round: 1.5,
            style: Style::Lead(class),
            width: Some(0.7),
        });
        let rig = &self.design.rig;
        let device = rig.device(tag);
        // A pair's words and number keep clear of where its legs meet.
        let end = if self.is_pair(tag) { left - JOINT } else { left };
        self.number(items, Point::new(f64::midpoint(bend, end), y), tag);
        if let Some(feed) = device.and_then(|device| device.feed.as_ref()) {
            let words = feed_words(feed, &self.port);
            if !words.is_empty() {
                let at = Point::new(f64::midpoint(bend, end), y + BENCH * 1.2);
                items.push(caption(at, &fit(&words, BENCH, Weight::Regular, end - bend - 1.0)));
            }
        }
        let area = SheetRect { left, top: y - HALF, right: left + self.width * DEVICE.1, bottom: y + HALF };
        items.push(Item::Rect { area, corner: 1.0, style: Style::Outline });
        let tag = fit(tag, BENCH, Weight::Bold, 18.0);
        let used = crate::text::width(&tag, BENCH, Weight::Bold) + 3.5;
        items.push(Item::Text(text(
            Point::new(area.left + 1.5, y - 1.1),
            tag,
            BENCH,
            Anchor::Start,
            Weight::Bold,
            Style::Ink,
        )));
        let title = device.map(|device| device.title.as_str()).unwrap_or_default();
        let title = fit(title, BENCH, Weight::Regular, area.width() - used - 1.0);
        items.push(Item::Text(text(
            Point::new(area.left + used, y - 1.1),
            title,
            BENCH,
            Anchor::Start,
            Weight::Regular,
            Style::Faint,
        )));
        let wants = fit(&wants(device), BENCH, Weight::Regular, area.width() - 3.0);
        items.push(Item::Text(text(
            Point::new(area.left + 1.5, y + 4.4),
            wants,
            BENCH,
            Anchor::Start,
            Weight::Regular,
            Style::Ink,
        )));
    }

    /// How much of the outlet is taken: a bar, and both figures.
    fn bar(&self, items: &mut Vec<Item>, load: &OutletLoad, y: f64) {
        let left = self.width * BAR;
        let long = self.width - left - 42.0;
        let whole = SheetRect { left, top: y - 1.8, right: left + long, bottom: y + 1.8 };
        let figure = |value: Option<quantity::Milliamps>| {
            value.map_or_else(|| "?".to_owned(), |value| format!("{:.0}", value.get()))
        };
        if let (Some(taken), Some(limit)) = (load.load.value, load.limit.value) {
            let part = (taken / limit).clamp(0.0, 1.0);
            let over = limit < taken;
            let area = SheetRect { right: left + long * part, ..whole };
            items.push(Item::Rect {
                area,
                corner: 0.0,
                style: if over { Style::SeverityShape(finding::Severity::Stop) } else { Style::Mark },
            });
        }
        items.push(Item::Rect { area: whole, corner: 0.0, style: Style::Narrow });
        let mark = if load.load.is_assumed() { words::ASSUMED_MARK } else { "" };
        let over = load.load.value.zip(load.limit.value).is_some_and(|(taken, limit)| limit < taken);
        let (word, weight) = if over { (words::OVER, Weight::Bold) } else { ("", Weight::Regular) };
        let content = format!("{word}{}{mark} / {} mA", figure(load.load.value), figure(load.limit.value));
        let at = Point::new(self.width - 0.5, y + BENCH * 0.36);
        items.push(Item::Text(text(at, content, BENCH, Anchor::End, weight, Style::Ink)));
    }
}

/// What is special about a feed, in few words.
fn feed_words(feed: &Feed, here: &PortRef) -> String {
    let others: Vec<String> =
        feed.outlets.iter().filter(|outlet| *outlet != here).map(|outlet| outlet.port.clone()).collect();
    let mut out = Vec::new();
    match feed.kind {
        FeedKind::SeriesPair => out.push(format!("{} {}", words::SERIES, others.join(", "))),
        FeedKind::ParallelPair => out.push(format!("{} {}", words::PARALLEL, others.join(", "))),
        FeedKind::Single | FeedKind::Adaptor => {}
    }
    if feed.crossing {
        out.push(words::CROSSING.to_owned());
    }
    if let Some(adaptor) = &feed.barrel_adaptor {
        out.push(format!("{} {}", words::BARREL, adaptor.id));
    }
    out.join(", ")
}

/// What a device wants.
fn wants(device: Option<&Device>) -> String {
    let Some(power) = device.map(|device| &device.power) else { return String::new() };
    let volts = power.volts.value.map_or_else(|| "? V".to_owned(), |window| window.to_string());
    let sign = match (power.nature.value, power.sign.value) {
        (Some(Nature::Ac), _) => "AC",
        (_, Some(Sign::CentreNegative)) => "c−",
        (_, Some(Sign::CentrePositive)) => "c+",
        (_, None) => "c?",
    };
    format!("{} {volts} {sign}", words::WANTS)
}

/// The sign of a barrel: minus, ring with its centre, plus (after IEC 60417-5926).
fn polarity(at: Point, sign: Option<Sign>) -> Vec<Item> {
    let (left, right) = match sign {
        Some(Sign::CentreNegative) => ("+", "−"),
        Some(Sign::CentrePositive) => ("−", "+"),
        None => ("?", "?"),
    };
    // The ring is the sleeve, the dot the centre; the line from the dot goes to the centre's sign.
    vec![
        Item::Line { from: at.moved(-4.0, 0.0), to: at.moved(-1.7, 0.0), style: Style::Narrow },
        Item::Line { from: at, to: at.moved(4.0, 0.0), style: Style::Narrow },
        Item::Circle { centre: at, radius: 1.7, style: Style::Narrow },
        Item::Circle { centre: at, radius: 0.6, style: Style::Mark },
        Item::Circle { centre: at.moved(-5.3, 0.0), radius: 1.3, style: Style::Tab },
        Item::Circle { centre: at.moved(5.3, 0.0), radius: 1.3, style: Style::Tab },
        Item::Text(centred(at.moved(-5.3, 0.0), left, SMALL, Weight::Bold, Style::Ink)),
        Item::Text(centred(at.moved(5.3, 0.0), right, SMALL, Weight::Bold, Style::Ink)),
    ]
}
