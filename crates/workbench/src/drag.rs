//! What the script needs while a device is dragged: where it must not stand, where it lines up, and where the
//! ends of its leads are. Figures are whole micrometres in the deck's frame, so that a point can be tested
//! against rectangles in integers.

use quantity::Length;
use rig::geometry::{BoxClass, Clearance, Owner, Solid, clearance, lead_ends, port_point, solids, standing};
use rig::{FLOOR, Limits, Place, Rig};
use serde_json::{Value, json};

fn micrometres(length: Length) -> i64 {
    length.nm() / 1000
}

/// The device under the pointer; `None` when it has no size or is not there. A device without a place counts as
/// standing at the front left corner of `deck`.
pub(crate) fn drag(rig: &Rig, limits: &Limits, tag: &str, deck: Option<&str>) -> Option<Value> {
    let device = rig.device(tag)?;
    let size = device.size.value?;
    let is_placed = device.place.is_some();
    let place = match &device.place {
        Some(place) => place.clone(),
        None => Place {
            deck: deck.map(str::to_owned).or_else(|| rig.board.decks.first().map(|d| d.name.clone()))?,
            x: Length::ZERO,
            y: Length::ZERO,
            quarters: 0,
            under: false,
            locked: false,
        },
    };
    let at = |quarters: u8| {
        let mut rig = rig.clone();
        if let Some(device) = rig.devices.iter_mut().find(|device| device.tag == tag) {
            device.place = Some(Place { quarters, ..place.clone() });
        }
        rig
    };
    let turns: Vec<Value> =
        (0..4).map(|quarters| json!(forbidden(&at(quarters), limits, tag, &place))).collect();
    let here = at(place.quarters);
    let origin = if place.deck == FLOOR {
        (Length::ZERO, Length::ZERO)
    } else {
        let deck = here.board.deck(&place.deck)?;
        (deck.x, deck.y)
    };
    Some(json!({
        "tag": tag,
        "placed": is_placed,
        "locked": place.locked,
        "deck": place.deck,
        "at": [micrometres(place.x), micrometres(place.y)],
        "size": [micrometres(size.width), micrometres(size.depth)],
        "turn": place.quarters,
        "origin": [micrometres(origin.0), micrometres(origin.1)],
        "turns": turns,
        "lined": lined(&here, tag, &place),
        "leads": leads(&here, tag),
    }))
}

/// Rectangles of places where something of the device would be too near something else: left, front, right,
/// back, the room wanted, and what it is too near to.
fn forbidden(rig: &Rig, limits: &Limits, tag: &str, place: &Place) -> Vec<Value> {
    let all = solids(rig, limits).boxes;
    let (mine, others): (Vec<&Solid>, Vec<&Solid>) =
        all.iter().partition(|solid| solid.owner.device() == Some(tag));
    let mut out = Vec::new();
    for a in &mine {
        for b in &others {
            let wanted = [clearance(a.class, b.class, limits), clearance(b.class, a.class, limits)]
                .into_iter()
                .filter_map(|clearance| match clearance {
                    Clearance::AtLeast(room) => Some(room),
                    Clearance::Free => None,
                })
                .max();
            let Some(wanted) = wanted else { continue };
            let apart = (a.low[2] - b.high[2]).max(b.low[2] - a.high[2]);
            if wanted <= apart {
                continue;
            }
            // A step of the device from where it stands moves all its boxes alike.
            let low = |axis: usize| b.low[axis] - a.high[axis] - wanted;
            let high = |axis: usize| b.high[axis] - a.low[axis] + wanted;
            out.push(json!([
                micrometres(place.x + low(0)),
                micrometres(place.y + low(1)),
                micrometres(place.x + high(0)),
                micrometres(place.y + high(1)),
                micrometres(wanted),
                named(a, b),
            ]));
        }
    }
    out
}

fn named(a: &Solid, b: &Solid) -> String {
    let what = |solid: &Solid| match (&solid.owner, solid.class) {
        (Owner::Port { port, .. }, _) => format!("plug in {port}"),
        (owner, BoxClass::Body) => owner.to_string(),
        (owner, class) => format!("{} of {owner}", class.word()),
    };
    format!("{} to {}", what(a), what(b))
}

/// Places along x and y where an edge or the middle of the device meets one of a neighbour's.
fn lined(rig: &Rig, tag: &str, place: &Place) -> Value {
    let mut xs = Vec::new();
    let mut ys = Vec::new();
    let own = rig.device(tag).and_then(rig::Device::footprint);
    if let Some(own) = own {
        for other in rig.devices.iter().filter(|other| other.tag != tag) {
            let same_deck = other.place.as_ref().is_some_and(|p| p.deck == place.deck);
            let Some(rect) = other.footprint().filter(|_| same_deck) else { continue };
            xs.extend([rect.x, rect.right() - own.width, rect.x + (rect.width - own.width).half()]);
            ys.extend([rect.y, rect.back() - own.depth, rect.y + (rect.depth - own.depth).half()]);
        }
    }
    for list in [&mut xs, &mut ys] {
        list.sort();
        list.dedup();
    }
    let whole = |list: &[Length]| list.iter().map(|length| micrometres(*length)).collect::<Vec<_>>();
    json!({ "x": whole(&xs), "y": whole(&ys) })
}

/// For each lead of the device: what it carries, its own end from the device's corner, its other end on the board.
fn leads(rig: &Rig, tag: &str) -> Vec<Value> {
    let Some(device) = rig.device(tag) else { return Vec::new() };
    let Some(stands) = standing(rig, device) else { return Vec::new() };
    lead_ends(rig)
        .into_iter()
        .filter(|end| end.port.device == tag && end.other.device != tag)
        .filter_map(|end| {
            let own = port_point(rig, device, &end.port.port)?;
            let other = rig.device(&end.other.device)?;
            let far = port_point(rig, other, &end.other.port)?;
            Some(json!({
                "class": end.class.word().to_lowercase(),
                "own": [micrometres(own[0] - stands.at.x), micrometres(own[1] - stands.at.y)],
                "other": [micrometres(far[0]), micrometres(far[1])],
                "ends": [end.port.to_string(), end.other.to_string()],
            }))
        })
        .collect()
}
