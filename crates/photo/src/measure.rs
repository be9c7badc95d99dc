//! Lengths with their uncertainties, from points in pictures.
//!
//! Every length is a function of the cameras and of points in the pictures. What it moves by when each of them moves by its
//! own uncertainty gives its own (first order propagation, [src:JCGM-100]), and to that comes what no pixel tells: rounded edges, nuts that stand out.

use crate::camera::{Camera, PARAMETERS};
use crate::sheet::{Quad, Sheet};

/// A side of a device.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Face {
    /// Towards the player.
    Front,
    /// At the player's right hand.
    Right,
    /// Away from the player.
    Back,
    /// At the player's left hand.
    Left,
}

impl Face {
    /// The word of documents.
    pub fn word(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Right => "right",
            Self::Back => "back",
            Self::Left => "left",
        }
    }

    /// Whether it runs along the width.
    pub(crate) fn is_wide(self) -> bool {
        matches!(self, Self::Front | Self::Back)
    }

    /// Whether the end that lengths are counted from (front or left) is at the left hand of who looks at the face.
    fn counts_from_left(self) -> bool {
        matches!(self, Self::Front | Self::Right)
    }
}

/// The picture from above with the top edge of the device.
#[derive(Debug, Clone)]
pub struct Above {
    /// The sheet found in it.
    pub sheet: Sheet,
    /// Corners of the top edge in pixels, front left first.
    pub outline: Quad,
    /// Whether somebody dragged them.
    pub by_hand: bool,
}

/// A picture of a side.
#[derive(Debug, Clone)]
pub struct Before {
    /// Which side looks at the camera.
    pub face: Face,
    /// The sheet found in it.
    pub sheet: Sheet,
    /// The face's corners in pixels: lower left, lower right, upper right, upper left.
    pub corners: Quad,
    /// Middles of jacks in pixels.
    pub jacks: Vec<[f64; 2]>,
    /// Whether somebody dragged them.
    pub by_hand: bool,
}

/// A length that was measured: 95 of 100 such lengths lie within.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Length {
    /// The length in mm.
    pub mm: f64,
    /// How far the truth may be from it, in mm.
    pub within: f64,
}

/// What is known no closer than this, in mm, wants a calliper or points dragged by hand. Clearances are judged by the
/// millimetre. *Common practice, no source.*
const SURE_WITHIN: f64 = 2.5;

impl Length {
    /// Whether it can stand as it is; another is somewhere about, and said to be.
    pub fn is_sure(self) -> bool {
        self.within <= SURE_WITHIN
    }
}

/// A jack that was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jack {
    /// Its side.
    pub face: Face,
    /// From the front edge on right and left, from the left edge on front and back.
    pub along: Length,
    /// Above what the device stands on.
    pub high: Length,
}

/// What pictures say of a device.
#[derive(Debug, Clone, PartialEq)]
pub struct Measures {
    /// From left to right.
    pub width: Length,
    /// From front to back.
    pub depth: Length,
    /// From the sheet to the top edge; `None` where neither a side picture nor a person says it.
    pub height: Option<Length>,
    /// Jacks, picture by picture.
    pub jacks: Vec<Jack>,
}

impl Measures {
    /// The same, where what was taken for the device may be something else: each length is only somewhere about.
    #[must_use]
    pub fn unsure(mut self) -> Self {
        let loosen = |length: &mut Length| {
            length.within = length.within.max(LEAST_UNSURE).max(UNSURE * length.mm);
        };
        loosen(&mut self.width);
        loosen(&mut self.depth);
        self.height.iter_mut().for_each(loosen);
        for jack in &mut self.jacks {
            loosen(&mut jack.along);
            loosen(&mut jack.high);
        }
        self
    }
}

