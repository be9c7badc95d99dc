//! Everything the search needs of an input, made once: surfaces, items, wires, gaps.

mod cell;
mod ends;
mod entry;
mod made;
mod make;
mod probe;
mod spare;
mod surface;
mod want;

pub(crate) use cell::{Cell, Flat, Gaps, Wrong, port_of};
pub(crate) use ends::{Choice, End};
pub(crate) use entry::{Entry, put};
pub(crate) use made::MadeLead;
pub(crate) use spare::spares;
pub(crate) use surface::Surface;
pub(crate) use want::Want;

use crate::outcome::LeftOut;
use finding::Field;
use rig::geometry::LeadEnd;
use rig::{Direction, LeadClass, PlugKind};

/// Where an item stands: a surface, quarter turns, and the front left corner of its turned body in the board's frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct Spot {
    pub(crate) surface: usize,
    pub(crate) turn: u8,
    pub(crate) x: i64,
    pub(crate) y: i64,
}

/// A spot with the choice made at each lead end.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Stand {
    pub(crate) spot: Spot,
    pub(crate) choices: Vec<u8>,
}

/// A device as the search sees it.
#[derive(Debug, Clone)]
#[expect(clippy::struct_excessive_bools, reason = "traits of a device, each on its own")]
pub(crate) struct Item {
    /// Its index among the devices of the rig.
    pub(crate) device: usize,
    pub(crate) tag: String,
    /// Width and depth at no turn, and height.
    pub(crate) size: [i64; 3],
    /// Whether the search may move it.
    pub(crate) movable: bool,
    /// Where the document has it.
    pub(crate) home: Option<Spot>,
    /// The surfaces and turns it may take.
    pub(crate) ways: Vec<(usize, u8)>,
    /// Its boxes without plugs, by turn, from the corner and base of its body.
    pub(crate) cells: [Vec<Cell>; 4],
    /// The lead ends with plugs.
    pub(crate) ends: Vec<End>,
    /// Foot switches by turn.
    pub(crate) switches: [Vec<[i64; 2]>; 4],
    /// By turn, what of the board lies under the foot that works it, from the corner of the body; with how high the foot
    /// stands over the body's base.
    pub(crate) feet: [Vec<Flat>; 4],
    pub(crate) sole: i64,
    /// The side that must lie in the board's rim, before turning.
    pub(crate) rim: Option<rig::Face>,
    /// Milligrams, nought when unknown.
    pub(crate) mass: i64,
    /// How often a foot works it.
    pub(crate) used: i64,
    /// Whether a foot works it: it belongs in a row.
    pub(crate) is_foot_operated: bool,
    pub(crate) has_treadle: bool,
    /// Whether it is set once and then left alone.
    pub(crate) is_forgotten: bool,
    pub(crate) is_brick: bool,
    /// Whether it is a brick or a strip that could hang under a deck.
    pub(crate) could_hang: bool,
    pub(crate) minds_fields: bool,
    pub(crate) has_aerial: bool,
    /// Whether it is no device but room that is kept free.
    pub(crate) is_spare: bool,
}

impl Item {
    /// Whether the search may change anything about it: its place, or a plug or exit that the document leaves open.
    pub(crate) fn is_free(&self) -> bool {
        self.movable || self.ends.iter().any(|end| 1 < end.choices.len())
    }

    /// Width and depth as turned.
    pub(crate) fn plan(&self, turn: u8) -> [i64; 2] {
        if turn.is_multiple_of(2) { [self.size[0], self.size[1]] } else { [self.size[1], self.size[0]] }
    }
}

/// A lead between two items, port to port.
#[derive(Debug, Clone)]
pub(crate) struct Wire {
    pub(crate) items: [usize; 2],
    /// The ports by turn, from the corner and base of the body.
    pub(crate) points: [[[i64; 3]; 4]; 2],
    pub(crate) class: LeadClass,
    /// Whether the direction of signal counts for it.
    pub(crate) ordered: bool,
    /// How many times its length counts while it is searched.
    pub(crate) weight: i64,
}

/// The model of one input.
#[derive(Debug, Clone)]
pub(crate) struct Model {
    pub(crate) surfaces: Vec<Surface>,
    pub(crate) items: Vec<Item>,
    pub(crate) wires: Vec<Wire>,
    /// The wires at each item.
    pub(crate) wires_at: Vec<Vec<usize>>,
    /// Rails, risers and sheets.
    pub(crate) parts: Vec<Cell>,
    /// What each deck covers, with the height of its underside.
    pub(crate) roofs: Vec<(Vec<Flat>, i64)>,
    /// The outline with the room wanted at its edge, and what of its extent is not board.
    pub(crate) extent: Flat,
    pub(crate) void: Vec<Flat>,
    /// What each box is grown by before it is held against the outline.
    pub(crate) edge: i64,
    /// The extent of all decks, for the rim and the middle.
    pub(crate) board: Flat,
    pub(crate) board_mass: i64,
    pub(crate) direction: Direction,
    /// Inside height of the lid.
    pub(crate) lid: Option<i64>,
    pub(crate) gaps: Gaps,
    pub(crate) rules: Rules,
    /// Made leads, and those at each item.
    pub(crate) made: Vec<MadeLead>,
    pub(crate) made_at: Vec<Vec<usize>>,
    /// What the client wants of places.
    pub(crate) wants: Vec<Want>,
    /// Where what is said of each lead end is written.
    pub(crate) entries: Vec<Entry>,
    /// All lead ends of the rig.
    pub(crate) lead_ends: Vec<LeadEnd>,
    /// The plugs that choices name.
    pub(crate) plugs: Vec<PlugKind>,
    /// Values that are lacking, so that something could not be judged or placed.
    pub(crate) lacks: Vec<Field>,
    /// Devices that cannot be placed at all.
    pub(crate) left_out: Vec<LeftOut>,
    pub(crate) grid: i64,
}

impl Model {
    /// Whether a deck lies below this surface.
    pub(crate) fn is_upper(&self, surface: usize) -> bool {
        let here = &self.surfaces[surface];
        self.surfaces.iter().any(|other| !other.under && !other.is_floor && other.is_below(here))
    }
}

/// The limits that the search holds to, in nanometres.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Rules {
    pub(crate) lid_look: i64,
    pub(crate) lid_stop: i64,
    pub(crate) clear_look: i64,
    pub(crate) clear_stop: i64,
    pub(crate) switch_look: i64,
    pub(crate) switch_stop: i64,
    pub(crate) row_look: i64,
    pub(crate) row_step: i64,
    pub(crate) shoe: i64,
    pub(crate) foot_room: i64,
    pub(crate) field_look: i64,
    pub(crate) aerial_look: i64,
}
