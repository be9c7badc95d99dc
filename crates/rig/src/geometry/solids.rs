//! The one function that makes the boxes of every thing.

use finding::Field;
use quantity::Length;

use super::pose::{Bounds, beside};
use super::{
    BoxClass, Lack, LeadEnd, Owner, Solid, lead_ends, plug_pose, port_direction, port_point, standing,
    tag_pose,
};
use crate::{Adaptor, Device, Face, FeedKind, Fitting, Lie, Limits, PortRef, Provenance, Rig};

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
    solids_with(rig, limits, &lead_ends(rig))
}

/// The same where the ends of [`lead_ends`] are known already.
pub fn solids_with(rig: &Rig, limits: &Limits, ends: &[LeadEnd]) -> Solids {
    let mut out = Solids::default();
    board(rig, &mut out);
    for device in rig.devices.iter().filter(|device| !device.outside) {
        body(rig, device, limits, &mut out);
    }
    for device in &rig.devices {
        adaptor(rig, device, None, &mut out);
    }
    for end in ends {
        plug(rig, end, &mut out);
    }
    out
}

/// The boxes of one device alone, its plugs among them. `ends` are those of [`lead_ends`].
pub fn solids_of(rig: &Rig, limits: &Limits, tag: &str, ends: &[LeadEnd]) -> Vec<Solid> {
    let mut out = Solids::default();
    if let Some(device) = rig.device(tag).filter(|device| !device.outside) {
        body(rig, device, limits, &mut out);
    }
    for device in &rig.devices {
        adaptor(rig, device, Some(tag), &mut out);
    }
    for end in ends.iter().filter(|end| end.port.device == tag) {
        plug(rig, end, &mut out);
    }
    out.boxes
}

/// The body of a device's own adaptor in the socket of a strip: what it covers of its neighbours is then a conflict like
/// any other. `strip` narrows it to the sockets of one.
fn adaptor(rig: &Rig, device: &Device, strip: Option<&str>, out: &mut Solids) {
    let Some(feed) = device.feed.as_ref() else { return };
    let (Some(own), Some(socket)) = (&feed.adaptor, feed.outlets.first()) else { return };
    if strip.is_some_and(|tag| tag != socket.device) {
        return;
    }
    let Some((bounds, assumed)) = adaptor_bounds(rig, own, socket) else { return };
    let owner = Owner::Port { port: socket.clone(), inner: false };
    out.boxes.push(bounds.solid(BoxClass::Plug, &owner, assumed));
}

/// The socket that a device's own adaptor sits in.
pub(super) fn own_adaptor_in(device: &Device) -> Option<&PortRef> {
    device.feed.as_ref().filter(|feed| feed.kind == FeedKind::Adaptor)?.outlets.first()
}

/// Where the lead of a device's own adaptor leaves its body in a socket, and which way: in the middle of the side opposite the
/// prongs. *Common practice, no source.* `None` where no adaptor sits, or its size or the place of the socket is unknown.
pub fn adaptor_exit(rig: &Rig, socket: &PortRef) -> Option<([Length; 3], Face)> {
    let device = rig.devices.iter().find(|device| own_adaptor_in(device) == Some(socket))?;
    let own = device.feed.as_ref()?.adaptor.as_ref()?;
    let (bounds, _) = adaptor_bounds(rig, own, socket)?;
    let looks = port_direction(rig.device(&socket.device)?, &socket.port)?;
    let mut at = [0, 1, 2].map(|axis| bounds.low[axis] + (bounds.high[axis] - bounds.low[axis]).half());
    match looks {
        Face::Front => at[1] = bounds.low[1],
        Face::Back => at[1] = bounds.high[1],
        Face::Left => at[0] = bounds.low[0],
        Face::Right => at[0] = bounds.high[0],
    }
    Some((at, looks))
}

/// The body of an adaptor in a socket of a strip on the board, and whether a number it rests on is assumed; `None` when
/// its size or the place of the socket is unknown.
///
/// The prongs sit in the socket; the body lies about them as it is turned. An adaptor measured with its prongs to the
/// back shows the socket's wall its back: seen from in front of the wall, its left is on the left.
pub(super) fn adaptor_bounds(rig: &Rig, own: &Adaptor, socket: &PortRef) -> Option<(Bounds, bool)> {
    let size = own.size.value?;
    // From the middle of the prongs to the edges of the body: left, right, down, up as it lies upright.
    let left = own.prongs_left.value.unwrap_or(size.width.half());
    let below = own.prongs_up.value.unwrap_or(size.height.half());
    let (right, above) = (size.width - left, size.height - below);
    let sides = match own.lies.value.unwrap_or(Lie::Upright) {
        Lie::Upright => [left, right, below, above],
        // A quarter clockwise: what was its left is up, and its base is to the left.
        Lie::OnItsSide => [below, above, right, left],
        Lie::UpsideDown => [right, left, above, below],
    };
    let bounds = about_socket(rig, socket, size.depth, sides)?;
    let known =
        |from: Provenance| matches!(from, Provenance::Measured | Provenance::Photo | Provenance::Printed);
    let assumed = own.size.is_assumed()
        || !known(own.lies.from)
        || [own.prongs_left, own.prongs_up].iter().any(|prongs| !known(prongs.from));
    Some((bounds, assumed))
}

