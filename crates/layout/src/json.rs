//! An outcome as JSON, for `boardwright arrange --format json` and for outside checkers.

use rig::geometry::{BoxClass, Clearance, Solid, clearance, port_direction, port_point};
use serde_json::{Map, Value, json};

use crate::Weights;
use crate::outcome::{Outcome, Placement, Terms};

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

/// The outcome with all that is needed to judge it anew: boxes, outlines, clearances, ports.
pub fn json(outcome: &Outcome) -> Value {
    let weights = &outcome.weights;
    json!({
        "placements": outcome.placements.iter().map(placement).collect::<Vec<_>>(),
        "boxes": outcome.boxes.iter().map(solid).collect::<Vec<_>>(),
        "outlines": outlines(outcome),
        "clearances": clearances(outcome),
        "ports": ports(outcome),
        "terms": terms(&outcome.terms, weights),
        "total": outcome.total,
        "feasible": outcome.feasible,
        "breaches": outcome.breaches.iter().map(|breach| json!({
            "what": breach.what,
            "about": breach.about,
            "words": breach.words(),
            "found_mm": breach.room.map(|room| room.found.as_mm()),
            "wanted_mm": breach.room.map(|room| room.wanted.as_mm()),
        })).collect::<Vec<_>>(),
        "proof": outcome.proof,
        "relaxations": outcome.relaxations.iter().map(|relaxation| json!({
            "kind": relaxation.kind,
            "judged": relaxation.judged,
            "name": relaxation.name,
            "device": relaxation.device,
            "by_mm": relaxation.by.map(quantity::Length::as_mm),
            "placements": relaxation.placements.iter().map(placement).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "alternatives": outcome.alternatives.iter().map(|other| json!({
            "placements": other.placements.iter().map(placement).collect::<Vec<_>>(),
            "terms": terms(&other.terms, weights),
            "total": other.total,
            "differs": other.differs,
        })).collect::<Vec<_>>(),
        "lacks": outcome.lacks.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "left_out": outcome.left_out.iter().map(|left| json!({
            "device": left.device,
            "lacks": left.lacks.iter().map(ToString::to_string).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "seed": outcome.seed,
        "workers": outcome.workers,
        "moves": outcome.moves,
        "planned": outcome.planned,
        "first_fit": outcome.first_fit,
        "cancelled": outcome.cancelled,
    })
}

fn placement(placement: &Placement) -> Value {
    json!({
        "device": placement.device,
        "deck": placement.deck,
        "x_mm": placement.x.as_mm(),
        "y_mm": placement.y.as_mm(),
        "turn_deg": u32::from(placement.quarters) * 90,
        "under": placement.under,
        "locked": placement.locked,
        "plugs": placement.plugs.iter().map(|plug| json!({
            "port": plug.port.to_string(),
            "other": plug.other.to_string(),
            "plug": plug.plug,
            "exit": plug.exit.map(rig::Exit::word),
        })).collect::<Vec<_>>(),
    })
}

fn terms(terms: &Terms, weights: &Weights) -> Value {
    let named = |values: [f64; Terms::COUNT]| -> Map<String, Value> {
        Terms::NAMES.iter().zip(values).map(|(name, value)| ((*name).to_owned(), json!(value))).collect()
    };
    json!({
        "raw": named(terms.raw()),
        "weights": named(weights.each()),
        "weighted": named(terms.weighted(weights)),
    })
}

fn solid(solid: &Solid) -> Value {
    json!({
        "class": solid.class.word(),
        "owner": solid.owner.to_string(),
        "device": solid.owner.device(),
        "low_mm": solid.low.map(quantity::Length::as_mm),
        "high_mm": solid.high.map(quantity::Length::as_mm),
        "assumed": solid.assumed,
    })
}

fn outlines(outcome: &Outcome) -> Vec<Value> {
    let decks = &outcome.rig.board.decks;
    decks
        .iter()
        .map(|deck| {
            json!({
                "deck": deck.name,
                "level_mm": deck.z.as_mm(),
                "rectangles_mm": deck.shape_on_board().iter()
                    .map(|at| [at.x.as_mm(), at.y.as_mm(), at.width.as_mm(), at.depth.as_mm()])
                    .collect::<Vec<_>>(),
            })
        })
        .collect()
}

fn clearances(outcome: &Outcome) -> Vec<Value> {
    let mut out = Vec::new();
    for of in CLASSES {
        for from in CLASSES {
            if let Clearance::AtLeast(room) = clearance(of, from, &outcome.limits) {
                out.push(json!({ "of": of.word(), "from": from.word(), "at_least_mm": room.as_mm() }));
            }
        }
    }
    out
}

fn ports(outcome: &Outcome) -> Vec<Value> {
    let rig = &outcome.rig;
    let mut out = Vec::new();
    for device in rig.devices.iter().filter(|device| !device.outside) {
        for port in &device.ports {
            let Some(at) = port_point(rig, device, &port.name) else { continue };
            out.push(json!({
                "port": format!("{}.{}", device.tag, port.name),
                "at_mm": at.map(quantity::Length::as_mm),
                "faces": port_direction(device, &port.name).map(rig::Face::word),
            }));
        }
    }
    out
}
