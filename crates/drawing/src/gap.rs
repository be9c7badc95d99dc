//! The tightest places of a board, numbered: what the gaps list says and the drawings point at.

use std::collections::BTreeMap;

use design::Design;
use quantity::Length;
use rig::geometry::{BoxClass, Clearance, Conflict, Owner, Solid, are_neighbours, clearance, separation};
use rig::{Known, Provenance};

/// How many gaps are numbered at most; the findings list has them all.
const MOST: usize = 10;
/// Of these at most so many are gaps to the lid.
const MOST_TO_LID: usize = 2;
/// Room beyond what is wanted that makes a gap no longer worth a number.
const WIDE_ENOUGH: Length = Length::from_mm(25);

/// What a gap lies between.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum GapKind {
    /// Two boxes of the plan.
    Boxes {
        /// The box that wants room.
        of: (Owner, BoxClass),
        /// The box it wants it from.
        from: (Owner, BoxClass),
    },
    /// The top of a device and the lid.
    Lid {
        /// The device.
        device: String,
    },
}

/// A tight place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gap {
    /// Its number, from 1; the worst is first.
    pub number: usize,
    /// What it lies between.
    pub kind: GapKind,
    /// The room there is, negative where two things want the same place.
    pub found: Length,
    /// The room wanted.
    pub least: Length,
    /// What is left over; negative where it is too tight.
    pub spare: Length,
    /// Where it is, in the board's frame.
    pub at: [Length; 3],
    /// Whether it rests on a size that is only assumed.
    pub assumed: bool,
}

impl Gap {
    /// The device on one side of the gap: its tag, or what part of the board it is.
    pub fn ends(&self) -> (String, String) {
        match &self.kind {
            GapKind::Boxes { of, from } => (end(&of.0), end(&from.0)),
            GapKind::Lid { device } => (device.clone(), String::new()),
        }
    }

    /// Whether there is less room than wanted.
    pub fn is_too_tight(&self) -> bool {
        self.spare < Length::ZERO
    }
}

fn end(owner: &Owner) -> String {
    owner.device().map_or_else(|| owner.to_string(), str::to_owned)
}

/// The tightest places between plugs, bodies and the lid, worst first, at most ten.
///
/// Of two devices only the worst place is listed. Conflicts come first of themselves: they have less than
/// nothing to spare.
pub fn gaps(design: &Design) -> Vec<Gap> {
    let mut worst: BTreeMap<(String, String), Gap> = BTreeMap::new();
    let boxes = &design.solids.boxes;
    let conflicts: BTreeMap<(usize, usize), &Conflict> = design
        .conflicts
        .iter()
        .rev()
        .map(|conflict| ((conflict.of.min(conflict.from), conflict.of.max(conflict.from)), conflict))
        .collect();
    for (i, a) in boxes.iter().enumerate() {
        for (j, b) in boxes.iter().enumerate().skip(i + 1) {
            let conflict = conflicts.get(&(i, j));
            if conflict.is_none() && !is_worth_measuring(a, b) {
                continue;
            }
            let found = separation(a, b);
            let wanted = match conflict {
                // Side by side in one strip they may touch.
                _ if are_neighbours(&design.rig, &a.owner, &b.owner) => Length::ZERO,
                Some(conflict) => conflict.wanted,
                None => match wanted(a, b, design) {
                    Some(wanted) => wanted,
                    None => continue,
                },
            };
            let spare = found - wanted;
            if WIDE_ENOUGH < spare {
                continue;
            }
            let gap = Gap {
                number: 0,
                kind: GapKind::Boxes { of: (a.owner.clone(), a.class), from: (b.owner.clone(), b.class) },
                found,
                least: wanted,
                spare,
                at: between(a, b),
                assumed: a.assumed || b.assumed,
            };
            let (x, y) = gap.ends();
            let key = if x <= y { (x, y) } else { (y, x) };
            match worst.get(&key) {
                Some(known) if known.spare <= spare => {}
                _ => {
                    worst.insert(key, gap);
                }
            }
        }
    }
    let mut all: Vec<Gap> = worst.into_values().collect();
    all.sort_by(|a, b| (a.spare, &a.kind).cmp(&(b.spare, &b.kind)));
    let lid = to_lid(design);
    all.truncate(MOST - lid.len().min(MOST));
    all.extend(lid);
    all.sort_by(|a, b| (a.spare, &a.kind).cmp(&(b.spare, &b.kind)));
    for (index, gap) in all.iter_mut().enumerate() {
        gap.number = index + 1;
    }
    all
}

