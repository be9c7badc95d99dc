//! Leads between plugs, their numbers, the tags of outlets, the names of panel jacks.

use design::{Lead, LeadEndAt};
use quantity::Length;
use rig::geometry::{BoxClass, Heading, Owner, plug_pose, port_direction, port_point, tag_pose};
use rig::{Device, Face, LeadClass, PlugAngle, PortRole, Role};

use super::course::seen_from_above;
use super::{View, step};
use crate::marks::{nearest, outlet_tag, outlet_tag_size, pointer};
use crate::model::{Anchor, Item, Point, SheetRect, Weight};
use crate::sketch::{LINE, Sketch, centred, group, label_size, text};
use crate::style::{Style, lead_width};
use crate::text::{SMALL, clean, fit, width};
use crate::way::{Block, Exit, Spot, Ways};

/// How far cable leaves a plug straight before it turns.
const LEAVE: f64 = 5.0;
/// The stub of a lead whose other end is not on the drawing.
const STUB: f64 = 9.0;
/// Radius of the corners of a lead.
const ROUND: f64 = 6.0;
/// Width of a lead where it runs below a deck, on the sheet.
const BELOW: f64 = 0.35;
/// What a label may cost at most that can as well be left out.
const CROWDED: f64 = 40.0;
/// The longest label of a lead or an outlet.
const LABEL: f64 = 24.0;

/// One end of a lead on the plan.
struct End {
    /// The plug's middle.
    dot: Spot,
    /// Where the cable turns from the jack's axis to the plug's exit; the same as `dot` for straight plugs.
    exit: Exit,
}

/// A lead with its way on the plan.
pub(super) struct Found<'a> {
    lead: &'a Lead,
    /// Its place in the design's list.
    index: usize,
    /// Its corners.
    way: Vec<Spot>,
    /// The same in pieces, with whether each lies below a deck; one piece where that is not known.
    pieces: Vec<(Vec<Spot>, bool)>,
    /// The plugs' middles: two, or one where the other end is not on the drawing.
    dots: Vec<Spot>,
    /// Whether it comes from under a deck.
    under: bool,
    /// Whether its bends are those of a course, and not only rounded for the eye.
    bent: bool,
    /// The leg of a lead with a joint, and where the joint's middle lies.
    leg: Option<(usize, Spot)>,
}

impl Found<'_> {
    /// Whether it is a lead of one of these numbers.
    pub(super) fn is_one_of(&self, tags: &[String]) -> bool {
        tags.contains(&self.lead.tag)
    }
}

