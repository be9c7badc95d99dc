//! Crossings that are too flat are laid across: two corners are put before and behind the lead that is crossed, and the
//! way is eased again without losing them.

use rayon::prelude::*;
use rig::LeadClass;

use super::ease::{LACK, ease_keeping};
use super::lay::{bent, passes_ties, way_clear};
use super::shape::{Shape, is_detour, straightened};
use super::space::Space;
use super::vector::{add, length, minus, times};
use crate::apart::{Beside, Pieces, around, pieces};
use crate::classes::is_signal;
use crate::cross::{Other, flats, of_ways, others};
use crate::input::{Input, Point, Wanted};

/// A crossing that is laid across shall stay so steep while its way is eased.
const STEEP_DEG: f64 = 75.0;
/// How far along the crossed lead the crossing may be moved, in radii.
const ALONG: [f64; 9] = [0.0, 0.75, -0.75, 1.5, -1.5, 3.0, -3.0, 5.0, -5.0];
/// How far before and behind the crossed lead the new corners lie, in radii.
const ASIDE: [f64; 3] = [0.7, 1.3, 2.5];
/// The new corners stand in for so many corners before and behind them.
const INSTEAD: [[usize; 2]; 6] = [[0, 0], [1, 0], [0, 1], [1, 1], [2, 1], [1, 2]];
/// So many pieces more may hang over the edges of the decks.
const OVER: usize = 0;
/// So many of the new ways are eased, those that look best.
const TRIED: usize = 5;
/// One lead is mended so often.
const TURNS: usize = 6;

/// Lays flat crossings across, as far as that goes without a sharper bend, a long detour or new neighbours. Signal gives
/// way first; what is left is tried with its supplies.
pub(crate) fn square(
    input: &Input,
    space: &Space,
    order: &[usize],
    shapes: &mut [Option<Shape>],
    flat_deg: f64,
) {
    let is_supply = |class: LeadClass| class == LeadClass::Dc;
    for gives_way in [is_signal, is_supply] {
        for &lead in order.iter().filter(|lead| gives_way(input.leads[**lead].class)) {
            let Some(old) = &shapes[lead] else { continue };
            let mending = Mending::new(input, space, lead, shapes, old, flat_deg);
            if mending.flats(&old.path, flat_deg) == 0 {
                continue;
            }
            let best = mending.mended(old);
            shapes[lead] = Some(best);
        }
    }
}

/// A lead among those it ought to be apart from, and the way it had.
struct Mending<'a> {
    input: &'a Input,
    space: &'a Space,
    wanted: &'a Wanted,
    others: Vec<Other<'a>>,
    /// Flatter is too flat.
    flat_deg: f64,
    /// The pieces of the others' ways, in the same order.
    pieces: Vec<Pieces>,
    old: &'a Shape,
    /// How long the old way runs beside others beyond what the rules like, and how many of its pieces hang over an edge.
    old_beside: f64,
    old_outside: usize,
}

impl<'a> Mending<'a> {
    fn new(
        input: &'a Input,
        space: &'a Space,
        lead: usize,
        shapes: &'a [Option<Shape>],
        old: &'a Shape,
        flat_deg: f64,
    ) -> Self {
        let others = others(input, shapes, lead);
        let mut mending = Self {
            input,
            space,
            wanted: &input.leads[lead],
            pieces: others.iter().map(|other| pieces(other.path)).collect(),
            others,
            flat_deg,
            old,
            old_beside: 0.0,
            old_outside: 0,
        };
        let own = pieces(&old.path);
        (mending.old_beside, mending.old_outside) = (mending.beside(&own), mending.outside(&own));
        mending
    }

    /// Turn after turn of mending, for as long as it helps.
    fn mended(&self, start: &Shape) -> Shape {
        let mut now = start.clone();
        for _ in 0..TURNS {
            let Some(better) = self.better(&now) else { break };
            now = better;
        }
        now
    }

    /// The lead with fewer flat crossings; `None` where it has none or nothing better is found.
    fn better(&self, now: &Shape) -> Option<Shape> {
        let flats = self.flats(&now.path, self.flat_deg);
        if flats == 0 {
            return None;
        }
        let mut found = candidates(self.wanted, &self.others, &now.path, self.flat_deg);
        found.sort_by(|a, b| dearness(self.wanted, a).total_cmp(&dearness(self.wanted, b)));
        let half = |path: &[Point]| super::shape::least(path, self.wanted) * 0.5;
        let tried: Vec<Vec<Point>> = found
            .into_iter()
            .filter(|path| self.flats(path, STEEP_DEG) < flats)
            .filter(|path| way_clear(self.space, self.wanted, path, half(path)))
            .take(TRIED)
            .collect();
        tried.par_iter().find_map_first(|path| {
            let most = self.flats(path, STEEP_DEG);
            let keeps = |way: &[Point]| self.flats(way, STEEP_DEG) <= most;
            let shape = bent(self.space, self.wanted, &ease_keeping(self.space, self.wanted, path, &keeps));
            (self.is_good(&shape) && self.flats(&shape.path, self.flat_deg) < flats).then_some(shape)
        })
    }

