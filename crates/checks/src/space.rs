//! Boxes grouped by what they belong to, outlines, and moves that cure.

use std::collections::BTreeSet;

use design::Design;
use finding::{Change, Edit, Field};
use quantity::Length;
use rig::geometry::{BoxClass, Conflict, Owner, Solid, conflicts_between, is_covered, solids_of};
use rig::{Device, FLOOR, PortRef, Rect, Rig, Role};

/// Whether the device stands on the board, so that board, case and lid concern it.
pub(crate) fn is_on_board(device: &Device) -> bool {
    !device.outside && device.place.as_ref().is_some_and(|place| place.deck != FLOOR)
}

/// The ports whose lead goes to something outside the board: it is pulled out before the board travels.
pub(crate) fn outward_ports(design: &Design) -> BTreeSet<PortRef> {
    let rig = &design.rig;
    design
        .ends
        .iter()
        .filter(|end| {
            end.other.port.is_empty()
                || rig.device(&end.other.device).is_some_and(|other| !is_on_board(other))
        })
        .filter(|end| !end.inner)
        .map(|end| end.port.clone())
        .collect()
}

/// The panel jacks that look outward: their plugs are meant to stand out of the board while it plays.
///
/// A plug that the client puts straight into a device is another matter: it is kicked where it stands out.
pub(crate) fn outward_panel_ports(design: &Design) -> BTreeSet<PortRef> {
    let is_panel =
        |port: &PortRef| design.rig.device(&port.device).is_some_and(|device| device.role == Role::Panel);
    outward_ports(design).into_iter().filter(is_panel).collect()
}

/// What a box is, for messages: `plug of A1.OUT`, `body of A2`.
pub(crate) fn box_words(rig: &Rig, solid: &Solid) -> String {
    let treadle = |tag: &str| rig.device(tag).is_some_and(|device| device.treadle.is_some());
    match (&solid.owner, solid.class) {
        (Owner::Device(tag), BoxClass::Knobs) => {
            format!("{} of {tag}", if treadle(tag) { "treadle" } else { "knob" })
        }
        (Owner::Board { deck, part }, BoxClass::Sheet) if part == "sheet" => {
            format!("the sheet of deck {deck}")
        }
        (Owner::Board { deck, part }, class) => format!("{} {part} of deck {deck}", class.word()),
        (Owner::Port { port, .. }, BoxClass::Behind) => format!("jack behind {port}"),
        (owner, class) => format!("{} of {owner}", class.word()),
    }
}

/// The fields of assumed values that a box rests on.
pub(crate) fn assumed_of(design: &Design, solid: &Solid) -> Vec<Field> {
    let Some(device) = solid.owner.device().and_then(|tag| design.rig.device(tag)) else { return Vec::new() };
    let mut fields = Vec::new();
    if device.size.is_assumed() {
        fields.push(Field::device(&device.tag, "size"));
    }
    match (&solid.owner, solid.class) {
        (_, BoxClass::Knobs) => match device.treadle {
            Some(treadle) if treadle.is_assumed() || treadle.is_unknown() => {
                fields.push(Field::device(&device.tag, "treadle"));
            }
            None if device.knobs.is_assumed() || device.knobs.is_unknown() => {
                fields.push(Field::device(&device.tag, "knobs"));
            }
            _ => {}
        },
        (Owner::Port { port, .. }, _) => {
            if let Some(jack) = device.port(&port.port) {
                for (known, key) in [(jack.offset, "offset"), (jack.height, "height")] {
                    if known.is_assumed() {
                        fields.push(crate::asked::port_field(port, key));
                    }
                }
            }
            if solid.assumed && matches!(solid.class, BoxClass::Plug | BoxClass::Bend) {
                let plug =
                    design.ends.iter().find(|end| end.port == *port).and_then(|end| end.plug.plug.as_ref());
                let plug = plug.filter(|plug| plug.depth.is_assumed() || plug.width.is_assumed());
                fields.extend(plug.map(|plug| Field::of("plug", &plug.id, "depth")));
            }
        }
        _ => {}
    }
    fields
}

