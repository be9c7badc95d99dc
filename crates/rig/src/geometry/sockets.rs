//! The sockets of mains strips: what sits in each, and which have room for another plug.
//!
//! There is one geometry: the boxes of [`solids`](super::solids()), judged by [`conflicts_between`]. A socket is free when
//! the usual plug of its pattern could stand in it without a conflict that the check would tell.

use quantity::Length;

use super::pose::{beside, plug_pose};
use super::solids::{adaptor_bounds, own_adaptor_in};
use super::{BoxClass, Owner, Solid, conflicts_between, port_direction, port_point};
use crate::{Carries, Device, Limits, PlugSpec, Port, PortRef, PortRole, Rig, Role};

/// How far the hole of a socket is taken to reach out where no usual plug of its pattern is known.
const HOLE: Length = Length::from_mm(1);

/// What is the matter with a socket.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SocketState {
    /// A plug of its pattern has room.
    Free,
    /// Something sits in it: the tags of what it feeds.
    Used(Vec<String>),
    /// Nothing sits in it, and no plug of its pattern has room: what stands in the way.
    Covered(Vec<Cover>),
    /// Its place is not known, so nobody can tell.
    Unknown,
}

impl SocketState {
    /// The word used in files.
    pub fn word(&self) -> &'static str {
        match self {
            Self::Free => "free",
            Self::Used(_) => "used",
            Self::Covered(_) => "covered",
            Self::Unknown => "unknown",
        }
    }
}

/// What stands before a socket.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cover {
    /// The body of a device's own adaptor, in another socket.
    Adaptor {
        /// The device.
        of: String,
        /// The socket it sits in.
        from: PortRef,
    },
    /// A plug in a port.
    Plug(PortRef),
    /// A body or what stands on it.
    Device(String),
    /// A part of the board.
    Board(String),
}

impl std::fmt::Display for Cover {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Adaptor { of, from } => write!(f, "the adaptor of {of} in {from}"),
            Self::Plug(port) => write!(f, "the plug in {port}"),
            Self::Device(tag) => f.write_str(tag),
            Self::Board(part) => f.write_str(part),
        }
    }
}

/// One socket of a strip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Socket {
    /// Where it is.
    pub at: PortRef,
    /// The pattern: the catalogue id of its connector.
    pub pattern: Option<String>,
    /// From its centre to that of the next along its face, in the order of their offsets; `None` for the last.
    pub pitch: Option<Length>,
    /// What is the matter with it.
    pub state: SocketState,
    /// Whether a number that the answer rests on is assumed.
    pub assumed: bool,
}

impl Socket {
    /// Whether another plug has room in it.
    pub fn is_free(&self) -> bool {
        self.state == SocketState::Free
    }
}

/// The sockets of a strip in document order: its mains ports but those that the mains arrives at.
pub fn socket_ports<'a>(rig: &'a Rig, strip: &'a Device) -> impl Iterator<Item = &'a Port> {
    let is_inlet = |port: &Port| {
        let at = PortRef::new(&strip.tag, &port.name);
        let mains = rig.runs.iter().filter(|run| run.carries == Carries::Mains);
        mains.flat_map(|run| &run.stops).any(|stop| stop.arrives.as_ref() == Some(&at))
    };
    let mains = strip.ports.iter().filter(|port| port.role.value == Some(PortRole::Mains));
    mains.filter(move |port| strip.role == Role::Strip && !is_inlet(port))
}

/// What sits in a socket: the tags of what it feeds, adaptors first.
pub fn sits_in(rig: &Rig, at: &PortRef) -> Vec<String> {
    let adaptors = rig.devices.iter().filter(|device| own_adaptor_in(device).is_some_and(|own| own == at));
    let mut out: Vec<String> = adaptors.map(|device| device.tag.clone()).collect();
    for run in rig.runs.iter().filter(|run| run.carries == Carries::Mains) {
        for (from, to) in run.steps() {
            if from == at && !out.contains(&to.device) {
                out.push(to.device.clone());
            }
        }
    }
    out
}