/// Finds a way for every lead that has at least one end on the plan; undermost in drawing order first.
pub(super) fn find<'a>(view: &View<'a>) -> Vec<Found<'a>> {
    let mut ways = Ways::new(bodies(view), plug_blocks(view), deck_blocks(view));
    let design = view.design;
    let routes = design.is_laid().then(|| design.routes());
    // Signal finds its way first; what is drawn later lies above, so signal is drawn last.
    let mut order: Vec<(usize, &Lead)> = design.leads.iter().enumerate().collect();
    order.sort_by_key(|(index, lead)| (rank(lead.class), *index));
    let is_under =
        |end: &LeadEndAt| view.shown(&end.port.device).is_some_and(|shown| shown.hidden && !end.is_wired());
    let mut found = Vec::new();
    let mut stubs = Vec::new();
    for (index, lead) in order {
        if lead.is_joined() {
            legs(view, &mut ways, &mut found, index, lead);
            continue;
        }
        let under = is_under(lead.from()) || is_under(lead.to());
        match (end(view, lead.from()), end(view, lead.to())) {
            (Some(from), Some(to)) => {
                let course = routes.and_then(|routes| routes.way(&lead.tag));
                let mut way = vec![from.dot];
                let mut pieces = match course {
                    Some(course) => seen_from_above(&course.path, &course.radii, |at| is_below(view, at)),
                    None => vec![(ways.find(from.exit, to.exit), under)],
                };
                way.extend(pieces.iter().flat_map(|(spots, _)| spots.iter().copied()));
                way.push(to.dot);
                if course.is_some() {
                    ways.remember(&way);
                }
                if let Some((spots, _)) = pieces.first_mut() {
                    spots.insert(0, from.dot);
                }
                if let Some((spots, _)) = pieces.last_mut() {
                    spots.push(to.dot);
                }
                let pieces = pieces.into_iter().map(|(spots, below)| (tidy(spots), below)).collect();
                let (way, bent) = (tidy(way), course.is_some());
                found.push(Found {
                    lead,
                    index,
                    way,
                    pieces,
                    dots: vec![from.dot, to.dot],
                    under,
                    bent,
                    leg: None,
                });
            }
            (Some(here), None) | (None, Some(here)) => stubs.push((index, here, lead, under)),
            (None, None) => {}
        }
    }
    for (index, here, lead, under) in stubs {
        let (dx, dy) = here.exit.to.map_or((0.0, 1.0), |face| (step(face).0, -step(face).1));
        let away = (here.exit.at.0 + dx * STUB, here.exit.at.1 + dy * STUB);
        let way = tidy(vec![here.dot, here.exit.at, away]);
        ways.remember(&way);
        let pieces = vec![(way.clone(), under)];
        found.push(Found { lead, index, way, pieces, dots: vec![here.dot], under, bent: false, leg: None });
    }
    found.sort_by_key(|found| (std::cmp::Reverse(rank(found.lead.class)), found.index));
    found
}

/// The legs of a lead with a joint, each from its plug to the joint.
fn legs<'a>(view: &View<'a>, ways: &mut Ways, found: &mut Vec<Found<'a>>, index: usize, lead: &'a Lead) {
    let design = view.design;
    let routes = design.is_laid().then(|| design.routes());
    let ends: Vec<Option<End>> = lead.ends.iter().map(|here| end(view, here)).collect();
    let courses: Vec<Option<&leads::Laid>> =
        (0..lead.ends.len()).map(|leg| routes.and_then(|routes| routes.way(&lead.part(leg)))).collect();
    let joint = if let Some([x, y, _]) = routes.and_then(|routes| routes.joint_mm(lead)) {
        (x, y)
    } else {
        let exits: Vec<[f64; 2]> = ends.iter().flatten().map(|end| [end.exit.at.0, end.exit.at.1]).collect();
        if exits.len() < 2 {
            return;
        }
        let middle = |axis: usize| {
            let low = exits.iter().map(|at| at[axis]).fold(f64::INFINITY, f64::min);
            let high = exits.iter().map(|at| at[axis]).fold(f64::NEG_INFINITY, f64::max);
            f64::midpoint(low, high)
        };
        (middle(0), middle(1))
    };
    for (leg, (here, course)) in ends.into_iter().zip(courses).enumerate() {
        let Some(here) = here else { continue };
        let under = view
            .shown(&lead.ends[leg].port.device)
            .is_some_and(|shown| shown.hidden && !lead.ends[leg].is_wired());
        let mut pieces = match course {
            Some(course) => seen_from_above(&course.path, &course.radii, |at| is_below(view, at)),
            None => vec![(ways.find(here.exit, Exit { at: joint, to: None }), under)],
        };
        let mut way = vec![here.dot];
        way.extend(pieces.iter().flat_map(|(spots, _)| spots.iter().copied()));
        way.push(joint);
        if course.is_some() {
            ways.remember(&way);
        }
        if let Some((spots, _)) = pieces.first_mut() {
            spots.insert(0, here.dot);
        }
        if let Some((spots, _)) = pieces.last_mut() {
            spots.push(joint);
        }
        let pieces = pieces.into_iter().map(|(spots, below)| (tidy(spots), below)).collect();
        found.push(Found {
            lead,
            index,
            way: tidy(way),
            pieces,
            dots: vec![here.dot],
            under,
            bent: course.is_some(),
            leg: Some((leg, joint)),
        });
    }
}

