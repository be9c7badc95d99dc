//! An outcome as JSON, for `boardwright arrange --format json` and for outside checkers: types and what fills them.
//!
//! Lengths are millimetres. `docs/schema/arrange-1.schema.json` is made from these types, and from those of the verdict
//! that is put around them.

use indexmap::IndexMap;
use quantity::Length;
use rig::geometry::{BoxClass, Clearance, Solid, clearance, port_direction, port_point};
use schemars::JsonSchema;
use serde::Serialize;

use crate::Weights;
use crate::outcome::{self, Outcome};

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

/// Where each device stands, with all that is needed to judge it anew: boxes, outlines, clearances, ports.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Arrangement<'a, A> {
    /// Where each device stands: the best that fits, or the nearest to fitting.
    pub placements: Vec<Placement<'a>>,
    /// The boxes of everything then.
    pub boxes: Vec<SolidBox<'a>>,
    /// The outlines of the decks.
    pub outlines: Vec<Outline<'a>>,
    /// What boxes keep between one another; pairs that may share room are left out.
    pub clearances: Vec<Apart>,
    /// Where the ports are.
    pub ports: Vec<PortAt>,
    /// The terms of the objective.
    pub terms: Terms,
    /// The sum of the weighted terms, mm of lead; less is better.
    pub total_mm: f64,
    /// Whether it is offered.
    pub feasible: bool,
    /// What breaks the rules of the search.
    pub breaches: Vec<Breach<'a>>,
    /// The wishes of the brief for places that it does not surely meet.
    pub unmet: Vec<Unmet<'a>>,
    /// Why nothing can fit, where that is proven.
    pub proof: Option<&'a str>,
    /// What would help, the least first.
    pub relaxations: Vec<Relaxation<'a>>,
    /// Other placements that fit.
    pub alternatives: Vec<A>,
    /// Addresses of values that are unknown, so that something could not be placed or judged.
    pub lacks: Vec<String>,
    /// Devices that could not be placed because a value is lacking.
    pub left_out: Vec<LeftOut<'a>>,
    /// The seed.
    pub seed: u64,
    /// Logical workers.
    pub workers: usize,
    /// Moves made.
    pub moves: u64,
    /// Moves planned.
    pub planned: u64,
    /// The move at which the first placement fitted.
    pub first_fit: Option<u64>,
    /// Whether it was ended early.
    pub cancelled: bool,
}

impl<'a, A> Arrangement<'a, A> {
    /// The same with more said of each alternative.
    pub fn with_alternatives<B>(self, more: impl FnOnce(Vec<A>) -> Vec<B>) -> Arrangement<'a, B> {
        Arrangement {
            placements: self.placements,
            boxes: self.boxes,
            outlines: self.outlines,
            clearances: self.clearances,
            ports: self.ports,
            terms: self.terms,
            total_mm: self.total_mm,
            feasible: self.feasible,
            breaches: self.breaches,
            unmet: self.unmet,
            proof: self.proof,
            relaxations: self.relaxations,
            alternatives: more(self.alternatives),
            lacks: self.lacks,
            left_out: self.left_out,
            seed: self.seed,
            workers: self.workers,
            moves: self.moves,
            planned: self.planned,
            first_fit: self.first_fit,
            cancelled: self.cancelled,
        }
    }
}

/// Where a device stands.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Placement<'a> {
    /// Its tag.
    pub device: &'a str,
    /// Name of the deck, or `floor`.
    pub deck: &'a str,
    /// Front left corner of the turned body from the left of the deck, mm.
    pub x_mm: f64,
    /// Front left corner of the turned body from the front of the deck, mm.
    pub y_mm: f64,
    /// Turn, counter-clockwise, degrees: 0, 90, 180 or 270.
    pub turn_deg: u32,
    /// Whether it hangs under the deck.
    pub under: bool,
    /// Whether the search was not free to move it.
    pub locked: bool,
    /// Its plugs, where the search chose.
    pub plugs: Vec<PlugExit<'a>>,
}

/// A plug with the side its cable leaves.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(rename = "Plug")]
pub struct PlugExit<'a> {
    /// The port, as `TAG.PORT`.
    pub port: String,
    /// The other end of the lead, as `TAG.PORT`.
    pub other: String,
    /// Catalogue id of the plug.
    pub plug: &'a str,
    /// The way the cable leaves it, seen on the device before it is turned.
    pub exit: Option<&'static str>,
}

/// A box of a thing on the board.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Box")]
pub struct SolidBox<'a> {
    /// Its class, in a word.
    pub class: &'static str,
    /// What it belongs to.
    pub owner: String,
    /// Tag of the device that it belongs to; null for a part of the board.
    pub device: Option<&'a str>,
    /// Its corner with the least x, y and z, mm.
    pub low_mm: [f64; 3],
    /// Its corner with the greatest x, y and z, mm.
    pub high_mm: [f64; 3],
    /// Whether it rests on an assumed value.
    pub assumed: bool,
}

