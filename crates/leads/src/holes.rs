//! Holes that would help: where leads go far around, or off the board, to pass a deck.
//!
//! A place is taken by the length along the axes that it would save; what it is worth is then measured, by laying the
//! leads concerned with the hole in place.

use rayon::prelude::*;

use crate::alone::{HAIR_MM, alone, worth};
use crate::field::rounds::Field;
use crate::input::{Body, Hole, Input, Point, Wanted};
use crate::outcome::Outcome;
use crate::route::grids::Grids;
use crate::route::space::{Space, cells, figure};

/// A lead goes far that is so many times as long as the shortest way along the axes.
pub const FAR: f64 = 1.6;
/// Places are tried in steps of so many millimetres; so much of the deck stays between a hole and its edge or another one.
const STEP_MM: f64 = 10.0;
const RIM_MM: f64 = 10.0;
/// A hole has this side at least, is filled to this share at most, and leaves so much around a plug that passes it. Sides
/// are whole steps. *Common practice, no source.*
const LEAST_SIDE_MM: f64 = 25.0;
const FILL: f64 = 0.4;
const AIR_MM: f64 = 3.0;
const ROUND_MM: f64 = 5.0;
/// The best places by the look of it are laid through, so many of them, so far apart.
const TRIED: usize = 2;
const APART_MM: f64 = 40.0;
/// A lead that saves less by a hole does without; and a lead off the board counts as so much more.
const WORTH_MM: f64 = 60.0;
const OFF_MM: f64 = 1_000.0;

/// A hole that a deck does not have.
#[derive(Debug, Clone, PartialEq)]
pub struct ProposedHole {
    /// Left, front, underside of the deck.
    pub low: Point,
    /// Right, back, upper side.
    pub high: Point,
    /// The leads that would take it.
    pub leads: Vec<String>,
    /// How much cable they would save together.
    pub saves_mm: f64,
    /// Those of them that would then stay on the board, or have a way at all.
    pub mends: Vec<String>,
}

/// A lead that passes a deck, as it lies.
struct Passer<'a> {
    wanted: &'a Wanted,
    /// Its length; nothing where it has no way.
    long_mm: Option<f64>,
    is_inside: bool,
}

/// For each deck the hole that would help most; nothing for a deck where none would.
pub fn proposed_holes(input: &Input, outcome: &Outcome) -> Vec<ProposedHole> {
    let outline = crate::field::lines::outline(input);
    let mut out = Vec::new();
    for [low, high] in levels(input) {
        let mut passers: Vec<Passer<'_>> = input
            .leads
            .iter()
            .filter(|wanted| passes(wanted, low, high))
            .map(|wanted| {
                let laid = outcome.leads.iter().find(|laid| laid.id == wanted.id);
                let is_inside =
                    laid.is_some_and(|laid| crate::alone::inside(outline, wanted, &laid.path, &laid.radii));
                Passer { wanted, long_mm: laid.map(|laid| laid.route_mm), is_inside }
            })
            .collect();
        // In one order, whatever that of the document is.
        passers.sort_by(|a, b| a.wanted.id.cmp(&b.wanted.id));
        let is_far = |passer: &Passer<'_>| {
            !passer.is_inside || passer.long_mm.is_none_or(|long| FAR * shortest(passer.wanted) < long)
        };
        if passers.iter().any(is_far) {
            out.extend(best(input, &passers, [low, high]));
        }
    }
    out
}

/// The undersides and upper sides of the decks.
fn levels(input: &Input) -> Vec<[f64; 2]> {
    let sheets = input.bodies.iter().filter(|body| body.what == "sheet");
    let mut levels: Vec<[f64; 2]> = sheets.map(|sheet| [sheet.low[2], sheet.high[2]]).collect();
    levels.sort_by(|a, b| a[1].total_cmp(&b[1]));
    levels.dedup_by(|a, b| (a[1] - b[1]).abs() < 0.01);
    levels
}

