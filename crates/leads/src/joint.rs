//! Where the joint of a lead with more than two ends lies.

use quantity::Length;
use rayon::prelude::*;

use crate::alone::alone;
use crate::field::rounds::Field;
use crate::from_rig::{Given, median};
use crate::input::{Body, End, Input, Point};
use crate::route::grids::Grids;
use crate::route::space::Space;

/// A joint in its sleeve is so long and so thick. *Common practice, no source.*
const LONG_MM: f64 = 30.0;
const THICK_MM: f64 = 10.0;
/// Room that a joint keeps on all sides, and at its two ends for the cables to bend.
const CLEAR_MM: f64 = 2.0;
const AHEAD_MM: f64 = 18.0;
/// From the tip of a plug's sleeve to the joint: nothing is soldered nearer to a plug. *Common practice, no source.*
const OFF_PLUG_MM: f64 = 25.0;
/// The step in which places are tried, and how many steps out.
const STEP_MM: f64 = 10.0;
const REACH: i32 = 20;
/// A turn of a right angle at either end of a leg counts as so much more cable: legs that leave their plug and enter the
/// joint along their way lie flat. A leg shorter than this has no room for a bend.
const TURN_MM: f64 = 40.0;
const SHORT_MM: f64 = 45.0;

/// What a millimetre costs that a leg which is cut already lacks along the straight line.
const BEYOND: f64 = 20.0;

/// The place of a joint, and the axis that its trunk leaves along.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Joint {
    /// Its middle.
    pub(crate) at: Point,
    /// Towards the end that the others branch from.
    pub(crate) axis: Point,
}

/// How many places are routed to before the best of them is taken, and how far apart they lie.
const TRIED: usize = 6;
/// The same where legs are cut already: one that reaches all of them is worth looking for.
const TRIED_CUT: usize = 40;
const APART_MM: f64 = 15.0;
/// A bend below this share of the wanted radius is sharp: another place is tried.
const SHARP: f64 = 0.99;

/// Where a joint is put before anything is routed: the best place by the look of it.
pub(crate) fn place(input: &Input, given: &Given, ends: &[End]) -> Joint {
    candidates(input, given, ends).into_iter().next().unwrap_or_else(|| {
        let at = [0, 1, 2].map(|axis| median(ends.iter().map(|end| end.at[axis])));
        Joint { at, axis: [1.0, 0.0, 0.0] }
    })
}

/// Moves each joint that the document leaves open to the first place, the best by the look of it first, where every leg
/// finds a way without a sharp bend; where there is none, to the one where the fewest legs have none and the bends are
/// widest.
pub(crate) fn settle(input: &mut Input, givens: &[Given]) {
    let open = |given: &&Given| given.is_joined() && given.joint.is_none();
    let mut moved: Vec<(usize, End)> = Vec::new();
    {
        let input = &*input;
        let space = Space::new(input);
        let (field, grids) = (Field::new(input, &space), Grids::new(input, input.rules.pitch_mm));
        for given in givens.iter().filter(open) {
            let legs: Vec<usize> = (0..input.leads.len())
                .filter(|&lead| input.leads[lead].leg_of.as_deref() == Some(given.id.as_str()))
                .collect();
            let ends: Vec<End> = legs.iter().map(|&lead| input.leads[lead].from.clone()).collect();
            if ends.len() != given.ends.len() {
                continue;
            }
            // Legs without a way, made legs that do not reach, and the sharpest bend: in this order.
            let mut best: Option<((usize, usize, f64), Joint)> = None;
            for joint in candidates(input, given, &ends) {
                let tried: Vec<Option<(f64, bool)>> = legs
                    .par_iter()
                    .enumerate()
                    .map(|(leg, &lead)| {
                        let mut wanted = input.leads[lead].clone();
                        wanted.to = end(given, leg, joint);
                        let shape = alone(&field, &space, &grids, &wanted)?;
                        Some((shape.tightest / wanted.radius_mm.max(1e-6), wanted.reaches(shape.length)))
                    })
                    .collect();
                let without = tried.iter().filter(|way| way.is_none()).count();
                let short = tried.iter().flatten().filter(|(_, reaches)| !reaches).count();
                let sharpest = tried.iter().flatten().map(|(share, _)| *share).fold(1.0, f64::min);
                let better = |known: &(usize, usize, f64)| {
                    let bad = (without, short).cmp(&(known.0, known.1));
                    bad.then(known.2.total_cmp(&sharpest)).is_lt()
                };
                if best.as_ref().is_none_or(|(known, _)| better(known)) {
                    best = Some(((without, short, sharpest), joint));
                }
                if without + short == 0 && SHARP <= sharpest {
                    break;
                }
            }
            if let Some((_, joint)) = best {
                moved.extend(legs.iter().enumerate().map(|(leg, &lead)| (lead, end(given, leg, joint))));
            }
        }
    }
    for (lead, end) in moved {
        input.leads[lead].to = end;
    }
}

