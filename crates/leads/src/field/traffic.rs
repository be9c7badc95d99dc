//! What the other leads make dear or cheap for one: beside those it keeps away from, across them, and beside its like.

use super::mesh::{Mesh, UNIT};
use crate::classes::apart;
use crate::input::{Input, Point};
use crate::route::shape::Shape;
use crate::route::vector::{length, minus};

/// A millimetre beside a lead to keep away from costs so many more.
const BESIDE: f64 = 1.2;
/// Crossing one costs so many millimetres, and crossing any other.
const ACROSS_MM: f64 = 45.0;
const OVER_MM: f64 = 12.0;
/// Beside its like a millimetre costs so much.
pub(crate) const LEAST: f64 = 0.8;
/// Leads of a trunk lie so near one another.
const TRUNK_MM: f64 = 13.0;
/// Leads cross where they pass each other so near in height.
const LEVEL_MM: f64 = 12.0;

/// A stretch near a place to keep off costs so many millimetres more.
const SHY_MM: f64 = 120.0;

/// Cables that share less than this touch.
const TOUCH_MM: f64 = 0.3;

/// A straight piece of another lead.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Leg {
    low: Point,
    high: Point,
    /// The axis it runs along; 3 for a slant.
    axis: usize,
    /// How far to keep away, and whether that is wanted at all.
    apart: Option<f64>,
    is_like: bool,
    thick: f64,
}

/// The legs of all other leads as one of them sees them.
#[derive(Debug)]
pub(crate) struct Traffic {
    legs: Vec<Leg>,
    /// Places to keep off, and how far.
    shy: Vec<(Point, f64)>,
    price: f64,
}

impl Traffic {
    /// As a lead sees the others where they are; `price` grows from round to round.
    pub(crate) fn new(
        input: &Input,
        order: &[usize],
        shapes: &[Option<Shape>],
        lead: usize,
        price: f64,
    ) -> Self {
        let class = input.leads[lead].class;
        let mut legs = Vec::new();
        for &other in order {
            let Some(shape) = shapes[other].as_ref().filter(|_| other != lead) else { continue };
            let wanted = &input.leads[other];
            let (apart, is_like) = (apart(input, class, wanted.class), class == wanted.class);
            for leg in shape.path.windows(2) {
                let way = minus(leg[1], leg[0]);
                let long = length(way);
                if long < 1.0 {
                    continue;
                }
                let axis = (0..3).find(|&axis| 0.97 * long <= way[axis].abs()).unwrap_or(3);
                let low = [0, 1, 2].map(|axis| leg[0][axis].min(leg[1][axis]));
                let high = [0, 1, 2].map(|axis| leg[0][axis].max(leg[1][axis]));
                legs.push(Leg { low, high, axis, apart, is_like, thick: wanted.diameter_mm });
            }
        }
        Self { legs, shy: Vec::new(), price }
    }

    /// Makes the surroundings of some places dear.
    pub(crate) fn keep_off(&mut self, places: &[Point], by: f64) {
        self.shy.extend(places.iter().map(|at| (*at, by)));
    }

    /// Whether there are no others.
    pub(crate) fn is_empty(&self) -> bool {
        self.legs.is_empty()
    }

    /// Puts the prices on a mesh.
    pub(crate) fn price(&self, mesh: &mut Mesh) {
        for leg in self.legs.iter().filter(|leg| leg.apart.is_none() && leg.is_like && leg.axis < 3) {
            each(mesh, leg.axis, leg, TRUNK_MM, |cost, long| {
                // Cheaper once, however many run there, and inside only.
                let full = whole(long * UNIT);
                if full <= *cost && *cost - full < 2 {
                    *cost = whole(long * LEAST * UNIT);
                }
            });
        }
        for (at, by) in &self.shy {
            let leg = Leg { low: *at, high: *at, axis: 3, apart: None, is_like: false, thick: 0.0 };
            for axis in 0..3 {
                around(mesh, axis, &leg, *by, whole(SHY_MM * UNIT));
            }
        }
        for leg in &self.legs {
            if let Some(apart) = leg.apart {
                for axis in (0..2).filter(|axis| leg.axis == *axis || leg.axis == 3) {
                    let more = BESIDE * self.price * UNIT;
                    each(mesh, axis, leg, apart, |cost, long| *cost += whole(long * more));
                }
            }
            let (across, level) = match leg.apart {
                Some(apart) => (ACROSS_MM * self.price, apart),
                None => (OVER_MM * self.price, LEVEL_MM),
            };
            for axis in (0..2).filter(|axis| leg.axis != *axis && leg.axis < 2) {
                crossed(mesh, axis, leg, level, whole(across * UNIT));
            }
        }
    }

    /// How much of a way along the axes lies within other cables that run the same way.
    pub(crate) fn shared(&self, path: &[Point], thick: f64) -> f64 {
        let mut sum = 0.0;
        for own in path.windows(2) {
            let way = minus(own[1], own[0]);
            let long = length(way);
            let Some(axis) = (0..3).find(|&axis| 0.97 * long <= way[axis].abs()) else { continue };
            let low = [0, 1, 2].map(|axis| own[0][axis].min(own[1][axis]));
            let high = [0, 1, 2].map(|axis| own[0][axis].max(own[1][axis]));
            for leg in self.legs.iter().filter(|leg| leg.axis == axis) {
                let by = f64::midpoint(thick, leg.thick) - TOUCH_MM;
                let is_near = (0..3).all(|other| {
                    other == axis || leg.low[other] - by < high[other] && low[other] < leg.high[other] + by
                });
                let both = leg.high[axis].min(high[axis]) - leg.low[axis].max(low[axis]);
                sum += if is_near { both.max(0.0) } else { 0.0 };
            }
        }
        sum
    }

