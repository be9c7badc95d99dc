//! A side of a device in a picture from before it: the face, and the jacks on it.

use crate::camera::Camera;
use crate::edge::{Brighter, Search, line, meet, trace};
use crate::measure::{NUT, on_axis};
use crate::numbers::{index, real};
use crate::picture::{Grey, Picture, single, small};
use crate::sheet::{Quad, Sheet};

/// What is proposed of a side picture.
#[derive(Debug, Clone)]
pub struct Side {
    /// The face's corners in pixels: lower left, lower right, upper right, upper left.
    pub face: Quad,
    /// Middles of what is round on it.
    pub jacks: Vec<[f64; 2]>,
    /// About how wide the face is, in mm.
    pub wide: f64,
    /// About how high.
    pub high: f64,
}

/// Slopes of a small copy, the strongest channel's.
pub(crate) struct Slopes {
    x: Grey,
    y: Grey,
    scale: f64,
}

impl Slopes {
    /// Of a copy whose longer side has about so many pixels.
    pub(crate) fn of(picture: &Picture, long: usize) -> Self {
        let (colours, width, height, scale) = small(picture, long);
        let (mut x, mut y) = (vec![0.0f32; width * height], vec![0.0f32; width * height]);
        for row in 1..height.saturating_sub(1) {
            for column in 1..width.saturating_sub(1) {
                let at = row * width + column;
                let mut best = 0.0;
                let (left, right, up, down) =
                    (colours[at - 1], colours[at + 1], colours[at - width], colours[at + width]);
                for c in 0..3 {
                    let gx = (right[c] - left[c]) / 2.0;
                    let gy = (down[c] - up[c]) / 2.0;
                    let size = gx * gx + gy * gy;
                    if best < size {
                        best = size;
                        x[at] = gx;
                        y[at] = gy;
                    }
                }
            }
        }
        Self { x: Grey { width, height, values: x }, y: Grey { width, height, values: y }, scale }
    }

    /// How much of the line between two points of the picture has an edge along it, within `wide` small pixels.
    pub(crate) fn support(&self, a: [f64; 2], b: [f64; 2], wide: i32, samples: u32) -> f64 {
        let [a, b] = [a, b].map(|p| p.map(|v| (v + 0.5) / self.scale - 0.5));
        let d = [b[0] - a[0], b[1] - a[1]];
        let length = (d[0] * d[0] + d[1] * d[1]).sqrt();
        if length < 2.0 {
            return 0.0;
        }
        let n = [d[1] / length, -d[0] / length];
        let mut sum = 0.0;
        for k in 0..samples {
            let t = 0.08 + 0.84 * (f64::from(k) + 0.5) / f64::from(samples);
            let p = [a[0] + t * d[0], a[1] + t * d[1]];
            let mut most = 0.0f64;
            for w in -wide..=wide {
                let q = [p[0] + f64::from(w) * n[0], p[1] + f64::from(w) * n[1]];
                let (Some(gx), Some(gy)) = (self.x.near(q), self.y.near(q)) else { continue };
                let along = (gx * n[0] + gy * n[1]).abs();
                let cross = (gx * n[1] - gy * n[0]).abs();
                if cross < 0.7 * along {
                    most = most.max(along);
                }
            }
            sum += (most / 9.0).min(1.0);
        }
        sum / f64::from(samples)
    }
}

/// A box on the sheet, seen from its front.
#[derive(Clone, Copy)]
struct Stand {
    /// The middle of the lower edge of the face.
    x: f64,
    y: f64,
    /// The direction along the face, to the right as the camera sees it.
    turn: f64,
    height: f64,
    wide: f64,
    deep: f64,
}

impl Stand {
    /// A point of it: along the face from its middle, into the depth, up.
    fn at(&self, along: f64, deep: f64, up: f64) -> [f64; 3] {
        let (s, c) = libm::sincos(self.turn);
        [self.x + c * along - s * deep, self.y + s * along + c * deep, up]
    }

