//! The one function that makes the boxes of every thing.

use finding::Field;
use quantity::Length;

use super::{BoxClass, LeadEnd, Owner, Solid, Standing, lead_ends, port_direction, port_point, standing};
use crate::{Device, Exit, Face, Limits, PlugAngle, PlugKind, Rig};

/// A box that could not be made, and the value it lacks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    /// What the box would have belonged to.
    pub owner: Owner,
    /// What it would have been.
    pub class: BoxClass,
    /// The value that is unknown or open.
    pub lacks: Field,
}

/// All boxes that could be made, and those that could not.
#[derive(Debug, Clone, Default)]
pub struct Solids {
    /// The boxes, in document order: board, then device by device, then lead ends.
    pub boxes: Vec<Solid>,
    /// The boxes that lack a value.
    pub missing: Vec<Missing>,
}

/// Makes the boxes of every thing on the board.
pub fn solids(rig: &Rig, limits: &Limits) -> Solids {
    let mut out = Solids::default();
    board(rig, &mut out);
    for device in rig.devices.iter().filter(|device| !device.outside) {
        body(rig, device, limits, &mut out);
    }
    for end in lead_ends(rig) {
        plug(rig, &end, &mut out);
    }
    out
}

/// The boxes of one device alone, its plugs among them. `ends` are those of [`lead_ends`].
pub fn solids_of(rig: &Rig, limits: &Limits, tag: &str, ends: &[LeadEnd]) -> Vec<Solid> {
    let mut out = Solids::default();
    if let Some(device) = rig.device(tag).filter(|device| !device.outside) {
        body(rig, device, limits, &mut out);
    }
    for end in ends.iter().filter(|end| end.port.device == tag) {
        plug(rig, end, &mut out);
    }
    out.boxes
}

fn board(rig: &Rig, out: &mut Solids) {
    for deck in &rig.board.decks {
        let owner = |part: &str| Owner::Board { deck: deck.name.clone(), part: part.to_owned() };
        let mut push = |class, part: &str, at: crate::Rect, low: Length, high: Length| {
            let x = deck.x + at.x;
            let y = deck.y + at.y;
            out.boxes.push(Solid {
                class,
                owner: owner(part),
                low: [x, y, low],
                high: [x + at.width, y + at.depth, high],
                assumed: false,
            });
        };
        let underside = deck.z - deck.thickness;
        if deck.rails.is_empty() {
            for rect in &deck.shape {
                push(BoxClass::Sheet, "sheet", *rect, underside, deck.z);
            }
        }
        for rail in &deck.rails {
            push(BoxClass::Rail, &rail.name, rail.at, underside - rail.drop, deck.z);
        }
        for riser in &deck.risers {
            push(BoxClass::Riser, &riser.name, riser.at, deck.z, deck.z + riser.height);
        }
    }
}

fn body(rig: &Rig, device: &Device, limits: &Limits, out: &mut Solids) {
    let owner = Owner::Device(device.tag.clone());
    let Some(at) = standing(rig, device) else {
        let key = if device.place.is_none() { "place" } else { "size" };
        out.missing.push(Missing { owner, class: BoxClass::Body, lacks: Field::device(&device.tag, key) });
        return;
    };
    let top = at.base + at.size.height;
    let corner = |z: Length| [at.at.x, at.at.y, z];
    let far = |z: Length| [at.at.right(), at.at.back(), z];
    let assumed = device.size.is_assumed();
    out.boxes.push(Solid {
        class: BoxClass::Body,
        owner: owner.clone(),
        low: corner(at.base),
        high: far(top),
        assumed,
    });
    let above = extra_height(device, limits);
    if let Some(above) = above.value
        && Length::ZERO < above
    {
        out.boxes.push(Solid {
            class: BoxClass::Knobs,
            owner,
            low: corner(top),
            high: far(top + above),
            assumed: true,
        });
    }
    for port in &device.ports {
        let owner = Owner::Port { port: crate::PortRef::new(&device.tag, &port.name), inner: true };
        if let Some(behind) = port.behind.value
            && let (Some(point), Some(face), Some(hole)) = (
                port_point(rig, device, &port.name),
                port_direction(device, &port.name),
                port.connector.as_ref().and_then(|c| c.hole.value),
            )
        {
            // The jack's body stands inward from the wall, about as wide as its hole and a nut's flats.
            let inward = face.turned(2);
            let inner_wall = along(point, inward, wall_thickness(&at, face));
            let width = hole + Length::from_mm(6);
            let mut solid = beside(BoxClass::Behind, owner, inner_wall, inward, Length::ZERO, behind, width);
            solid.assumed =
                !matches!(port.behind.from, crate::Provenance::Measured | crate::Provenance::Printed);
            out.boxes.push(solid);
        }
        if port.service {
            let owner = Owner::Port { port: crate::PortRef::new(&device.tag, &port.name), inner: false };
            match (port_point(rig, device, &port.name), port_direction(device, &port.name)) {
                (Some(point), Some(face)) => {
                    let mut solid = beside(
                        BoxClass::Service,
                        owner,
                        point,
                        face,
                        Length::ZERO,
                        service_depth(port) + limits.service_corridor,
                        Length::from_mm(16),
                    );
                    solid.assumed = true;
                    out.boxes.push(solid);
                }
                _ => out.missing.push(Missing {
                    owner,
                    class: BoxClass::Service,
                    lacks: lacking_of_port(device, &port.name),
                }),
            }
        }
    }
}

