//! Leads that share a line are laid side by side: each stretch between two turns moves over by whole cables until it lies
//! in none of the others, to the side where it crosses the fewest.

use super::form::HAIR_MM;
use super::lines::outline;
use super::traffic::Traffic;
use crate::input::{Input, Point, Wanted};
use crate::route::lay::{bent, way_clear};
use crate::route::shape::Shape;
use crate::route::space::Space;
use crate::route::vector::{length, minus};

/// So many times every lead is looked at, and so many lanes to either side.
const TURNS: usize = 2;
const LANES: i32 = 7;
/// Between two cables is so much air.
const AIR_MM: f64 = 1.0;
/// A millimetre in another cable costs so many.
const SHARED: f64 = 1.5;
/// What others make dear is so much dearer than in the rounds.
const PRICE: f64 = 2.5;
/// Moving over costs so much of how far: the nearest lane, when all else is equal.
const OVER: f64 = 0.1;

/// Lays the leads side by side.
pub(crate) fn side_by_side(input: &Input, space: &Space, order: &[usize], shapes: &mut [Option<Shape>]) {
    let outline = outline(input);
    for _ in 0..TURNS {
        let mut has_moved = false;
        for &lead in order {
            let wanted = &input.leads[lead];
            let Some(old) = shapes[lead].clone().filter(|_| wanted.ties.is_empty()) else { continue };
            let traffic = Traffic::new(input, order, shapes, lead, PRICE);
            let mut now = old;
            let mut moved = false;
            for leg in 1..now.path.len().saturating_sub(2) {
                if let Some(better) = moved_over(space, wanted, &traffic, outline, &now, leg) {
                    now = better;
                    moved = true;
                }
            }
            if moved {
                shapes[lead] = Some(now);
                has_moved = true;
            }
        }
        if !has_moved {
            break;
        }
    }
}

/// A stretch between two legs across, that moves as one.
struct Stretch<'a> {
    path: &'a [Point],
    across: usize,
    first: usize,
    last: usize,
}

impl<'a> Stretch<'a> {
    fn new(path: &'a [Point], leg: usize) -> Option<Self> {
        let along = axis_of(path[leg], path[leg + 1]).filter(|axis| *axis < 2)?;
        let across = 1 - along;
        let is = |leg: usize, axis: usize| axis_of(path[leg], path[leg + 1]) == Some(axis);
        let first = (0..leg).rev().find(|&leg| is(leg, across))? + 1;
        let last = (leg + 1..path.len() - 1).find(|&leg| is(leg, across))?;
        let is_one = (first..last).all(|leg| is(leg, along) || is(leg, 2));
        is_one.then_some(Self { path, across, first, last })
    }

    fn moved(&self, by: f64) -> Vec<Point> {
        let mut path = self.path.to_vec();
        for corner in &mut path[self.first..=self.last] {
            corner[self.across] += by;
        }
        path
    }

    /// How far it may move, lane by lane: neither of the legs across turns round, and it goes no farther out.
    fn lanes(&self, lead: &Wanted, outline: [f64; 4]) -> impl Iterator<Item = f64> {
        let (path, across) = (self.path, self.across);
        let before = path[self.first][across] - path[self.first - 1][across];
        let after = path[self.last + 1][across] - path[self.last][across];
        let at = path[self.first][across];
        let half = lead.diameter_mm / 2.0;
        let (least, most) = (outline[across] + half, outline[across + 2] - half);
        let pitch = lead.diameter_mm + AIR_MM;
        let lanes = (-LANES..=LANES).filter(|lane| *lane != 0).map(move |lane| f64::from(lane) * pitch);
        lanes.filter(move |by| {
            let stays = 0.0 < before * (before + by) && 0.0 < after * (after - by);
            stays && (least <= at + by || 0.0 < *by) && (at + by <= most || *by < 0.0)
        })
    }
}

/// The lead as it lies with one leg in each other lane where it bends no sharper and is clear.
pub(crate) fn aside(space: &Space, lead: &Wanted, outline: [f64; 4], old: &Shape, leg: usize) -> Vec<Shape> {
    let Some(stretch) = Stretch::new(&old.path, leg) else { return Vec::new() };
    stretch.lanes(lead, outline).filter_map(|by| moved_to(space, lead, old, &stretch.moved(by))).collect()
}

/// The lead with one leg moved over; `None` where it lies well or cannot move.
fn moved_over(
    space: &Space,
    lead: &Wanted,
    traffic: &Traffic,
    outline: [f64; 4],
    old: &Shape,
    leg: usize,
) -> Option<Shape> {
    let stretch = Stretch::new(&old.path, leg)?;
    if traffic.shared(&old.path[stretch.first..=stretch.last], lead.diameter_mm) <= 0.0 {
        return None;
    }
    let value = |path: &[Point], by: f64| {
        path.windows(2).map(|leg| length(minus(leg[1], leg[0]))).sum::<f64>()
            + SHARED * traffic.shared(path, lead.diameter_mm)
            + traffic.of(path)
            + OVER * by.abs()
    };
    let own = value(&old.path, 0.0);
    let lanes = stretch.lanes(lead, outline);
    let mut better: Vec<(f64, f64)> = lanes.map(|by| (value(&stretch.moved(by), by), by)).collect();
    better.retain(|(value, _)| value + 1.0 < own);
    better.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    better.into_iter().find_map(|(_, by)| moved_to(space, lead, old, &stretch.moved(by)))
}

/// The cable on a way that stands in for an old one; `None` where it bends sharper, does not reach or is not clear.
fn moved_to(space: &Space, lead: &Wanted, old: &Shape, path: &[Point]) -> Option<Shape> {
    let shape = bent(space, lead, path);
    let is_good = lead.radius_mm.min(old.tightest) - HAIR_MM <= shape.tightest
        && (lead.reaches(shape.length) || !lead.reaches(old.length))
        && way_clear(space, lead, &shape.path, shape.tightest);
    is_good.then_some(shape)
}

/// The axis that a leg runs along; `None` for a slant.
fn axis_of(a: Point, b: Point) -> Option<usize> {
    let way = minus(b, a);
    let long = length(way);
    (0..3).find(|&axis| 0.999 * long <= way[axis].abs() && 0.5 < long)
}