/// Draws the leads that come from under a deck, or the others.
pub(super) fn draw(view: &View<'_>, sketch: &mut Sketch, found: &[Found<'_>], under: bool) {
    // The legs of a lead stand one after the other and are one thing to press.
    for legs in found.chunk_by(|a, b| a.index == b.index) {
        let items: Vec<Item> = legs.iter().flat_map(|leg| line(view, sketch, leg, under)).collect();
        if items.is_empty() {
            continue;
        }
        let lead = legs[0].lead;
        let title = clean(&format!("{} {}, {}", lead.tag, lead.class.word(), lead.route_words()));
        let kind = if under { "lead-below" } else { "lead" };
        let mut group = group("plan", kind, &lead.tag, title, items);
        group.lead = Some(lead.tag.clone());
        sketch.push(Item::Group(group));
    }
}

/// Writes outlets, names of panel jacks, and the numbers of leads.
pub(super) fn labels(view: &View<'_>, sketch: &mut Sketch, found: &[Found<'_>]) {
    outlet_tags(view, sketch);
    for found in found.iter().filter(|found| found.dots.len() == 1 && found.leg.is_none()) {
        stub_label(view, sketch, found);
    }
    panel_names(view, sketch);
    // A lead with a joint is named once, on the leg that the others branch from.
    let is_named = |found: &&Found<'_>| found.leg.is_none_or(|(leg, _)| leg == found.lead.trunk);
    for found in found.iter().filter(|found| found.dots.len() == 2 || found.leg.is_some()).filter(is_named) {
        number(view, sketch, &found.way, found.lead, found.index);
    }
}

/// Whether a place lies below a deck that is shown.
fn is_below(view: &View<'_>, [x, y, z]: [f64; 3]) -> bool {
    view.design.rig.board.decks.iter().filter(|deck| view.shows_deck(&deck.name)).any(|deck| {
        z < (deck.z - deck.thickness).as_mm()
            && deck.shape_on_board().iter().any(|rect| {
                rect.x.as_mm() < x
                    && x < rect.right().as_mm()
                    && rect.y.as_mm() < y
                    && y < rect.back().as_mm()
            })
    })
}

fn rank(class: LeadClass) -> u8 {
    match class {
        LeadClass::Signal => 0,
        LeadClass::Control => 1,
        LeadClass::Mains => 2,
        LeadClass::Ac => 3,
        LeadClass::Dc => 4,
    }
}

fn bodies(view: &View<'_>) -> Vec<Block> {
    view.shown
        .iter()
        .filter(|shown| !shown.hidden && shown.device.role != Role::Panel)
        .map(|shown| {
            let at = shown.at.at;
            Block {
                left: at.x.as_mm(),
                front: at.y.as_mm(),
                right: at.right().as_mm(),
                back: at.back().as_mm(),
            }
        })
        .collect()
}

fn deck_blocks(view: &View<'_>) -> Vec<Block> {
    let decks = view.design.rig.board.decks.iter().filter(|deck| view.shows_deck(&deck.name));
    decks
        .flat_map(rig::Deck::shape_on_board)
        .map(|rect| Block {
            left: rect.x.as_mm(),
            front: rect.y.as_mm(),
            right: rect.right().as_mm(),
            back: rect.back().as_mm(),
        })
        .collect()
}

fn plug_blocks(view: &View<'_>) -> Vec<Block> {
    view.design
        .solids
        .boxes
        .iter()
        .filter(|solid| solid.class == BoxClass::Plug)
        .filter(|solid| solid.owner.device().is_some_and(|tag| view.shown(tag).is_some()))
        .map(|solid| Block {
            left: solid.low[0].as_mm(),
            front: solid.low[1].as_mm(),
            right: solid.high[0].as_mm(),
            back: solid.high[1].as_mm(),
        })
        .collect()
}