/// What stands above the body: a treadle at its full opening or knobs, assumed where unknown.
pub(crate) fn extra_height(device: &Device, limits: &Limits) -> crate::Known<Length> {
    match device.treadle {
        Some(treadle) => treadle.or_assume(limits.treadle_assumed),
        None if device.role == crate::Role::Pedal => device.knobs.or_assume(limits.knobs_assumed),
        None => device.knobs.or_assume(Length::ZERO),
    }
}

/// Room a service port's own plug takes: USB-B is the longest usual one (common practice, no source).
fn service_depth(port: &crate::Port) -> Length {
    match port.role.value {
        Some(crate::PortRole::Usb) => Length::from_mm(45),
        _ => Length::ZERO,
    }
}

/// How thick a panel's wall is, measured along the face's axis.
fn wall_thickness(at: &Standing, face: Face) -> Length {
    match face {
        Face::Left | Face::Right => at.at.width,
        Face::Front | Face::Back => at.at.depth,
    }
}

fn plug(rig: &Rig, end: &LeadEnd, out: &mut Solids) {
    let owner = Owner::Port { port: end.port.clone(), inner: end.inner };
    let Some(device) = rig.device(&end.port.device) else { return };
    // A soldered inner side has no plug; its depth is the port's own `behind`.
    if device.outside || end.inner || device.place.is_none() || device.size.is_unknown() {
        return;
    }
    let missing = |lacks: Field| Missing { owner: owner.clone(), class: BoxClass::Plug, lacks };
    let (Some(mut point), Some(face)) =
        (port_point(rig, device, &end.port.port), port_direction(device, &end.port.port))
    else {
        out.missing.push(missing(lacking_of_port(device, &end.port.port)));
        return;
    };
    let Some(kind) = &end.plug.plug else {
        out.missing.push(missing(Field::of("lead", &lead_name(end), plug_key(end))));
        return;
    };
    let (Some(depth), Some(width)) = (kind.depth.value, kind.width.value) else {
        out.missing.push(missing(Field::of(
            "plug",
            &kind.id,
            if kind.depth.is_unknown() { "depth" } else { "width" },
        )));
        return;
    };
    let nut = device
        .port(&end.port.port)
        .and_then(|port| port.connector.as_ref())
        .and_then(|connector| connector.nut.value)
        .unwrap_or(Length::ZERO);
    let assumed = kind.depth.is_assumed() || kind.width.is_assumed();
    // Nut and washer fill the first millimetres, then the plug begins.
    let reach = nut + depth;
    let mut head = beside(BoxClass::Plug, owner.clone(), point, face, Length::ZERO, reach, width);
    head.assumed = assumed;
    out.boxes.push(head);
    match kind.angle {
        PlugAngle::Straight => {
            if let Some(bend) = kind.bend.value
                && Length::ZERO < bend
            {
                let mut solid = beside(BoxClass::Bend, owner, point, face, reach, reach + bend, width);
                solid.assumed = assumed;
                out.boxes.push(solid);
            }
        }
        PlugAngle::Angled => {
            // A cable cannot leave an angled plug along the jack's own axis: such an exit is as good as open.
            let sideways = |exit: &Exit| exit.face().is_none_or(|side| !along_port(device, end, side));
            let Some(exit) = end.plug.exit.filter(sideways) else {
                out.missing.push(missing(Field::of("lead", &lead_name(end), exit_key(end))));
                return;
            };
            tail(device, kind, exit, face, &mut point, reach, &owner, assumed, out);
        }
    }
}