/// The sockets of every strip on the board. `boxes` are those of the rig.
pub fn sockets(rig: &Rig, limits: &Limits, boxes: &[Solid]) -> Vec<Socket> {
    let strips = rig.devices.iter().filter(|device| device.role == Role::Strip && !device.outside);
    strips.flat_map(|strip| sockets_of(rig, limits, boxes, strip)).collect()
}

fn sockets_of(rig: &Rig, limits: &Limits, boxes: &[Solid], strip: &Device) -> Vec<Socket> {
    let ports: Vec<&Port> = socket_ports(rig, strip).collect();
    ports
        .iter()
        .map(|port| {
            let at = PortRef::new(&strip.tag, &port.name);
            let users = sits_in(rig, &at);
            let probe = probe(rig, strip, port);
            let mut assumed = probe.as_ref().is_none_or(|probe| probe.assumed);
            let state = if users.is_empty() {
                match &probe {
                    Some(probe) => {
                        let (covers, rests) = covers(rig, limits, boxes, probe);
                        assumed |= rests;
                        if covers.is_empty() { SocketState::Free } else { SocketState::Covered(covers) }
                    }
                    None => SocketState::Unknown,
                }
            } else {
                SocketState::Used(users)
            };
            let pattern = port.connector.as_ref().map(|connector| connector.id.clone());
            Socket { at, pattern, pitch: pitch(port, &ports), state, assumed }
        })
        .collect()
}

/// From a socket to the next on its face.
fn pitch(port: &Port, ports: &[&Port]) -> Option<Length> {
    let (face, here) = (port.face.value?, port.offset.value?);
    let beside = ports.iter().filter(|other| other.face.value == Some(face));
    beside
        .filter_map(|other| other.offset.value)
        .filter(|there| here < *there)
        .map(|there| there - here)
        .min()
}

/// The box of the usual plug in a socket; where none is known, the hole itself.
fn probe(rig: &Rig, strip: &Device, port: &Port) -> Option<Solid> {
    let owner = Owner::Port { port: PortRef::new(&strip.tag, &port.name), inner: false };
    let usual = port.connector.as_ref().and_then(|connector| connector.usual.as_deref().cloned());
    if usual.is_some() {
        // What a straight plug needs for its bend is the cable's, which may turn aside.
        let spec = PlugSpec { plug: usual, exit: None };
        let pose = plug_pose(rig, strip, &port.name, &spec)?;
        if let Some(head) = pose.head {
            return Some(head.solid(BoxClass::Plug, &owner, pose.assumed));
        }
    }
    let (point, face) = (port_point(rig, strip, &port.name)?, port_direction(strip, &port.name)?);
    let hole = beside(point, face, Length::ZERO, HOLE, Length::from_nm(2));
    Some(hole.solid(BoxClass::Plug, &owner, true))
}

/// What a box in a socket would be in conflict with, and whether any of it rests on an assumed number.
fn covers(rig: &Rig, limits: &Limits, boxes: &[Solid], probe: &Solid) -> (Vec<Cover>, bool) {
    let one = std::slice::from_ref(probe);
    // A corridor is a wish and a bend is cable; both give way to a plug in a socket.
    let solid: Vec<Solid> = boxes
        .iter()
        .filter(|solid| !matches!(solid.class, BoxClass::Service | BoxClass::Bend))
        .cloned()
        .collect();
    let mut found = conflicts_between(one, &solid, limits);
    found.retain(|conflict| clashes(rig, &probe.owner, &solid[conflict.from].owner, conflict.found));
    let assumed = found.iter().any(|conflict| solid[conflict.from].assumed);
    let mut out: Vec<Cover> = found.iter().map(|conflict| cover(rig, &solid[conflict.from])).collect();
    out.sort();
    out.dedup();
    (out, assumed)
}

/// Whether two boxes that are nearer than they may be clash. Plugs and adaptors in the sockets of one strip may touch: the
/// pitch of its sockets is made for that, and no hand pulls at one without the other giving way.
pub fn clashes(rig: &Rig, a: &Owner, b: &Owner, apart: Length) -> bool {
    !are_neighbours(rig, a, b) || apart < Length::ZERO
}

