//! The device as a block that stands in all pictures at once.
//!
//! It lies where it lies on the sheet, whichever side it is looked at from: a block of six numbers must show its edges in
//! every picture. A shadow's border or a stripe may look like an edge in one of them, and in the others it lies elsewhere.

use crate::camera::Camera;
use crate::measure::Face;
use crate::numbers::real;
use crate::picture::Picture;
use crate::sheet::{Quad, Sheet};
use crate::side::Slopes;

/// A block on the sheet, in the frame of the picture from above; mm and radians.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Block {
    /// The middle of its foot.
    pub(crate) middle: [f64; 2],
    /// By how much its width is turned from the sheet's front edge.
    pub(crate) turn: f64,
    pub(crate) wide: f64,
    pub(crate) deep: f64,
    pub(crate) high: f64,
}

/// A picture in which a block is looked for.
pub(crate) struct Seen<'a> {
    camera: &'a Camera,
    slopes: Slopes,
    /// The same, finer.
    fine: Slopes,
    /// Quarter turns from the frame of the picture from above to that of this one's sheet, and the latter's sides.
    quarters: usize,
    sheet: [f64; 2],
}

impl<'a> Seen<'a> {
    /// The picture from above.
    pub(crate) fn above(picture: &Picture, sheet: &'a Sheet) -> Self {
        Self {
            camera: &sheet.camera,
            slopes: Slopes::of(picture, 800),
            fine: Slopes::of(picture, 2000),
            quarters: 0,
            sheet: sheet.size,
        }
    }

    /// The picture of a side: the edge of the sheet that is nearest to the camera lies on that side of the device.
    pub(crate) fn side(picture: &Picture, sheet: &'a Sheet, face: Face) -> Self {
        let quarters = match face {
            Face::Front => 0,
            Face::Right => 1,
            Face::Back => 2,
            Face::Left => 3,
        };
        Self {
            camera: &sheet.camera,
            slopes: Slopes::of(picture, 800),
            fine: Slopes::of(picture, 2000),
            quarters,
            sheet: sheet.size,
        }
    }

    /// A point of the first frame in this one's.
    fn frame(&self, [x, y, z]: [f64; 3]) -> [f64; 3] {
        let [width, depth] = self.sheet;
        match self.quarters {
            0 => [x, y, z],
            1 => [y, depth - x, z],
            2 => [width - x, depth - y, z],
            _ => [width - y, x, z],
        }
    }

    pub(crate) fn project(&self, p: [f64; 3]) -> [f64; 2] {
        self.camera.project(self.frame(p))
    }

    /// Which walls the camera sees, from the front on.
    fn walls(&self, block: &Block) -> [bool; 4] {
        let eye = self.camera.position();
        let plan = block.corners(0.0).map(|p| self.frame(p));
        std::array::from_fn(|k| {
            let (a, b) = (plan[k], plan[(k + 1) % 4]);
            let along = [b[0] - a[0], b[1] - a[1]];
            let aside = (eye[0] - a[0]) * along[1] - (eye[1] - a[1]) * along[0];
            // By so little that its wall is a line, it tells nothing.
            3.0 * (along[0] * along[0] + along[1] * along[1]).sqrt() < aside
        })
    }

    /// How far each rim may be looked for without meeting the foot below it, in pixels.
    pub(crate) fn reach_of_rims(&self, block: &Block, most: f64) -> [f64; 4] {
        let walls = self.walls(block);
        let middle = |z: f64, k: usize| {
            let c = block.corners(z);
            let (a, b) = (c[k], c[(k + 1) % 4]);
            self.project(std::array::from_fn(|i| f64::midpoint(a[i], b[i])))
        };
        std::array::from_fn(|k| {
            let apart = far(middle(block.high, k), middle(0.0, k));
            if walls[k] { (HALFWAY * apart).clamp(LEAST_REACH, most) } else { most }
        })
    }

    /// How far each edge of the face may be looked for without meeting the next one: below, right, above, left.
    pub(crate) fn reach_of_face(&self, block: &Block, most: f64) -> [f64; 4] {
        let walls = self.walls(block);
        let k = self.quarters;
        let upright = |k: usize| {
            let p = block.corners(block.high / 2.0)[k % 4];
            self.project(p)
        };
        let between = |a: usize, b: usize, wall: usize| {
            let apart = far(upright(a), upright(b));
            if walls[wall % 4] { (HALFWAY * apart).clamp(LEAST_REACH, most) } else { most }
        };
        [most, between(k + 1, k + 2, k + 1), most, between(k, k + 3, k + 3)]
    }

    /// How much of the block's edges is seen, 0 to 1.
    fn support(&self, block: &Block, near: i32) -> f64 {
        let feet = block.corners(0.0);
        let heads = block.corners(block.high);
        let low = feet.map(|p| self.project(p));
        let high = heads.map(|p| self.project(p));
        let seen = self.walls(block);
        let (mut sum, mut all) = (0.0, 0.0);
        let mut note = |weight: f64, a: [f64; 2], b: [f64; 2]| {
            // Without a way to go, the finer picture is meant.
            sum += weight
                * if near == 0 {
                    self.fine.support(a, b, 1, 20)
                } else {
                    self.slopes.support(a, b, near, 14)
                };
            all += weight;
        };
        for k in 0..4 {
            let next = (k + 1) % 4;
            note(1.0, high[k], high[next]);
            if seen[k] {
                note(1.0, low[k], low[next]);
            }
            if seen[k] || seen[(k + 3) % 4] {
                note(0.7, low[k], high[k]);
            }
        }
        sum / all
    }
}

