//! Plugs, bodies and knobs that are too near each other.

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

use design::Design;
use finding::{Edit, Evidence, Field, Finding, Severity};
use quantity::Length;
use rig::geometry::{BoxClass, Conflict, are_neighbours};
use rig::{Face, Known, PlugAngle, PortRef, Role};

use super::CUSTOM;
use crate::asked::{Asked, port_field};
use crate::group::{Pair, hubs_alike};
use crate::space::{assumed_of, box_words, moving_cure, unknown_top, whole_mm};
use crate::supply::{fed, inlet, inlet_lacks};
use crate::words::{against, shown, some};
use crate::{Page, Rule};

const ID: &str = "clearance";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "plugs and bodies too near each other",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[39, 41],
    limits: &["plug_clearance", "knobs_assumed", "treadle_assumed"],
    page: Page {
        what: "The boxes of bodies, knobs, plugs, bends and panel jacks of all devices, two by two. A plug wants \
               air to every other plug and body, nut and washer included; bodies may touch. Where a box cannot \
               be made because a size, a port's position or a plug is unknown, this rule says so, for the \
               rules board-parts and board-edge as well.",
        why: "Neighbouring plugs that collide are the commonest reason why a finished layout has to be done again.",
        source: CUSTOM,
        example: "Two flat plugs of 14 mm and their nuts need 36 mm between two side jacks in line; 30 mm were left.",
        remedy: "move one of the two, stagger them so that the jacks are not in line, or take a flatter plug",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let boxes = &design.solids.boxes;
    let mut pairs: BTreeMap<(String, String), Vec<&Conflict>> = BTreeMap::new();
    for conflict in &design.conflicts {
        let (a, b) = (&boxes[conflict.of], &boxes[conflict.from]);
        if a.class == BoxClass::Service || b.class == BoxClass::Service {
            continue;
        }
        // What sits side by side in a strip `socket-covered` judges.
        if are_neighbours(&design.rig, &a.owner, &b.owner) {
            continue;
        }
        let (Some(x), Some(y)) = (a.owner.device(), b.owner.device()) else { continue };
        let pair = if x <= y { (x.to_owned(), y.to_owned()) } else { (y.to_owned(), x.to_owned()) };
        pairs.entry(pair).or_default().push(conflict);
    }
    let found: Vec<Pair> = pairs
        .iter()
        .filter_map(|(pair, list)| {
            let case = collision(design, pair, list)?;
            Some(Pair { first: pair.0.clone(), second: pair.1.clone(), case })
        })
        .collect();
    let mut out = Vec::new();
    for hub in hubs_alike(found) {
        let (name, others) = (hub.name.clone(), hub.others.clone());
        let is_one = hub.cases.len() < 2;
        // A plug may stand too near another one of its own device.
        let near: Vec<&String> = others.iter().filter(|other| **other != name).collect();
        let own = near.len() < others.len();
        let near = some(&near, "others");
        let headline = match (own, near.is_empty()) {
            (true, true) => format!("plugs on {name} stand too near each other"),
            (true, false) => format!("{name} stands too near {near}, and its own plugs too near each other"),
            (false, _) => format!("{name} stands too near {near}"),
        };
        let Some(mut finding) = hub.told(|_, _, _| headline) else { continue };
        if !is_one {
            finding.edit = clearing(design, &name, &others, &pairs);
        }
        out.push(finding);
    }
    out.extend(at_one_point(design));
    out.extend(beside_the_body(design));
    out.extend(unknown(design));
    out
}

/// Jacks nearer than this to each other are one jack written twice: no plug is that slim. *Common practice, no source.*
const ONE_POINT: Length = Length::from_mm(4);