    /// Whether a way may stand in for the old one: it bends no sharper, is no long detour, keeps off as well, and hangs
    /// hardly farther over the edges.
    fn is_good(&self, shape: &Shape) -> bool {
        let own = pieces(&shape.path);
        (self.wanted.reaches(shape.length) || !self.wanted.reaches(self.old.length))
            && self.wanted.radius_mm.min(self.old.tightest) - 1e-6 <= shape.tightest
            && !is_detour(self.old, shape)
            && way_clear(self.space, self.wanted, &shape.path, shape.tightest)
            && (self.wanted.ties.is_empty() || passes_ties(self.wanted, &shape.path))
            && self.beside(&own) <= self.old_beside
            && self.outside(&own) <= self.old_outside + OVER
    }

    /// How many pieces of a way hang over the edges of the decks.
    fn outside(&self, own: &[(Point, Point)]) -> usize {
        own.iter().filter(|(at, _)| !self.input.is_over_a_deck([at[0], at[1]])).count()
    }

    /// How long a way runs beside others, beyond what the rules like.
    fn beside(&self, own: &[(Point, Point)]) -> f64 {
        let others = self.others.iter().zip(&self.pieces);
        others
            .map(|(other, pieces)| Beside::of(own, &around(other.path, other.apart), pieces, other.apart))
            .map(|beside| (beside.long - self.input.rules.parallel_mm).max(0.0))
            .sum()
    }

    fn flats(&self, path: &[Point], steep_deg: f64) -> usize {
        flats(&self.others, path, steep_deg)
    }
}

/// Length, and what its legs lack for the wanted bends.
fn dearness(lead: &Wanted, path: &[Point]) -> f64 {
    let long: f64 = path.windows(2).map(|leg| length(minus(leg[1], leg[0]))).sum();
    long + LACK * (lead.radius_mm - super::shape::least(path, lead))
}

/// Ways that cross each flatly crossed lead at a right angle, here or further along it.
fn candidates(lead: &Wanted, others: &[Other<'_>], path: &[Point], flat_deg: f64) -> Vec<Vec<Point>> {
    let mut out = Vec::new();
    for other in others {
        for crossing in of_ways(path, other.path, other.apart) {
            if flat_deg <= crossing.angle_deg {
                continue;
            }
            let (own, its) = (crossing.legs[0], crossing.legs[1]);
            let flat = |leg: &[Point]| [leg[1][0] - leg[0][0], leg[1][1] - leg[0][1]];
            let (s, d) = (flat(&path[own..own + 2]), flat(&other.path[its..its + 2]));
            let long = libm::hypot(d[0], d[1]);
            if long < 1e-6 {
                continue;
            }
            // Across the other, to the side on which the way goes on.
            let side = if d[0] * s[1] - d[1] * s[0] < 0.0 { -1.0 } else { 1.0 };
            let along = [d[0] / long, d[1] / long, 0.0];
            let across = [-along[1] * side, along[0] * side, 0.0];
            for far in ALONG {
                let at = add(crossing.at, times(along, far * lead.radius_mm));
                for aside in ASIDE {
                    let reach = times(across, aside * lead.radius_mm);
                    let corners = [minus(at, reach), add(at, reach)];
                    for [before, behind] in INSTEAD {
                        out.extend(with_corners(path, own, corners, before, behind));
                    }
                }
            }
        }
    }
    out
}

/// The way with two corners more on one of its legs, some corners before and behind left out; the first and the last
/// inner one stay, they lie in line with their plugs.
fn with_corners(
    path: &[Point],
    leg: usize,
    corners: [Point; 2],
    before: usize,
    behind: usize,
) -> Option<Vec<Point>> {
    let keep = (leg + 1).checked_sub(before)?;
    let rest = leg + 1 + behind;
    if keep < 2 || path.len() < rest + 2 {
        return None;
    }
    let mut out = path[..keep].to_vec();
    out.extend(corners);
    out.extend_from_slice(&path[rest..]);
    Some(straightened(&out))
}