/// Plugs against plugs and bodies of other devices that stand beside each other, not above.
fn is_worth_measuring(a: &Solid, b: &Solid) -> bool {
    let (Some(x), Some(y)) = (a.owner.device(), b.owner.device()) else { return false };
    if x == y {
        return false;
    }
    let plug_and = |p: &Solid, q: &Solid| {
        p.class == BoxClass::Plug && matches!(q.class, BoxClass::Plug | BoxClass::Body | BoxClass::Behind)
    };
    // Things one above the other are judged by height under decks, not by their place on the plan.
    let level = a.low[2] < b.high[2] && b.low[2] < a.high[2];
    level && (plug_and(a, b) || plug_and(b, a))
}

fn wanted(a: &Solid, b: &Solid, design: &Design) -> Option<Length> {
    let one = |x: &Solid, y: &Solid| match clearance(x.class, y.class, &design.limits) {
        Clearance::AtLeast(least) => Some(least),
        Clearance::Free => None,
    };
    one(a, b).max(one(b, a))
}

/// The middle of the room between two boxes, or of what they share.
fn between(a: &Solid, b: &Solid) -> [Length; 3] {
    [0, 1, 2].map(|axis| {
        let low = a.low[axis].max(b.low[axis]);
        let high = a.high[axis].min(b.high[axis]);
        (low + high).half()
    })
}

/// The least gaps under the lid.
fn to_lid(design: &Design) -> Vec<Gap> {
    let Some(inside) = design.rig.board.lid.as_ref().map(|lid| lid.inside_height) else { return Vec::new() };
    let Some(height) = inside.value else { return Vec::new() };
    let mut out: Vec<Gap> = tops(design)
        .into_iter()
        .map(|(device, top, at)| {
            let found = top.value.map_or(Length::ZERO, |top| height - top);
            Gap {
                number: 0,
                kind: GapKind::Lid { device },
                found,
                least: design.limits.lid_foam_look,
                spare: found - design.limits.lid_foam_look,
                at,
                assumed: !matches!(top.from, Provenance::Measured | Provenance::Photo) || inside.is_assumed(),
            }
        })
        .collect();
    out.sort_by(|a, b| (a.spare, &a.kind).cmp(&(b.spare, &b.kind)));
    out.truncate(MOST_TO_LID);
    out
}

/// The highest point of each device on the board: body, knobs or open treadle, plugs.
pub(crate) fn tops(design: &Design) -> Vec<(String, Known<Length>, [Length; 3])> {
    let mut tops: BTreeMap<&str, &Solid> = BTreeMap::new();
    for solid in &design.solids.boxes {
        let Some(tag) = solid.owner.device() else { continue };
        let on_board = design
            .rig
            .device(tag)
            .and_then(|device| device.place.as_ref())
            .is_some_and(|place| place.deck != rig::FLOOR && !place.under);
        if !on_board || !matches!(solid.class, BoxClass::Body | BoxClass::Knobs | BoxClass::Plug) {
            continue;
        }
        match tops.get(tag) {
            Some(known) if solid.high[2] <= known.high[2] => {}
            _ => {
                tops.insert(tag, solid);
            }
        }
    }
    tops.into_iter()
        .map(|(tag, solid)| {
            let from = if solid.assumed { Provenance::Assumed } else { Provenance::Measured };
            let middle = |axis: usize| (solid.low[axis] + solid.high[axis]).half();
            (tag.to_owned(), Known::new(solid.high[2], from), [middle(0), middle(1), solid.high[2]])
        })
        .collect()
}
