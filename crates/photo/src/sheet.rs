//! The sheet of paper: found or dragged, its edges traced, and the camera that sees it so.

use std::fmt;

use crate::camera::{Camera, PARAMETERS, first_guess};
use crate::edge::{Brighter, Search, Traced, trace};
use crate::numbers::{index, median, minimise, real};
use crate::picture::{Grey, Picture, small};

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    #[default]
    A4,
    /// 8½ × 11 in (ANSI/ASME Y14.1, size A).
    Letter,
}

impl Paper {
    /// Short side and long side, in mm.
    pub fn sides(self) -> [f64; 2] {
        match self {
            Self::A4 => [210.0, 297.0],
            Self::Letter => [215.9, 279.4],
        }
    }

    /// Its name.
    pub fn word(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
        }
    }
}

/// From where a picture is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum View {
    /// From above.
    Above,
    /// From a side, looking down on the sheet a little.
    Side,
}

/// Why a picture will not do. Its `Display` says so, [`Refusal::remedy`] what to do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Refusal {
    /// No sheet stands out.
    NoSheet,
    /// It goes over the border of the picture.
    NotWhole,
    /// There are two.
    TwoSheets,
    /// Its edges do not fit the size it is said to have: pixels off, and pixels that would do.
    WrongPaper(f64, f64),
    /// Brightness of the paper, 0 to 255.
    TooDark(f64),
    /// Width of an edge, in mm.
    Blurred(f64),
    /// Degrees from straight down.
    TooTilted(f64),
    /// Degrees above the table: a side picture from too high or too low.
    WrongHeight(f64),
    /// Pixels to a millimetre.
    TooFewPixels(f64),
    /// The corners that were dragged make no sheet.
    CornersCross,
    /// Most of one side of the sheet cannot be seen.
    EdgeHidden,
}

/// The darkest that paper may look, of 255. *Common practice, no source.*
const DARKEST: f64 = 60.0;
/// The widest that an edge may look, in mm. *Common practice, no source.*
const BLUNTEST_MM: f64 = 1.6;
/// The most tilt of a picture from above, in degrees: the aim is 20, and finding it is uncertain by a few.
const MOST_TILT: f64 = 24.0;
/// How far a side picture looks down, in degrees.
const SIDE_FROM: f64 = 12.0;
const SIDE_TO: f64 = 60.0;
/// The fewest pixels to a millimetre.
const FEWEST_PIXELS: f64 = 2.5;

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSheet => write!(f, "no sheet of paper stands out in this picture"),
            Self::NotWhole => write!(f, "the sheet goes over the border of the picture"),
            Self::TwoSheets => write!(f, "two sheets are in the picture"),
            Self::WrongPaper(off, most) => {
                write!(f, "the edges miss this size of paper by {off:.1} px, {most:.1} px would do")
            }
            Self::TooDark(code) => {
                write!(f, "the paper is too dark: {code:.0} of 255, at least {DARKEST:.0}")
            }
            Self::Blurred(mm) => {
                write!(f, "the picture is blurred: an edge is {mm:.1} mm wide, at most {BLUNTEST_MM}")
            }
            Self::TooTilted(degrees) => {
                write!(f, "the camera is tilted {degrees:.0}°, at most {MOST_TILT:.0}°")
            }
            Self::WrongHeight(degrees) => write!(
                f,
                "the camera looks down {degrees:.0}°, a side picture wants {SIDE_FROM:.0}° to {SIDE_TO:.0}°"
            ),
            Self::TooFewPixels(pixels) => {
                write!(f, "{pixels:.1} pixels to a millimetre, at least {FEWEST_PIXELS}")
            }
            Self::CornersCross => write!(f, "these corners make no sheet"),
            Self::EdgeHidden => write!(f, "one edge of the sheet cannot be followed"),
        }
    }
}

