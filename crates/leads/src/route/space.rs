//! The bodies, found quickly, and whether a straight piece of cable is clear of them.

use super::quarter::Quarter;
use crate::input::{Input, Point, Wanted};

/// Width of the squares that bodies are sorted into, and how many there are at most; then they are wider.
const SQUARE: f64 = 40.0;
/// The widest radius that may be asked for: any cable, and some bows.
pub(crate) const WIDEST: f64 = 10.0;
const MOST_SQUARES: usize = 20_000;

/// So many heights are tried at most.
const MOST_HEIGHTS: usize = 1_000;

/// Side of the cubes that bodies are sorted into for short pieces, how near to a cube a body may come to be listed in it, and
/// how many cubes there are at most; then they are larger. A piece that reaches no farther than that from its middle, radius
/// included, is looked for in one cube.
const CUBE: f64 = 20.0;
const NEAR: f64 = 26.0;
const MOST_CUBES: usize = 60_000;

/// The bodies in cubes, as one list with the place where each cube begins.
#[derive(Debug, Default)]
struct Cubes {
    low: Point,
    side: f64,
    size: [usize; 3],
    starts: Vec<u32>,
    bodies: Vec<u32>,
}

impl Cubes {
    fn new(low: Point, high: Point, boxes: &[(Point, Point)]) -> Self {
        let mut side = CUBE;
        let size = loop {
            let size = [0, 1, 2].map(|axis| cells(high[axis] - low[axis], side));
            if size.iter().fold(1_usize, |count, cells| count.saturating_mul(*cells)) <= MOST_CUBES {
                break size;
            }
            side *= 1.25;
        };
        let mut cubes = Self { low, side, size, starts: Vec::new(), bodies: Vec::new() };
        let mut held = vec![Vec::new(); size[0] * size[1] * size[2]];
        for (index, (low, high)) in (0_u32..).zip(boxes) {
            let from = cubes.cube(low.map(|value| value - NEAR));
            let to = cubes.cube(high.map(|value| value + NEAR));
            for z in from[2]..=to[2] {
                for y in from[1]..=to[1] {
                    for x in from[0]..=to[0] {
                        held[(z * size[1] + y) * size[0] + x].push(index);
                    }
                }
            }
        }
        cubes.starts.push(0);
        for list in held {
            cubes.bodies.extend(list);
            cubes.starts.push(u32::try_from(cubes.bodies.len()).unwrap_or(u32::MAX));
        }
        cubes
    }

    /// The cube that a place lies in, or the outermost one on its side.
    fn cube(&self, at: Point) -> [usize; 3] {
        [0, 1, 2].map(|axis| place((at[axis] - self.low[axis]) / self.side).min(self.size[axis] - 1))
    }

    /// The bodies that may be touched in an extent, for a radius; `None` where it is too long for one cube.
    fn near(&self, from: Point, to: Point, radius: f64) -> Option<&[u32]> {
        if (0..3).any(|axis| NEAR < (to[axis] - from[axis]) / 2.0 + radius) {
            return None;
        }
        let [x, y, z] = self.cube([0, 1, 2].map(|axis| f64::midpoint(from[axis], to[axis])));
        let at = (z * self.size[1] + y) * self.size[0] + x;
        Some(&self.bodies[self.starts[at] as usize..self.starts[at + 1] as usize])
    }
}

/// The bodies in squares.
#[derive(Debug)]
pub(crate) struct Space {
    low: Point,
    high: Point,
    boxes: Vec<(Point, Point)>,
    squares: Vec<Vec<u32>>,
    wide: usize,
    deep: usize,
    square: f64,
    cubes: Cubes,
}

impl Space {
    pub(crate) fn new(input: &Input) -> Self {
        let mut square = SQUARE;
        let (wide, deep) = loop {
            let side = |axis: usize| cells(input.high[axis] - input.low[axis], square);
            let (wide, deep) = (side(0), side(1));
            if wide.saturating_mul(deep) <= MOST_SQUARES {
                break (wide, deep);
            }
            square *= 1.5;
        };
        let mut space = Self {
            low: input.low,
            high: input.high,
            boxes: Vec::new(),
            squares: vec![Vec::new(); wide * deep],
            wide,
            deep,
            square,
            cubes: Cubes::default(),
        };
        for (index, body) in (0_u32..).zip(&input.bodies) {
            let high = [body.high[0], body.high[1], body.high[2].max(body.keep_off)];
            space.boxes.push((body.low, high));
            let (a, b) = space.range(0, body.low[0] - WIDEST, high[0] + WIDEST);
            let (c, d) = space.range(1, body.low[1] - WIDEST, high[1] + WIDEST);
            for y in c..=d {
                for x in a..=b {
                    space.squares[y * wide + x].push(index);
                }
            }
        }
        space.cubes = Cubes::new(space.low, space.high, &space.boxes);
        space
    }

    fn range(&self, axis: usize, from: f64, to: f64) -> (usize, usize) {
        let most = if axis == 0 { self.wide } else { self.deep } - 1;
        (
            place((from - self.low[axis]) / self.square).min(most),
            place((to - self.low[axis]) / self.square).min(most),
        )
    }

    /// The first body that a straight piece of cable of this radius would touch; bodies in `but` do not count.
    pub(crate) fn hit(&self, a: Point, b: Point, radius: f64, but: &[usize]) -> Option<usize> {
        let from: Point = [0, 1, 2].map(|axis| a[axis].min(b[axis]));
        let to: Point = [0, 1, 2].map(|axis| a[axis].max(b[axis]));
        self.around(from, to).find(|&at| {
            let (low, high) = &self.boxes[at];
            // Most bodies are told apart by their extents alone.
            shares(from, to, low, high, radius) && crosses(a, b, low, high, radius) && !but.contains(&at)
        })
    }