/// Where an end of a lead lies, when its device is on the drawing.
fn end(view: &View<'_>, end: &LeadEndAt) -> Option<End> {
    let shown = view.shown(&end.port.device)?;
    let rig = &view.design.rig;
    let go = |(x, y): Spot, face: Face, by: f64| {
        let (dx, dy) = step(face);
        (x + dx * by, y - dy * by)
    };
    let spot = |at: [Length; 3]| (at[0].as_mm(), at[1].as_mm());
    if end.is_wired() {
        let tags = tag_pose(rig, shown.device, &end.port.port)?;
        let dot = go(spot(tags.inner), tags.inward, 3.0);
        return Some(End { dot, exit: Exit { at: go(dot, tags.inward, LEAVE), to: Some(tags.inward) } });
    }
    let pose = plug_pose(rig, shown.device, &end.port.port, &end.plug)?;
    if end.plug.plug.as_ref().map(|plug| plug.angle) == Some(PlugAngle::Angled) {
        let dot = spot(pose.turn);
        let exit = match pose.heading.and_then(Heading::face) {
            Some(side) => Exit { at: go(spot(pose.leaves), side, LEAVE), to: Some(side) },
            None => Exit { at: dot, to: None },
        };
        return Some(End { dot, exit });
    }
    let dot = go(spot(pose.wall), pose.looks, pose.reach.as_mm() * 0.5);
    Some(End { dot, exit: Exit { at: go(spot(pose.leaves), pose.looks, LEAVE), to: Some(pose.looks) } })
}

/// A way without doubled corners.
fn tidy(way: Vec<Spot>) -> Vec<Spot> {
    let mut out: Vec<Spot> = Vec::new();
    for spot in way {
        let near = |a: Spot, b: Spot| (a.0 - b.0).abs() < 1e-6 && (a.1 - b.1).abs() < 1e-6;
        if out.last().is_some_and(|last| near(*last, spot)) {
            continue;
        }
        if let [.., a, b] = out.as_slice() {
            let turn = (b.0 - a.0) * (spot.1 - b.1) - (b.1 - a.1) * (spot.0 - b.0);
            let on = (b.0 - a.0) * (spot.0 - b.0) + (b.1 - a.1) * (spot.1 - b.1);
            if turn.abs() < 1e-6 && on >= 0.0 {
                out.pop();
            }
        }
        out.push(spot);
    }
    out
}

/// The pieces of a lead that lie below a deck, or the others with the dots of its plugs.
fn line(view: &View<'_>, sketch: &mut Sketch, found: &Found<'_>, below: bool) -> Vec<Item> {
    let Found { lead, index, pieces, dots, under, bent, leg, .. } = found;
    let diameter = lead.cable.as_ref().and_then(|cable| cable.diameter.value).map(Length::as_mm);
    let diameter = diameter.filter(|mm| *mm > 0.0).unwrap_or_else(|| lead_width(lead.class)).min(30.0);
    // What runs below a deck is a hidden edge: narrow. Only a course knows where that is.
    let full = (diameter * view.k).max(0.3);
    let own = if below && *bent { full.min(BELOW) } else { full };
    let halo = own + 2.0 * (2.0 * view.k).max(0.25);
    let mut items = Vec::new();
    for (spots, _) in pieces.iter().filter(|(spots, piece)| *piece == below && 1 < spots.len()) {
        let points: Vec<Point> = spots.iter().map(|(x, y)| view.spot(*x, *y)).collect();
        for pair in points.windows(2) {
            sketch.soften_for(SheetRect::between(pair[0], pair[1]).grown(own / 2.0), LINE, *index);
        }
        for (style, width) in [(Style::LeadHalo(lead.class), halo), (Style::Lead(lead.class), own)] {
            items.push(Item::Path {
                points: points.clone(),
                closed: false,
                round: if *bent { 0.0 } else { ROUND * view.k },
                style,
                width: Some(width),
            });
        }
    }
    for dot in dots.iter().filter(|_| *under == below) {
        let radius = (if lead.class.is_supply() { 2.6 } else { 3.4 } * view.k).max(0.4);
        items.push(Item::Circle {
            centre: view.spot(dot.0, dot.1),
            radius,
            style: Style::LeadEnd(lead.class),
        });
    }
    if let Some((_, joint)) = leg
        && !items.is_empty()
    {
        let (long, high) = ((8.0 * view.k).max(1.6), (5.0 * view.k).max(1.0));
        let area = SheetRect::around(view.spot(joint.0, joint.1), long, high);
        items.push(Item::Rect { area, corner: high / 2.0, style: Style::LeadEnd(lead.class) });
    }
    items
}