impl Refusal {
    /// What to do about it.
    pub fn remedy(&self) -> &'static str {
        match self {
            Self::NoSheet => "lay the sheet on something darker, or drag its corners into place",
            Self::NotWhole => "step back until all four corners are in the picture",
            Self::TwoSheets => "leave one sheet on the table",
            Self::WrongPaper(..) => "choose the other size of paper, or lay the sheet flat",
            Self::TooDark(_) => "turn on more light, or take it by a window",
            Self::Blurred(_) => "hold the camera still and let it focus on the device",
            Self::TooTilted(_) => "hold the camera above the middle of the sheet, level with it",
            Self::WrongHeight(_) => "hold the camera a little above the device, half a metre in front of it",
            Self::TooFewPixels(_) => "go closer, or take the picture with more pixels",
            Self::CornersCross => "drag each corner to its own corner of the sheet",
            Self::EdgeHidden => "move the device away from the edge, or clear what lies over it",
        }
    }

    /// One word for programs.
    pub fn word(&self) -> &'static str {
        match self {
            Self::NoSheet => "no-sheet",
            Self::NotWhole => "not-whole",
            Self::TwoSheets => "two-sheets",
            Self::WrongPaper(..) => "wrong-paper",
            Self::TooDark(_) => "too-dark",
            Self::Blurred(_) => "blurred",
            Self::TooTilted(_) => "too-tilted",
            Self::WrongHeight(_) => "wrong-height",
            Self::TooFewPixels(_) => "too-few-pixels",
            Self::CornersCross => "corners-cross",
            Self::EdgeHidden => "edge-hidden",
        }
    }
}

/// A picture with its sheet found.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// The camera that sees the sheet so.
    pub camera: Camera,
    /// The sheet as it lies: to the right and to the back, in mm.
    pub size: [f64; 2],
    /// Its corners in pixels: front left, front right, back right, back left.
    pub corners: [[f64; 2]; 4],
    /// What the edges miss the fit by, in pixels.
    pub off: f64,
    /// How wide an edge looks, in pixels.
    pub blur: f64,
    pub(crate) covariance: Vec<Vec<f64>>,
}

/// Four points in pixels, front left first, then counter-clockwise as one sees them.
pub type Quad = [[f64; 2]; 4];

/// Finds the sheet, or takes the corners that were dragged, in any order; `focal_35` is the focal length in mm as for film
/// of 36 × 24 mm, where the picture says it.
pub fn find_sheet(
    picture: &Picture,
    paper: Paper,
    view: View,
    dragged: Option<Quad>,
    focal_35: Option<f64>,
) -> Result<Sheet, Refusal> {
    let scale = picture.half_diagonal() * 2.0 / 600.0;
    let (corners, reach) = match dragged {
        Some(corners) => (ordered(corners).ok_or(Refusal::CornersCross)?, scale * 6.0),
        None => (search(picture)?, scale * 8.0),
    };
    let least = if view == View::Side { [0.12, 0.12, 0.0, 0.12] } else { [0.3; 4] };
    let (mut traced, light) = edges(picture, &corners, reach, least)?;
    if view == View::Side {
        traced[BACK] = back_edge(picture, paper, &corners, &traced, light, focal_35, reach)?;
    }
    let sheet = camera_of(picture, paper, view, &corners, &traced, focal_35)?;
    // A sheet of the other size is seen by some camera too, tilted or of a strange focal length: who took it knows better.
    let other = if paper == Paper::A4 { Paper::Letter } else { Paper::A4 };
    if view == View::Above
        && let Ok(instead) = camera_of(picture, other, view, &corners, &traced, focal_35)
    {
        let fits = |sheet: &Sheet| sheet.camera.tilt() < MOST_TILT;
        if fits(&instead) && (!fits(&sheet) || 1.5 * instead.off + 1.0 < sheet.off) {
            return Err(Refusal::WrongPaper(sheet.off, instead.off));
        }
    }
    let ppm = sheet.camera.pixels_per_mm([sheet.size[0] / 2.0, sheet.size[1] / 2.0]);
    let code = brightness(picture, &sheet);
    if code < DARKEST {
        return Err(Refusal::TooDark(code));
    }
    if ppm < FEWEST_PIXELS * if view == View::Side { 0.6 } else { 1.0 } {
        return Err(Refusal::TooFewPixels(ppm));
    }
    if BLUNTEST_MM * if view == View::Side { 1.6 } else { 1.0 } < sheet.blur / ppm {
        return Err(Refusal::Blurred(sheet.blur / ppm));
    }
    let tilt = sheet.camera.tilt();
    match view {
        View::Above if MOST_TILT < tilt => Err(Refusal::TooTilted(tilt)),
        View::Side if !(SIDE_FROM..=SIDE_TO).contains(&(90.0 - tilt)) => {
            Err(Refusal::WrongHeight(90.0 - tilt))
        }
        _ => Ok(sheet),
    }
}

