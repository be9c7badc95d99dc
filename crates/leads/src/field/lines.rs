//! The lines that cables of one thickness may run along: beside everything that stands on the board, and through the
//! middle of narrow gaps.

use crate::input::{Input, Point};

/// So far off a body, in radii of the bend, a lead may turn around its corner: the arc cuts (√2 − 1) of a radius off.
pub(crate) const OFF_CORNER: f64 = 0.3;
/// Touching is legal: as much is given away as elsewhere.
pub(crate) const TOUCH: f64 = 0.01;
/// Lines lie so far apart at least, on the board and in height, when looked at coarsely and finely.
const SPACING: [[f64; 3]; 2] = [[10.0, 10.0, 13.0], [6.5, 6.5, 8.0]];

/// Lines and bodies as a cable of one thickness and bend sees them.
#[derive(Debug)]
pub(crate) struct Lines {
    /// Half the cable.
    pub(crate) radius: f64,
    /// Bodies widened by the cable: what its middle must not enter.
    pub(crate) boxes: Vec<[Point; 2]>,
    /// Where lines lie along each axis, coarsely and finely.
    pub(crate) at: [[Vec<f64>; 3]; 2],
    /// What is inside the board, seen from above: left, front, right, back.
    pub(crate) outline: [f64; 4],
    /// The space that leads may use.
    pub(crate) low: Point,
    pub(crate) high: Point,
}

impl Lines {
    pub(crate) fn new(input: &Input, diameter_mm: f64, bend_mm: f64) -> Self {
        let radius = diameter_mm / 2.0;
        let widened = |by: f64| {
            input.bodies.iter().map(move |body| {
                let high = [body.high[0], body.high[1], body.high[2].max(body.keep_off)];
                [body.low.map(|value| value - by), high.map(|value| value + by)]
            })
        };
        let boxes: Vec<[Point; 2]> = widened(radius - TOUCH).collect();
        let outline = outline(input);
        let mut lines =
            Self { radius, boxes, at: Default::default(), outline, low: input.low, high: input.high };
        for axis in 0..3 {
            let wanted = lines.wanted(axis, OFF_CORNER * bend_mm);
            for (fine, spacing) in SPACING.iter().enumerate() {
                lines.at[fine][axis] = thinned(&wanted, spacing[axis]);
            }
        }
        lines
    }

    /// Where a line across an axis is wanted, with how much stands in its way, the freest first.
    fn wanted(&self, axis: usize, off: f64) -> Vec<f64> {
        let (low, high) = (self.low[axis], self.high[axis]);
        let mut all: Vec<f64> = Vec::new();
        for [one, other] in &self.boxes {
            all.extend([one[axis] - off, other[axis] + off]);
        }
        let rest = [(axis + 1) % 3, (axis + 2) % 3];
        // A gap too narrow for that is passed in its middle.
        for [one_low, one_high] in &self.boxes {
            for [low, high] in &self.boxes {
                let gap = low[axis] - one_high[axis];
                let faces = |other: usize| one_low[other] < high[other] && low[other] < one_high[other];
                if (0.0..2.0 * off).contains(&gap) && rest.iter().all(|&other| faces(other)) {
                    all.push(one_high[axis] + gap / 2.0);
                }
            }
        }
        if axis < 2 {
            let inside = self.radius + 2.0;
            all.extend([self.outline[axis] + inside, self.outline[axis + 2] - inside]);
        }
        all.retain(|at| low <= *at && *at <= high);
        all.sort_by(f64::total_cmp);
        all.dedup_by(|a, b| (*a - *b).abs() < 0.5);
        let clip = |of: f64, axis: usize| of.clamp(self.low[axis], self.high[axis]);
        let blocked = |at: f64| {
            let boxes = self.boxes.iter().filter(|[one, other]| one[axis] < at && at < other[axis]);
            boxes
                .map(|[one, other]| {
                    rest.iter().map(|&rest| clip(other[rest], rest) - clip(one[rest], rest)).product::<f64>()
                })
                .sum::<f64>()
        };
        let outside = |at: f64| axis < 2 && !(self.outline[axis] <= at && at <= self.outline[axis + 2]);
        let mut valued: Vec<(bool, f64, f64)> =
            all.into_iter().map(|at| (outside(at), blocked(at), at)).collect();
        valued.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2)));
        valued.into_iter().map(|(_, _, at)| at).collect()
    }
}

/// The board seen from above: the rectangle around its decks.
pub(crate) fn outline(input: &Input) -> [f64; 4] {
    let around = input
        .decks
        .iter()
        .copied()
        .reduce(|a, b| [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])]);
    around.unwrap_or([input.low[0], input.low[1], input.high[0], input.high[1]])
}

/// Of lines in the order of their worth those that are not too near a better one, sorted.
fn thinned(wanted: &[f64], spacing: f64) -> Vec<f64> {
    let mut out: Vec<f64> = Vec::new();
    for &at in wanted {
        let place = out.partition_point(|other| *other < at);
        let is_near = |other: Option<&f64>| other.is_some_and(|other| (other - at).abs() < spacing);
        if !is_near(place.checked_sub(1).and_then(|place| out.get(place))) && !is_near(out.get(place)) {
            out.insert(place, at);
        }
    }
    out
}
