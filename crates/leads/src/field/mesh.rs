//! The lines of one lead crossed with one another: which stretches between two crossings are free, and what they cost.

use super::lines::{Lines, TOUCH};
use super::traffic::LEAST;
use crate::input::{End, Point, Wanted};
use crate::route::space::figure;

/// Costs are whole hundredths of a millimetre.
pub(crate) const UNIT: f64 = 100.0;
/// Outside the board a millimetre costs so many.
const OUTSIDE: f64 = 40.0;
/// So many crossings at most; a board with more of them is left to the grid.
const MOST: usize = 300_000;
/// Own lines of a lead stand in for others so near.
const OWN_MM: f64 = 2.0;

/// Crossings of lines and the stretches between them.
#[derive(Debug, Default)]
pub(crate) struct Mesh {
    /// Where the lines lie.
    pub(crate) at: [Vec<f64>; 3],
    /// For each crossing, whether the stretch along each axis to the next one is blocked: bits 1, 2, 4.
    blocked: Vec<u8>,
    /// What the stretch along each axis to the next crossing costs; nought where it is to be computed from its length.
    pub(crate) cost: Vec<[u32; 3]>,
    steps: [usize; 3],
}

impl Mesh {
    /// Crosses the lines for a lead, fine or coarse, where a way may come that costs no more than the most; says whether
    /// there are not too many.
    pub(crate) fn set(&mut self, lines: &Lines, lead: &Wanted, fine: bool, most: u32) -> bool {
        let window = window(lead, most);
        let own = [own_lines(&lead.from, lead), own_lines(&lead.to, lead)];
        for axis in 0..3 {
            let at = &mut self.at[axis];
            at.clone_from(&lines.at[usize::from(fine)][axis]);
            let mut mine: Vec<f64> = own.iter().flat_map(|own| own[axis].iter().copied()).collect();
            mine.sort_by(f64::total_cmp);
            mine.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
            let [first, last] = [lines.low[axis].max(window[axis][0]), lines.high[axis].min(window[axis][1])];
            mine.retain(|at| first <= *at && *at <= last);
            at.retain(|at| first <= *at && *at <= last && mine.iter().all(|own| OWN_MM <= (own - at).abs()));
            at.extend(mine);
            at.sort_by(f64::total_cmp);
        }
        let size = [0, 1, 2].map(|axis| self.at[axis].len());
        self.steps = [1, size[0], size[0] * size[1]];
        let count = size[0] * size[1] * size[2];
        if MOST < count {
            return false;
        }
        self.blocked.clear();
        self.blocked.resize(count, 0);
        for [low, high] in &lines.boxes {
            self.block(low, high);
        }
        self.close(size);
        self.price(lines, lead);
        true
    }

    /// Nothing leads on from the last line along an axis.
    fn close(&mut self, size: [usize; 3]) {
        for (axis, bit) in [1, 2, 4].into_iter().enumerate() {
            let (row, plane) = (self.steps[axis], self.steps[axis] * size[axis]);
            for last in (plane - row..self.blocked.len()).step_by(plane) {
                self.blocked[last..last + row].iter_mut().for_each(|node| *node |= bit);
            }
        }
    }

    /// The crossings next to one with what the stretches to them cost, those that are blocked left out.
    #[inline]
    pub(crate) fn around(&self, node: usize, mut visit: impl FnMut(usize, u32)) {
        for (axis, bit) in [1, 2, 4].into_iter().enumerate() {
            let step = self.steps[axis];
            if self.blocked[node] & bit == 0 {
                visit(node + step, self.cost[node][axis]);
            }
            // Before the first line lies the last one of the row before, or nothing.
            if let Some(before) = node.checked_sub(step).filter(|before| self.blocked[*before] & bit == 0) {
                visit(before, self.cost[before][axis]);
            }
        }
    }

    /// Marks the stretches that enter a box.
    fn block(&mut self, low: &Point, high: &Point) {
        let mut within = [[0; 2]; 3];
        let mut into = [[0; 2]; 3];
        for axis in 0..3 {
            let at = &self.at[axis];
            let first = at.partition_point(|at| *at <= low[axis]);
            let last = at.partition_point(|at| *at < high[axis]);
            within[axis] = [first, last];
            // The stretch before the first line within begins outside; between two lines may lie the whole box.
            into[axis] = [first.saturating_sub(1), last];
        }
        for axis in 0..3 {
            let mut range = within;
            range[axis] = into[axis];
            let bit = 1 << axis;
            for z in range[2][0]..range[2][1] {
                for y in range[1][0]..range[1][1] {
                    let row = z * self.steps[2] + y * self.steps[1];
                    for node in &mut self.blocked[row + range[0][0]..row + range[0][1]] {
                        *node |= bit;
                    }
                }
            }
        }
    }