/// How bright the paper is, of 255: the upper quarter of its pixels begins there.
fn brightness(picture: &Picture, sheet: &Sheet) -> f64 {
    let mut codes = Vec::new();
    for i in 1..40 {
        for j in 1..40 {
            let at = [sheet.size[0] * f64::from(i) / 40.0, sheet.size[1] * f64::from(j) / 40.0, 0.0];
            if let Some(code) = picture.between(sheet.camera.project(at)) {
                codes.push((code[0] + code[1] + code[2]) / 3.0);
            }
        }
    }
    codes.sort_by(f64::total_cmp);
    codes.get(codes.len() * 3 / 4).copied().unwrap_or(0.0)
}

/// Corners in our order: the two lowest in the picture are the front.
fn ordered(corners: Quad) -> Option<Quad> {
    if corners.iter().flatten().any(|v| !v.is_finite()) {
        return None;
    }
    let middle = [0, 1].map(|k| corners.iter().map(|c| c[k]).sum::<f64>() / 4.0);
    let mut round = corners.to_vec();
    // Counter-clockwise as one sees it, from the left.
    let angle = |c: &[f64; 2]| libm::atan2(-(c[1] - middle[1]), c[0] - middle[0]);
    round.sort_by(|a, b| angle(a).total_cmp(&angle(b)));
    // The side that faces down the most is the front.
    let front = (0..4).max_by(|&i, &j| {
        let low = |k: usize| round[k][1] + round[(k + 1) % 4][1];
        low(i).total_cmp(&low(j))
    })?;
    let quad: Quad = std::array::from_fn(|k| round[(front + k) % 4]);
    let turn = |k: usize| {
        let (a, b, c) = (quad[k], quad[(k + 1) % 4], quad[(k + 2) % 4]);
        (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    };
    (0..4).all(|k| turn(k) < -100.0).then_some(quad)
}

/// Looks for a bright four-sided patch with an edge all round.
fn search(picture: &Picture) -> Result<Quad, Refusal> {
    let (colours, width, height, scale) = small(picture, 480);
    // Wood and cloth have a dark channel; paper has none.
    let values: Vec<f32> = colours.iter().map(|c| c[0].min(c[1]).min(c[2])).collect();
    let grey = Grey { width, height, values };
    let mut sorted = grey.values.clone();
    sorted.sort_by(f32::total_cmp);
    let share = |part: f64| f64::from(sorted[index(part * real(sorted.len() - 1))]);
    let (low, high) = (share(0.02), share(0.995));
    let mut found: Vec<(f64, f64, Quad)> = Vec::new();
    let mut border = false;
    for step in 1..28 {
        let threshold = low + (high - low) * f64::from(step) / 28.0;
        for patch in patches(&grey, threshold) {
            let Some(quad) = four_sided(&patch.hull) else { continue };
            let area = area_of(&quad);
            if area < 0.05 * real(width * height) || 1.25 < area / area_of(&patch.hull) {
                continue;
            }
            let Some(quad) = ordered(quad.map(|p| p.map(|v| v * 10.0))) else { continue };
            let quad = quad.map(|p| p.map(|v| v / 10.0));
            let seen = support(&grey, &quad);
            let least = seen.iter().copied().fold(1.0, f64::min);
            let mean = seen.iter().sum::<f64>() / 4.0;
            if patch.on_border && mean < 0.85 {
                border |= 0.4 < mean;
                continue;
            }
            // The device may hide most of one side.
            let others = (seen.iter().sum::<f64>() - least) / 3.0;
            if (0.35 < least && 0.6 < mean) || (0.12 < least && 0.8 < others) {
                found.push((mean, area, quad));
            }
        }
    }
    let worth = |(mean, area, _): &(f64, f64, Quad)| mean * mean * area.sqrt();
    let Some(best) = found.iter().max_by(|a, b| worth(a).total_cmp(&worth(b))) else {
        return Err(if border { Refusal::NotWhole } else { Refusal::NoSheet });
    };
    let inside = |quad: &Quad, p: [f64; 2]| {
        (0..4).all(|k| {
            let (a, b) = (quad[k], quad[(k + 1) % 4]);
            (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) < 0.0
        })
    };
    let middle = |quad: &Quad| [0, 1].map(|k| quad.iter().map(|c| c[k]).sum::<f64>() / 4.0);
    if found.iter().any(|other| {
        0.75 < other.0
            && 0.4 * best.1 < other.1
            && !inside(&best.2, middle(&other.2))
            && !inside(&other.2, middle(&best.2))
    }) {
        return Err(Refusal::TwoSheets);
    }
    Ok(best.2.map(|p| p.map(|v| (v + 0.5) * scale - 0.5)))
}

struct Patch {
    hull: Vec<[f64; 2]>,
    on_border: bool,
}

/// The bright patches that are large enough, with what a rubber band round them would be.
fn patches(grey: &Grey, threshold: f64) -> Vec<Patch> {
    let (width, height) = (grey.width, grey.height);
    let mut seen = vec![false; width * height];
    let mut out = Vec::new();
    for start in 0..width * height {
        if seen[start] || f64::from(grey.values[start]) < threshold {
            continue;
        }
        let mut rows: Vec<Option<(usize, usize)>> = vec![None; height];
        let mut stack = vec![start];
        seen[start] = true;
        let (mut size, mut on_border) = (0, 0usize);
        while let Some(at) = stack.pop() {
            let (x, y) = (at % width, at / width);
            size += 1;
            on_border += usize::from(x == 0 || y == 0 || x + 1 == width || y + 1 == height);
            rows[y] = Some(rows[y].map_or((x, x), |(a, b)| (a.min(x), b.max(x))));
            let mut go = |to: usize| {
                if !seen[to] && threshold <= f64::from(grey.values[to]) {
                    seen[to] = true;
                    stack.push(to);
                }
            };
            if 0 < x {
                go(at - 1);
            }
            if x + 1 < width {
                go(at + 1);
            }
            if 0 < y {
                go(at - width);
            }
            if y + 1 < height {
                go(at + width);
            }
        }
        if size * 40 < width * height {
            continue;
        }
        let points: Vec<[f64; 2]> = rows
            .iter()
            .enumerate()
            .filter_map(|(y, row)| row.map(|(a, b)| (y, a, b)))
            .flat_map(|(y, a, b)| [[real(a), real(y)], [real(b), real(y)]])
            .collect();
        out.push(Patch { hull: hull(points), on_border: 4 < on_border });
    }
    out
}

/// The convex hull (Andrew 1979, from memory), clockwise as one sees it.
fn hull(mut points: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    points.dedup();
    let cross =
        |o: [f64; 2], a: [f64; 2], b: [f64; 2]| (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);
    let half = |points: &mut dyn Iterator<Item = [f64; 2]>| {
        let mut out: Vec<[f64; 2]> = Vec::new();
        for p in points {
            while 2 <= out.len() && cross(out[out.len() - 2], out[out.len() - 1], p) <= 0.0 {
                out.pop();
            }
            out.push(p);
        }
        out.pop();
        out
    };
    let mut out = half(&mut points.iter().copied());
    out.extend(half(&mut points.iter().rev().copied()));
    out
}

fn area_of(polygon: &[[f64; 2]]) -> f64 {
    let n = polygon.len();
    let twice: f64 = (0..n)
        .map(|k| polygon[k][0] * polygon[(k + 1) % n][1] - polygon[k][1] * polygon[(k + 1) % n][0])
        .sum();
    twice.abs() / 2.0
}

/// The four-sided figure round a hull: again and again the side goes whose loss adds least.
fn four_sided(hull: &[[f64; 2]]) -> Option<Quad> {
    let mut p = hull.to_vec();
    while 4 < p.len() {
        let n = p.len();
        let (_, at, corner) = (0..n)
            .filter_map(|k| {
                let (before, a, b, after) = (p[(k + n - 1) % n], p[k], p[(k + 1) % n], p[(k + 2) % n]);
                let first = (before, [a[0] - before[0], a[1] - before[1]]);
                let second = (b, [after[0] - b[0], after[1] - b[1]]);
                let cross = first.1[0] * second.1[1] - first.1[1] * second.1[0];
                if cross <= 1e-9 {
                    return None;
                }
                let corner = crate::edge::meet(first, second)?;
                let added = area_of(&[a, corner, b]);
                // The corner lies beyond both.
                let ahead = (corner[0] - a[0]) * first.1[0] + (corner[1] - a[1]) * first.1[1];
                (-1e-9 <= ahead).then_some((added, k, corner))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))?;
        p[at] = corner;
        p.remove((at + 1) % n);
    }
    p.try_into().ok()
}

/// How much of each side has a step from dark outside to bright inside, 0 to 1.
fn support(grey: &Grey, quad: &Quad) -> [f64; 4] {
    std::array::from_fn(|k| {
        let (a, b) = (quad[k], quad[(k + 1) % 4]);
        let along = [b[0] - a[0], b[1] - a[1]];
        let length = (along[0] * along[0] + along[1] * along[1]).sqrt().max(1e-9);
        let normal = [along[1] / length, -along[0] / length];
        let seen = (0..48)
            .filter(|i| {
                let s = 0.03 + 0.94 * (f64::from(*i) + 0.5) / 48.0;
                let at = |t: f64| [a[0] + s * along[0] + t * normal[0], a[1] + s * along[1] + t * normal[1]];
                let pair =
                    |t: f64, then: f64| Some(f64::midpoint(grey.near(at(t))?, grey.near(at(t + then))?));
                (-8..=8).any(|shift| {
                    let t = f64::from(shift) * 0.5;
                    let (inner, outer) = (pair(t + 2.0, 1.0), pair(t - 2.0, -1.0));
                    matches!((inner, outer), (Some(i), Some(o)) if 8.0 + 0.08 * o < i - o)
                })
            })
            .count();
        real(seen) / 48.0
    })
}

/// The four edges of the sheet, traced twice: wide, then close about what was found.
///
/// With them comes the light of the paper. `least` is how much of each must be seen.
fn edges(
    picture: &Picture,
    corners: &Quad,
    reach: f64,
    least: [f64; 4],
) -> Result<([Traced; 4], [f64; 3]), Refusal> {
    let mut out: [Traced; 4] = std::array::from_fn(|_| Traced::default());
    // The light of the paper, from a first look at all four: what lies inside an edge may be the device.
    let look = Search {
        reach,
        near: (reach * 0.12).max(2.0),
        terms: 3,
        brighter: Brighter::Inside,
        ends: 0.02,
        samples: 60,
        weight_of_ends: 1.0,
        paper: None,
    };
    let mut inner: Vec<[f64; 3]> =
        (0..4).map(|k| trace(picture, corners[k], corners[(k + 1) % 4], look).inner).collect();
    inner.sort_by(|a, b| crate::picture::luma(*a).total_cmp(&crate::picture::luma(*b)));
    let paper = Some(inner[2]);
    for k in 0..4 {
        let (a, b) = (corners[k], corners[(k + 1) % 4]);
        let wide = Search {
            reach,
            near: (reach * 0.12).max(2.0),
            terms: 3,
            brighter: Brighter::Inside,
            ends: 0.02,
            samples: 160,
            weight_of_ends: 1.0,
            paper,
        };
        let first = trace(picture, a, b, wide);
        let Some((middle, direction)) = crate::edge::line(&first.points) else {
            if least[k] <= 0.0 {
                continue;
            }
            return Err(Refusal::EdgeHidden);
        };
        // Along the line found, from where the corners lie beside it.
        let foot = |p: [f64; 2]| {
            let t = (p[0] - middle[0]) * direction[0] + (p[1] - middle[1]) * direction[1];
            [middle[0] + t * direction[0], middle[1] + t * direction[1]]
        };
        let close =
            Search { reach: (reach * 0.35).max(6.0), near: (reach * 0.04).max(1.2), samples: 240, ..wide };
        let second = trace(picture, foot(a), foot(b), close);
        let traced = if first.seen * 0.7 < second.seen { second } else { first.clone() };
        if traced.seen < least[k] {
            return Err(Refusal::EdgeHidden);
        }
        out[k] = traced;
    }
    Ok((out, inner[2]))
}

/// The edge of the sheet that is behind the device in a picture of a side, among the four.
const BACK: usize = 2;
/// How much of it must be seen to be used.
const LEAST_BACK: f64 = 0.08;

/// The back edge in a picture of a side. The device hides much of it, and its own edges run alongside: so the camera is
/// found from the three others first, and the edge is looked for where that camera would see it.
fn back_edge(
    picture: &Picture,
    paper: Paper,
    corners: &Quad,
    traced: &[Traced; 4],
    light: [f64; 3],
    focal_35: Option<f64>,
    reach: f64,
) -> Result<Traced, Refusal> {
    let mut three = traced.clone();
    let (a, b) = (corners[BACK], corners[BACK + 1]);
    let points = (0..20).map(|k| (f64::from(k) + 0.5) / 20.0);
    three[BACK] = Traced {
        points: points.map(|s| [a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])]).collect(),
        width: traced[0].width,
        loose: 3.0 * reach,
        ..Traced::default()
    };
    let rough = camera_of(picture, paper, View::Side, corners, &three, focal_35)?;
    let (a, b) = (rough.corners[BACK], rough.corners[BACK + 1]);
    let how = Search {
        reach: (3.0 * rough.spread_of_back() + 2.0).clamp(4.0, 2.5 * reach),
        near: (reach * 0.06).max(1.2),
        terms: 3,
        brighter: Brighter::Inside,
        ends: 0.02,
        samples: 240,
        weight_of_ends: 5.0,
        paper: Some(light),
    };
    let found = trace(picture, a, b, how);
    Ok(if found.seen < LEAST_BACK { std::mem::take(&mut three[BACK]) } else { found })
}