/// The number of a lead, breaking its line where it hurts least. A DC lead is named by its outlet's tag and
/// gets a number only where there is plenty of room.
fn number(view: &View<'_>, sketch: &mut Sketch, way: &[Spot], lead: &Lead, index: usize) {
    let content = fit(&lead.tag, SMALL, Weight::Bold, LABEL);
    if content.is_empty() {
        return;
    }
    let (wide, high) = label_size(&content, Weight::Bold, 0.4);
    let points: Vec<Point> = way.iter().map(|(x, y)| view.spot(*x, *y)).collect();
    let mut pieces: Vec<(f64, Point, Point)> = points
        .windows(2)
        .map(|pair| ((pair[0].x - pair[1].x).abs() + (pair[0].y - pair[1].y).abs(), pair[0], pair[1]))
        .collect();
    pieces.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut spots = Vec::new();
    for (long, a, b) in &pieces {
        // A piece too short would vanish under its own number.
        let level = (a.y - b.y).abs() < (a.x - b.x).abs();
        if *long < if level { wide } else { high } + 2.4 {
            continue;
        }
        for part in [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8] {
            spots.push(Point::new(a.x + (b.x - a.x) * part, a.y + (b.y - a.y) * part));
        }
    }
    // Beside the line, where no piece of it is free.
    for off in [0.9, 2.2, 4.0, 6.5, 10.0] {
        for (_, a, b) in &pieces {
            let piece = SheetRect::between(*a, *b);
            let middle = piece.centre();
            spots.push(Point::new(middle.x, piece.top - high / 2.0 - off));
            spots.push(Point::new(middle.x, piece.bottom + high / 2.0 + off));
            spots.push(Point::new(piece.right + wide / 2.0 + off, middle.y));
            spots.push(Point::new(piece.left - wide / 2.0 - off, middle.y));
        }
    }
    let areas = spots.into_iter().map(|at| SheetRect::around(at, wide, high));
    let Some((area, cost)) = sketch.best_for(areas, Some(index)) else { return };
    if lead.class.is_supply() && (cost > 4.0 || pieces.first().is_none_or(|(long, ..)| *long < 12.0)) {
        return;
    }
    sketch.take(area);
    let nearest = points
        .windows(2)
        .map(|pair| nearest(&SheetRect::between(pair[0], pair[1]), area.centre()))
        .min_by(|a, b| apart(*a, area.centre()).total_cmp(&apart(*b, area.centre())));
    sketch.items.extend(nearest.and_then(|at| pointer(&area, at)));
    let mut label = centred(area.centre(), content, SMALL, Weight::Bold, Style::Ink);
    label.halo = Some(Style::PlateGround);
    sketch.push(Item::Text(label));
}

fn apart(a: Point, b: Point) -> f64 {
    (a.x - b.x).abs() + (a.y - b.y).abs()
}