/// Jacks of a device at one point of one side, of which one has no plug yet: boxes of plugs tell the others.
fn at_one_point(design: &Design) -> Vec<Finding> {
    let ends: Vec<_> = design.ends.iter().filter(|end| !end.inner).collect();
    let mut out = Vec::new();
    for (index, one) in ends.iter().enumerate() {
        for other in ends[index + 1..].iter().filter(|other| other.port.device == one.port.device) {
            let open = [one, other].iter().any(|end| end.plug.plug.is_none());
            let Some(device) = design.rig.device(&one.port.device).filter(|_| open) else { continue };
            let (Some(a), Some(b)) = (device.port(&one.port.port), device.port(&other.port.port)) else {
                continue;
            };
            let near = |x: Known<Length>, y: Known<Length>| {
                x.value.zip(y.value).is_some_and(|(x, y)| (x - y).abs() < ONE_POINT)
            };
            let same_side = a.face.value.is_some() && a.face.value == b.face.value;
            if a.name == b.name || !same_side || !near(a.offset, b.offset) || !near(a.height, b.height) {
                continue;
            }
            let tag = &device.tag;
            let message = format!("{} and {} are at one point of {tag}", one.port, other.port);
            out.push(
                Finding::new(ID, Severity::Stop, message)
                    .about([tag])
                    .at(port_field(&one.port, "offset"), "")
                    .at(port_field(&other.port, "offset"), "")
                    .with(Evidence::words("one point", "room for two plugs"))
                    .remedy("measure where the two jacks are"),
            );
        }
    }
    out
}

/// A move of the one that is too near all the others.
fn clearing(
    design: &Design,
    name: &str,
    others: &[String],
    pairs: &BTreeMap<(String, String), Vec<&Conflict>>,
) -> Option<Edit> {
    let mut between = Vec::new();
    let mut moves = Vec::new();
    for other in others {
        let pair = if name <= other.as_str() {
            (name.to_owned(), other.clone())
        } else {
            (other.clone(), name.to_owned())
        };
        moves.extend(shifts(design, &pair, pairs.get(&pair)?).into_iter().filter(|(tag, ..)| tag == name));
        between.push(pair);
    }
    let between: Vec<(&str, &str)> = between.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
    moving_cure(design, &between, &moves)
}

fn collision(design: &Design, pair: &(String, String), list: &[&Conflict]) -> Option<Finding> {
    let boxes = &design.solids.boxes;
    let worst = list.iter().min_by_key(|c| c.found - c.wanted)?;
    let (a, b) = (&boxes[worst.of], &boxes[worst.from]);
    let room = match worst.found.cmp(&Length::ZERO) {
        Ordering::Less => format!("overlaps {} by {}", box_words(&design.rig, b), shown(-worst.found)),
        Ordering::Equal => format!("touches {}, {} needed", box_words(&design.rig, b), shown(worst.wanted)),
        Ordering::Greater => {
            let (found, needed) = against(worst.found, worst.wanted);
            format!("stands {found} from {}, {needed} needed", box_words(&design.rig, b))
        }
    };
    let mut finding = Finding::new(ID, Severity::Stop, format!("{} {room}", box_words(&design.rig, a)))
        .about([&pair.0, &pair.1])
        .at(Field::device(&pair.0, "place"), "")
        .with(Evidence::at_least(worst.found, worst.wanted))
        .assuming(
            list.iter()
                .flat_map(|c| [&boxes[c.of], &boxes[c.from]])
                .flat_map(|solid| assumed_of(design, solid)),
        );
    if pair.0 != pair.1 {
        finding = finding.at(Field::device(&pair.1, "place"), "");
        finding.edit = moving_cure(design, &[(&pair.0, &pair.1)], &shifts(design, pair, list));
    }
    Some(finding)
}

/// The moves of either device along one axis that end every conflict of the pair.
fn shifts(design: &Design, pair: &(String, String), list: &[&Conflict]) -> Vec<(String, Length, Length)> {
    let boxes = &design.solids.boxes;
    let mut out = Vec::new();
    for axis in [0, 1] {
        // How far the first must go up the axis, and how far down, to be clear of the second.
        let (mut up, mut down) = (Length::ZERO, Length::ZERO);
        for conflict in list {
            let (a, b) = (&boxes[conflict.of], &boxes[conflict.from]);
            let (first, second) = if a.owner.device() == Some(pair.0.as_str()) { (a, b) } else { (b, a) };
            up = up.max(second.high[axis] + conflict.wanted - first.low[axis]);
            down = down.max(first.high[axis] + conflict.wanted - second.low[axis]);
        }
        for by in [whole_mm(up), -whole_mm(down)] {
            for (tag, by) in [(&pair.0, by), (&pair.1, -by)] {
                let (dx, dy) = if axis == 0 { (by, Length::ZERO) } else { (Length::ZERO, by) };
                out.push((tag.clone(), dx, dy));
            }
        }
    }
    out
}