/// How far a length may be off that nobody can be sure of: a part of it, and at least so many mm.
const UNSURE: f64 = 0.5;
const LEAST_UNSURE: f64 = 10.0;
/// What a device's height is where nobody says it, and its spread, in mm. *Common practice, no source.*
const USUAL_HEIGHT: (f64, f64) = (45.0, 13.0);
/// Spread of a height that somebody typed.
const TYPED_HEIGHT: f64 = 0.5;
/// Spread of where the seen edge of a rounded rim lies beside the outermost, in mm, on each side. *Common practice, no
/// source.*
const RIM: f64 = 0.3;
/// How much lower than it is a rounded rim looks from a side, mean and spread in mm. *Common practice, no source.*
const RIM_HIGH: (f64, f64) = (0.7, 0.45);
/// How much narrower a rim looks on a side whose wall is seen from above, mean and spread in mm, and what part of that it is
/// on one whose wall is hidden. *Common practice, no source.*
const RIM_ABOVE: (f64, f64) = (0.4, 0.45);
const RIM_BEFORE_PAPER: f64 = 0.45;
/// How far a jack's rim stands out of the face, mean and spread in mm. *Common practice, no source.*
pub(crate) const NUT: (f64, f64) = (1.5, 1.1);
/// Radius of upright edges, mean and spread in mm. *Common practice, no source.*
const CORNER: (f64, f64) = (3.5, 2.0);
/// How well a middle is seen, in mm.
const MIDDLE: f64 = 0.3;
/// Paper as it is cut: spread of its size, as a part. *Common practice, no source:* ISO 216 allows 2 mm in 297, office paper
/// keeps within 0.5 mm.
const CUT: f64 = 0.0008;
/// Deviations that hold 95 of 100, with a little for tails that are fatter than normal.
const COVER: f64 = 2.1;

/// A camera with one parameter moved.
type Moved<'a> = &'a dyn Fn(&Camera) -> Camera;

/// All that lengths depend on.
#[derive(Clone)]
struct State {
    above: Camera,
    outline: Quad,
    before: Vec<(Face, Camera, Quad, Vec<[f64; 2]>)>,
    /// Where no side picture says it.
    height: f64,
    nut: f64,
    corner: f64,
    rim: f64,
    rim_above: f64,
}