/// Number and far end of a lead whose other end is not on the drawing: above, below or at the end of its stub.
fn stub_label(view: &View<'_>, sketch: &mut Sketch, found: &Found<'_>) {
    let Found { lead, way, under, .. } = found;
    let rig = &view.design.rig;
    let other = if view.shown(&lead.from().port.device).is_some() { lead.to() } else { lead.from() };
    let name = &other.port.device;
    let name = rig
        .source(name)
        .map(|source| &source.title)
        .or_else(|| rig.sink(name).map(|sink| &sink.title))
        .filter(|title| !title.is_empty())
        .unwrap_or(name);
    let tag = fit(&lead.tag, SMALL, Weight::Bold, LABEL);
    let name = fit(name, SMALL, Weight::Regular, LABEL);
    let space = SMALL * 0.3;
    let tag_wide = width(&tag, SMALL, Weight::Bold);
    let (wide, high) = (tag_wide + space + width(&name, SMALL, Weight::Regular) + 0.4, SMALL);
    let (Some(first), Some(last)) = (way.first(), way.last()) else { return };
    let (from, to) = (view.spot(first.0, first.1), view.spot(last.0, last.1));
    let piece = SheetRect::between(from, to);
    let end = if view.shown(&lead.from().port.device).is_some() { lead.from() } else { lead.to() };
    let foot = view
        .shown(&end.port.device)
        .and_then(|shown| port_point(rig, shown.device, &end.port.port))
        .map_or(from, |[x, y, _]| view.point(x, y));
    let mut spots = Vec::new();
    let side = if to.x < from.x { -1.0 } else { 1.0 };
    for off in [1.0, 2.4, 4.0, 6.0, 8.5] {
        let across = off + high / 2.0;
        if piece.width() >= piece.height() {
            // Beside the stub, from its foot outwards.
            let x = foot.x + side * (wide / 2.0 + 6.0 * view.k + 0.4);
            spots.push(Point::new(x, piece.top - across));
            spots.push(Point::new(x, piece.bottom + across));
            spots.push(Point::new(to.x + side * (wide / 2.0 + off), to.y));
        } else {
            let end = if to.y < from.y { piece.top - across } else { piece.bottom + across };
            spots.push(Point::new(to.x, end));
            spots.push(Point::new(to.x + wide / 2.0 + 1.0, end));
            spots.push(Point::new(to.x - wide / 2.0 - 1.0, end));
            spots.push(Point::new(piece.left - wide / 2.0 - off, piece.centre().y));
            spots.push(Point::new(piece.right + wide / 2.0 + off, piece.centre().y));
        }
    }
    let areas = spots.into_iter().map(|at| SheetRect::around(at, wide, high));
    let Some((area, cost)) = sketch.best(areas) else { return };
    // A stub hidden under bodies needs no name where there is no room for one.
    if *under && cost > CROWDED {
        return;
    }
    sketch.take(area);
    let at = Point::new(area.left + 0.2, area.centre().y + SMALL * 0.36);
    sketch.push(Item::Text(text(at, tag, SMALL, Anchor::Start, Weight::Bold, Style::Ink)));
    let at = at.moved(tag_wide + space, 0.0);
    sketch.push(Item::Text(text(at, name, SMALL, Anchor::Start, Weight::Regular, Style::Faint)));
}

