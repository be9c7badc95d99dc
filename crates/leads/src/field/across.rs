//! Crossings of leads that keep apart are square: where one is flatter than that, one of the two goes there another way.
//!
//! The cable is looked at as it lies, its bends rounded: what is square between corners may be flat in a bend.

use rayon::prelude::*;

use super::form::{HAIR_MM, skew};
use super::lanes::aside;
use super::lines::outline;
use super::mesh::units;
use super::rounds::{Field, cost};
use super::traffic::Traffic;
use crate::apart::{Beside, around, meets, pieces};
use crate::classes::apart;
use crate::cross::{SQUARE_DEG, of_ways};
use crate::input::{Input, Point, Wanted};
use crate::route::shape::{Shape, chords, is_detour};
use crate::route::space::Space;

/// So many times all leads are looked at.
const TURNS: usize = 2;
/// What others make dear is so much dearer than in the rounds.
const PRICES: [f64; 2] = [2.5, 6.0];
/// A flat crossing is kept off by so many radii, and by so many more where that does not help.
const SHY: [f64; 2] = [1.0, 2.5];
/// A way may cost so much more than the old one, the places to keep off left out.
const DEAREST_MM: f64 = 300.0;
/// A flat crossing counts as so much cable.
const FLAT_MM: f64 = 1_000.0;

/// Lays leads anew that cross others too flat, for as long as that leaves fewer of those.
pub(crate) fn across(
    input: &Input,
    field: &Field<'_>,
    space: &Space,
    order: &[usize],
    shapes: &mut [Option<Shape>],
) {
    let outline = outline(input);
    for _ in 0..TURNS {
        let mut has_changed = false;
        for &lead in order {
            let Some(old) = shapes[lead].clone() else { continue };
            let others = Others::new(input, shapes, lead);
            let flat = others.flat(&old);
            if flat.is_empty() || !input.leads[lead].ties.is_empty() {
                continue;
            }
            let crossing = Crossing { input, space, others, lead: &input.leads[lead], old: &old, outline };
            let moved = crossing.best(crossing.moved(), flat.len());
            let is_square = |shape: &Shape| crossing.others.flat(shape).is_empty();
            let better = if moved.as_ref().is_some_and(is_square) {
                moved
            } else {
                let sought = crossing.sought(field, order, shapes, lead, &flat);
                crossing.best(moved.into_iter().chain(sought).collect(), flat.len())
            };
            if let Some(better) = better {
                shapes[lead] = Some(better);
                has_changed = true;
            }
        }
        if !has_changed {
            break;
        }
    }
}

/// The others that a lead keeps apart from.
struct Others<'a> {
    all: Vec<Other<'a>>,
}

/// One of them: its corners and its rounded line, how far to keep off, and the box around it, as much wider.
struct Other<'a> {
    path: &'a [Point],
    line: Vec<Point>,
    apart: f64,
    near: (Point, Point),
}

impl<'a> Others<'a> {
    fn new(input: &Input, shapes: &'a [Option<Shape>], lead: usize) -> Self {
        let class = input.leads[lead].class;
        let all = shapes.iter().enumerate().filter_map(|(other, shape)| {
            let apart = apart(input, class, input.leads[other].class)?;
            let shape = shape.as_ref()?;
            Some(Other {
                path: &shape.path,
                line: chords(&shape.path, &shape.radii),
                apart,
                near: around(&shape.path, apart),
            })
        });
        Self { all: all.collect() }
    }

    /// Where a way crosses others too flat.
    fn flat(&self, shape: &Shape) -> Vec<Point> {
        let line = chords(&shape.path, &shape.radii);
        let own = around(&shape.path, 0.0);
        let near = self.all.iter().filter(|other| meets(&other.near, &own));
        let meetings = near.flat_map(|other| {
            let corners = of_ways(&shape.path, other.path, other.apart);
            let curve = of_ways(&line, &other.line, other.apart);
            corners.into_iter().chain(curve)
        });
        meetings.filter(|meeting| meeting.angle_deg < SQUARE_DEG).map(|meeting| meeting.at).collect()
    }

    /// How long a way runs beside others, beyond what the rules like.
    fn beside(&self, input: &Input, path: &[Point]) -> f64 {
        let own = pieces(path);
        let beside = self.all.iter().map(|other| {
            let long = Beside::of(&own, &other.near, &pieces(other.path), other.apart).long;
            (long - input.rules.parallel_mm).max(0.0)
        });
        beside.sum()
    }
}

/// A lead with a crossing that is too flat.
struct Crossing<'a> {
    input: &'a Input,
    space: &'a Space,
    others: Others<'a>,
    lead: &'a Wanted,
    old: &'a Shape,
    outline: [f64; 4],
}

impl Crossing<'_> {
    /// The ways with a leg moved over.
    fn moved(&self) -> Vec<Shape> {
        let legs = 1..self.old.path.len().saturating_sub(2);
        legs.flat_map(|leg| aside(self.space, self.lead, self.outline, self.old, leg)).collect()
    }

    /// Ways that keep off the places.
    fn sought(
        &self,
        field: &Field<'_>,
        order: &[usize],
        shapes: &[Option<Shape>],
        lead: usize,
        flat: &[Point],
    ) -> Vec<Shape> {
        let mut found = Vec::new();
        for (price, shy) in PRICES.into_iter().flat_map(|price| SHY.map(|shy| (price, shy))) {
            let mut traffic = Traffic::new(self.input, order, shapes, lead, price);
            let most = units(cost(self.lead, &traffic, self.old) + DEAREST_MM);
            traffic.keep_off(flat, shy * self.lead.radius_mm);
            let sought =
                [false, true].into_par_iter().map(|fine| field.among(self.lead, &traffic, fine, most));
            found.extend(sought.collect::<Vec<_>>().into_iter().flatten());
            if self.best(found.clone(), flat.len()).is_some_and(|best| self.others.flat(&best).is_empty()) {
                break;
            }
        }
        found
    }

    /// The best of some ways; `None` where none has fewer flat crossings and is as good otherwise.
    fn best(&self, found: Vec<Shape>, flat: usize) -> Option<Shape> {
        let (lead, old) = (self.lead, self.old);
        let (out, beside) = (self.beyond(old), self.others.beside(self.input, &old.path));
        let mut best: Option<(f64, Shape)> = None;
        for shape in found {
            let is_as_soft = lead.radius_mm.min(old.tightest) - HAIR_MM <= shape.tightest;
            let reaches = lead.reaches(shape.length) || !lead.reaches(old.length);
            if !is_as_soft || !reaches || is_detour(old, &shape) || out + 0.1 < self.beyond(&shape) {
                continue;
            }
            let left = self.others.flat(&shape).len();
            if flat <= left || beside + 1.0 < self.others.beside(self.input, &shape.path) {
                continue;
            }
            let value = crate::route::space::figure(left) * FLAT_MM + shape.length + skew(&shape.path);
            if best.as_ref().is_none_or(|(known, _)| value < *known) {
                best = Some((value, shape));
            }
        }
        best.map(|(_, shape)| shape)
    }

    /// How far a way goes beyond the board, seen from above.
    fn beyond(&self, shape: &Shape) -> f64 {
        super::form::beyond(self.outline, &shape.path)
    }
}
