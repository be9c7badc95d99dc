//! All leads among one another: rounds in which each seeks its way by what the others make dear, at rising prices.
//!
//! The ways of a round are sought against those of the round before, all at once; then each lead in turn takes its new
//! one if that is better among the others as they are by then. So the order of the document means nothing.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use rayon::prelude::*;

use super::form::{HAIR_MM, dressed, skew};
use super::lines::{Lines, outline};
use super::mesh::units;
use super::search::Search;
use super::seek::BEND;
use super::traffic::Traffic;
use crate::input::{Input, Wanted};
use crate::route::search::micro;
use crate::route::shape::{Shape, turn_at};
use crate::route::space::Space;
use crate::route::vector::{length, minus};

/// The prices of the rounds; no more than these are walked.
const PRICES: [f64; 3] = [0.7, 1.4, 2.2];
/// A lead goes no farther round for others than so many times its way by itself, and so much.
const ROUND: f64 = 1.35;
const ROUND_MM: f64 = 20.0;

/// A millimetre that is not square costs so many more, and steps aside of so many radii together are nothing.
const SKEW: f64 = 0.6;
const STEP: f64 = 4.0;

/// Room to search, for whoever searches next. What was left in it changes no answer.
static FREE: Mutex<Vec<Search>> = Mutex::new(Vec::new());

/// The lines of each thickness of cable.
pub(crate) struct Field<'a> {
    space: &'a Space,
    /// The board seen from above.
    pub(crate) outline: [f64; 4],
    lines: BTreeMap<(i64, i64), Lines>,
}

impl<'a> Field<'a> {
    pub(crate) fn new(input: &Input, space: &'a Space) -> Self {
        let mut kinds: BTreeMap<(i64, i64), (f64, f64)> = BTreeMap::new();
        for lead in &input.leads {
            kinds.entry(kind(lead)).or_insert((lead.diameter_mm, lead.radius_mm));
        }
        let kinds: Vec<((i64, i64), (f64, f64))> = kinds.into_iter().collect();
        let lines = kinds.into_par_iter().map(|(kind, (thick, bend))| (kind, Lines::new(input, thick, bend)));
        Self { space, outline: outline(input), lines: lines.collect() }
    }

    /// One lead along the lines, its ties apart, for less than the most it may cost; sharp ones and those without a way are
    /// tried on more lines.
    pub(crate) fn lay(&self, lead: &Wanted, traffic: Option<&Traffic>, most: u32) -> Option<Shape> {
        let lines = self.lines.get(&kind(lead)).filter(|_| lead.ties.is_empty())?;
        let mut search = room();
        let coarse = dressed(&mut search, lines, self.space, lead, false, traffic, most);
        let is_fine = |shape: &Shape| {
            lead.radius_mm - HAIR_MM <= shape.tightest && skew(&shape.path) <= STEP * lead.radius_mm
        };
        let found = match coarse {
            Some((shape, _)) if is_fine(&shape) || traffic.is_some() => Some(shape),
            None if traffic.is_some() => None,
            coarse => {
                let most = coarse.as_ref().map_or(most, |(_, cost)| *cost);
                let fine = dressed(&mut search, lines, self.space, lead, true, traffic, most);
                let value = |shape: &Shape| (shape.tightest, -skew(&shape.path));
                match (coarse, fine) {
                    (Some((coarse, _)), Some((fine, _))) if value(&coarse) < value(&fine) => Some(fine),
                    (coarse, fine) => coarse.or(fine).map(|(shape, _)| shape),
                }
            }
        };
        give_back(search);
        found
    }

    /// A quick look: over few lines, as if there were no other lead.
    pub(crate) fn glance(&self, lead: &Wanted) -> Option<Shape> {
        let lines = self.lines.get(&kind(lead)).filter(|_| lead.ties.is_empty())?;
        let mut search = room();
        search.is_hasty = true;
        let way = dressed(&mut search, lines, self.space, lead, false, None, u32::MAX);
        search.is_hasty = false;
        give_back(search);
        way.map(|(shape, _)| shape)
    }

    /// The way among others over few lines or over many.
    pub(crate) fn among(&self, lead: &Wanted, traffic: &Traffic, fine: bool, most: u32) -> Option<Shape> {
        let lines = self.lines.get(&kind(lead)).filter(|_| lead.ties.is_empty())?;
        let mut search = room();
        let way = dressed(&mut search, lines, self.space, lead, fine, Some(traffic), most);
        give_back(search);
        way.map(|(shape, _)| shape)
    }
}

fn room() -> Search {
    FREE.lock().unwrap_or_else(PoisonError::into_inner).pop().unwrap_or_default()
}

fn give_back(search: Search) {
    FREE.lock().unwrap_or_else(PoisonError::into_inner).push(search);
}

fn kind(lead: &Wanted) -> (i64, i64) {
    (micro(lead.diameter_mm), micro(lead.radius_mm))
}

/// Lets the leads settle.
pub(crate) fn settle(input: &Input, field: &Field<'_>, order: &[usize], shapes: &mut [Option<Shape>]) {
    let alone: Vec<f64> =
        shapes.iter().map(|shape| shape.as_ref().map_or(0.0, |shape| shape.length)).collect();
    // A lead that found nothing better and is in nobody's way is left alone.
    let mut is_settled = vec![false; shapes.len()];
    let rounds = usize::try_from(input.rules.rounds).unwrap_or(PRICES.len());
    for price in PRICES.into_iter().take(rounds + 1) {
        let among = |shapes: &[Option<Shape>], lead: usize| Traffic::new(input, order, shapes, lead, price);
        let found: Vec<Option<Shape>> = order
            .par_iter()
            .map(|&lead| {
                let traffic = among(shapes, lead);
                let old = shapes[lead].as_ref().filter(|_| !traffic.is_empty())?;
                if is_settled[lead] && traffic.of(&old.path) <= 0.0 {
                    return None;
                }
                let most = cost(&input.leads[lead], &traffic, old);
                field.lay(&input.leads[lead], Some(&traffic), units(most.max(1.0) * 1.02))
            })
            .collect();
        let mut has_changed = false;
        for (&lead, found) in order.iter().zip(found) {
            is_settled[lead] = true;
            let (Some(new), Some(old)) = (found, &shapes[lead]) else { continue };
            let wanted = &input.leads[lead];
            let is_as_soft = wanted.radius_mm.min(old.tightest) - HAIR_MM <= new.tightest;
            let is_round = alone[lead] * ROUND + ROUND_MM < new.length && old.length < new.length;
            if !is_as_soft || is_round || (wanted.reaches(old.length) && !wanted.reaches(new.length)) {
                continue;
            }
            let traffic = among(shapes, lead);
            if cost(wanted, &traffic, &new) + 1.0 < cost(wanted, &traffic, old) {
                shapes[lead] = Some(new);
                is_settled[lead] = false;
                has_changed = true;
            }
        }
        if !has_changed {
            break;
        }
    }
}

/// What a way costs among the others.
pub(crate) fn cost(lead: &Wanted, traffic: &Traffic, shape: &Shape) -> f64 {
    shape.path.windows(2).map(|leg| length(minus(leg[1], leg[0]))).sum::<f64>()
        + bends(lead, shape)
        + SKEW * skew(&shape.path)
        + traffic.of(&shape.path)
}

/// What the corners of a way cost.
fn bends(lead: &Wanted, shape: &Shape) -> f64 {
    let corners = shape.path.windows(3);
    corners.map(turn_at).sum::<f64>() * 2.0 / std::f64::consts::PI * BEND * lead.radius_mm
}
