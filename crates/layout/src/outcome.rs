//! What a search hands back.

use finding::{Edit, Field};
use quantity::Length;
use rig::geometry::{Solid, solids};
use rig::{Exit, PortRef, Rig};

pub use crate::verify::{Breach, Room, Unmet};

/// A plug with the side its cable leaves, where the search chose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plug {
    /// The port.
    pub port: PortRef,
    /// The other end of the lead.
    pub other: PortRef,
    /// The plug's id.
    pub plug: String,
    /// Where its cable leaves, seen on the device before it is turned.
    pub exit: Option<Exit>,
}

/// Where a device stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placement {
    /// Its tag.
    pub device: String,
    /// The deck's name, or `floor`.
    pub deck: String,
    /// Front left corner of the turned body, in the deck's frame.
    pub x: Length,
    /// Front left corner of the turned body, in the deck's frame.
    pub y: Length,
    /// Quarter turns.
    pub quarters: u8,
    /// Whether it hangs under the deck.
    pub under: bool,
    /// Whether the search was not free to move it.
    pub locked: bool,
    /// Its plugs.
    pub plugs: Vec<Plug>,
}

/// The terms of the objective, each as measured.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Terms {
    /// Millimetres of lead over all runs and stated feeds, port to port.
    pub lead: f64,
    /// Mean depth of the switches in millimetres, weighed by use.
    pub reach: f64,
    /// Steps of runs against the direction within a row.
    pub order: f64,
    /// Millimetres from the centre of mass to the middle of the board, along plus across.
    pub balance: f64,
    /// The largest free rectangle in square centimetres.
    pub free_room: f64,
    /// Crossings of signal and control leads seen from above.
    pub crossings: f64,
    /// Things to look at.
    pub looks: f64,
    /// Made leads that have to be made again.
    pub remade: f64,
    /// Front lines: the different front edges of foot-worked devices, over all decks.
    pub rows: f64,
    /// Pairs of foot-worked devices of one deck whose front edges differ by less than 25 mm, and by something.
    pub near_misses: f64,
    /// Millimetres by which the gaps left and right of a device in its row differ, added up.
    pub gaps: f64,
    /// Millimetres from the front edge of the board to the treadles, and a tenth of those to its nearer end, added up.
    pub treadles: f64,
    /// Millimetres from the back edge of the board to the devices on its decks that no foot works, added up; for a brick or
    /// strip on a deck that could hang under one, 1000 mm more.
    pub set_and_forget: f64,
    /// Wishes of the brief that are not met, each with how far it is off in metres, at most one.
    pub wishes: f64,
}

impl Terms {
    /// How many terms there are.
    pub const COUNT: usize = 14;

    /// The names of the terms, in order.
    pub const NAMES: [&'static str; Self::COUNT] = [
        "lead",
        "reach",
        "order",
        "balance",
        "free_room",
        "crossings",
        "looks",
        "remade",
        "rows",
        "near_misses",
        "gaps",
        "treadles",
        "set_and_forget",
        "wishes",
    ];

    /// What each term is measured in, in the order of the names.
    pub const UNITS: [&'static str; Self::COUNT] = [
        "mm", "mm", "step", "mm", "cm²", "crossing", "finding", "lead", "line", "pair", "mm", "mm", "mm",
        "wish",
    ];

    /// The terms as measured, in the order of the names.
    pub fn raw(&self) -> [f64; Self::COUNT] {
        [
            self.lead,
            self.reach,
            self.order,
            self.balance,
            self.free_room,
            self.crossings,
            self.looks,
            self.remade,
            self.rows,
            self.near_misses,
            self.gaps,
            self.treadles,
            self.set_and_forget,
            self.wishes,
        ]
    }

    /// The terms weighted; free room is taken off.
    pub fn weighted(&self, weights: &crate::Weights) -> [f64; Self::COUNT] {
        let (raw, each) = (self.raw(), weights.each());
        std::array::from_fn(|term| raw[term] * each[term])
    }

    /// The sum of the weighted terms.
    pub fn total(&self, weights: &crate::Weights) -> f64 {
        self.weighted(weights).iter().sum()
    }
}

/// Another placement that fits.
#[derive(Debug, Clone)]
pub struct Alternative {
    /// Where each device stands.
    pub placements: Vec<Placement>,
    /// Its terms.
    pub terms: Terms,
    /// Its total.
    pub total: f64,
    /// How many devices stand elsewhere than in the first answer: by more than half their width or depth.
    pub differs: usize,
    /// The rig with the placement applied.
    pub rig: Rig,
    /// The wishes for places that it does not surely meet, by the verifier.
    pub unmet: Vec<Unmet>,
    /// The edit that writes it into the document.
    pub edit: Edit,
}