/// What stands above a device's body when nobody measured it: the field that is unknown.
///
/// Bricks, panels and strips have nothing above their bodies unless it is stated.
pub(crate) fn unknown_top(device: &Device) -> Option<Field> {
    match device.treadle {
        Some(treadle) => treadle.is_unknown().then(|| Field::device(&device.tag, "treadle")),
        None if matches!(device.role, Role::Brick | Role::Panel | Role::Strip) => None,
        None => device.knobs.is_unknown().then(|| Field::device(&device.tag, "knobs")),
    }
}

/// The boxes of one device, its plugs among them.
pub(crate) fn boxes_of<'a>(design: &'a Design, tag: &'a str) -> impl Iterator<Item = &'a Solid> {
    design.solids.boxes.iter().filter(move |solid| solid.owner.device() == Some(tag))
}

/// The port of a box that belongs to one.
pub(crate) fn port_of(solid: &Solid) -> Option<&PortRef> {
    match &solid.owner {
        Owner::Port { port, .. } => Some(port),
        _ => None,
    }
}

/// The body of a placed device.
pub(crate) fn body_of<'a>(design: &'a Design, tag: &'a str) -> Option<&'a Solid> {
    boxes_of(design, tag).find(|solid| solid.class == BoxClass::Body)
}

/// A box seen from above.
pub(crate) fn plan(solid: &Solid) -> Rect {
    Rect {
        x: solid.low[0],
        y: solid.low[1],
        width: solid.high[0] - solid.low[0],
        depth: solid.high[1] - solid.low[1],
    }
}

/// The air between two boxes, in millimetres along the straight line; zero when they meet.
pub(crate) fn air(a: &Solid, b: &Solid) -> f64 {
    let square: f64 = (0..3)
        .map(|axis| (a.low[axis] - b.high[axis]).max(b.low[axis] - a.high[axis]).max(Length::ZERO).as_mm())
        .map(|apart| apart * apart)
        .sum();
    square.sqrt()
}

/// The outlines of all decks seen from above, in the board's frame.
pub(crate) fn outline(rig: &Rig) -> Vec<Rect> {
    rig.board.decks.iter().flat_map(rig::Deck::shape_on_board).collect()
}

fn grown(rect: &Rect, by: Length) -> Rect {
    Rect { x: rect.x - by, y: rect.y - by, width: rect.width + by * 2, depth: rect.depth + by * 2 }
}

/// How much room a rectangle leaves to the edge of the outline, negative when it stands out.
pub(crate) fn room_to_edge(outline: &[Rect], rect: &Rect) -> Length {
    // Wider than any board by far: 16 m.
    const FAR: i64 = 1 << 34;
    let fits = |by: i64| has_room(outline, rect, Length::from_nm(by));
    let (mut yes, mut no) = (-FAR, FAR);
    if !fits(yes) {
        return Length::from_nm(-FAR);
    }
    while 1 < no - yes {
        let middle = yes + (no - yes) / 2;
        if fits(middle) { yes = middle } else { no = middle }
    }
    Length::from_nm(yes)
}

/// More conflicts than this are not cured one by one.
const MOST_CURED: usize = 12;

/// The devices of a conflict and its classes, for comparing two lists of conflicts.
fn key(boxes: &[Solid], conflict: &Conflict) -> (Owner, Owner) {
    ordered(&boxes[conflict.of].owner, &boxes[conflict.from].owner)
}

fn ordered(a: &Owner, b: &Owner) -> (Owner, Owner) {
    if a <= b { (a.clone(), b.clone()) } else { (b.clone(), a.clone()) }
}