    /// Whether every piece of cable of this radius that stays so near a place is clear of all bodies.
    pub(crate) fn is_open(&self, at: Point, near: f64, radius: f64) -> bool {
        let (from, to) = (at.map(|value| value - near), at.map(|value| value + near));
        let is_far = |index: usize| {
            let (low, high) = &self.boxes[index];
            !shares(from, to, low, high, radius)
        };
        match self.cubes.near(from, to, radius) {
            Some(bodies) => bodies.iter().all(|index| is_far(*index as usize)),
            None => self.around(from, to).all(is_far),
        }
    }

    /// The bodies in the squares that a stretch touches.
    fn around(&self, from: Point, to: Point) -> impl Iterator<Item = usize> {
        let (x0, x1) = self.range(0, from[0], to[0]);
        let (y0, y1) = self.range(1, from[1], to[1]);
        (y0..=y1).flat_map(move |y| {
            self.squares[y * self.wide + x0..=y * self.wide + x1]
                .iter()
                .flatten()
                .map(|index| *index as usize)
        })
    }

    /// Whether a straight piece stays in the space and touches nothing.
    pub(crate) fn clear(&self, a: Point, b: Point, radius: f64, but: &[usize]) -> bool {
        if !self.inside(a) || !self.inside(b) {
            return false;
        }
        let from: Point = [0, 1, 2].map(|axis| a[axis].min(b[axis]));
        let to: Point = [0, 1, 2].map(|axis| a[axis].max(b[axis]));
        let Some(bodies) = self.cubes.near(from, to, radius) else {
            return self.hit(a, b, radius, but).is_none();
        };
        bodies.iter().all(|index| {
            let at = *index as usize;
            let (low, high) = &self.boxes[at];
            !shares(from, to, low, high, radius) || !crosses(a, b, low, high, radius) || but.contains(&at)
        })
    }

    /// Whether a square bend stays in the space and touches nothing; `None` where all that it touches is what the lead's own
    /// plugs stand in.
    pub(crate) fn has_room_for(&self, quarter: &Quarter, lead: &Wanted) -> Option<bool> {
        let (a, b) = (quarter.start, quarter.end);
        if !self.inside(a) || !self.inside(b) {
            return Some(false);
        }
        let radius = lead.diameter_mm / 2.0;
        let from: Point = [0, 1, 2].map(|axis| a[axis].min(b[axis]));
        let to: Point = [0, 1, 2].map(|axis| a[axis].max(b[axis]));
        let by = radius - TOUCH;
        let is_entered = |at: usize| {
            let (low, high) = &self.boxes[at];
            shares(from, to, low, high, radius)
                && quarter.enters(low.map(|low| low - by), high.map(|high| high + by))
        };
        let is_own = |at: usize| lead.from.bodies.contains(&at) || lead.to.bodies.contains(&at);
        let mut is_clear = Some(true);
        let mut look = |at: usize| {
            if is_entered(at) {
                is_clear = if is_own(at) { None } else { Some(false) };
            }
            is_clear == Some(false)
        };
        let _ = match self.cubes.near(from, to, radius) {
            Some(bodies) => bodies.iter().any(|at| look(*at as usize)),
            None => self.around(from, to).any(look),
        };
        is_clear
    }

    /// The heights of the space in steps, from below.
    pub(crate) fn heights(&self, step: f64) -> impl Iterator<Item = f64> {
        let (low, count) = (self.low[2], cells(self.high[2] - self.low[2], step).min(MOST_HEIGHTS));
        (0..count).map(move |at| low + (figure(at) + 0.5) * step)
    }

    /// Whether a place lies in the space.
    pub(crate) fn inside(&self, a: Point) -> bool {
        (0..3).all(|axis| self.low[axis] <= a[axis] && a[axis] <= self.high[axis])
    }
}

/// How many cells of a width cover a stretch.
pub(crate) fn cells(stretch: f64, width: f64) -> usize {
    place(stretch / width) + 1
}

/// A figure cut to a place in a table; below nought it is nought.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "figures of a board, cut to a place on purpose"
)]
pub(crate) fn place(value: f64) -> usize {
    value.max(0.0) as usize
}

/// A small count as a figure.
#[expect(clippy::cast_precision_loss, reason = "counts of cells and leads")]
pub(crate) fn figure(count: usize) -> f64 {
    count as f64
}

/// Whether an extent shares room with a box widened by a radius.
fn shares(from: Point, to: Point, low: &Point, high: &Point, radius: f64) -> bool {
    (0..3).all(|axis| low[axis] - radius + TOUCH < to[axis] && from[axis] < high[axis] + radius - TOUCH)
}

/// Whether a straight piece enters a box widened by a radius: the slab method.
fn crosses(a: Point, b: Point, low: &Point, high: &Point, radius: f64) -> bool {
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for axis in 0..3 {
        let (near, far) = (low[axis] - radius + TOUCH, high[axis] + radius - TOUCH);
        let way = b[axis] - a[axis];
        if way.abs() < 1e-12 {
            if a[axis] <= near || far <= a[axis] {
                return false;
            }
            continue;
        }
        let (mut first, mut last) = ((near - a[axis]) / way, (far - a[axis]) / way);
        if last < first {
            std::mem::swap(&mut first, &mut last);
        }
        enter = enter.max(first);
        leave = leave.min(last);
        if leave <= enter {
            return false;
        }
    }
    true
}

/// Touching is legal: a hundredth of a millimetre is given away.
const TOUCH: f64 = 0.01;
