//! The bodies, found quickly, and whether a straight piece of cable is clear of them.

use crate::input::{Input, Point};

/// Width of the squares that bodies are sorted into, and how many there are at most; then they are wider.
const SQUARE: f64 = 40.0;
/// The widest radius that may be asked for: any cable, and some bows.
pub(crate) const WIDEST: f64 = 10.0;
const MOST_SQUARES: usize = 20_000;

/// So many heights are tried at most.
const MOST_HEIGHTS: usize = 1_000;

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
        self.around(from, to).all(|index| {
            let (low, high) = &self.boxes[index];
            !shares(from, to, low, high, radius)
        })
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
        self.inside(a) && self.inside(b) && self.hit(a, b, radius, but).is_none()
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
