//! What a computed length rests on that nobody measured.

use finding::Field;
use rig::geometry::{BoxClass, Owner, Solid};
use rig::{FLOOR, Known};

use crate::{Design, Lead};

/// The values that are assumed or unknown and that a lead's computed length rests on, by their addresses: sizes and places
/// of its two devices' ports, what stands along its way, plugs with their allowances, the cable's diameter, an open exit.
/// Empty for a lead that is
/// measured, or that rests on measured and printed values alone.
pub fn rests_on(design: &Design, lead: &Lead) -> Vec<Field> {
    if lead.made { Vec::new() } else { rests_uncut(design, lead) }
}

/// The same, whether the lead is cut by now or not.
pub(crate) fn rests_uncut(design: &Design, lead: &Lead) -> Vec<Field> {
    let mut out = Vec::new();
    let mut ask = |known: bool, field: Field| {
        if !known && !out.contains(&field) {
            out.push(field);
        }
    };
    for end in &lead.ends {
        let tag = &end.port.device;
        let Some(device) = design.rig.device(tag) else { continue };
        ask(is_sure(device.size), Field::device(tag, "size"));
        ask(device.place.as_ref().is_some_and(|place| place.deck != FLOOR), Field::device(tag, "place"));
        if device.place.as_ref().is_some_and(|place| place.under) {
            ask(is_sure(device.bracket), Field::device(tag, "bracket"));
        }
        if let Some(port) = device.port(&end.port.port) {
            let of = |key: &str| Field::of("device", tag, "port").below(&port.name).below(key);
            ask(is_sure(port.face), of("face"));
            ask(is_sure(port.offset), of("offset"));
            ask(is_sure(port.height), of("height"));
            if end.inner {
                ask(is_sure(port.behind), of("behind"));
            }
        }
        if !end.has_plug() {
            continue;
        }
        match &end.plug.plug {
            Some(plug) => {
                ask(is_sure(plug.depth), Field::of("plug", &plug.id, "depth"));
                ask(is_sure(plug.allowance), Field::of("plug", &plug.id, "allowance"));
                let open = plug.angle == rig::PlugAngle::Angled && end.plug.exit.is_none();
                ask(!open, Field::new(["lead", &lead.name, "exit"]));
            }
            None => ask(false, Field::new(["lead", &lead.name, "plug"])),
        }
    }
    if let Some(cable) = &lead.cable {
        ask(is_sure(cable.diameter), Field::of("cable", &cable.id, "diameter"));
    }
    if design.is_laid() {
        for field in along(design, lead) {
            ask(false, field);
        }
    }
    out
}

/// How far from a way a body may stand and still shape it: the distance that leads keep, and their thickness.
const NEAR_MM: f64 = 20.0;

/// What shapes the way of a lead between its ends and nobody measured: sizes of what stands along it, and the room below
/// decks that it lies under.
fn along(design: &Design, lead: &Lead) -> Vec<Field> {
    let points: Vec<[f64; 3]> =
        design.routes().ways(lead).flat_map(|(_, laid)| laid.path.iter().copied()).collect();
    let mut out = Vec::new();
    if points.is_empty() {
        return out;
    }
    let low = |axis: usize| points.iter().map(|point| point[axis]).fold(f64::INFINITY, f64::min);
    let high = |axis: usize| points.iter().map(|point| point[axis]).fold(f64::NEG_INFINITY, f64::max);
    let is_near = |solid: &&Solid| {
        (0..3).all(|axis| {
            low(axis) - NEAR_MM < solid.high[axis].as_mm() && solid.low[axis].as_mm() < high(axis) + NEAR_MM
        })
    };
    for solid in design.solids.boxes.iter().filter(|solid| solid.assumed).filter(is_near) {
        let field = match &solid.owner {
            Owner::Device(tag) if solid.class == BoxClass::Body => design
                .rig
                .device(tag)
                .filter(|device| !is_sure(device.size))
                .map(|_| Field::device(tag, "size")),
            Owner::Port { port, .. } => adaptor_in(design, port)
                .filter(|(_, adaptor)| !is_sure(adaptor.size))
                .map(|(tag, _)| Field::device(tag, "feed").below("adaptor").below("size")),
            _ => None,
        };
        out.extend(field);
    }
    for deck in &design.rig.board.decks {
        let bottom = (deck.z - deck.thickness).as_mm();
        let below = points.iter().any(|point| point[2] < bottom);
        if below && bottom < high(2) + deck_room(deck) && !is_sure(deck.clear_below) {
            out.push(Field::of("board", "deck", "").below(&deck.name).below("clear_below"));
        }
    }
    out
}

/// How much room there is below a deck, as far as it is said.
fn deck_room(deck: &rig::Deck) -> f64 {
    deck.clear_below.value.map_or(0.0, quantity::Length::as_mm)
}

/// The own adaptor that sits in a socket, with the device it feeds.
fn adaptor_in<'a>(design: &'a Design, socket: &rig::PortRef) -> Option<(&'a str, &'a rig::Adaptor)> {
    design.rig.devices.iter().find_map(|device| {
        let feed = device.feed.as_ref().filter(|feed| feed.outlets.first() == Some(socket))?;
        Some((device.tag.as_str(), feed.adaptor.as_ref()?))
    })
}

fn is_sure<T: Copy>(value: Known<T>) -> bool {
    value.value.is_some() && !value.is_assumed()
}
