//! A way whose corners are too sharp or too near each other is eased: corners are moved, added and taken out.
//!
//! A descent by fixed steps, no chance in it. What is made small is the length and, many times dearer, what the legs
//! lack for arcs of the wanted radius at both of their ends.

use super::lay::way_clear;
use super::shape::{lengths_and_tangents, straightened};
use super::space::Space;
use super::vector::{add, dot, length, minus, times, towards};
use crate::input::{Point, Wanted};

/// A millimetre that a leg lacks is worth so many millimetres of cable.
pub(crate) const LACK: f64 = 10.0;
/// A corner that turns all the way back takes so many radii at most, so that the cost stays finite.
const TANGENT: f64 = 8.0;
/// Asked a little more than wanted, so that rounding does not make an eased bend sharp.
const MORE: f64 = 1.000_01;
/// Sweeps over all corners with one step, and steps in parts of the radius.
const SWEEPS: usize = 4;
const STEPS: [f64; 7] = [1.0, 0.5, 0.2, 0.07, 0.5, 0.2, 0.04];
/// So many corners are enough for any way.
const CORNERS: usize = 14;

/// The way, eased as far as it goes; its ends and their directions stay.
pub(crate) fn ease(space: &Space, lead: &Wanted, path: &[Point]) -> Vec<Point> {
    ease_keeping(space, lead, path, &|_| true)
}

/// The same, by ways alone that keep what the one given has.
pub(crate) fn ease_keeping(
    space: &Space,
    lead: &Wanted,
    path: &[Point],
    keeps: &dyn Fn(&[Point]) -> bool,
) -> Vec<Point> {
    let mut now =
        Easing { space, lead, keeps, cost: 0.0, is_blocked: true, path: path.to_vec(), spare: Vec::new() };
    let blocked = now.blocked(&now.path).unwrap_or(lead.radius_mm * LACK);
    now.cost = now.geometry(&now.path) + blocked;
    now.is_blocked = 0.0 < blocked;
    for part in STEPS {
        if now.is_done() {
            break;
        }
        let step = lead.radius_mm * part;
        for _ in 0..SWEEPS {
            let mut better = false;
            for at in 1..now.path.len().saturating_sub(1) {
                better |= now.moved(at, step);
            }
            for at in 2..now.path.len().saturating_sub(3) {
                better |= now.moved_together(at, step);
            }
            if 0.4 < part {
                let mut at = 1;
                while at + 2 < now.path.len() {
                    better |= now.added(at, step) || now.bulged(at, step);
                    better |= now.left_out(at);
                    at += 1;
                }
            }
            if !better {
                break;
            }
        }
    }
    straightened(&now.path)
}

struct Easing<'a> {
    space: &'a Space,
    lead: &'a Wanted,
    keeps: &'a dyn Fn(&[Point]) -> bool,
    cost: f64,
    /// Whether arcs are sharper than the legs would allow.
    is_blocked: bool,
    path: Vec<Point>,
    spare: Vec<Point>,
}

