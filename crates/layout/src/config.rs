//! How far the search goes, what it may change, and what counts how much.

use quantity::{Length, Ratio};
use rig::{Limits, PortRef};

use crate::Terms;

/// What each term of the objective counts, in millimetres of lead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weights {
    /// One millimetre of lead, port to port.
    pub lead: f64,
    /// One millimetre of mean distance of the switches from the front edge, each weighed by its use.
    pub reach: f64,
    /// One step of a run that goes against the board's direction within a row.
    pub order: f64,
    /// One millimetre between the centre of mass and the middle of the board.
    pub balance: f64,
    /// One square centimetre of the largest free rectangle; it is taken off.
    pub free_room: f64,
    /// One crossing of two signal or control leads seen from above.
    pub crossings: f64,
    /// One thing to look at: switches near each other, a corridor barred, a coil near a supply.
    pub looks: f64,
    /// One made lead that has to be made again.
    pub remade: f64,
    /// One front line of foot-worked devices.
    pub rows: f64,
    /// One pair of foot-worked devices whose front edges miss one line by less than 25 mm.
    pub near_misses: f64,
    /// One millimetre by which the gaps on both sides of a device in its row differ.
    pub gaps: f64,
    /// One millimetre between a treadle and the front edge.
    pub treadles: f64,
    /// One millimetre between a set-and-forget device on a deck and the back edge, or what a brick or strip counts that could hang.
    pub set_and_forget: f64,
    /// One wish of the brief that is not met; and one metre that it is off, up to one.
    pub wishes: f64,
}

impl Weights {
    /// Rows first, then leads and comfort, so that a builder would sign the board; *common practice, no source*, and found
    /// by trying on the examples. A wish counts more than
    /// the leads of most boards. A made lead counts thirty kilometres, more than all else on a board together, and is still
    /// given up where a rule would be broken otherwise.
    pub const STANDARD: Self = Self {
        lead: 1.0,
        reach: 20.0,
        order: 60.0,
        balance: 2.0,
        free_room: 0.5,
        crossings: 15.0,
        looks: 1500.0,
        remade: 30_000_000.0,
        rows: 900.0,
        near_misses: 2500.0,
        gaps: 1.0,
        treadles: 30.0,
        set_and_forget: 3.0,
        wishes: 10_000.0,
    };

    /// What one unit of each term counts, in the order of [`Terms::NAMES`]; free room is taken off.
    pub fn each(&self) -> [f64; Terms::COUNT] {
        [
            self.lead,
            self.reach,
            self.order,
            self.balance,
            -self.free_room,
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

    /// The same in words, to a hundredth: `2 per mm`.
    pub fn told(&self) -> [String; Terms::COUNT] {
        let each = self.each();
        std::array::from_fn(|term| {
            format!("{} per {}", (each[term] * 100.0).round() / 100.0, Terms::UNITS[term])
        })
    }

    /// The usual ones by the shares that a workshop's settings give them.
    pub fn from_limits(limits: &Limits) -> Self {
        let by = |weight: f64, share: Ratio| weight * share.get();
        let usual = Self::STANDARD;
        Self {
            lead: by(usual.lead, limits.weight_lead),
            reach: by(usual.reach, limits.weight_reach),
            order: by(usual.order, limits.weight_order),
            balance: by(usual.balance, limits.weight_balance),
            free_room: by(usual.free_room, limits.weight_free_room),
            crossings: by(usual.crossings, limits.weight_crossings),
            looks: by(usual.looks, limits.weight_looks),
            remade: by(usual.remade, limits.weight_remade),
            rows: by(usual.rows, limits.weight_rows),
            near_misses: by(usual.near_misses, limits.weight_near_misses),
            gaps: by(usual.gaps, limits.weight_gaps),
            treadles: by(usual.treadles, limits.weight_treadles),
            set_and_forget: by(usual.set_and_forget, limits.weight_set_and_forget),
            wishes: by(usual.wishes, limits.weight_wishes),
        }
    }
}

/// What the search may change.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[expect(clippy::struct_excessive_bools, reason = "freedoms that the builder gives one by one")]
pub struct Freedom {
    /// Turn devices that a foot works; all others may be turned anyway.
    pub turn_touched: bool,
    /// Let the cable leave an angled plug at another side than the document says.
    pub exits: bool,
    /// Put another plug of the stock on a lead that has one.
    pub plugs: bool,
    /// Hang bricks, strips and devices that no foot works under a deck.
    pub under: bool,
    /// Put a panel at another edge than the document has it, or than the back edge where it has no place.
    pub panels: bool,
}

/// How far the search goes.
#[derive(Debug, Clone, PartialEq)]
pub struct Config {
    /// The seed of all chance.
    pub seed: u64,
    /// Moves in all: placements tried. The search is planned for so many.
    pub moves: u64,
    /// End after so many of them, as a cancelled search did; it then hands back the same.
    pub until: Option<u64>,
    /// Logical workers; each has its own chance. They decide the answer.
    pub workers: usize,
    /// Threads that execute them; they do not.
    pub threads: usize,
    /// How many other placements to hand back.
    pub alternatives: usize,
    /// What counts how much.
    pub weights: Weights,
    /// What may be changed.
    pub freedom: Freedom,
    /// The step of positions.
    pub grid: Length,
    /// Whether to look for the least that would help when nothing fits.
    pub relax: bool,
    /// Room kept free in front of each plug for its cable to turn aside, beyond what the plug's own record wants; nought
    /// where leads are left to find their way.
    pub elbow: Length,
    /// The same for the plugs at these ports alone, where it is more.
    pub elbows: Vec<(PortRef, Length)>,
    /// Leads with an end at one of these ports are to be short: they count [`SHORTER`](Self::SHORTER) times while it searches.
    pub shorter: Vec<PortRef>,
}

impl Config {
    /// How much more a lead counts that is to be short. *Common practice, no source.*
    pub const SHORTER: i64 = 4;

    /// The same with the weights of a workshop's settings.
    pub fn of_shop(limits: &Limits) -> Self {
        Self { weights: Weights::from_limits(limits), ..Self::standard() }
    }

    /// What the program uses where nobody says otherwise.
    pub fn standard() -> Self {
        Self {
            seed: 1,
            moves: 240_000,
            until: None,
            workers: 4,
            threads: 2,
            alternatives: 3,
            weights: Weights::STANDARD,
            freedom: Freedom { turn_touched: false, exits: true, plugs: false, under: true, panels: false },
            grid: Length::from_mm(1),
            relax: true,
            elbow: Length::ZERO,
            elbows: Vec::new(),
            shorter: Vec::new(),
        }
    }
}
