//! A square bend along the axes: whether it enters a body is told exactly, without looking at pieces of it.

use super::vector::times;
use crate::input::Point;

/// A quarter of a circle between two axes.
#[derive(Debug)]
pub(crate) struct Quarter {
    pub(crate) start: Point,
    pub(crate) end: Point,
    /// The axis along which it comes in and the one along which it goes out, with the sign of each.
    into: (usize, f64),
    out: (usize, f64),
    bend_mm: f64,
}

impl Quarter {
    /// The arc around a corner; `None` where its legs do not run along two axes.
    pub(crate) fn new(corner: Point, before: Point, after: Point, bend_mm: f64) -> Option<Self> {
        let (into, out) = (along(before)?, along(after)?);
        let step = |from: Point, way: Point, far: f64| {
            let step = times(way, far);
            [from[0] + step[0], from[1] + step[1], from[2] + step[2]]
        };
        let (start, end) = (step(corner, before, -bend_mm), step(corner, after, bend_mm));
        (into.0 != out.0).then_some(Self { start, end, into, out, bend_mm })
    }

    /// Whether it enters a box. Seen from the middle of its circle, with the way in to the right and the way out
    /// downwards, it is the quarter above and to the right: it enters what of the box lies there if that begins nearer to
    /// the middle than the arc and ends farther off.
    pub(crate) fn enters(&self, low: Point, high: Point) -> bool {
        let level = 3 - self.into.0 - self.out.0;
        if high[level] <= self.start[level] || self.start[level] <= low[level] {
            return false;
        }
        // The middle lies beside the end of the way in, and beside the start of the way out.
        let seen = |(axis, sign): (usize, f64), middle: f64| {
            let [one, other] = [(low[axis] - middle) * sign, (high[axis] - middle) * sign];
            [one.min(other).max(0.0), one.max(other).min(self.bend_mm)]
        };
        let [near_x, far_x] = seen(self.into, self.start[self.into.0]);
        let [near_y, far_y] = seen((self.out.0, -self.out.1), self.end[self.out.0]);
        let bend = self.bend_mm * self.bend_mm;
        let is_there = near_x < far_x && near_y < far_y;
        is_there && near_x * near_x + near_y * near_y < bend && bend < far_x * far_x + far_y * far_y
    }
}

/// The axis that a direction runs along, with its sign.
fn along(way: Point) -> Option<(usize, f64)> {
    (0..3).find(|&axis| 1.0 - 1e-9 < way[axis].abs()).map(|axis| (axis, way[axis].signum()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From the left to the back, of 10 mm: its middle lies at the back of its start.
    fn quarter() -> Quarter {
        Quarter::new([10.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], 10.0).unwrap()
    }

    #[test]
    fn what_the_arc_cuts_off_is_not_entered() {
        // The corner itself lies (√2 − 1) · 10 = 4.14 mm off the arc, along either axis 2.93 mm.
        assert!(!quarter().enters([7.2, -5.0, -1.0], [20.0, 2.8, 1.0]));
        assert!(quarter().enters([7.0, -5.0, -1.0], [20.0, 3.0, 1.0]));
    }

    #[test]
    fn what_lies_within_its_circle_is_not_entered() {
        assert!(!quarter().enters([0.0, 3.0, -1.0], [7.0, 12.0, 1.0]));
        assert!(quarter().enters([0.0, 2.9, -1.0], [7.2, 12.0, 1.0]));
    }

    #[test]
    fn what_lies_above_or_beside_it_is_not_entered() {
        assert!(!quarter().enters([0.0, 0.0, 0.0], [20.0, 20.0, 1.0]));
        assert!(!quarter().enters([-20.0, -20.0, -1.0], [0.0, 20.0, 1.0]));
    }

    #[test]
    fn it_is_the_same_against_a_fine_row_of_chords() {
        let ways = [[1.0, 0.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, 1.0]];
        let mut entered = 0;
        for (one, before) in ways.iter().enumerate() {
            for (other, after) in ways.iter().enumerate().filter(|(other, _)| *other / 2 != one / 2) {
                let corner = [3.0, -2.0, 1.0];
                let quarter = Quarter::new(corner, *before, *after, 8.0).unwrap();
                let points = crate::route::shape::arc(corner, *before, *after, 8.0);
                for box_at in 0..200 {
                    let at = |by: i32| f64::from(box_at * by % 19) - 9.0;
                    let low = [3.0 + at(7), -2.0 + at(11), 1.0 + at(5)];
                    let high = low.map(|value| value + 4.0);
                    // The middles of many chords lie within a hair of the arc.
                    let is_in = |at: &Point| (0..3).all(|axis| low[axis] < at[axis] && at[axis] < high[axis]);
                    let is_near = points.iter().any(is_in);
                    assert!(!is_near || quarter.enters(low, high), "{one} {other} {low:?}");
                    entered += usize::from(is_near);
                }
            }
        }
        assert!(50 < entered, "{entered}");
    }
}