impl Sheet {
    /// How well the camera knows where the middle of the back edge is seen, in pixels.
    fn spread_of_back(&self) -> f64 {
        let middle = [self.size[0] / 2.0, self.size[1], 0.0];
        let slopes: Vec<f64> = (0..PARAMETERS)
            .map(|k| {
                let step = self.covariance[k][k].max(1e-18).sqrt() * 0.1;
                let at = |by: f64| {
                    let mut values = self.camera.values;
                    values[k] += by;
                    self.camera.with(&values).project(middle)[1]
                };
                (at(step) - at(-step)) / (2.0 * step)
            })
            .collect();
        let sum: f64 = (0..PARAMETERS)
            .flat_map(|i| (0..PARAMETERS).map(move |j| (i, j)))
            .map(|(i, j)| slopes[i] * self.covariance[i][j] * slopes[j])
            .sum();
        sum.max(0.0).sqrt()
    }
}

/// The middle of what main cameras of phones have, as for film of 36 × 24 mm, and its spread as a part of it. *Common
/// practice, no source.*
const USUAL_FOCAL: (f64, f64) = (27.0, 0.2);
/// The same where the picture says it: cropping and stabilising change it a little.
const SAID_FOCAL_SPREAD: f64 = 0.04;
/// Half the diagonal of 36 × 24 mm.
const HALF_FILM: f64 = 21.633;
/// How much lenses bend at the corner of a picture. *Common practice, no source.*
const USUAL_BEND: f64 = 0.04;
/// How far the lens's middle lies from the picture's, in half diagonals. *Common practice, no source.*
const USUAL_SHIFT: f64 = 0.012;
/// As how many independent points an edge counts: neighbours share paper, lens and light.
const INDEPENDENT: f64 = 14.0;
/// No edge is better known than this, in pixels.
const BEST_EDGE: f64 = 0.2;
/// Nor better than this on the sheet, in mm: paper is cut and lies no truer. *Common practice, no source.*
const BEST_CUT: f64 = 0.12;