    /// What each stretch costs by its length and by whether it lies inside.
    fn price(&mut self, lines: &Lines, lead: &Wanted) {
        let ends = [lead.from.at, lead.to.at];
        // Where a plug itself stands at the edge or beyond it, its cable cannot but begin there.
        let inside = |axis: usize| {
            let keep = lines.radius - TOUCH;
            let low = ends.iter().map(|at| at[axis]).fold(lines.outline[axis] + keep, f64::min);
            let high = ends.iter().map(|at| at[axis]).fold(lines.outline[axis + 2] - keep, f64::max);
            [low, high]
        };
        let inside = [inside(0), inside(1)];
        let is_out =
            |axis: usize, at: f64| axis < 2 && (at < inside[axis][0] - 1e-6 || inside[axis][1] + 1e-6 < at);
        let out: Vec<Vec<bool>> =
            (0..3).map(|axis| self.at[axis].iter().map(|at| is_out(axis, *at)).collect()).collect();
        let long: Vec<Vec<(f64, bool)>> = (0..3)
            .map(|axis| {
                let pairs = self.at[axis].windows(2);
                let mut long: Vec<(f64, bool)> =
                    pairs.map(|p| (p[1] - p[0], is_out(axis, p[0]) || is_out(axis, p[1]))).collect();
                long.push((0.0, true));
                long
            })
            .collect();
        let cost = |(long, is_out): (f64, bool)| units(long * if is_out { OUTSIDE } else { 1.0 });
        let along: Vec<Vec<[u32; 2]>> = long
            .iter()
            .map(|axis| axis.iter().map(|&(long, out)| [cost((long, out)), cost((long, true))]).collect())
            .collect();
        self.cost.clear();
        self.cost.reserve(self.blocked.len());
        for (z, _) in self.at[2].iter().enumerate() {
            for (y, _) in self.at[1].iter().enumerate() {
                let y_out = usize::from(out[1][y]);
                for (x, _) in self.at[0].iter().enumerate() {
                    let x_out = usize::from(out[0][x]);
                    self.cost.push([along[0][x][y_out], along[1][y][x_out], along[2][z][x_out | y_out]]);
                }
            }
        }
    }

    pub(crate) fn count(&self) -> usize {
        self.blocked.len()
    }

    pub(crate) fn index(&self, at: [usize; 3]) -> usize {
        at[0] + at[1] * self.steps[1] + at[2] * self.steps[2]
    }

    pub(crate) fn places(&self, node: usize) -> [usize; 3] {
        // Short numbers divide sooner.
        let short = |value: usize| u32::try_from(value).unwrap_or(1);
        let (node, row) = (short(node), short(self.steps[1]));
        let (line, x) = (node / row, node % row);
        let deep = short(self.at[1].len());
        [x as usize, (line % deep) as usize, (line / deep) as usize]
    }

    pub(crate) fn point(&self, node: usize) -> Point {
        let places = self.places(node);
        [0, 1, 2].map(|axis| self.at[axis][places[axis]])
    }

    /// The crossing next to one in a direction, with the cost of the stretch and its length; `None` where that is blocked.
    pub(crate) fn next(&self, node: usize, places: [usize; 3], way: usize) -> Option<(usize, u32, f64)> {
        let axis = way / 2;
        let at = places[axis];
        let (from, to, first) = if way.is_multiple_of(2) {
            if self.at[axis].len() <= at + 1 {
                return None;
            }
            (node, node + self.steps[axis], at)
        } else {
            let before = at.checked_sub(1)?;
            (node - self.steps[axis], node - self.steps[axis], before)
        };
        if self.blocked[from] & (1 << axis) != 0 {
            return None;
        }
        Some((to, self.cost[from][axis], self.at[axis][first + 1] - self.at[axis][first]))
    }

    /// The place of a line at a coordinate.
    pub(crate) fn place(&self, axis: usize, at: f64) -> Option<usize> {
        let place = self.at[axis].partition_point(|other| *other < at - 1e-6);
        self.at[axis].get(place).is_some_and(|other| (other - at).abs() < 1e-6).then_some(place)
    }
}

/// How far along each axis a way may come that costs no more than the most: who goes a millimetre beyond both ends comes
/// back as far.
fn window(lead: &Wanted, most: u32) -> [[f64; 2]; 3] {
    let (from, to) = (lead.from.at, lead.to.at);
    let apart: f64 = (0..3).map(|axis| (from[axis] - to[axis]).abs()).sum();
    let beyond = ((f64::from(most) / UNIT / LEAST - apart) / 2.0).max(0.0);
    [0, 1, 2].map(|axis| [from[axis].min(to[axis]) - beyond, from[axis].max(to[axis]) + beyond])
}

/// The lines that a lead needs at an end: through it, as far before it as its first bend takes, and where that and
/// the next one end.
fn own_lines(end: &End, lead: &Wanted) -> [Vec<f64>; 3] {
    [0, 1, 2].map(|axis| {
        if end.out[axis].abs() < 0.5 {
            return [0.0, 1.0, -1.0, 2.0, -2.0].map(|bends| end.at[axis] + bends * lead.radius_mm).to_vec();
        }
        let tip = end.at[axis] + end.out[axis] * (end.straight_mm + lead.radius_mm);
        vec![end.at[axis], tip]
    })
}

/// A length as a cost.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lengths of a board, never below nought"
)]
pub(crate) fn units(mm: f64) -> u32 {
    (mm * UNIT + 0.5).clamp(0.0, 1e7) as u32
}

/// A direction, 0 to 5: right, left, back, front, up, down.
pub(crate) fn way_of(out: Point) -> Option<usize> {
    (0..3).find_map(|axis| match out[axis] {
        part if 0.99 < part => Some(2 * axis),
        part if part < -0.99 => Some(2 * axis + 1),
        _ => None,
    })
}

/// The step of a direction.
pub(crate) fn step_of(way: usize) -> Point {
    let mut step = [0.0; 3];
    step[way / 2] = 1.0 - 2.0 * figure(way % 2);
    step
}