fn apart(a: [f64; 3], b: [f64; 3]) -> f64 {
    let d: [f64; 3] = std::array::from_fn(|k| a[k] - b[k]);
    (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt()
}

/// The face's plane: where its lower corners stand, and the direction out of it.
fn plane(camera: &Camera, face: &Quad) -> ([f64; 3], [f64; 3], [f64; 3]) {
    let [a, b] = [face[0], face[1]].map(|p| camera.on_level(p, 0.0));
    let length = apart(a, b).max(1e-9);
    let along = [(b[0] - a[0]) / length, (b[1] - a[1]) / length, 0.0];
    // To the right of who walks along it from its left end: towards the camera.
    (a, along, [along[1], -along[0], 0.0])
}

/// The pixel of the point `wanted` mm before a face, on a line square to it through what a pixel shows `out` mm before it.
pub(crate) fn on_axis(camera: &Camera, face: &Quad, pixel: [f64; 2], out: f64, wanted: f64) -> [f64; 2] {
    let (through, _, normal) = plane(camera, face);
    let through: [f64; 3] = std::array::from_fn(|k| through[k] + out * normal[k]);
    let at = camera.on_plane(pixel, through, normal);
    camera.project(std::array::from_fn(|k| at[k] + (wanted - out) * normal[k]))
}

fn height_of(camera: &Camera, face: &Quad) -> f64 {
    let (through, _, out) = plane(camera, face);
    let [a, b] = [face[2], face[3]].map(|p| camera.on_plane(p, through, out)[2]);
    f64::midpoint(a, b)
}

impl State {
    /// Height, width, depth, then along and high of every jack.
    fn lengths(&self, weights: &[f64]) -> Vec<f64> {
        let height = if self.before.is_empty() {
            self.height
        } else {
            self.before
                .iter()
                .zip(weights)
                .map(|((_, camera, face, _), w)| w * (height_of(camera, face) + self.rim))
                .sum()
        };
        let corner = |k: usize| self.above.on_level(self.outline[k], height);
        let width = f64::midpoint(apart(corner(0), corner(1)), apart(corner(3), corner(2)));
        let depth = f64::midpoint(apart(corner(0), corner(3)), apart(corner(1), corner(2)));
        // A rim whose wall the camera sees looks narrower than one before paper.
        let eye = self.above.position();
        let seen = |k: usize| {
            let (a, b) = (corner(k), corner((k + 1) % 4));
            let along = [b[0] - a[0], b[1] - a[1]];
            let aside = (eye[0] - a[0]) * along[1] - (eye[1] - a[1]) * along[0];
            if 5.0 < aside / apart(a, b).max(1e-9) { 1.0 } else { RIM_BEFORE_PAPER }
        };
        let width = width + self.rim_above * (seen(1) + seen(3));
        let depth = depth + self.rim_above * (seen(0) + seen(2));
        let mut out = vec![height, width, depth];
        for (face, camera, quad, jacks) in &self.before {
            let (through, along, normal) = plane(camera, quad);
            let side = if face.is_wide() { width } else { depth };
            let on = |p: [f64; 2], by: f64| {
                let through: [f64; 3] = std::array::from_fn(|k| through[k] + by * normal[k]);
                let at = camera.on_plane(p, through, normal);
                let s: f64 = (0..3).map(|k| (at[k] - through[k]) * along[k]).sum();
                [s, at[2]]
            };
            let left = f64::midpoint(on(quad[0], 0.0)[0], on(quad[3], 0.0)[0]);
            let right = f64::midpoint(on(quad[1], 0.0)[0], on(quad[2], 0.0)[0]);
            // Where the camera stands before the face. An upright edge is rounded: sight touches it behind the face, so that
            // it seems to lie nearer to the camera's side than it does.
            let eye = camera.position();
            let from = |v: [f64; 3]| (0..3).map(|k| (eye[k] - through[k]) * v[k]).sum::<f64>();
            let (stands, far) = (from(along), from(normal).max(1.0));
            let hidden = |aside: f64| {
                let angle = libm::atan2(aside.max(0.0), far);
                let (sin, cos) = libm::sincos(angle);
                self.corner * ((1.0 - cos) + (1.0 - sin) * sin / cos.max(0.1))
            };
            let (left, right) = (left - hidden(stands - left), right + hidden(right - stands));
            // Where the camera sees the wall round the corner, the edge between both is soft: the other one counts.
            let middle = if right + 4.0 < stands {
                left + side / 2.0
            } else if stands + 4.0 < left {
                right - side / 2.0
            } else {
                f64::midpoint(left, right)
            };
            for jack in jacks {
                let [s, high] = on(*jack, self.nut);
                let from_middle = if face.counts_from_left() { s - middle } else { middle - s };
                out.push(side / 2.0 + from_middle);
                out.push(high);
            }
        }
        out
    }
}

/// Lengths from pictures. `typed` is the height in mm that somebody measured, for when there is no side picture.
pub fn measure(above: &Above, before: &[Before], typed: Option<f64>) -> Measures {
    let state = State {
        above: above.sheet.camera.clone(),
        outline: above.outline,
        before: before.iter().map(|b| (b.face, b.sheet.camera.clone(), b.corners, b.jacks.clone())).collect(),
        height: typed.unwrap_or(USUAL_HEIGHT.0),
        nut: NUT.0,
        corner: CORNER.0,
        // Whoever drags a corner puts it where it would be without rounding.
        rim_above: if above.by_hand { 0.0 } else { RIM_ABOVE.0 },
        rim: if before.iter().any(|b| b.by_hand) { 0.0 } else { RIM_HIGH.0 },
    };
    // Each side picture says the height: the better it can, the more it counts.
    let singles: Vec<f64> = before
        .iter()
        .map(|b| {
            let ppm = b.sheet.camera.pixels_per_mm([b.sheet.size[0] / 2.0, b.sheet.size[1] / 2.0]);
            1.0 / (0.4 + 1.0 / ppm)
        })
        .collect();
    let sum: f64 = singles.iter().sum();
    let weights: Vec<f64> = singles.iter().map(|w| w / sum).collect();
    let middle = state.lengths(&weights);
    let count = middle.len();
    let mut variance = vec![0.0; count];
    let slope = |change: &dyn Fn(&mut State, f64), step: f64| -> Vec<f64> {
        let (mut up, mut down) = (state.clone(), state.clone());
        change(&mut up, step);
        change(&mut down, -step);
        let (up, down) = (up.lengths(&weights), down.lengths(&weights));
        (0..count).map(|k| (up[k] - down[k]) / (2.0 * step)).collect()
    };
    let mut add = |slopes: &[f64], spread: f64| {
        for (v, s) in variance.iter_mut().zip(slopes) {
            *v += (s * spread) * (s * spread);
        }
    };
    // Points, each by itself.
    let spread_of = |sheet: &Sheet, by_hand: bool| {
        let fine = 0.4 + 0.12 * sheet.blur;
        // A person drags on a screen of some thousand dots.
        if by_hand { fine + sheet.camera.half_diagonal / 900.0 } else { fine }
    };
    let sharp = spread_of(&above.sheet, above.by_hand);
    for corner in 0..4 {
        for axis in 0..2 {
            add(&slope(&|s, by| s.outline[corner][axis] += by, 0.5), sharp);
        }
    }
    for (k, picture) in before.iter().enumerate() {
        let sharp = spread_of(&picture.sheet, picture.by_hand);
        for corner in 0..4 {
            for axis in 0..2 {
                add(&slope(&|s, by| s.before[k].2[corner][axis] += by, 0.5), sharp);
            }
        }
        for jack in 0..picture.jacks.len() {
            for axis in 0..2 {
                add(&slope(&|s, by| s.before[k].3[jack][axis] += by, 0.5), sharp);
            }
        }
    }
    add(&slope(&|s, by| s.nut += by, 0.1), NUT.1);
    add(&slope(&|s, by| s.rim_above += by, 0.1), RIM_ABOVE.1);
    add(&slope(&|s, by| s.corner += by, 0.1), CORNER.1);
    if before.is_empty() {
        let spread = if typed.is_some() { TYPED_HEIGHT } else { USUAL_HEIGHT.1 };
        add(&slope(&|s, by| s.height += by, 0.1), spread);
    }
    // Cameras, with what their parameters have to do with one another.
    let mut camera = |covariance: &[Vec<f64>], change: &dyn Fn(&mut State, Moved<'_>)| {
        let slopes: Vec<Vec<f64>> = (0..PARAMETERS)
            .map(|p| {
                let step = covariance[p][p].max(1e-18).sqrt() * 0.1;
                slope(
                    &|s, by| {
                        change(s, &|c: &Camera| {
                            let mut values = c.values;
                            values[p] += by;
                            c.with(&values)
                        });
                    },
                    step,
                )
            })
            .collect();
        for k in 0..count {
            let mut sum = 0.0;
            for i in 0..PARAMETERS {
                for j in 0..PARAMETERS {
                    sum += slopes[i][k] * covariance[i][j] * slopes[j][k];
                }
            }
            variance[k] += sum.max(0.0);
        }
    };
    camera(&above.sheet.covariance, &|s, by| s.above = by(&s.above));
    for (k, picture) in before.iter().enumerate() {
        camera(&picture.sheet.covariance, &|s, by| s.before[k].1 = by(&s.before[k].1));
    }
    let length = |k: usize, more: f64| {
        let all = variance[k] + more * more + (CUT * middle[k]) * (CUT * middle[k]);
        Length { mm: middle[k], within: COVER * all.sqrt() }
    };
    let rim = RIM * std::f64::consts::SQRT_2;
    let mut jacks = Vec::new();
    let mut at = 3;
    for picture in before {
        for _ in &picture.jacks {
            jacks.push(Jack { face: picture.face, along: length(at, MIDDLE), high: length(at + 1, MIDDLE) });
            at += 2;
        }
    }
    let height = match (before.is_empty(), typed) {
        (true, None) => None,
        (true, Some(mm)) => Some(Length { mm, within: TYPED_HEIGHT }),
        _ => Some(length(0, RIM_HIGH.1)),
    };
    Measures { width: length(1, rim), depth: length(2, rim), height, jacks }
}