impl Block {
    /// Its corners at a height: front left first, counter-clockwise from above.
    pub(crate) fn corners(&self, z: f64) -> [[f64; 3]; 4] {
        let (s, c) = libm::sincos(self.turn);
        let (w, d) = (self.wide / 2.0, self.deep / 2.0);
        [[-w, -d], [w, -d], [w, d], [-w, d]]
            .map(|[u, v]| [self.middle[0] + c * u - s * v, self.middle[1] + s * u + c * v, z])
    }

    /// The block whose top edge, at a height, is seen as a rectangle on the sheet.
    fn below(rectangle: &Quad, eye: [f64; 3], high: f64) -> Self {
        let by = (eye[2] - high) / eye[2];
        let p = rectangle.map(|[x, y]| [eye[0] + (x - eye[0]) * by, eye[1] + (y - eye[1]) * by]);
        Self {
            middle: [0, 1].map(|k| p.iter().map(|p| p[k]).sum::<f64>() / 4.0),
            turn: libm::atan2(p[1][1] - p[0][1], p[1][0] - p[0][0]),
            wide: f64::midpoint(far(p[0], p[1]), far(p[3], p[2])),
            deep: f64::midpoint(far(p[0], p[3]), far(p[1], p[2])),
            high,
        }
    }

    fn value(&mut self, axis: usize) -> (&mut f64, f64) {
        match axis {
            0 => (&mut self.middle[0], 1.0),
            1 => (&mut self.middle[1], 1.0),
            2 => (&mut self.turn, 0.01),
            3 => (&mut self.wide, 1.0),
            4 => (&mut self.deep, 1.0),
            _ => (&mut self.high, 1.0),
        }
    }

    /// Moved by a step along one of the ways in which it is likely to be off: six values, and each wall by itself.
    fn moved(&self, way: usize, step: f64) -> Self {
        let mut out = *self;
        if way < 6 {
            let (value, unit) = out.value(way);
            *value += unit * step;
        } else {
            let (s, c) = libm::sincos(self.turn);
            let [u, v] = [[c, s], [-s, c]][way % 2].map(|v| v * step / 2.0);
            let sign = if way < 8 { 1.0 } else { -1.0 };
            out.middle = [out.middle[0] + sign * u, out.middle[1] + sign * v];
            *(if way.is_multiple_of(2) { &mut out.wide } else { &mut out.deep }) += step;
        }
        out
    }
}

fn far(a: [f64; 2], b: [f64; 2]) -> f64 {
    ((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1])).sqrt()
}

/// Part of the way to the next edge within which an edge is looked for, and the fewest pixels.
const HALFWAY: f64 = 0.45;
const LEAST_REACH: f64 = 2.0;
/// How much of a block's edges must be seen in each picture of a side for the device to stand there. *Common practice, no
/// source.*
const LEAST_SUPPORT: f64 = 0.45;

/// Finds the block; `rectangles` are proposals of its top edge, as its sight meets the sheet. With it comes how much of its
/// edges is seen in the picture that shows least. `None` where the sides do not show it: the device was moved between the
/// pictures.
pub(crate) fn find_block(
    above: &Seen<'_>,
    sides: &[Seen<'_>],
    rectangles: &[(f64, Quad)],
    height: Option<f64>,
) -> Option<(Block, f64)> {
    let eye = above.camera.position();
    let mean = |block: &Block, near: i32| {
        sides.iter().map(|side| side.support(block, near)).sum::<f64>() / real(sides.len().max(1))
    };
    let worth = |block: &Block, near: i32| above.support(block, near) + 1.5 * mean(block, near);
    let heights: Vec<f64> = match height {
        Some(known) => vec![known],
        None => (0..38).map(|k| 16.0 + 2.0 * f64::from(k)).collect(),
    };
    let mut starts: Vec<(f64, Block)> = Vec::new();
    for (score, rectangle) in rectangles {
        let mut of_this: Vec<(f64, Block)> = heights
            .iter()
            .map(|high| Block::below(rectangle, eye, *high))
            .map(|block| (worth(&block, 2) + 0.15 * score, block))
            .collect();
        of_this.sort_by(|a, b| b.0.total_cmp(&a.0));
        starts.extend(of_this.into_iter().take(2));
    }
    starts.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut best: Option<(f64, Block)> = None;
    for (_, start) in starts.into_iter().take(8) {
        let mut now = start;
        let mut step = 2.0;
        let mut near = 2;
        let mut score = worth(&now, near);
        while 0.08 < step {
            let mut better = false;
            for way in 0..10 {
                if way == 5 && height.is_some() {
                    continue;
                }
                for sign in [-1.0, 1.0] {
                    let next = now.moved(way, sign * step);
                    let there = worth(&next, near);
                    if score < there {
                        (now, score, better) = (next, there, true);
                    }
                }
            }
            if !better {
                step /= 2.0;
                let finer = i32::from(0.3 <= step);
                if finer < near && step < 1.5 {
                    near = finer;
                    score = worth(&now, near);
                }
            }
        }
        if 20.0 < now.wide.min(now.deep)
            && 8.0 < now.high
            && best.as_ref().is_none_or(|(most, _)| *most < score)
        {
            best = Some((score, now));
        }
    }
    let (_, block) = best?;
    let least = sides.iter().map(|side| side.support(&block, 1)).fold(1.0, f64::min);
    (LEAST_SUPPORT < least).then(|| (block, least.min(above.support(&block, 1))))
}

impl Seen<'_> {
    /// The face towards the camera: lower left, lower right, upper right, upper left.
    pub(crate) fn face_of(&self, block: &Block) -> Quad {
        let (a, b) = (self.quarters, (self.quarters + 1) % 4);
        let (feet, heads) = (block.corners(0.0), block.corners(block.high));
        [feet[a], feet[b], heads[b], heads[a]].map(|p| self.project(p))
    }
}