/// A device that could not be placed because a value is lacking.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// Its tag.
    pub device: String,
    /// The values to find out.
    pub lacks: Vec<Field>,
}

impl LeftOut {
    /// What is to be done about it: `X is left out: measure its size`.
    pub fn words(&self) -> String {
        let keys = self.lacks.iter().filter_map(|field| field.parts().last().cloned());
        format!("{} is left out: measure its {}", self.device, keys.collect::<Vec<_>>().join(" and its "))
    }
}

/// What would make the devices fit, found by trying it.
#[derive(Debug, Clone)]
pub struct Relaxation {
    /// What it is, in one line.
    pub name: String,
    /// `plug`, `room`, `under`, `turn`, `board`, `floor` or `without`.
    pub kind: &'static str,
    /// Whether the document with it was judged and nothing stands in the way. Without that it is a possibility: something
    /// of it cannot be written, or nobody was asked.
    pub judged: bool,
    /// How much room it adds or saves, where that can be said.
    pub by: Option<Length>,
    /// The device it is about.
    pub device: Option<String>,
    /// What writes it into the document together with the placement that then fits; `None` where no edit can, or where
    /// the document would then describe a board that cannot be had.
    pub edit: Option<Edit>,
    /// The placement that then fits.
    pub placements: Vec<Placement>,
}

/// The answer.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// Where each device stands: the best that fits, or the nearest to fitting.
    pub placements: Vec<Placement>,
    /// The rig with the placement applied.
    pub rig: Rig,
    /// The boxes of everything then.
    pub boxes: Vec<Solid>,
    /// The terms.
    pub terms: Terms,
    /// The weights they were weighed with.
    pub weights: crate::Weights,
    /// The sum of the weighted terms.
    pub total: f64,
    /// Whether the verifier finds nothing wrong.
    pub feasible: bool,
    /// What the verifier finds wrong.
    pub breaches: Vec<Breach>,
    /// The wishes for places that it does not surely meet, by the verifier.
    pub unmet: Vec<Unmet>,
    /// Why nothing can fit, where that is proven.
    pub proof: Option<String>,
    /// What would help, the least first.
    pub relaxations: Vec<Relaxation>,
    /// Other placements that fit.
    pub alternatives: Vec<Alternative>,
    /// More that fit, too like those before to be shown beside them: for the case that one of them does not do.
    pub further: Vec<Alternative>,
    /// The seed.
    pub seed: u64,
    /// Logical workers.
    pub workers: usize,
    /// Moves made. With [`Config::until`](crate::Config::until) set to them, the same plan gives the same answer.
    pub moves: u64,
    /// Moves planned.
    pub planned: u64,
    /// The move at which the first placement fitted.
    pub first_fit: Option<u64>,
    /// Whether it was ended early.
    pub cancelled: bool,
    /// Values that are unknown, so that something could not be placed or judged.
    pub lacks: Vec<Field>,
    /// Devices that could not be placed because a value is lacking, with what to find out. The others are arranged.
    pub left_out: Vec<LeftOut>,
    /// Whether the input had a place for every device: only then do the terms of [`measure`](crate::measure) say how the
    /// board is now.
    pub was_placed: bool,
    /// The edit that writes the placement into the document.
    pub edit: Edit,
    /// The clearances by pair of classes, for whoever recomputes.
    pub limits: rig::Limits,
}

impl Outcome {
    /// The outcome with another of its placements in the first place.
    #[must_use]
    pub fn instead(&self, other: &Alternative) -> Self {
        Self {
            placements: other.placements.clone(),
            boxes: solids(&other.rig, &self.limits).boxes,
            rig: other.rig.clone(),
            terms: other.terms,
            total: other.total,
            unmet: other.unmet.clone(),
            edit: other.edit.clone(),
            ..self.clone()
        }
    }

    /// How many devices another placement has elsewhere than this one: on another deck or side, turned, or by more than
    /// half their width or depth.
    pub fn elsewhere(&self, other: &Alternative) -> usize {
        let differs = |(a, b): &(&Placement, &Placement)| {
            let plan = other.rig.device(&a.device).and_then(rig::Device::footprint);
            (&a.deck, a.under, a.quarters) != (&b.deck, b.under, b.quarters)
                || plan.is_some_and(|plan| {
                    plan.width < (a.x - b.x).abs() * 2 || plan.depth < (a.y - b.y).abs() * 2
                })
        };
        self.placements.iter().zip(&other.placements).filter(differs).count()
    }
}
