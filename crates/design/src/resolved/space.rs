//! Board, boxes, clearances and conflicts.

use indexmap::IndexMap;
use quantity::Length;
use rig::geometry::{
    BoxClass, Clearance, EndKind, Heading, LeadEnd, Owner, SocketState, Solids, clearance, lead_ends as ends,
    plug_pose, tag_pose,
};
use rig::{Board, Case, Deck, Limits, PlugAngle, PlugKind, Rect, Rig};

use super::wire::{self, Given, known_mm, mm};
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

pub(super) fn board(board: &Board) -> wire::Board<'_> {
    wire::Board {
        kind: board.kind.as_deref(),
        title: &board.title,
        mass_g: Given::of(board.mass, quantity::Grams::get),
        floor_level_mm: mm(board.floor_level()),
        lid_inside_height_mm: board.lid.as_ref().map(|lid| known_mm(lid.inside_height)),
        case: board.case.as_ref().map(case),
        decks: board.decks.iter().map(deck).collect(),
    }
}

fn case(case: &Case) -> wire::Case {
    wire::Case {
        mass_g: Given::of(case.mass, quantity::Grams::get),
        inside_width_mm: known_mm(case.inside_width),
        inside_depth_mm: known_mm(case.inside_depth),
        outside_width_mm: known_mm(case.outside_width),
        outside_depth_mm: known_mm(case.outside_depth),
        outside_height_mm: known_mm(case.outside_height),
    }
}

fn deck(deck: &Deck) -> wire::Deck<'_> {
    let rails = deck.rails.iter().map(|rail| wire::Rail {
        at: rect(&rail.at),
        name: &rail.name,
        drop_mm: mm(rail.drop),
    });
    let risers = deck.risers.iter().map(|riser| wire::Riser {
        at: rect(&riser.at),
        name: &riser.name,
        height_mm: mm(riser.height),
    });
    let passages = deck.passages.iter().map(|passage| wire::Passage {
        at: rect(&passage.at),
        name: &passage.name,
        grommet: Given::of(passage.grommet, |lined| lined),
    });
    wire::Deck {
        name: &deck.name,
        x_mm: mm(deck.x),
        y_mm: mm(deck.y),
        level_mm: mm(deck.z),
        thickness_mm: mm(deck.thickness),
        clear_below_mm: known_mm(deck.clear_below),
        shape: deck.shape.iter().map(rect).collect(),
        rails: rails.collect(),
        risers: risers.collect(),
        passages: passages.collect(),
    }
}

fn rect(rect: &Rect) -> wire::Rect {
    wire::Rect { x_mm: mm(rect.x), y_mm: mm(rect.y), width_mm: mm(rect.width), depth_mm: mm(rect.depth) }
}

pub(super) fn lead_ends(rig: &Rig) -> Vec<wire::LeadEnd> {
    let each = ends(rig).into_iter().map(|end| wire::LeadEnd {
        port: end.port.to_string(),
        device: end.port.device.clone(),
        port_name: end.port.port.clone(),
        other: end.other.to_string(),
        end: if end.end == EndKind::From { "from" } else { "to" },
        class: end.class.word(),
        inner: end.inner,
        pose: pose(rig, &end),
        exit: end.plug.exit.map(rig::Exit::word),
        plug: end.plug.plug.as_ref().map(plug),
    });
    each.collect()
}

fn plug(plug: &PlugKind) -> wire::Plug {
    wire::Plug {
        id: plug.id.clone(),
        angle: if plug.angle == PlugAngle::Angled { "angled" } else { "straight" },
        depth_mm: known_mm(plug.depth),
        width_mm: known_mm(plug.width),
        tail_mm: known_mm(plug.tail),
        tail_width_mm: known_mm(plug.tail_width),
        bend_mm: known_mm(plug.bend),
    }
}

/// How the plug sits in its port, or what stands behind the wall where it is soldered; nothing where the place of the
/// port is unknown or off the board.
fn pose(rig: &Rig, end: &LeadEnd) -> Option<wire::Pose> {
    let device = rig.device(&end.port.device).filter(|device| !device.outside)?;
    let port = &end.port.port;
    if end.inner {
        return tag_pose(rig, device, port).map(|pose| wire::Pose::Inner {
            wall_mm: corner(pose.wall),
            inner_mm: corner(pose.inner),
            inward: pose.inward.word(),
            depth_mm: pose.depth.map(mm),
            assumed: pose.assumed,
        });
    }
    plug_pose(rig, device, port, &end.plug).map(|pose| wire::Pose::Plug {
        wall_mm: corner(pose.wall),
        looks: pose.looks.word(),
        reach_mm: mm(pose.reach),
        turn_mm: corner(pose.turn),
        leaves_mm: corner(pose.leaves),
        heading: pose.heading.map(Heading::word),
        bend_mm: mm(pose.bend_room),
        assumed: pose.assumed,
    })
}

/// The clearance table: what a box of one class wants from a box of another, nothing where they may share room.
pub(super) fn clearances(limits: &Limits) -> IndexMap<&'static str, IndexMap<String, Option<f64>>> {
    let wanted = |of, from| match clearance(of, from, limits) {
        Clearance::AtLeast(length) => Some(mm(length)),
        Clearance::Free => None,
    };
    let row =
        |of| CLASSES.into_iter().map(|from| (format!("{}_mm", from.word()), wanted(of, from))).collect();
    CLASSES.into_iter().map(|of| (of.word(), row(of))).collect()
}

fn corner(corner: [Length; 3]) -> wire::Corner {
    corner.map(mm)
}

fn owner(owner: &Owner) -> wire::Owner<'_> {
    match owner {
        Owner::Device(device) => wire::Owner::Device { device },
        Owner::Port { port, inner } => {
            wire::Owner::Port { device: &port.device, port: &port.port, inner: *inner }
        }
        Owner::Board { deck, part } => wire::Owner::Board { deck, part },
    }
}

pub(super) fn boxes(solids: &Solids) -> Vec<wire::SolidBox<'_>> {
    let each = solids.boxes.iter().map(|solid| wire::SolidBox {
        class: solid.class.word(),
        owner: owner(&solid.owner),
        low_mm: corner(solid.low),
        high_mm: corner(solid.high),
        assumed: solid.assumed,
    });
    each.collect()
}

pub(super) fn missing(solids: &Solids) -> Vec<wire::MissingBox<'_>> {
    let each = solids.missing.iter().map(|missing| wire::MissingBox {
        class: missing.class.word(),
        owner: owner(&missing.owner),
        lacks: missing.lacks.to_string(),
    });
    each.collect()
}

pub(super) fn conflicts(design: &Design) -> Vec<wire::Conflict> {
    let each = design.conflicts.iter().map(|conflict| wire::Conflict {
        of: conflict.of,
        from: conflict.from,
        found_mm: mm(conflict.found),
        wanted_mm: mm(conflict.wanted),
    });
    each.collect()
}

/// The sockets of the strips on the board, with what stands in the way of those that are covered.
pub(super) fn sockets(design: &Design) -> Vec<wire::Socket> {
    let each = design.sockets().into_iter().map(|socket| wire::Socket {
        at: socket.at.to_string(),
        pattern: socket.pattern,
        pitch_mm: socket.pitch.map(mm),
        state: socket.state.word(),
        by: match &socket.state {
            SocketState::Used(by) => by.clone(),
            SocketState::Covered(by) => by.iter().map(ToString::to_string).collect(),
            SocketState::Free | SocketState::Unknown => Vec::new(),
        },
        assumed: socket.assumed,
    });
    each.collect()
}