/// How far edges miss, the sheet as it lies, the camera, its covariance.
type Fit = (f64, [f64; 2], Camera, Vec<Vec<f64>>);

/// The camera that sees the edges where they are: least squares over all of it at once (bundle adjustment,
/// [src:HARTLEY-2004]), with what is usual as a weak observation.
fn camera_of(
    picture: &Picture,
    paper: Paper,
    view: View,
    corners: &Quad,
    traced: &[Traced; 4],
    focal_35: Option<f64>,
) -> Result<Sheet, Refusal> {
    let size = (real(picture.width()), real(picture.height()));
    let (usual, spread) =
        focal_35.filter(|f| (8.0..300.0).contains(f)).map_or(USUAL_FOCAL, |said| (said, SAID_FOCAL_SPREAD));
    let usual = usual / HALF_FILM;
    let [short, long] = paper.sides();
    let mut best: Option<Fit> = None;
    for lie in [[long, short], [short, long]] {
        let on_sheet = [[0.0, 0.0], [lie[0], 0.0], lie, [0.0, lie[1]]];
        let Some(first) = first_guess(size, &on_sheet, corners, usual) else { continue };
        let ppm = first.pixels_per_mm([lie[0] / 2.0, lie[1] / 2.0]);
        let across = |camera: &Camera, side: usize, p: [f64; 2]| {
            let [a, b] =
                [on_sheet[side], on_sheet[(side + 1) % 4]].map(|[x, y]| camera.straight([x, y, 0.0]));
            let d = [b[0] - a[0], b[1] - a[1]];
            let length = (d[0] * d[0] + d[1] * d[1]).sqrt().max(1e-9);
            let p = camera.straighten(p);
            ((p[0] - a[0]) * d[1] - (p[1] - a[1]) * d[0]) / length
        };
        let steps = [0.01, 0.01, 0.01, 1.0, 1.0, 1.0, 0.01, 0.01, 0.01, 0.01];
        let mut sigma: [f64; 4] = std::array::from_fn(|k| traced[k].loose.max(3.0));
        let mut kept: Vec<(usize, [f64; 2])> =
            (0..4).flat_map(|k| traced[k].points.iter().map(move |p| (k, *p))).collect();
        let mut camera = first;
        let mut fitted = None;
        for round in 0..3 {
            let mut counts = [0usize; 4];
            for (side, _) in &kept {
                counts[*side] += 1;
            }
            let answer = minimise(&camera.values, &steps, |values| {
                let camera = camera.with(values);
                let mut out: Vec<f64> = kept
                    .iter()
                    .map(|(side, p)| {
                        let weight = (INDEPENDENT / real(counts[*side].max(1))).min(1.0).sqrt();
                        across(&camera, *side, *p) / sigma[*side] * weight
                    })
                    .collect();
                out.push((values[6] - libm::log(usual)) / spread);
                out.push(values[7] / USUAL_BEND);
                out.push(values[8] / USUAL_SHIFT);
                out.push(values[9] / USUAL_SHIFT);
                out
            });
            let Some(answer) = answer else { break };
            camera = camera.with(&answer.at);
            for (side, sigma) in sigma.iter_mut().enumerate() {
                let mut off: Vec<f64> = kept
                    .iter()
                    .filter(|(of, _)| *of == side)
                    .map(|(_, p)| across(&camera, side, *p).abs())
                    .collect();
                let seen = (median(&mut off) * 1.4826).max(BEST_EDGE);
                *sigma = (seen * seen + BEST_CUT * ppm * BEST_CUT * ppm).sqrt().max(traced[side].loose);
            }
            if round < 2 {
                let near: Vec<_> = kept
                    .iter()
                    .copied()
                    .filter(|(side, p)| across(&camera, *side, *p).abs() < 3.5 * sigma[*side])
                    .collect();
                if kept.len() < 2 * near.len() {
                    kept = near;
                }
            }
            fitted = Some(answer.covariance);
        }
        let Some(covariance) = fitted else { continue };
        // Each edge counts as much as another, however little of it is seen.
        let mut squares = Vec::new();
        for side in (0..4).filter(|side| traced[*side].loose <= 0.0) {
            let of_this = kept.iter().filter(|(of, _)| *of == side);
            let mut off: Vec<f64> = of_this.map(|(_, p)| across(&camera, side, *p).abs()).collect();
            let off = median(&mut off) * 1.4826;
            squares.push(off * off);
        }
        let edge_off = (squares.iter().sum::<f64>() / real(squares.len().max(1))).sqrt();
        // A focal length that nobody has counts against it as well, and an edge that was not seen but is said to be elsewhere.
        let strange = (camera.values[6] - libm::log(usual)) / spread;
        let unlike: f64 = (0..4)
            .filter(|side| 0.0 < traced[*side].loose)
            .map(|side| {
                let off = traced[side].points.iter().map(|p| across(&camera, side, *p).abs()).sum::<f64>();
                off / real(traced[side].points.len().max(1)) / traced[side].loose
            })
            .sum();
        let cost = edge_off + strange.abs() + 4.0 * unlike;
        if best.as_ref().is_none_or(|(least, ..)| cost < *least) {
            best = Some((cost, lie, camera, covariance));
        }
    }
    let Some((cost, lie, camera, covariance)) = best else { return Err(Refusal::CornersCross) };
    let ppm = camera.pixels_per_mm([lie[0] / 2.0, lie[1] / 2.0]);
    // A sheet of the other size misses by millimetres.
    let most = (0.8 * ppm).max(3.0) * if view == View::Side { 1.5 } else { 1.0 };
    if most < cost {
        return Err(Refusal::WrongPaper(cost, most));
    }
    let mut widths: Vec<f64> = traced.iter().map(|t| t.width).collect();
    let corners = [[0.0, 0.0], [lie[0], 0.0], lie, [0.0, lie[1]]].map(|[x, y]| camera.project([x, y, 0.0]));
    Ok(Sheet { camera, size: lie, corners, off: cost, blur: median(&mut widths), covariance })
}