/// The outline of a deck.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Outline<'a> {
    /// Name of the deck.
    pub deck: &'a str,
    /// Height of its surface, mm.
    pub level_mm: f64,
    /// Its rectangles: x, y, width and depth, mm.
    pub rectangles_mm: Vec<[f64; 4]>,
}

/// What a box keeps off another.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Clearance")]
pub struct Apart {
    /// Class of the one box.
    pub of: &'static str,
    /// Class of the other box.
    pub from: &'static str,
    /// The least separation, mm, along one axis at least.
    pub at_least_mm: f64,
}

/// Where a port is.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Port")]
pub struct PortAt {
    /// The port, as `TAG.PORT`.
    pub port: String,
    /// Its place, mm.
    pub at_mm: [f64; 3],
    /// The side that it faces; null where that is not known.
    pub faces: Option<&'static str>,
}

/// The terms of the objective by their names.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Terms {
    /// Each as measured; the unit stands in the name, a count has none.
    pub raw: IndexMap<String, f64>,
    /// What one unit of each counts, mm of lead; free room is taken off.
    pub weights_mm: IndexMap<&'static str, f64>,
    /// Each times its weight, mm of lead.
    pub weighted_mm: IndexMap<&'static str, f64>,
}

/// What breaks a rule of the search.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Breach<'a> {
    /// What is broken, in a word.
    pub what: &'static str,
    /// The things it is about.
    pub about: &'a [String],
    /// The fact in one line.
    pub words: String,
    /// The room there is, mm; null where nothing can be measured.
    pub found_mm: Option<f64>,
    /// The room wanted, mm.
    pub wanted_mm: Option<f64>,
}

/// A wish that a placement does not surely meet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Unmet<'a> {
    /// The number of its requirement.
    pub requirement: &'a str,
    /// What is wished, in words.
    pub wish: &'a str,
    /// Whether it surely is not met; what rests on a size or a place that nobody knows may be.
    pub sure: bool,
}

/// What would make the devices fit.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Relaxation<'a> {
    /// plug, room, under, turn, board, floor or without.
    pub kind: &'static str,
    /// Whether the document with it was judged and nothing stands in the way.
    pub judged: bool,
    /// What it is, in one line.
    pub name: &'a str,
    /// Tag of the device that it is about.
    pub device: Option<&'a str>,
    /// How much room it adds or saves, mm, where that can be said.
    pub by_mm: Option<f64>,
    /// The placement that then fits.
    pub placements: Vec<Placement<'a>>,
}

/// Another placement that fits.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Alternative<'a> {
    /// Where each device stands.
    pub placements: Vec<Placement<'a>>,
    /// Its terms.
    pub terms: Terms,
    /// The sum of its weighted terms, mm of lead; less is better.
    pub total_mm: f64,
    /// How many devices stand elsewhere than in the first answer.
    pub differs: usize,
    /// The wishes of the brief for places that it does not surely meet.
    pub unmet: Vec<Unmet<'a>>,
}

/// A device that could not be placed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct LeftOut<'a> {
    /// Its tag.
    pub device: &'a str,
    /// Addresses of the values to find out.
    pub lacks: Vec<String>,
}

/// The outcome with all that is needed to judge it anew: boxes, outlines, clearances, ports.
pub fn json(outcome: &Outcome) -> Arrangement<'_, Alternative<'_>> {
    Arrangement {
        placements: outcome.placements.iter().map(placement).collect(),
        boxes: outcome.boxes.iter().map(solid).collect(),
        outlines: outlines(outcome),
        clearances: clearances(outcome),
        ports: ports(outcome),
        terms: terms(&outcome.terms, &outcome.weights),
        total_mm: outcome.total,
        feasible: outcome.feasible,
        breaches: outcome.breaches.iter().map(breach).collect(),
        unmet: outcome.unmet.iter().map(unmet).collect(),
        proof: outcome.proof.as_deref(),
        relaxations: outcome.relaxations.iter().map(relaxation).collect(),
        alternatives: outcome.alternatives.iter().map(|other| alternative(other, &outcome.weights)).collect(),
        lacks: fields(&outcome.lacks),
        left_out: outcome.left_out.iter().map(left_out).collect(),
        seed: outcome.seed,
        workers: outcome.workers,
        moves: outcome.moves,
        planned: outcome.planned,
        first_fit: outcome.first_fit,
        cancelled: outcome.cancelled,
    }
}

fn fields(fields: &[finding::Field]) -> Vec<String> {
    fields.iter().map(ToString::to_string).collect()
}

