//! Board, boxes, clearances and conflicts.

use quantity::Length;
use rig::geometry::{
    BoxClass, Clearance, EndKind, Heading, LeadEnd, Owner, SocketState, Solids, clearance, lead_ends as ends,
    plug_pose, tag_pose,
};
use rig::{Board, Limits, PlugAngle, Rect, Rig};
use serde_json::{Map, Value, json};

use super::{known, mm};
use crate::Design;

const CLASSES: [BoxClass; 9] = [
    BoxClass::Body,
    BoxClass::Knobs,
    BoxClass::Plug,
    BoxClass::Bend,
    BoxClass::Behind,
    BoxClass::Service,
    BoxClass::Riser,
    BoxClass::Rail,
    BoxClass::Sheet,
];

pub(super) fn board(board: &Board) -> Value {
    json!({
        "kind": board.kind,
        "title": board.title,
        "mass_g": known(board.mass, |mass| json!(mass.get())),
        "floor_level_mm": mm(board.floor_level()),
        "lid_inside_height_mm": board.lid.as_ref().map(|lid| known(lid.inside_height, |h| json!(mm(h)))),
        "case": board.case.as_ref().map(|case| json!({
            "mass_g": known(case.mass, |mass| json!(mass.get())),
            "inside_width_mm": known(case.inside_width, |l| json!(mm(l))),
            "inside_depth_mm": known(case.inside_depth, |l| json!(mm(l))),
            "outside_width_mm": known(case.outside_width, |l| json!(mm(l))),
            "outside_depth_mm": known(case.outside_depth, |l| json!(mm(l))),
            "outside_height_mm": known(case.outside_height, |l| json!(mm(l))),
        })),
        "decks": board.decks.iter().map(|deck| json!({
            "name": deck.name,
            "x_mm": mm(deck.x),
            "y_mm": mm(deck.y),
            "level_mm": mm(deck.z),
            "thickness_mm": mm(deck.thickness),
            "clear_below_mm": known(deck.clear_below, |l| json!(mm(l))),
            "shape": deck.shape.iter().map(rect).collect::<Vec<_>>(),
            "rails": deck.rails.iter().map(|rail| {
                let mut value = rect(&rail.at);
                value["name"] = json!(rail.name);
                value["drop_mm"] = json!(mm(rail.drop));
                value
            }).collect::<Vec<_>>(),
            "risers": deck.risers.iter().map(|riser| {
                let mut value = rect(&riser.at);
                value["name"] = json!(riser.name);
                value["height_mm"] = json!(mm(riser.height));
                value
            }).collect::<Vec<_>>(),
            "passages": deck.passages.iter().map(|passage| {
                let mut value = rect(&passage.at);
                value["name"] = json!(passage.name);
                value["grommet"] = known(passage.grommet, |lined| json!(lined));
                value
            }).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
    })
}

fn rect(rect: &Rect) -> Value {
    json!({ "x_mm": mm(rect.x), "y_mm": mm(rect.y), "width_mm": mm(rect.width), "depth_mm": mm(rect.depth) })
}

pub(super) fn lead_ends(rig: &Rig) -> Vec<Value> {
    ends(rig)
        .iter()
        .map(|end| {
            json!({
                "port": end.port.to_string(),
                "device": end.port.device,
                "port_name": end.port.port,
                "other": end.other.to_string(),
                "end": if end.end == EndKind::From { "from" } else { "to" },
                "class": end.class.word(),
                "inner": end.inner,
                "pose": pose(rig, end),
                "exit": end.plug.exit.map(rig::Exit::word),
                "plug": end.plug.plug.as_ref().map(|plug| json!({
                    "id": plug.id,
                    "angle": if plug.angle == PlugAngle::Angled { "angled" } else { "straight" },
                    "depth_mm": known(plug.depth, |l| json!(mm(l))),
                    "width_mm": known(plug.width, |l| json!(mm(l))),
                    "tail_mm": known(plug.tail, |l| json!(mm(l))),
                    "tail_width_mm": known(plug.tail_width, |l| json!(mm(l))),
                    "bend_mm": known(plug.bend, |l| json!(mm(l))),
                })),
            })
        })
        .collect()
}

/// How the plug sits in its port, or what stands behind the wall where it is soldered; `null` where the place of the
/// port is unknown or off the board.
fn pose(rig: &Rig, end: &LeadEnd) -> Value {
    let Some(device) = rig.device(&end.port.device).filter(|device| !device.outside) else {
        return Value::Null;
    };
    let port = &end.port.port;
    if end.inner {
        return tag_pose(rig, device, port).map_or(Value::Null, |pose| {
            json!({
                "wall_mm": corner(pose.wall),
                "inner_mm": corner(pose.inner),
                "inward": pose.inward.word(),
                "depth_mm": pose.depth.map(mm),
                "assumed": pose.assumed,
            })
        });
    }
    plug_pose(rig, device, port, &end.plug).map_or(Value::Null, |pose| {
        json!({
            "wall_mm": corner(pose.wall),
            "looks": pose.looks.word(),
            "reach_mm": mm(pose.reach),
            "turn_mm": corner(pose.turn),
            "leaves_mm": corner(pose.leaves),
            "heading": pose.heading.map(Heading::word),
            "bend_mm": mm(pose.bend_room),
            "assumed": pose.assumed,
        })
    })
}

/// The clearance table: what a box of one class wants from a box of another, `null` where they may share room.
pub(super) fn clearances(limits: &Limits) -> Value {
    let mut table = Map::new();
    for of in CLASSES {
        let mut row = Map::new();
        for from in CLASSES {
            let wanted = match clearance(of, from, limits) {
                Clearance::AtLeast(length) => json!(mm(length)),
                Clearance::Free => Value::Null,
            };
            row.insert(format!("{}_mm", from.word()), wanted);
        }
        table.insert(of.word().to_owned(), Value::Object(row));
    }
    Value::Object(table)
}

fn corner(corner: [Length; 3]) -> Value {
    json!(corner.map(mm))
}

fn owner(owner: &Owner) -> Value {
    match owner {
        Owner::Device(tag) => json!({ "device": tag }),
        Owner::Port { port, inner } => json!({ "device": port.device, "port": port.port, "inner": inner }),
        Owner::Board { deck, part } => json!({ "deck": deck, "part": part }),
    }
}

pub(super) fn boxes(solids: &Solids) -> Vec<Value> {
    solids
        .boxes
        .iter()
        .map(|solid| {
            json!({
                "class": solid.class.word(),
                "owner": owner(&solid.owner),
                "low_mm": corner(solid.low),
                "high_mm": corner(solid.high),
                "assumed": solid.assumed,
            })
        })
        .collect()
}

pub(super) fn missing(solids: &Solids) -> Vec<Value> {
    solids
        .missing
        .iter()
        .map(|missing| json!({ "class": missing.class.word(), "owner": owner(&missing.owner), "lacks": missing.lacks.to_string() }))
        .collect()
}

pub(super) fn conflicts(design: &Design) -> Vec<Value> {
    design
        .conflicts
        .iter()
        .map(|conflict| {
            json!({
                "of": conflict.of,
                "from": conflict.from,
                "found_mm": mm(conflict.found),
                "wanted_mm": mm(conflict.wanted),
            })
        })
        .collect()
}

/// The sockets of the strips on the board, with what stands in the way of those that are covered.
pub(super) fn sockets(design: &Design) -> Vec<Value> {
    let each = design.sockets().into_iter().map(|socket| {
        json!({
            "at": socket.at.to_string(),
            "pattern": socket.pattern,
            "pitch_mm": socket.pitch.map(mm),
            "state": socket.state.word(),
            "by": match &socket.state {
                SocketState::Used(by) => by.clone(),
                SocketState::Covered(by) => by.iter().map(ToString::to_string).collect(),
                SocketState::Free | SocketState::Unknown => Vec::new(),
            },
            "assumed": socket.assumed,
        })
    });
    each.collect()
}