/// Places for a joint, the best by the look of it first: where its legs are shortest along the axes and turn least,
/// about the median of the ends, axis by axis (the star of least length; Hanan 1966 for three ends), wherever near it
/// there is room.
///
/// The document's own place is taken as it is.
fn candidates(input: &Input, given: &Given, ends: &[End]) -> Vec<Joint> {
    let tips: Vec<Point> =
        ends.iter().map(|end| [0, 1, 2].map(|axis| end.at[axis] + end.out[axis] * OFF_PLUG_MM)).collect();
    let centre = [0, 1, 2].map(|axis| median(tips.iter().map(|tip| tip[axis])));
    let along = |at: Point| {
        let axes = [[1.0, 0.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, -1.0, 0.0]];
        axes.map(|axis| {
            let joint = Joint { at, axis };
            (cost(given, ends, joint), joint)
        })
    };
    let mut all: Vec<(f64, Joint)> = Vec::new();
    if let Some(stated) = given.joint {
        all.extend(along([stated[0].as_mm(), stated[1].as_mm(), centre[2]]));
    } else {
        // The heights that ends are at, and lying on a deck.
        let mut heights: Vec<f64> = tips.iter().map(|tip| tip[2]).collect();
        let sheets = input.bodies.iter().filter(|body| body.what == "sheet");
        heights.extend(sheets.map(|body| body.high[2] + THICK_MM / 2.0 + CLEAR_MM));
        heights.sort_by(f64::total_cmp);
        heights.dedup();
        for ring in 0..=REACH {
            for (i, j) in rim(ring) {
                for &z in &heights {
                    let at = [centre[0] + f64::from(i) * STEP_MM, centre[1] + f64::from(j) * STEP_MM, z];
                    if input.is_over_a_deck([at[0], at[1]]) {
                        all.extend(along(at));
                    }
                }
            }
        }
    }
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut out: Vec<Joint> = Vec::new();
    let is_cut = given.ends.iter().any(|end| end.made.is_some());
    let most = if is_cut { TRIED_CUT } else { TRIED };
    for (_, joint) in all {
        if most <= out.len() {
            break;
        }
        let far = |other: &Joint| {
            let turned = (0..3).map(|i| other.axis[i] * joint.axis[i]).sum::<f64>() < 0.5;
            turned || (0..3).map(|i| (other.at[i] - joint.at[i]).abs()).sum::<f64>() >= APART_MM
        };
        if out.iter().all(far) && (given.joint.is_some() || has_room(input, joint.at, joint.axis)) {
            out.push(joint);
        }
    }
    out
}

/// What a place and an axis cost: the legs' lengths along the axes, their turns, and those that are too short to turn.
fn cost(given: &Given, ends: &[End], joint: Joint) -> f64 {
    let mut whole = 0.0;
    for (leg, own) in ends.iter().enumerate() {
        let there = end(given, leg, joint);
        let way = [0, 1, 2].map(|i| there.at[i] - own.at[i]);
        let long = way.iter().map(|part| part * part).sum::<f64>().sqrt();
        let dot = |out: Point| (0..3).map(|i| out[i] * way[i]).sum::<f64>() / long.max(1.0);
        // Straight on costs nothing, straight back twice a right angle; at the joint the leg comes against its direction.
        let turns = (1.0 - dot(own.out)) + (1.0 + dot(there.out));
        whole += way.iter().map(|part| part.abs()).sum::<f64>()
            + TURN_MM * turns
            + 4.0 * (SHORT_MM - long).max(0.0);
        // A leg that is cut already has to reach.
        if let Some(made) = given.ends[leg].made {
            let taken = own.allowance_mm.unwrap_or(0.0) + own.service_mm + there.allowance_mm.unwrap_or(0.0);
            whole += BEYOND * (long + taken - made.as_mm()).max(0.0);
        }
    }
    whole
}

/// The places of a square ring.
fn rim(ring: i32) -> Vec<(i32, i32)> {
    if ring == 0 {
        return vec![(0, 0)];
    }
    let mut out = Vec::new();
    for along in -ring..=ring {
        out.extend([(along, -ring), (along, ring)]);
        if along.abs() < ring {
            out.extend([(-ring, along), (ring, along)]);
        }
    }
    out
}

/// Whether a joint can lie at a place: clear of every body, and not on top of a device that a foot works.
fn has_room(input: &Input, at: Point, axis: Point) -> bool {
    let half = [0, 1, 2]
        .map(|i| if axis[i].abs() < 0.5 { THICK_MM / 2.0 + CLEAR_MM } else { LONG_MM / 2.0 + AHEAD_MM });
    let meets = |body: &Body| {
        (0..2).all(|i| body.low[i] < at[i] + half[i] && at[i] - half[i] < body.high[i])
            && body.low[2] < at[2] + half[2]
            && at[2] - half[2] < body.high[2].max(body.keep_off)
    };
    let outline = crate::field::lines::outline(input);
    let within = (0..2).all(|i| outline[i] <= at[i] - half[i] && at[i] + half[i] <= outline[i + 2])
        && input.low[2] <= at[2] - half[2]
        && at[2] + half[2] <= input.high[2];
    within && !input.bodies.iter().any(meets)
}

/// The end of a leg in its joint: the trunk leaves along the joint's axis, the branches the other way.
pub(crate) fn end(given: &Given, leg: usize, joint: Joint) -> End {
    let out = if leg == given.trunk { joint.axis } else { joint.axis.map(|part| -part) };
    End {
        port: format!("joint of {}", given.id),
        at: [0, 1, 2].map(|i| joint.at[i] + out[i] * LONG_MM / 2.0),
        out,
        straight_mm: 0.0,
        // From the sleeve's edge to its middle, where the legs are soldered over one another.
        allowance_mm: Some(given.in_joint.max(Length::ZERO).as_mm()),
        plug: Some("joint".to_owned()),
        exit: None,
        proposed: false,
        turns: Vec::new(),
        service_mm: 0.0,
        plug_pf: 0.0,
        plug_width_mm: 0.0,
        bodies: Vec::new(),
    }
}
