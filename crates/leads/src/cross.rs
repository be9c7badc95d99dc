//! Where leads that ought to be apart cross, and how steeply: across is best, along is worst.

use crate::input::{Input, Point};
use crate::outcome::{Crossing, Laid};
use crate::route::shape::Shape;
use crate::route::vector::{dot, minus, towards};

/// A crossing that is flatter than this couples along its length. *Common practice, no source: 60° to 90° is fine.*
pub const FLAT_DEG: f64 = 60.0;

/// What crosses within 15° of square crosses square.
pub(crate) const SQUARE_DEG: f64 = 75.0;

/// Where one way crosses another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Meeting {
    pub(crate) angle_deg: f64,
    /// On the one way.
    pub(crate) at: Point,
    /// The legs of both.
    pub(crate) legs: [usize; 2],
}

/// Every crossing, seen from above, of two ways that pass each other nearer than `apart`.
pub(crate) fn of_ways(one: &[Point], other: &[Point], apart: f64) -> Vec<Meeting> {
    let mut out = Vec::new();
    for (own, a) in one.windows(2).enumerate() {
        for (its, b) in other.windows(2).enumerate() {
            let Some((t, u)) = meet(a, b) else { continue };
            let at = [0, 1, 2].map(|axis| a[0][axis] + (a[1][axis] - a[0][axis]) * t);
            let over = b[0][2] + (b[1][2] - b[0][2]) * u;
            if (at[2] - over).abs() < apart {
                let cosine = dot(towards(a[0], a[1]), towards(b[0], b[1])).abs().min(1.0);
                out.push(Meeting { angle_deg: libm::acos(cosine).to_degrees(), at, legs: [own, its] });
            }
        }
    }
    out
}

/// The way of another lead, and how far from it one ought to be.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Other<'a> {
    pub(crate) path: &'a [Point],
    pub(crate) apart: f64,
}

/// The leads that one ought to be apart from.
pub(crate) fn others<'a>(input: &Input, shapes: &'a [Option<Shape>], lead: usize) -> Vec<Other<'a>> {
    let class = input.leads[lead].class;
    let others = shapes.iter().enumerate().filter_map(|(other, shape)| {
        let apart = crate::classes::apart(input, class, input.leads[other].class)?;
        Some(Other { path: &shape.as_ref()?.path, apart })
    });
    others.collect()
}

/// How many crossings of a way with others are flatter than this.
pub(crate) fn flats(others: &[Other<'_>], path: &[Point], steep_deg: f64) -> usize {
    let crossings = others.iter().flat_map(|other| of_ways(path, other.path, other.apart));
    crossings.filter(|crossing| crossing.angle_deg < steep_deg).count()
}

/// Where two legs meet seen from above, in parts of each.
fn meet(a: &[Point], b: &[Point]) -> Option<(f64, f64)> {
    let is_beside = |axis: usize| {
        a[0][axis].max(a[1][axis]) < b[0][axis].min(b[1][axis])
            || b[0][axis].max(b[1][axis]) < a[0][axis].min(a[1][axis])
    };
    if is_beside(0) || is_beside(1) {
        return None;
    }
    let (p, q, r) = (minus(a[1], a[0]), minus(b[1], b[0]), minus(b[0], a[0]));
    let cross = |v: Point, w: Point| v[0] * w[1] - v[1] * w[0];
    let turn = cross(p, q);
    if turn.abs() < 1e-9 {
        return None;
    }
    let (t, u) = (cross(r, q) / turn, cross(r, p) / turn);
    ((0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&u)).then_some((t, u))
}

/// All crossings of leads that ought to be apart.
pub(crate) fn crossings(input: &Input, leads: &[Laid]) -> Vec<Crossing> {
    let mut out = Vec::new();
    for (index, a) in leads.iter().enumerate() {
        for b in &leads[index + 1..] {
            let classes = (input.leads[a.lead].class, input.leads[b.lead].class);
            let Some(apart) = crate::classes::apart(input, classes.0, classes.1) else { continue };
            out.extend(of_ways(&a.path, &b.path, apart).into_iter().map(|meeting| Crossing {
                one: a.id.clone(),
                other: b.id.clone(),
                angle_deg: meeting.angle_deg,
                at: meeting.at,
            }));
        }
    }
    out
}