/// The names of panel jacks, beside their tabs.
pub(super) fn panel_names(view: &View<'_>, sketch: &mut Sketch) {
    for shown in view.shown.iter().filter(|shown| shown.device.role == Role::Panel) {
        for port in &shown.device.ports {
            let (Some([x, y, _]), Some(face)) = (
                port_point(&view.design.rig, shown.device, &port.name),
                port_direction(shown.device, &port.name),
            ) else {
                continue;
            };
            let content = fit(&port.printed(), SMALL, Weight::Regular, LABEL);
            if content.is_empty() {
                continue;
            }
            let at = view.point(x, y);
            let (wide, high) = (width(&content, SMALL, Weight::Regular) + 0.4, SMALL + 0.2);
            let (dx, dy) = step(face);
            let mut spots = Vec::new();
            let thick = match face {
                Face::Left | Face::Right => view.mm(shown.at.at.width),
                Face::Front | Face::Back => view.mm(shown.at.at.depth),
            };
            // Beside its plug outside, or on the board behind the panel.
            let inside = -thick - 0.8 - (dx * wide).abs() - (dy * high).abs();
            for out in [1.6, inside, 3.4, 6.0, inside - 3.0] {
                for side in [0.0, 1.0, -1.0, 1.7, -1.7] {
                    let (along, across) = (out + (dx * wide).abs() / 2.0 + (dy * high).abs() / 2.0, side);
                    let off = across * ((dy * wide).abs() / 2.0 + (dx * high).abs() / 2.0 + 1.6);
                    spots.push(at.moved(dx * along - dy * off, dy * along + dx * off));
                }
            }
            if let Some((area, _)) =
                sketch.best(spots.into_iter().map(|at| SheetRect::around(at, wide, high)))
            {
                sketch.take(area);
                let mut label = centred(area.centre(), content, SMALL, Weight::Regular, Style::Faint);
                label.halo = Some(Style::SheetGround);
                sketch.push(Item::Text(label));
            }
        }
    }
}

/// The tag of the outlet at each inlet that is fed.
fn outlet_tags(view: &View<'_>, sketch: &mut Sketch) {
    for shown in view.shown.iter().filter(|shown| !shown.hidden) {
        let Some(feed) = &shown.device.feed else { continue };
        let Some(inlet) = inlet(shown.device) else { continue };
        let (Some([x, y, _]), Some(face)) =
            (port_point(&view.design.rig, shown.device, inlet), port_direction(shown.device, inlet))
        else {
            continue;
        };
        let names: Vec<String> = feed.outlets.iter().map(ToString::to_string).collect();
        let class = feed
            .outlets
            .first()
            .and_then(|outlet| view.design.leads.iter().find(|lead| lead.from().port == *outlet))
            .map_or(LeadClass::Dc, |lead| lead.class);
        let content = fit(&names.join(" + "), SMALL, Weight::Bold, LABEL);
        if content.is_empty() {
            continue;
        }
        let (wide, high) = outlet_tag_size(&content);
        let at = view.point(x, y);
        let reach = plug_reach(view, &shown.device.tag, inlet);
        let (dx, dy) = step(face);
        let half = (dx * wide).abs() / 2.0 + (dy * high).abs() / 2.0;
        let aside = (dy * wide).abs() / 2.0 + (dx * high).abs() / 2.0;
        let mut spots = Vec::new();
        for out in [reach + 0.8, reach + 2.4, reach + 4.5, reach * 0.5 - half, reach + 7.0] {
            for side in [0.0, 1.0, -1.0, 0.5, -0.5, 1.8, -1.8] {
                let off = side * (aside + 1.6);
                spots.push(at.moved(dx * (out + half) - dy * off, dy * (out + half) + dx * off));
            }
        }
        if let Some((area, _)) = sketch.best(spots.into_iter().map(|at| SheetRect::around(at, wide, high))) {
            sketch.take(area);
            // From the end of the plug, not through it.
            sketch.items.extend(pointer(&area, at.moved(dx * reach, dy * reach)));
            sketch.items.extend(outlet_tag(area.centre(), &content, class));
        }
    }
}

fn inlet(device: &Device) -> Option<&str> {
    device.ports.iter().find(|port| port.role.value == Some(PortRole::Power)).map(|port| port.name.as_str())
}

/// How far the plug of a port stands out, on the sheet.
fn plug_reach(view: &View<'_>, tag: &str, port: &str) -> f64 {
    view.design
        .solids
        .boxes
        .iter()
        .filter(|solid| solid.class == BoxClass::Plug)
        .filter(
            |solid| matches!(&solid.owner, Owner::Port { port: p, .. } if p.device == tag && p.port == port),
        )
        .map(|solid| {
            let area = view.solid_area(solid);
            area.width().min(area.height())
        })
        .fold(6.0 * view.k, f64::max)
}