fn passes(wanted: &Wanted, low: f64, high: f64) -> bool {
    let (a, b) = (wanted.from.at[2], wanted.to.at[2]);
    wanted.ties.is_empty() && high <= a.max(b) && a.min(b) <= low
}

/// The shortest way along the axes: the ends apart, and what their first bends take.
pub(crate) fn shortest(wanted: &Wanted) -> f64 {
    let (from, to) = (&wanted.from, &wanted.to);
    let apart: f64 = (0..3).map(|axis| (from.at[axis] - to.at[axis]).abs()).sum();
    apart + from.straight_mm + to.straight_mm + 2.0 * wanted.radius_mm
}

/// The same over a place.
fn over(wanted: &Wanted, at: [f64; 2]) -> f64 {
    let aside = (0..2).map(|axis| {
        let (a, b) = (wanted.from.at[axis], wanted.to.at[axis]);
        (a.min(b) - at[axis]).max(at[axis] - a.max(b)).max(0.0)
    });
    shortest(wanted) + 2.0 * aside.sum::<f64>()
}

/// The hole that saves most in a deck, measured.
fn best(input: &Input, passers: &[Passer<'_>], level: [f64; 2]) -> Option<ProposedHole> {
    let saved = |passer: &Passer<'_>, at: [f64; 2]| {
        let now = passer.long_mm.unwrap_or(0.0) + if passer.is_inside { 0.0 } else { OFF_MM };
        Some(now - over(passer.wanted, at)).filter(|saved| WORTH_MM <= *saved)
    };
    let most = passers.iter().map(|passer| passer.wanted.radius_mm).fold(0.0, f64::max);
    let mut found: Vec<(f64, [f64; 2], f64)> = Vec::new();
    for [left, front, right, back] in &input.decks {
        for column in 0..cells(right - left, STEP_MM) {
            for row in 0..cells(back - front, STEP_MM) {
                let corner = [left + figure(column) * STEP_MM, front + figure(row) * STEP_MM];
                let those: Vec<&Passer<'_>> =
                    passers.iter().filter(|passer| saved(passer, corner).is_some()).collect();
                let half = side(&those) / 2.0;
                let at = corner.map(|at| at + half);
                let worth: f64 = those.iter().filter_map(|passer| saved(passer, at)).sum();
                if 0.0 < worth && has_room(input, at, half, level, most) {
                    found.push((worth, at, half));
                }
            }
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1[1].total_cmp(&b.1[1])).then(a.1[0].total_cmp(&b.1[0])));
    let mut tried: Vec<[f64; 2]> = Vec::new();
    let mut best: Option<(f64, ProposedHole)> = None;
    for (_, at, half) in found {
        let is_near = |other: &[f64; 2]| (0..2).all(|axis| (other[axis] - at[axis]).abs() < APART_MM);
        if tried.iter().any(is_near) {
            continue;
        }
        tried.push(at);
        let those: Vec<&Passer<'_>> = passers.iter().filter(|passer| saved(passer, at).is_some()).collect();
        let (value, hole) = measured(input, &those, level, at, half);
        if !hole.leads.is_empty() && best.as_ref().is_none_or(|(known, _)| *known < value) {
            best = Some((value, hole));
        }
        if TRIED <= tried.len() {
            break;
        }
    }
    best.map(|(_, hole)| hole)
}