    /// What a way costs besides its length: the same prices, on the way as it is.
    pub(crate) fn of(&self, path: &[Point]) -> f64 {
        let mut sum = 0.0;
        for own in path.windows(2) {
            let way = minus(own[1], own[0]);
            let long = length(way);
            if long < 1e-6 {
                continue;
            }
            let axis = (0..3).find(|&axis| 0.97 * long <= way[axis].abs()).unwrap_or(3);
            let low = [0, 1, 2].map(|axis| own[0][axis].min(own[1][axis]));
            let high = [0, 1, 2].map(|axis| own[0][axis].max(own[1][axis]));
            let mut liked: Vec<[f64; 2]> = Vec::new();
            for leg in &self.legs {
                let shared = |by: f64| {
                    let is_near = (0..3).all(|other| {
                        other == axis
                            || leg.low[other] - by < high[other] && low[other] < leg.high[other] + by
                    });
                    let (a, b) = match axis {
                        3 => return None,
                        axis => (leg.low[axis].max(low[axis]), leg.high[axis].min(high[axis])),
                    };
                    (is_near && a < b).then_some([a, b])
                };
                if let Some(apart) = leg.apart {
                    if axis < 2
                        && (leg.axis == axis || leg.axis == 3)
                        && let Some([a, b]) = shared(apart)
                    {
                        sum += (b - a) * BESIDE * self.price;
                    }
                } else if leg.is_like && leg.axis < 3 && leg.axis == axis {
                    liked.extend(shared(TRUNK_MM));
                }
                if axis < 2 && leg.axis < 2 && axis != leg.axis {
                    let (across, level) = match leg.apart {
                        Some(apart) => (ACROSS_MM, apart),
                        None => (OVER_MM, LEVEL_MM),
                    };
                    let is_crossed = leg.low[axis] < high[axis]
                        && low[axis] < leg.high[axis]
                        && low[leg.axis] < leg.high[leg.axis]
                        && leg.low[leg.axis] < high[leg.axis]
                        && leg.low[2] - level < high[2]
                        && low[2] < leg.high[2] + level;
                    sum += if is_crossed { across * self.price } else { 0.0 };
                }
            }
            liked.sort_by(|a, b| a[0].total_cmp(&b[0]));
            let mut from = f64::NEG_INFINITY;
            for [a, b] in liked {
                let a = a.max(from);
                if a < b {
                    sum -= (b - a) * (1.0 - LEAST);
                    from = b;
                }
            }
        }
        sum
    }
}

/// Changes the cost of the stretches along an axis that run beside a leg, as near as that.
fn each(mesh: &mut Mesh, axis: usize, leg: &Leg, by: f64, mut change: impl FnMut(&mut u32, f64)) {
    let range = [0, 1, 2].map(|other| {
        let at = &mesh.at[other];
        if other == axis {
            // Stretches whose middle lies beside it.
            let first = at.windows(2).take_while(|p| f64::midpoint(p[0], p[1]) < leg.low[other]).count();
            let last = at.windows(2).take_while(|p| f64::midpoint(p[0], p[1]) <= leg.high[other]).count();
            [first, last]
        } else {
            [
                at.partition_point(|at| *at <= leg.low[other] - by),
                at.partition_point(|at| *at < leg.high[other] + by),
            ]
        }
    });
    for z in range[2][0]..range[2][1] {
        for y in range[1][0]..range[1][1] {
            for x in range[0][0]..range[0][1] {
                let node = mesh.index([x, y, z]);
                let at = [x, y, z][axis];
                let long = mesh.at[axis][at + 1] - mesh.at[axis][at];
                change(&mut mesh.cost[node][axis], long);
            }
        }
    }
}

/// Adds to the stretches along an axis that come so near a place.
fn around(mesh: &mut Mesh, axis: usize, leg: &Leg, by: f64, more: u32) {
    let range = [0, 1, 2].map(|other| {
        let at = &mesh.at[other];
        let (first, last) = (
            at.partition_point(|at| *at < leg.low[other] - by),
            at.partition_point(|at| *at <= leg.high[other] + by),
        );
        if other == axis {
            [first.saturating_sub(1), last.min(at.len().saturating_sub(1))]
        } else {
            [first, last]
        }
    });
    for z in range[2][0]..range[2][1] {
        for y in range[1][0]..range[1][1] {
            for x in range[0][0]..range[0][1] {
                let node = mesh.index([x, y, z]);
                mesh.cost[node][axis] += more;
            }
        }
    }
}

/// Adds to the stretches along an axis that cross a leg seen from above.
fn crossed(mesh: &mut Mesh, axis: usize, leg: &Leg, level: f64, more: u32) {
    let other = 1 - axis;
    let place = mesh.at[axis].partition_point(|at| *at <= f64::midpoint(leg.low[axis], leg.high[axis]));
    let Some(place) = place.checked_sub(1).filter(|place| place + 1 < mesh.at[axis].len()) else { return };
    let first = mesh.at[other].partition_point(|at| *at <= leg.low[other]);
    let last = mesh.at[other].partition_point(|at| *at < leg.high[other]);
    let low = mesh.at[2].partition_point(|at| *at <= leg.low[2] - level);
    let high = mesh.at[2].partition_point(|at| *at < leg.high[2] + level);
    for z in low..high {
        for along in first..last {
            let mut at = [0, 0, z];
            at[axis] = place;
            at[other] = along;
            let node = mesh.index(at);
            mesh.cost[node][axis] += more;
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "costs of a board, never below nought"
)]
fn whole(cost: f64) -> u32 {
    cost.clamp(0.0, 1e7) as u32
}