fn placement(placement: &outcome::Placement) -> Placement<'_> {
    Placement {
        device: &placement.device,
        deck: &placement.deck,
        x_mm: placement.x.as_mm(),
        y_mm: placement.y.as_mm(),
        turn_deg: u32::from(placement.quarters) * 90,
        under: placement.under,
        locked: placement.locked,
        plugs: placement.plugs.iter().map(plug).collect(),
    }
}

fn plug(plug: &outcome::Plug) -> PlugExit<'_> {
    PlugExit {
        port: plug.port.to_string(),
        other: plug.other.to_string(),
        plug: &plug.plug,
        exit: plug.exit.map(rig::Exit::word),
    }
}

fn terms(terms: &outcome::Terms, weights: &Weights) -> Terms {
    let named =
        |values: [f64; outcome::Terms::COUNT]| outcome::Terms::NAMES.into_iter().zip(values).collect();
    let raw = outcome::Terms::NAMES.into_iter().zip(outcome::Terms::UNITS).zip(terms.raw());
    Terms {
        raw: raw.map(|((name, unit), value)| (name.to_owned() + suffix(unit), value)).collect(),
        weights_mm: named(weights.each()),
        weighted_mm: named(terms.weighted(weights)),
    }
}

/// What a unit adds to the name of a key; what is counted has none.
fn suffix(unit: &str) -> &'static str {
    match unit {
        "mm" => "_mm",
        "cm²" => "_cm2",
        _ => "",
    }
}

fn breach(breach: &outcome::Breach) -> Breach<'_> {
    Breach {
        what: breach.what,
        about: &breach.about,
        words: breach.words(),
        found_mm: breach.room.map(|room| room.found.as_mm()),
        wanted_mm: breach.room.map(|room| room.wanted.as_mm()),
    }
}

fn unmet(unmet: &outcome::Unmet) -> Unmet<'_> {
    Unmet { requirement: &unmet.requirement, wish: &unmet.wish, sure: unmet.is_sure }
}

fn relaxation(relaxation: &outcome::Relaxation) -> Relaxation<'_> {
    Relaxation {
        kind: relaxation.kind,
        judged: relaxation.judged,
        name: &relaxation.name,
        device: relaxation.device.as_deref(),
        by_mm: relaxation.by.map(Length::as_mm),
        placements: relaxation.placements.iter().map(placement).collect(),
    }
}

fn alternative<'a>(other: &'a outcome::Alternative, weights: &Weights) -> Alternative<'a> {
    Alternative {
        placements: other.placements.iter().map(placement).collect(),
        terms: terms(&other.terms, weights),
        total_mm: other.total,
        differs: other.differs,
        unmet: other.unmet.iter().map(unmet).collect(),
    }
}

fn left_out(left: &outcome::LeftOut) -> LeftOut<'_> {
    LeftOut { device: &left.device, lacks: fields(&left.lacks) }
}

fn solid(solid: &Solid) -> SolidBox<'_> {
    SolidBox {
        class: solid.class.word(),
        owner: solid.owner.to_string(),
        device: solid.owner.device(),
        low_mm: solid.low.map(Length::as_mm),
        high_mm: solid.high.map(Length::as_mm),
        assumed: solid.assumed,
    }
}

fn outlines(outcome: &Outcome) -> Vec<Outline<'_>> {
    let each = outcome.rig.board.decks.iter().map(|deck| {
        let shape = deck.shape_on_board();
        let sides = |at: &rig::Rect| [at.x.as_mm(), at.y.as_mm(), at.width.as_mm(), at.depth.as_mm()];
        Outline {
            deck: &deck.name,
            level_mm: deck.z.as_mm(),
            rectangles_mm: shape.iter().map(sides).collect(),
        }
    });
    each.collect()
}

fn clearances(outcome: &Outcome) -> Vec<Apart> {
    let mut out = Vec::new();
    for of in CLASSES {
        for from in CLASSES {
            if let Clearance::AtLeast(room) = clearance(of, from, &outcome.limits) {
                out.push(Apart { of: of.word(), from: from.word(), at_least_mm: room.as_mm() });
            }
        }
    }
    out
}

fn ports(outcome: &Outcome) -> Vec<PortAt> {
    let rig = &outcome.rig;
    let mut out = Vec::new();
    for device in rig.devices.iter().filter(|device| !device.outside) {
        for port in &device.ports {
            let Some(at) = port_point(rig, device, &port.name) else { continue };
            out.push(PortAt {
                port: format!("{}.{}", device.tag, port.name),
                at_mm: at.map(Length::as_mm),
                faces: port_direction(device, &port.name).map(rig::Face::word),
            });
        }
    }
    out
}