/// The side of a hole for some leads: the widest of their plugs that have to pass goes through, and they do not fill it.
fn side(passers: &[&Passer<'_>]) -> f64 {
    let plug = passers.iter().map(|passer| {
        let (from, to) = (passer.wanted.from.plug_width_mm, passer.wanted.to.plug_width_mm);
        from.min(to) + AIR_MM
    });
    let area: f64 = passers
        .iter()
        .map(|passer| std::f64::consts::PI / 4.0 * passer.wanted.diameter_mm * passer.wanted.diameter_mm)
        .sum();
    let wanted = plug.fold(LEAST_SIDE_MM, f64::max).max((area / FILL).sqrt());
    (wanted / ROUND_MM).ceil() * ROUND_MM
}

/// Whether a hole can be cut at a place, with room for cables to turn into it from either side.
fn has_room(input: &Input, at: [f64; 2], half: f64, [low, high]: [f64; 2], bend: f64) -> bool {
    let holds = |deck: &[f64; 4]| {
        (0..2)
            .all(|axis| deck[axis] + RIM_MM <= at[axis] - half && at[axis] + half <= deck[axis + 2] - RIM_MM)
    };
    let meets = |one: Point, other: Point, by: f64| {
        (0..2).all(|axis| one[axis] - by < at[axis] + half && at[axis] - half < other[axis] + by)
    };
    let is_sheet = |body: &Body| {
        body.what == "sheet" && (body.high[2] - high).abs() < 0.01 && meets(body.low, body.high, 0.0)
    };
    let stands = |body: &Body| {
        !is_sheet(body)
            && meets(body.low, body.high, 0.0)
            && body.low[2] < high + bend
            && low - bend < body.high[2].max(body.keep_off)
    };
    input.decks.iter().any(holds)
        && input.bodies.iter().any(is_sheet)
        && !input.bodies.iter().any(stands)
        && !input
            .holes
            .iter()
            .any(|hole| hole.low[2] < high && low < hole.high[2] && meets(hole.low, hole.high, RIM_MM))
}

/// What a hole is worth, by the leads laid with it.
fn measured(
    input: &Input,
    passers: &[&Passer<'_>],
    [low, high]: [f64; 2],
    at: [f64; 2],
    half: f64,
) -> (f64, ProposedHole) {
    let mut hole = ProposedHole {
        low: [at[0] - half, at[1] - half, low],
        high: [at[0] + half, at[1] + half, high],
        leads: Vec::new(),
        saves_mm: 0.0,
        mends: Vec::new(),
    };
    let with = with_hole(input, &hole);
    let space = Space::new(&with);
    let (field, grids) = (Field::new(&with, &space), Grids::new(&with, with.rules.pitch_mm));
    let laid: Vec<_> =
        passers.par_iter().map(|passer| alone(&field, &space, &grids, passer.wanted)).collect();
    for (passer, shape) in passers.iter().zip(laid) {
        let Some(shape) = shape else { continue };
        let (_, off, _) = worth(field.outline, passer.wanted, &shape);
        let is_mended = !passer.is_inside && off == 0;
        let saved = passer.long_mm.map_or(0.0, |long| long - shape.length);
        let is_as_soft = passer.wanted.radius_mm - HAIR_MM <= shape.tightest;
        if is_mended || (off == 0 && is_as_soft && WORTH_MM <= saved) {
            hole.leads.push(passer.wanted.id.clone());
            hole.saves_mm += saved.max(0.0);
            if is_mended {
                hole.mends.push(passer.wanted.id.clone());
            }
        }
    }
    (hole.saves_mm + OFF_MM * figure(hole.mends.len()), hole)
}

/// The same board with a hole more.
fn with_hole(input: &Input, hole: &ProposedHole) -> Input {
    let mut with = input.clone();
    let mut pieces: Vec<Body> = Vec::new();
    for sheet in with.bodies.iter_mut().filter(|body| body.what == "sheet") {
        if (sheet.high[2] - hole.high[2]).abs() < 0.01 {
            let whole = [sheet.low[0], sheet.low[1], sheet.high[0], sheet.high[1]];
            let cut = [hole.low[0], hole.low[1], hole.high[0], hole.high[1]];
            let mut parts = crate::from_rig::without(&whole, &cut).into_iter().map(|part| Body {
                low: [part[0], part[1], sheet.low[2]],
                high: [part[2], part[3], sheet.high[2]],
                ..sheet.clone()
            });
            // The first piece stands for the whole, so that bodies keep their places.
            let first = parts.next();
            pieces.extend(parts);
            if let Some(first) = first {
                *sheet = first;
            }
        }
    }
    with.bodies.extend(pieces);
    with.holes.push(Hole { name: String::new(), low: hole.low, high: hole.high });
    with
}