    fn score(&self, camera: &Camera, slopes: &Slopes, near: i32, least: f64) -> f64 {
        let (half, deep) = (self.wide / 2.0, self.deep);
        let p = |along: f64, deep: f64, up: f64| camera.project(self.at(along, deep, up));
        let h = self.height;
        let [a, b, c, d] = [p(-half, 0.0, 0.0), p(half, 0.0, 0.0), p(half, 0.0, h), p(-half, 0.0, h)];
        let foot = slopes.support(a, b, near, 14);
        if foot < least {
            return 0.0;
        }
        let head = slopes.support(d, c, near, 14);
        if head < least {
            return 0.0;
        }
        let [e, f] = [p(half, deep, h), p(-half, deep, h)];
        let upright = slopes.support(a, d, near, 10) + slopes.support(b, c, near, 10);
        let top = slopes.support(c, e, near, 10) + slopes.support(d, f, near, 10);
        let back = slopes.support(f, e, near, 14);
        foot * 1.4 + head * 1.2 + upright * 0.9 + top * 0.6 + back * 0.7
    }
}

/// Proposes the face towards the camera. `wide` and `deep` are the top's sides in mm as the picture from above shows them at
/// the height of the sheet, along the face and into the depth; `camera_height` is how high that camera was.
pub fn find_side(picture: &Picture, sheet: &Sheet, wide: f64, deep: f64, camera_height: f64) -> Option<Side> {
    let slopes = Slopes::of(picture, 800);
    let camera = &sheet.camera;
    let true_to = |h: f64| (camera_height - h) / camera_height;
    let mut found: Vec<(f64, Stand)> = Vec::new();
    let eye = camera.position();
    let step = 4.0;
    let count = |length: f64| u32::try_from(index(length / step)).unwrap_or(0);
    for i in 0..=count(sheet.size[0]) {
        for j in 0..=count(sheet.size[1]) {
            let (x, y) = (f64::from(i) * step, f64::from(j) * step);
            if x < 12.0 || y < 6.0 || sheet.size[0] - 12.0 < x || sheet.size[1] - 6.0 < y {
                continue;
            }
            let facing = libm::atan2(y - eye[1], x - eye[0]) - std::f64::consts::FRAC_PI_2;
            for k in -8..=8 {
                let turn = facing + f64::from(k) * 0.05;
                for l in 0..18 {
                    let height = 20.0 + 4.0 * f64::from(l);
                    let by = true_to(height);
                    let stand = Stand { x, y, turn, height, wide: wide * by, deep: deep * by };
                    let score = stand.score(camera, &slopes, 2, 0.4);
                    if 0.0 < score {
                        found.push((score, stand));
                    }
                }
            }
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut best: Option<(f64, Stand)> = None;
    for (_, start) in found.iter().take(24) {
        let mut now = *start;
        let worth = |s: &Stand| {
            let by = true_to(s.height);
            let off = [(s.wide / (wide * by) - 1.0) / 0.1, (s.deep / (deep * by) - 1.0) / 0.1];
            s.score(camera, &slopes, 1, 0.0) - 0.15 * (off[0] * off[0] + off[1] * off[1])
        };
        let mut score = worth(&now);
        let mut step = 2.0;
        while 0.4 < step {
            let mut better = false;
            for axis in 0..6 {
                for sign in [-1.0, 1.0] {
                    let mut next = now;
                    match axis {
                        0 => next.x += sign * step,
                        1 => next.y += sign * step,
                        2 => next.turn += sign * step * 0.01,
                        3 => next.height += sign * step,
                        4 => next.wide += sign * step,
                        _ => next.deep += sign * step,
                    }
                    let there = worth(&next);
                    if score < there {
                        (now, score, better) = (next, there, true);
                    }
                }
            }
            if !better {
                step /= 2.0;
            }
        }
        if best.as_ref().is_none_or(|(most, _)| *most < score) {
            best = Some((score, now));
        }
    }
    let (_, stand) = best?;
    let half = stand.wide / 2.0;
    let rough = [[-half, 0.0], [half, 0.0], [half, stand.height], [-half, stand.height]]
        .map(|[along, up]| camera.project(stand.at(along, 0.0, up)));
    let reach = picture.half_diagonal() * 0.007;
    Some(side_at(picture, camera, &rough, stand.wide, stand.height, [reach; 4]))
}

/// What is seen of a side whose face is about there; edges are looked for within so many pixels: below,
/// right, above, left.
pub(crate) fn side_at(
    picture: &Picture,
    camera: &Camera,
    rough: &Quad,
    wide: f64,
    high: f64,
    reach: [f64; 4],
) -> Side {
    let face = sharpened(picture, camera, rough, reach).unwrap_or(*rough);
    let jacks = rounds(picture, camera, &face, wide, high)
        .into_iter()
        .map(|(middle, is_bright)| {
            // What is proposed is where its axis passes the plane that lengths are measured in.
            let out = if is_bright { BRIGHT_OUT } else { DARK_OUT };
            on_axis(camera, &face, middle, out, NUT.0)
        })
        .collect();
    Side { face, jacks, wide, high }
}

/// How far the rim of a round thing stands out of the face, in mm: of bright metal, which is a nut, and of dark plastic; a
/// little more than they do, as the shadow at the foot makes the face look nearer than it is.
/// *Common practice, no source.*
const BRIGHT_OUT: f64 = 2.3;
const DARK_OUT: f64 = 0.9;

/// The face's corners to a fraction of a pixel.
fn sharpened(picture: &Picture, camera: &Camera, rough: &Quad, reach: [f64; 4]) -> Option<Quad> {
    let mut lines = Vec::new();
    for k in 0..4 {
        let (a, b) = (rough[k], rough[(k + 1) % 4]);
        let length = ((b[0] - a[0]) * (b[0] - a[0]) + (b[1] - a[1]) * (b[1] - a[1])).sqrt();
        let how = Search {
            reach: reach[k],
            near: (reach[k] * 0.25).max(0.8),
            terms: 2,
            brighter: Brighter::Either,
            ends: 0.14,
            samples: index(length / 2.0).clamp(30, 160),
            weight_of_ends: 1.0,
            paper: None,
        };
        let found = trace(picture, a, b, how);
        let points: Vec<[f64; 2]> = if found.seen < 0.3 {
            vec![camera.straighten(a), camera.straighten(b)]
        } else {
            found.points.iter().map(|p| camera.straighten(*p)).collect()
        };
        lines.push(line(&points)?);
    }
    let mut out = [[0.0; 2]; 4];
    for k in 0..4 {
        out[k] = camera.bent(meet(lines[(k + 3) % 4], lines[k])?);
        let d = [out[k][0] - rough[k][0], out[k][1] - rough[k][1]];
        if picture.half_diagonal() * 0.03 < (d[0] * d[0] + d[1] * d[1]).sqrt() {
            return None;
        }
    }
    Some(out)
}

/// By how many codes of 255 a bright rim differs from its hole.
const BRIGHTER: f64 = 40.0;
/// Dots to a millimetre of a squared face.
const DOTS: f64 = 3.0;

/// Middles of what is round on a face: every edge votes for the middles that a circle of each radius would have (Hough's way
/// with slopes: Kimme, Ballard and Sklansky 1975, from memory).
///
/// With each comes whether it has a bright rim round a dark hole.
fn rounds(picture: &Picture, camera: &Camera, face: &Quad, wide: f64, high: f64) -> Vec<([f64; 2], bool)> {
    let flat = [[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high]];
    let straight = face.map(|p| camera.straighten(p));
    let Some(h) = crate::camera::homography(&flat, &straight) else { return Vec::new() };
    let show = |p: [f64; 2]| {
        let v = |k: usize| h[k][0] * p[0] + h[k][1] * p[1] + h[k][2];
        camera.bent([v(0) / v(2), v(1) / v(2)])
    };
    let (width, height) = (index(wide * DOTS), index(high * DOTS));
    if width < 20 || height < 20 {
        return Vec::new();
    }
    let mut values = Vec::with_capacity(width * height);
    for y in 0..height {
        for x in 0..width {
            let code = picture.between(show([(real(x) + 0.5) / DOTS, (real(y) + 0.5) / DOTS]));
            values.push(code.map_or(0.0, |c| single((c[0] + c[1] + c[2]) / 3.0)));
        }
    }
    let grey = Grey { width, height, values };
    let mut edges = Vec::new();
    for y in 2..height - 2 {
        for x in 2..width - 2 {
            let gx = grey.at(x + 1, y) - grey.at(x - 1, y) + 0.5 * (grey.at(x + 2, y) - grey.at(x - 2, y));
            let gy = grey.at(x, y + 1) - grey.at(x, y - 1) + 0.5 * (grey.at(x, y + 2) - grey.at(x, y - 2));
            let size = (gx * gx + gy * gy).sqrt();
            if 14.0 < size {
                edges.push((real(x), real(y), gx / size, gy / size, size.min(60.0) / 60.0));
            }
        }
    }
    let mut total = vec![0.0f64; width * height];
    for step in 0..11 {
        let radius = (2.2 + 0.5 * f64::from(step)) * DOTS;
        let mut votes = vec![0.0f64; width * height];
        for (x, y, dx, dy, weight) in &edges {
            for sign in [-1.0, 1.0] {
                let (u, v) = (x + sign * radius * dx, y + sign * radius * dy);
                if 1.0 <= u && 1.0 <= v && u < real(width) - 1.0 && v < real(height) - 1.0 {
                    votes[index(v.round()).min(height - 1) * width + index(u.round()).min(width - 1)] +=
                        weight;
                }
            }
        }
        // Smoothed, and as a part of the circle's length.
        for y in 3..height - 3 {
            for x in 3..width - 3 {
                let mut sum = 0.0;
                for v in y - 2..=y + 2 {
                    for u in x - 2..=x + 2 {
                        sum += votes[v * width + u];
                    }
                }
                let share = sum / (std::f64::consts::TAU * radius);
                total[y * width + x] += (share - 0.25).max(0.0);
            }
        }
    }
    let mut out: Vec<(f64, [f64; 2])> = Vec::new();
    let mut taken = vec![false; width * height];
    let first = total.iter().copied().fold(0.0, f64::max);
    if first < 0.25 {
        return Vec::new();
    }
    while out.len() < 6 {
        let best =
            (0..width * height).filter(|&at| !taken[at]).max_by(|&a, &b| total[a].total_cmp(&total[b]));
        let Some(best) = best else { break };
        if total[best] < 0.45 * first {
            break;
        }
        let (x, y) = (best % width, best / width);
        // The middle of the votes about it.
        let (mut sum, mut sx, mut sy) = (0.0, 0.0, 0.0);
        for v in y.saturating_sub(4)..(y + 5).min(height) {
            for u in x.saturating_sub(4)..(x + 5).min(width) {
                let weight = total[v * width + u];
                sum += weight;
                sx += weight * real(u);
                sy += weight * real(v);
            }
        }
        out.push((total[best], [sx / sum, sy / sum]));
        let clear = index(9.0 * DOTS);
        for v in y.saturating_sub(clear)..(y + clear).min(height) {
            for u in x.saturating_sub(clear)..(x + clear).min(width) {
                taken[v * width + u] = true;
            }
        }
    }
    let is_bright = |[x, y]: [f64; 2]| {
        let (mut rim, mut hole) = (Vec::new(), Vec::new());
        let reach = 5.0 * DOTS;
        for v in index((y - reach).max(0.0))..index(y + reach).min(height) {
            for u in index((x - reach).max(0.0))..index(x + reach).min(width) {
                let (a, b) = (real(u) - x, real(v) - y);
                let far = (a * a + b * b).sqrt() / DOTS;
                if far < 1.8 {
                    hole.push(grey.at(u, v));
                } else if (3.6..4.8).contains(&far) {
                    rim.push(grey.at(u, v));
                }
            }
        }
        crate::numbers::median(&mut hole) + BRIGHTER < crate::numbers::median(&mut rim)
    };
    out.into_iter().map(|(_, p)| (show(p.map(|v| (v + 0.5) / DOTS)), is_bright(p))).collect()
}