/// Whether both are in sockets of one strip.
pub fn are_neighbours(rig: &Rig, a: &Owner, b: &Owner) -> bool {
    let socket = |owner: &Owner| match owner {
        Owner::Port { port, .. } => {
            let strip = rig.device(&port.device)?;
            socket_ports(rig, strip).any(|own| own.name == port.port).then(|| port.device.clone())
        }
        _ => None,
    };
    let strip = socket(a);
    strip.is_some() && strip == socket(b)
}

fn cover(rig: &Rig, solid: &Solid) -> Cover {
    match &solid.owner {
        Owner::Device(tag) => Cover::Device(tag.clone()),
        Owner::Board { .. } => Cover::Board(solid.owner.to_string()),
        Owner::Port { port, .. } => {
            let own = rig.devices.iter().find(|device| own_adaptor_in(device) == Some(port));
            match own {
                Some(device) => Cover::Adaptor { of: device.tag.clone(), from: port.clone() },
                None => Cover::Plug(port.clone()),
            }
        }
    }
}

/// What stays in a socket when the adaptor of one device goes: boxes tell whose socket they are in, not whose they are.
fn left_behind(rig: &Rig, home: &PortRef, going: &str) -> Vec<Solid> {
    let owner = Owner::Port { port: home.clone(), inner: false };
    let strip = rig.device(&home.device);
    let others = sits_in(rig, home).into_iter().filter(|user| user != going);
    others
        .filter_map(|user| {
            let device = rig.device(&user).filter(|device| own_adaptor_in(device) == Some(home));
            let own = device.and_then(|device| device.feed.as_ref()?.adaptor.as_ref());
            let body = own.and_then(|own| adaptor_bounds(rig, own, home));
            match body {
                Some((bounds, assumed)) => Some(bounds.solid(BoxClass::Plug, &owner, assumed)),
                None => probe(rig, strip?, strip?.port(&home.port)?),
            }
        })
        .collect()
}

/// The sockets of the strips on the board that have room for a device's own adaptor, with the one it sits in when that
/// has: nothing else sits there, its prongs go in, and its body is in nobody's way.
///
/// An adaptor of unknown size takes the room of the usual plug. `boxes` are those of the rig.
pub fn sockets_for(rig: &Rig, limits: &Limits, boxes: &[Solid], tag: &str) -> Vec<PortRef> {
    let Some(device) = rig.device(tag) else { return Vec::new() };
    let own = device.feed.as_ref().and_then(|feed| feed.adaptor.as_ref());
    let home = own_adaptor_in(device);
    let mut others: Vec<Solid> = boxes
        .iter()
        .filter(|solid| !matches!(&solid.owner, Owner::Port { port, .. } if home == Some(port)))
        .cloned()
        .collect();
    others.extend(home.into_iter().flat_map(|home| left_behind(rig, home, tag)));
    let mut out = Vec::new();
    for strip in rig.devices.iter().filter(|device| device.role == Role::Strip && !device.outside) {
        for port in socket_ports(rig, strip) {
            let at = PortRef::new(&strip.tag, &port.name);
            let alone = sits_in(rig, &at).iter().all(|user| user == tag);
            let prongs = own.and_then(|own| own.prongs.as_ref());
            let fits = port.connector.as_ref().is_none_or(|connector| {
                prongs.is_none_or(|prongs| !connector.is_socket() || prongs.fits.contains(&connector.id))
            });
            if !alone || !fits {
                continue;
            }
            let owner = Owner::Port { port: at.clone(), inner: false };
            let body = own.and_then(|own| adaptor_bounds(rig, own, &at));
            let body = body.map(|(bounds, assumed)| bounds.solid(BoxClass::Plug, &owner, assumed));
            let Some(body) = body.or_else(|| probe(rig, strip, port)) else { continue };
            if covers(rig, limits, &others, &body).0.is_empty() {
                out.push(at);
            }
        }
    }
    out
}