/// A move of a device that ends what is wrong between these pairs and brings no new conflict.
///
/// `shifts` are the moves to try: tag, along x, along y. The shortest that cures is taken.
pub(crate) fn moving_cure(
    design: &Design,
    between: &[(&str, &str)],
    shifts: &[(String, Length, Length)],
) -> Option<Edit> {
    if MOST_CURED < design.conflicts.len() {
        return None;
    }
    let old: BTreeSet<_> = design.conflicts.iter().map(|c| key(&design.solids.boxes, c)).collect();
    let outline = outline(&design.rig);
    let mut shifts: Vec<_> = shifts.to_vec();
    shifts.sort_by_key(|(tag, dx, dy)| (dx.abs() + dy.abs(), tag.clone(), *dx, *dy));
    let outward = outward_panel_ports(design);
    let mut moved = design.rig.clone();
    for (tag, dx, dy) in shifts {
        let Some(home) = shift(&mut moved, &tag, (dx, dy)) else { continue };
        let mine = solids_of(&moved, &design.limits, &tag, &design.ends);
        shift(&mut moved, &tag, (-dx, -dy));
        // Everything else stands where it stood, so only pairs with the moved device can be new.
        let others: Vec<Solid> = design
            .solids
            .boxes
            .iter()
            .filter(|solid| solid.owner.device() != Some(tag.as_str()))
            .cloned()
            .collect();
        let is_between = |pair: &(Owner, Owner)| {
            let names = (pair.0.device().unwrap_or_default(), pair.1.device().unwrap_or_default());
            between.iter().any(|pair| names == *pair || (names.1, names.0) == *pair)
        };
        let is_clear = conflicts_between(&mine, &others, &design.limits).iter().all(|conflict| {
            let pair = ordered(&mine[conflict.of].owner, &others[conflict.from].owner);
            old.contains(&pair) && !is_between(&pair)
        });
        let is_inside = || {
            mine.iter()
                .filter(|solid| solid.class != BoxClass::Service)
                .filter(|solid| port_of(solid).is_none_or(|port| !outward.contains(port)))
                .all(|solid| has_room(&outline, &plan(solid), design.limits.board_edge_stop))
        };
        if is_clear && is_inside() {
            return Some(move_edit(&tag, (dx, home.0 + dx), (dy, home.1 + dy)));
        }
    }
    None
}

/// Moves a device that may be moved; gives where it stood.
fn shift(rig: &mut Rig, tag: &str, (dx, dy): (Length, Length)) -> Option<(Length, Length)> {
    let device = rig.devices.iter_mut().find(|device| device.tag == tag)?;
    let place = device.place.as_mut().filter(|place| !place.locked)?;
    let home = (place.x, place.y);
    place.x += dx;
    place.y += dy;
    Some(home)
}

fn move_edit(tag: &str, (dx, x): (Length, Length), (dy, y): (Length, Length)) -> Edit {
    let (by, way, key, to) = if dx == Length::ZERO {
        (dy, if Length::ZERO < dy { "back" } else { "forward" }, "place.y", y)
    } else {
        (dx, if Length::ZERO < dx { "right" } else { "left" }, "place.x", x)
    };
    Edit {
        name: format!("move {tag} {} {way}", by.abs()),
        changes: vec![Change::set(Field::device(tag, key), to)],
    }
}

/// A length rounded away from zero to a whole millimetre, as moves are made.
pub(crate) fn whole_mm(length: Length) -> Length {
    let mm = Length::from_mm(1).nm();
    let up = (length.abs().nm() + mm - 1) / mm * mm;
    Length::from_nm(if length < Length::ZERO { -up } else { up })
}

/// Whether a rectangle leaves at least so much room to the edge of the outline.
pub(crate) fn has_room(outline: &[Rect], rect: &Rect, least: Length) -> bool {
    if Length::ZERO <= least {
        is_covered(outline, &grown(rect, least))
    } else {
        let wider: Vec<Rect> = outline.iter().map(|part| grown(part, -least)).collect();
        is_covered(&wider, rect)
    }
}