/// All the room that the body of a device's own adaptor may take in its socket, wherever its prongs are and however it is
/// turned, as far as that is not known. `None` where its size or the place of the socket is unknown.
pub fn adaptor_reach(rig: &Rig, tag: &str) -> Option<Solid> {
    let device = rig.device(tag)?;
    let socket = own_adaptor_in(device)?;
    let own = device.feed.as_ref()?.adaptor.as_ref()?;
    let size = own.size.value?;
    let across = own.prongs_left.value.map_or([size.width; 2], |left| [left, size.width - left]);
    let along = own.prongs_up.value.map_or([size.height; 2], |up| [up, size.height - up]);
    let ([left, right], [below, above]) = (across, along);
    let sides = match own.lies.value {
        Some(Lie::Upright) => [left, right, below, above],
        Some(Lie::OnItsSide) => [below, above, right, left],
        Some(Lie::UpsideDown) => [right, left, above, below],
        None => [left.max(right).max(below).max(above); 4],
    };
    let owner = Owner::Port { port: socket.clone(), inner: false };
    Some(about_socket(rig, socket, size.depth, sides)?.solid(BoxClass::Plug, &owner, true))
}

/// The box before a socket that reaches so far from its middle: left, right, down, up as one stands before its wall.
fn about_socket(rig: &Rig, socket: &PortRef, depth: Length, sides: [Length; 4]) -> Option<Bounds> {
    let on = rig.device(&socket.device).filter(|on| !on.outside)?;
    let (point, face) = (port_point(rig, on, &socket.port)?, port_direction(on, &socket.port)?);
    let [left, right, below, above] = sides;
    let mut bounds = beside(point, face, Length::ZERO, depth, Length::ZERO);
    (bounds.low[2], bounds.high[2]) = (point[2] - below, point[2] + above);
    // Who stands before a wall that looks to the front has the board's x to his right.
    let (axis, forward) = match face {
        Face::Front => (0, true),
        Face::Back => (0, false),
        Face::Right => (1, true),
        Face::Left => (1, false),
    };
    let (less, more) = if forward { (left, right) } else { (right, left) };
    (bounds.low[axis], bounds.high[axis]) = (point[axis] - less, point[axis] + more);
    Some(bounds)
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
    let above_assumed = above.is_assumed();
    if let Some(above) = above.value
        && Length::ZERO < above
    {
        out.boxes.push(Solid {
            class: BoxClass::Knobs,
            owner,
            low: corner(top),
            high: far(top + above),
            assumed: assumed || above_assumed,
        });
    }
    for port in &device.ports {
        let owner = Owner::Port { port: crate::PortRef::new(&device.tag, &port.name), inner: true };
        if let Some(pose) = tag_pose(rig, device, &port.name)
            && let Some(behind) = pose.behind
        {
            out.boxes.push(behind.solid(BoxClass::Behind, &owner, pose.assumed));
        }
        if port.service {
            let owner = Owner::Port { port: crate::PortRef::new(&device.tag, &port.name), inner: false };
            match (port_point(rig, device, &port.name), port_direction(device, &port.name)) {
                (Some(point), Some(face)) => {
                    let reach = service_depth(port) + limits.service_corridor;
                    let corridor = beside(point, face, Length::ZERO, reach, Length::from_mm(16));
                    // A custom, not a measure.
                    out.boxes.push(corridor.solid(BoxClass::Service, &owner, true));
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

fn plug(rig: &Rig, end: &LeadEnd, out: &mut Solids) {
    let owner = Owner::Port { port: end.port.clone(), inner: end.inner };
    let Some(device) = rig.device(&end.port.device) else { return };
    // A soldered inner side has no plug; its depth is the port's own `behind`.
    if device.outside || end.inner || device.place.is_none() || device.size.is_unknown() {
        return;
    }
    let missing = |lacks: Field| Missing { owner: owner.clone(), class: BoxClass::Plug, lacks };
    if end.fitting == Fitting::Captive && end.is_in_socket(rig) {
        // An adaptor is its own plug; its body is made from its feed. Of unknown size it takes the room of its prongs' plug.
        let fed = rig.device(&end.other.device).and_then(|fed| fed.feed.as_ref());
        let is_known = fed.and_then(|feed| feed.adaptor.as_ref()).is_some_and(|own| !own.size.is_unknown());
        if !is_known {
            out.missing.push(missing(Field::device(&end.other.device, "feed.adaptor.size")));
        }
        if port_point(rig, device, &end.port.port).is_none() {
            out.missing.push(missing(lacking_of_port(device, &end.port.port)));
        }
        if is_known || end.plug.plug.is_none() {
            return;
        }
    }
    if end.is_captive_without_plug(rig) {
        return;
    }
    let Some(pose) = plug_pose(rig, device, &end.port.port, &end.plug) else {
        out.missing.push(missing(lacking_of_port(device, &end.port.port)));
        return;
    };
    out.boxes.extend(pose.boxes(&owner));
    let of_plug = |key| end.plug.plug.as_ref().map(|kind| Field::of("plug", &kind.id, key));
    let lacks = match pose.lacks {
        Some(Lack::Plug) => Some(Field::of("lead", &lead_name(end), plug_key(end))),
        Some(Lack::Exit) => Some(Field::of("lead", &lead_name(end), exit_key(end))),
        Some(Lack::Depth) => of_plug("depth"),
        Some(Lack::Width) => of_plug("width"),
        // What the sleeve lacks the check asks of the plug itself: the plug's head is there.
        Some(Lack::Tail) | None => None,
    };
    out.missing.extend(lacks.map(missing));
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