impl Easing<'_> {
    /// A copy of the way in a list that is used again and again.
    fn copy(&mut self) -> Vec<Point> {
        let mut path = std::mem::take(&mut self.spare);
        path.clone_from(&self.path);
        path
    }

    /// Length, and what legs lack.
    fn geometry(&self, path: &[Point]) -> f64 {
        let lead = self.lead;
        let wanted = lead.radius_mm * MORE;
        let (mut cost, mut before) = (0.0, 0.0);
        let mut leg = minus(path[1], path[0]);
        let mut long = length(leg);
        let mut room = (long - lead.from.straight_mm).max(0.0);
        for next in path.windows(2).skip(1) {
            let other = minus(next[1], next[0]);
            let other_long = length(other);
            // tan(θ/2) = √((1 − cos θ) / (1 + cos θ))
            let cosine = dot(leg, other) / (long * other_long).max(1e-12);
            let tan = ((1.0 - cosine).max(0.0) / (1.0 + cosine).max(1e-9)).sqrt().min(TANGENT);
            cost += long + LACK * (wanted * (before + tan) - room).max(0.0);
            (leg, long, room, before) = (other, other_long, other_long, tan);
        }
        let room = (room - lead.to.straight_mm).max(0.0);
        cost + long + LACK * (wanted * before - room).max(0.0)
    }

    /// What it costs that arcs have to be sharper still to be clear; `None` where the way is clear with none.
    fn blocked(&self, path: &[Point]) -> Option<f64> {
        let radius = super::shape::least(path, self.lead);
        // Once the way is clear, another one must be so at once.
        let parts: &[f64] = if self.is_blocked { &[1.0, 0.7, 0.4, 0.2] } else { &[1.0] };
        let free =
            parts.iter().copied().find(|part| way_clear(self.space, self.lead, path, radius * part))?;
        Some((1.0 - free) * self.lead.radius_mm * LACK)
    }

    /// Whether a corner that was moved is not clear for sure: looked at before the whole way is.
    fn is_barred(&self, path: &[Point], at: usize) -> bool {
        if self.is_blocked || at == 0 || path.len() <= at + 1 {
            return false;
        }
        let radius = super::shape::least(path, self.lead);
        !super::lay::arcs_clear(self.space, self.lead, &path[at - 1..at + 2], radius)
    }

    /// Takes another way if it is clear and better.
    fn take(&mut self, path: Vec<Point>, changed: usize) -> bool {
        if !self.lead.ties.is_empty() && !super::lay::passes_ties(self.lead, &path) {
            self.spare = path;
            return false;
        }
        let geometry = self.geometry(&path);
        let cost = if geometry < self.cost - 0.01 && !self.is_barred(&path, changed) && (self.keeps)(&path) {
            self.blocked(&path).map(|blocked| geometry + blocked).filter(|cost| *cost < self.cost - 0.01)
        } else {
            None
        };
        let Some(cost) = cost else {
            self.spare = path;
            return false;
        };
        self.is_blocked = geometry + 1e-9 < cost;
        self.cost = cost;
        self.spare = std::mem::replace(&mut self.path, path);
        true
    }

    /// Whether nothing is lacking any more.
    fn is_done(&self) -> bool {
        !self.is_blocked && self.lead.radius_mm - 1e-9 <= super::shape::least(&self.path, self.lead)
    }

    /// Moves a corner; the first and the last one stay in line with their plugs.
    fn moved(&mut self, at: usize, step: f64) -> bool {
        let last = self.path.len() - 2;
        if at == 1 || at == last {
            if at == 1 && at == last {
                return false;
            }
            let end = if at == 1 { &self.lead.from } else { &self.lead.to };
            let (start, out, least) = (end.at, end.out, end.straight_mm.max(0.5));
            let mut better = false;
            for way in [step, -step] {
                let point = add(self.path[at], times(out, way));
                if least < dot(minus(point, start), out) {
                    let mut path = self.copy();
                    path[at] = point;
                    better |= self.take(path, at);
                }
            }
            return better;
        }
        let mut better = false;
        for way in WAYS {
            let mut path = self.copy();
            path[at] = add(path[at], times(way, step));
            better |= self.take(path, at);
        }
        better
    }

    /// Adds a corner after this one, beside it.
    fn added(&mut self, at: usize, step: f64) -> bool {
        if CORNERS < self.path.len() {
            return false;
        }
        for far in [2.0, 1.0] {
            for way in WAYS {
                let mut path = self.copy();
                path.insert(at + 1, add(path[at], times(way, step * far)));
                if self.take(path, at + 1) {
                    return true;
                }
            }
        }
        false
    }

    /// Moves two corners that follow each other.
    fn moved_together(&mut self, at: usize, step: f64) -> bool {
        let mut better = false;
        for way in WAYS {
            let mut path = self.copy();
            path[at] = add(path[at], times(way, step));
            path[at + 1] = add(path[at + 1], times(way, step));
            better |= self.take(path, at);
        }
        better
    }

    /// Makes a wide bow out of a short leg: two corners more, beside it and beyond both of its ends.
    fn bulged(&mut self, at: usize, step: f64) -> bool {
        if CORNERS < self.path.len() || self.lacks(at) <= 0.0 {
            return false;
        }
        let along = towards(self.path[at], self.path[at + 1]);
        for aside in [1.0, 2.5] {
            for beyond in [0.5, 1.5] {
                for way in WAYS {
                    let mut path = self.copy();
                    let (one, other) = (path[at], path[at + 1]);
                    let out = times(way, step * aside);
                    path.insert(at + 1, add(add(other, out), times(along, step * beyond)));
                    path.insert(at + 1, add(add(one, out), times(along, -step * beyond)));
                    if self.take(path, at + 1) {
                        return true;
                    }
                }
            }
        }
        false
    }

    /// What a leg lacks for arcs of the wanted radius.
    fn lacks(&self, at: usize) -> f64 {
        let (legs, tans) =
            lengths_and_tangents(&self.path, [self.lead.from.straight_mm, self.lead.to.straight_mm]);
        let tan = |corner: usize| tans.get(corner).map_or(0.0, |tan| tan.min(TANGENT));
        self.lead.radius_mm * MORE * (tan(at - 1) + tan(at)) - legs[at].1
    }

    fn left_out(&mut self, at: usize) -> bool {
        if at < 2 || self.path.len() < at + 3 {
            return false;
        }
        let mut path = self.copy();
        path.remove(at);
        self.path.len() > 4 && self.take(path, at)
    }
}

/// Half of the square's diagonal.
const D: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// Along the axes, and between two of them.
const WAYS: [Point; 18] = [
    [1.0, 0.0, 0.0],
    [-1.0, 0.0, 0.0],
    [0.0, 1.0, 0.0],
    [0.0, -1.0, 0.0],
    [0.0, 0.0, 1.0],
    [0.0, 0.0, -1.0],
    [D, D, 0.0],
    [-D, D, 0.0],
    [D, -D, 0.0],
    [-D, -D, 0.0],
    [D, 0.0, D],
    [-D, 0.0, D],
    [D, 0.0, -D],
    [-D, 0.0, -D],
    [0.0, D, D],
    [0.0, -D, D],
    [0.0, D, -D],
    [0.0, -D, -D],
];