/// Jacks and sockets that something is plugged into and that are written beyond the side they are on: one of two values is
/// a slip. `panel-holes` judges those of panels.
fn beside_the_body(design: &Design) -> Vec<Finding> {
    let mut out: Vec<Finding> = Vec::new();
    let mut seen: BTreeSet<&PortRef> = BTreeSet::new();
    for end in design.ends.iter().filter(|end| seen.insert(&end.port)) {
        let device = design.rig.device(&end.port.device).filter(|device| device.role != Role::Panel);
        let Some((device, size)) = device.and_then(|device| Some((device, device.size.value?))) else {
            continue;
        };
        let Some(port) = device.port(&end.port.port) else { continue };
        let side = match port.face.value {
            Some(Face::Front | Face::Back) => size.width,
            Some(Face::Left | Face::Right) => size.depth,
            None => continue,
        };
        for (at, most, key, words) in [
            (port.offset.value, side, "offset", "along a side of"),
            (port.height.value, size.height, "height", "up a side of"),
        ] {
            let Some(at) = at.filter(|at| most < *at) else { continue };
            out.push(
                Finding::new(
                    ID,
                    Severity::Stop,
                    format!("{} is {} {words} {}", end.port, shown(at), shown(most)),
                )
                .about([&device.tag])
                .at(port_field(&end.port, key), "")
                .at(Field::device(&device.tag, "size"), "")
                .with(Evidence::at_most(at, most))
                .remedy("measure the body and where the jack is"),
            );
        }
    }
    out
}

/// One finding per device whose boxes are not all known.
fn unknown(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut asked: BTreeMap<String, Asked> = BTreeMap::new();
    let mut lack = |tag: &str, field: Field| asked.entry(tag.to_owned()).or_default().lack(field);
    for missing in &design.solids.missing {
        let Some(device) = missing.owner.device().and_then(|tag| rig.device(tag)) else { continue };
        // Without a place, or on a deck that is not there, `not-placed` speaks; corridors have their own rule.
        let misplaced = missing.class == BoxClass::Body && device.size.value.is_some();
        if missing.class != BoxClass::Service && device.place.is_some() && !misplaced {
            lack(&device.tag, missing.lacks.clone());
        }
    }
    for device in rig.by_tag().into_iter().filter(|device| !device.outside && device.place.is_some()) {
        if let Some(field) = unknown_top(device) {
            lack(&device.tag, field);
        }
    }
    for end in &design.ends {
        let Some(device) = rig.device(&end.port.device).filter(|d| !d.outside && d.place.is_some()) else {
            continue;
        };
        if end.inner || device.size.is_unknown() {
            continue;
        }
        match device.port(&end.port.port) {
            Some(port) => match &port.connector {
                None => lack(&device.tag, port_field(&end.port, "connector")),
                Some(connector) if connector.nut.is_unknown() => {
                    lack(&device.tag, Field::of("connector", &connector.id, "nut"));
                }
                Some(_) => {}
            },
            None => continue,
        }
        let Some(plug) = &end.plug.plug else { continue };
        let tail = plug.angle == PlugAngle::Angled;
        for (known, key, wanted) in
            [(plug.tail, "tail", tail), (plug.tail_width, "tail_width", tail), (plug.bend, "bend", true)]
        {
            if wanted && known.is_unknown() {
                lack(&device.tag, Field::of("plug", &plug.id, key));
            }
        }
    }
    // Which port is the inlet decides where the supply's plug stands.
    for fed in fed(rig).iter().filter(|fed| !fed.device.outside && fed.device.place.is_some()) {
        if inlet(fed.device).is_none() {
            for field in inlet_lacks(fed.device) {
                lack(&fed.device.tag, field);
            }
        }
    }
    asked
        .into_iter()
        .filter_map(|(tag, asked)| asked.cannot_judge(ID, &format!("the room {tag} takes"), [tag.clone()]))
        .collect()
}