/// Whether a side of the unturned device lies along the axis of the port's jack.
fn along_port(device: &Device, end: &LeadEnd, side: Face) -> bool {
    device.port(&end.port.port).and_then(|port| port.face.value).is_some_and(|face| axis(face) == axis(side))
}

/// The sleeve of an angled plug, and the bend of the cable after it.
#[expect(clippy::too_many_arguments, reason = "all are measures of one plug in one place")]
fn tail(
    device: &Device,
    kind: &PlugKind,
    exit: Exit,
    face: Face,
    point: &mut [Length; 3],
    reach: Length,
    owner: &Owner,
    assumed: bool,
    out: &mut Solids,
) {
    let (Some(length), Some(width)) = (kind.tail.value, kind.tail_width.value) else { return };
    let quarters = device.place.as_ref().map_or(0, |place| place.quarters);
    // The sleeve lies in the outer part of the plug, where the cable leaves it.
    let inner = (reach - width).max(Length::ZERO);
    let mut make = |class, from: Length, to: Length| {
        let mut low = [Length::ZERO; 3];
        let mut high = [Length::ZERO; 3];
        span(&mut low, &mut high, *point, face, inner, reach);
        match exit.face() {
            Some(side) => {
                span(&mut low, &mut high, *point, side.turned(quarters), from, to);
                low[2] = point[2] - width.half();
                high[2] = point[2] + width.half();
            }
            None => {
                let across = 1 - axis(face);
                low[across] = point[across] - width.half();
                high[across] = point[across] + width.half();
                let (a, b) =
                    if exit == Exit::Up { (from, to) } else { (Length::ZERO - to, Length::ZERO - from) };
                low[2] = point[2] + a;
                high[2] = point[2] + b;
            }
        }
        out.boxes.push(Solid { class, owner: owner.clone(), low, high, assumed });
    };
    make(BoxClass::Plug, Length::ZERO, length);
    if let Some(bend) = kind.bend.value
        && Length::ZERO < bend
    {
        make(BoxClass::Bend, length, length + bend);
    }
}

fn axis(face: Face) -> usize {
    match face {
        Face::Left | Face::Right => 0,
        Face::Front | Face::Back => 1,
    }
}

fn along(mut point: [Length; 3], face: Face, by: Length) -> [Length; 3] {
    match face {
        Face::Right => point[0] += by,
        Face::Left => point[0] -= by,
        Face::Back => point[1] += by,
        Face::Front => point[1] -= by,
    }
    point
}

/// Sets the extent of a box along a face's axis: from `near` to `far` out of `point`.
fn span(
    low: &mut [Length; 3],
    high: &mut [Length; 3],
    point: [Length; 3],
    face: Face,
    near: Length,
    far: Length,
) {
    let axis = axis(face);
    let a = along(point, face, near)[axis];
    let b = along(point, face, far)[axis];
    low[axis] = a.min(b);
    high[axis] = a.max(b);
}

/// A box out of a wall: from `near` to `far` beyond it, `width` across and high, centred on the point.
fn beside(
    class: BoxClass,
    owner: Owner,
    point: [Length; 3],
    face: Face,
    near: Length,
    far: Length,
    width: Length,
) -> Solid {
    let mut low = point.map(|centre| centre - width.half());
    let mut high = point.map(|centre| centre + width.half());
    span(&mut low, &mut high, point, face, near, far);
    Solid { class, owner, low, high, assumed: false }
}

fn lacking_of_port(device: &Device, name: &str) -> Field {
    let field = |key: &str| Field::of("device", &device.tag, "port").below(name).below(key);
    match device.port(name) {
        None => Field::of("device", &device.tag, "port").below(name),
        Some(port) if port.face.is_unknown() => field("face"),
        Some(port) if port.offset.is_unknown() => field("offset"),
        Some(_) => field("height"),
    }
}

/// How a lead is called by its ends: `A1.OUT > A2.IN`.
pub(crate) fn lead_name(end: &LeadEnd) -> String {
    match end.end {
        super::EndKind::From => format!("{} > {}", end.port, end.other),
        super::EndKind::To => format!("{} > {}", end.other, end.port),
    }
}

fn plug_key(end: &LeadEnd) -> &'static str {
    match end.end {
        super::EndKind::From => "from_plug",
        super::EndKind::To => "to_plug",
    }
}

fn exit_key(end: &LeadEnd) -> &'static str {
    match end.end {
        super::EndKind::From => "from_exit",
        super::EndKind::To => "to_exit",
    }
}
