//! The outline of a device in a picture from above.
//!
//! A level plane above the sheet shows, squared as the sheet is, the true shape enlarged about the point below the camera:
//! the top of a box is a rectangle there, its foot the same rectangle made smaller. So the outline is looked for as a
//! rectangle with edges on all sides, whose foot has edges where it can be seen.

use crate::edge::{Brighter, Search, line, meet, trace};
use crate::numbers::{index, real};
use crate::picture::{Picture, light, luma};
use crate::sheet::{Quad, Sheet};

/// Millimetres round the sheet that are looked at as well.
const AROUND: f64 = 30.0;
/// The least side of a device, in mm.
const LEAST_SIDE: f64 = 28.0;

struct Level {
    width: usize,
    height: usize,
    /// The slope of the strongest channel to the right and to the back, in codes to a millimetre.
    slopes: Vec<[f64; 2]>,
    /// Whether it can be the sheet, lit or in shadow.
    paper: Vec<bool>,
    /// Whether it can be the sheet, lit.
    lit: Vec<bool>,
}

impl Level {
    fn of(picture: &Picture, sheet: &Sheet) -> Self {
        let width = index(sheet.size[0] + 2.0 * AROUND);
        let height = index(sheet.size[1] + 2.0 * AROUND);
        let mut codes: Vec<Option<[f64; 3]>> = Vec::with_capacity(width * height);
        for y in 0..height {
            for x in 0..width {
                let mut sum = [0.0; 3];
                let mut count = 0.0;
                for (dx, dy) in [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)] {
                    let at = [real(x) + dx - AROUND, real(y) + dy - AROUND, 0.0];
                    if let Some(code) = picture.between(sheet.camera.project(at)) {
                        for c in 0..3 {
                            sum[c] += code[c];
                        }
                        count += 1.0;
                    }
                }
                codes.push((0.0 < count).then(|| sum.map(|v| v / count)));
            }
        }
        let mut slopes = vec![[0.0; 2]; width * height];
        for y in 1..height - 1 {
            for x in 1..width - 1 {
                let at = y * width + x;
                let (Some(l), Some(r)) = (codes[at - 1], codes[at + 1]) else { continue };
                let (Some(f), Some(b)) = (codes[at - width], codes[at + width]) else { continue };
                slopes[at] = (0..3)
                    .map(|c| [(r[c] - l[c]) / 2.0, (b[c] - f[c]) / 2.0])
                    .max_by(|p, q| (p[0] * p[0] + p[1] * p[1]).total_cmp(&(q[0] * q[0] + q[1] * q[1])))
                    .unwrap_or_default();
            }
        }
        let (paper, lit) = near_paper(&codes, width, height, sheet);
        Self { width, height, slopes, paper, lit }
    }

    fn slope(&self, x: f64, y: f64) -> [f64; 2] {
        let (x, y) = (x + AROUND, y + AROUND);
        if 0.0 <= x && 0.0 <= y && x < real(self.width) && y < real(self.height) {
            self.slopes[index(y) * self.width + index(x)]
        } else {
            [0.0; 2]
        }
    }

    /// Whether a place can be paper, and lit paper.
    fn is_paper(&self, x: f64, y: f64) -> (bool, bool) {
        let (x, y) = (x + AROUND, y + AROUND);
        if 0.0 <= x && 0.0 <= y && x < real(self.width) && y < real(self.height) {
            let at = index(y) * self.width + index(x);
            (self.paper[at], self.lit[at])
        } else {
            (false, false)
        }
    }
}

/// What looks like lit paper: its light is a plane over the sheet, fitted to what is near its border and then to what is like
/// that.
fn near_paper(
    codes: &[Option<[f64; 3]>],
    width: usize,
    height: usize,
    sheet: &Sheet,
) -> (Vec<bool>, Vec<bool>) {
    let lights: Vec<Option<[f64; 3]>> = codes.iter().map(|c| c.map(|c| c.map(light))).collect();
    let place = |at: usize| [real(at % width) - AROUND, real(at / width) - AROUND];
    let on_sheet = |[x, y]: [f64; 2], border: f64| {
        border < x && border < y && x < sheet.size[0] - border && y < sheet.size[1] - border
    };
    let border: Vec<usize> = (0..width * height)
        .filter(|&at| on_sheet(place(at), 3.0) && !on_sheet(place(at), 14.0) && lights[at].is_some())
        .collect();
    let fit = |of: &[usize], channel: usize| {
        let mut square = vec![vec![0.0; 3]; 3];
        let mut right = vec![vec![0.0]; 3];
        for &at in of {
            let [x, y] = place(at);
            let row = [1.0, x / 100.0, y / 100.0];
            let Some(light) = lights[at] else { continue };
            for i in 0..3 {
                for j in 0..3 {
                    square[i][j] += row[i] * row[j];
                }
                right[i][0] += row[i] * light[channel];
            }
        }
        crate::numbers::solve(square, right).map(|x| [x[0][0], x[1][0], x[2][0]])
    };
    let planes = |of: &[usize]| Some([fit(of, 0)?, fit(of, 1)?, fit(of, 2)?]);
    let Some(mut plane) = planes(&border) else {
        return (vec![false; width * height], vec![false; width * height]);
    };
    let is_like = |plane: &[[f64; 3]; 3], at: usize, low: f64| {
        let [x, y] = place(at);
        let Some(seen) = lights[at] else { return false };
        let wanted: [f64; 3] = std::array::from_fn(|c| {
            (plane[c][0] + plane[c][1] * x / 100.0 + plane[c][2] * y / 100.0).max(1e-3)
        });
        let bright = luma(seen) / luma(wanted);
        let hue = |c: usize| (seen[c] / luma(seen).max(1e-6)) / (wanted[c] / luma(wanted)).max(1e-6);
        (low..1.3).contains(&bright) && (hue(0) - 1.0).abs() < 0.12 && (hue(2) - 1.0).abs() < 0.16
    };
    for _ in 0..3 {
        let kept: Vec<usize> = border.iter().copied().filter(|&at| is_like(&plane, at, 0.75)).collect();
        if kept.len() * 5 < border.len() {
            break;
        }
        match planes(&kept) {
            Some(next) => plane = next,
            None => break,
        }
    }
    // A shadow leaves the hue and takes up to two thirds.
    let like = |low: f64| {
        (0..width * height).map(|at| on_sheet(place(at), 0.0) && is_like(&plane, at, low)).collect()
    };
    (like(0.34), like(0.74))
}

/// A rectangle on the sheet, in its own turned axes.
#[derive(Debug, Clone, Copy)]
struct Rectangle {
    left: f64,
    right: f64,
    front: f64,
    back: f64,
}

/// What is known of a device before its outline is looked for, in mm.
#[derive(Debug, Clone, Copy, Default)]
pub struct Known {
    /// From left to right.
    pub width: Option<f64>,
    /// From front to back.
    pub depth: Option<f64>,
    /// From the sheet to the top edge.
    pub height: Option<f64>,
}

/// Proposes the top edge of the device: its four corners in pixels, front left first. `None` where nothing has edges on all
/// sides.
pub fn find_outline(picture: &Picture, sheet: &Sheet, known: Known) -> Option<Quad> {
    let (_, corners) = *rectangles(picture, sheet, known).first()?;
    let ppm = sheet.camera.pixels_per_mm([sheet.size[0] / 2.0, sheet.size[1] / 2.0]);
    Some(outline_at(picture, sheet, &corners, [1.8 * ppm; 4]))
}

/// The top edge that is about a rectangle on the sheet: four corners in pixels. Edges are looked for within so many
/// pixels, front, right, back and left.
pub(crate) fn outline_at(picture: &Picture, sheet: &Sheet, corners: &Quad, reach: [f64; 4]) -> Quad {
    sharpened(picture, sheet, corners, reach)
        .unwrap_or_else(|| corners.map(|[x, y]| sheet.camera.project([x, y, 0.0])))
}

/// How many rectangles are proposed.
const MOST: usize = 24;

/// Rectangles that may be the top edge, as its sight meets the sheet, with what speaks for each: the best first.
pub(crate) fn rectangles(picture: &Picture, sheet: &Sheet, known: Known) -> Vec<(f64, Quad)> {
    let level = Level::of(picture, sheet);
    let Some(turn) = turn_of(&level, sheet) else { return Vec::new() };
    let (s, c) = libm::sincos(turn);
    let middle = [sheet.size[0] / 2.0, sheet.size[1] / 2.0];
    // u and v: turned axes about the middle of the sheet.
    let out = |u: f64, v: f64| [middle[0] + c * u - s * v, middle[1] + s * u + c * v];
    let half = index((sheet.size[0].max(sheet.size[1])) / 2.0 + AROUND);
    let side = 2 * half + 1;
    let inside =
        |p: [f64; 2]| 4.0 < p[0] && 4.0 < p[1] && p[0] < sheet.size[0] - 4.0 && p[1] < sheet.size[1] - 4.0;
    // How steep an edge must be: well above what paper and body have of themselves.
    let mut all: Vec<f64> = level.slopes.iter().map(|g| g[0].abs()).filter(|g| 0.0 < *g).collect();
    let noise = crate::numbers::median(&mut all);
    let least = 2.0 + 3.0 * noise;
    let mut upright = vec![0.0; side * side];
    let mut level_edges = vec![0.0; side * side];
    for i in 0..side {
        for j in 0..side {
            let (u, v) = (real(i) - real(half), real(j) - real(half));
            let p = out(u, v);
            if !inside(p) {
                continue;
            }
            let g = level.slope(p[0], p[1]);
            upright[i * side + j] = (c * g[0] + s * g[1]).abs();
            level_edges[j * side + i] = (-s * g[0] + c * g[1]).abs();
        }
    }
    // Sums along each column and row, of edges within a millimetre of it.
    let sums = |edges: &[f64]| {
        let mut sums = vec![0.0; side * (side + 1)];
        for i in 1..side - 1 {
            for j in 0..side {
                let near = edges[i * side + j].max(edges[(i - 1) * side + j]).max(edges[(i + 1) * side + j]);
                let seen = f64::from(u8::from(least < near));
                sums[i * (side + 1) + j + 1] = sums[i * (side + 1) + j] + seen;
            }
        }
        sums
    };
    let (columns, rows) = (sums(&upright), sums(&level_edges));
    let support = |sums: &[f64], at: f64, from: f64, to: f64| {
        let trim = (to - from) * 0.07;
        let place = |v: f64| index((v + real(half)).round()).min(side - 1);
        let (a, b) = (place(from + trim), place(to - trim));
        if b <= a {
            return 0.0;
        }
        let line = place(at) * (side + 1);
        (sums[line + b] - sums[line + a]) / real(b - a)
    };
    let peaks = |edges: &[f64]| {
        let strength: Vec<f64> = (0..side)
            .map(|i| {
                edges[i * side..(i + 1) * side]
                    .iter()
                    .map(|g| if least < *g { g.min(24.0) } else { 0.0 })
                    .sum()
            })
            .collect();
        let mut at: Vec<usize> = (2..side - 2)
            .filter(|&i| {
                60.0 < strength[i] && strength[i - 1] <= strength[i] && strength[i + 1] < strength[i]
            })
            .collect();
        at.sort_by(|&a, &b| strength[b].total_cmp(&strength[a]));
        at.truncate(16);
        at.into_iter().map(|i| real(i) - real(half)).collect::<Vec<f64>>()
    };
    let (us, vs) = (peaks(&upright), peaks(&level_edges));
    let stand = sheet.camera.position();
    let foot = {
        let d = [stand[0] - middle[0], stand[1] - middle[1]];
        [c * d[0] + s * d[1], -s * d[0] + c * d[1]]
    };
    let heights: Vec<f64> = match known.height {
        Some(h) => vec![h - 2.0, h, h + 2.0],
        None => (0..26).map(|k| 18.0 + 3.0 * f64::from(k)).collect(),
    };
    // How much of each side has paper beside it, and lit paper.
    let paper_beside = |r: &Rectangle, by: f64| {
        let mut seen = [[0.0f64; 4]; 2];
        for k in 1..20 {
            let t = f64::from(k) / 20.0;
            let (u, v) = (r.left + t * (r.right - r.left), r.front + t * (r.back - r.front));
            let beside = [(u, r.front - by), (u, r.back + by), (r.left - by, v), (r.right + by, v)];
            for (side, (u, v)) in beside.into_iter().enumerate() {
                let p = out(u, v);
                let (paper, lit) = level.is_paper(p[0], p[1]);
                seen[0][side] += f64::from(u8::from(paper)) / 19.0;
                seen[1][side] += f64::from(u8::from(lit)) / 19.0;
            }
        }
        seen
    };
    let mut found: Vec<(f64, Rectangle)> = Vec::new();
    for &left in &us {
        for &right in us.iter().filter(|&&right| left + LEAST_SIDE < right) {
            for &front in &vs {
                for &back in vs.iter().filter(|&&back| front + LEAST_SIDE < back) {
                    let r = Rectangle { left, right, front, back };
                    let sides = [
                        support(&columns, left, front, back),
                        support(&columns, right, front, back),
                        support(&rows, front, left, right),
                        support(&rows, back, left, right),
                    ];
                    let least = sides.iter().copied().fold(1.0, f64::min);
                    if least < 0.4 {
                        continue;
                    }
                    let mean = sides.iter().sum::<f64>() / 4.0;
                    let (base, outer) = heights
                        .iter()
                        .map(|h| {
                            let by = (stand[2] - h) / stand[2];
                            let to = |x: f64, f: f64| f + (x - f) * by;
                            let b = Rectangle {
                                left: to(left, foot[0]),
                                right: to(right, foot[0]),
                                front: to(front, foot[1]),
                                back: to(back, foot[1]),
                            };
                            let mut seen = (0.0, 0.0);
                            let mut note = |shown: f64, support: f64| {
                                if 2.0 < shown {
                                    seen = (seen.0 + support, seen.1 + 1.0);
                                }
                            };
                            note(left - b.left, support(&columns, b.left, b.front, b.back));
                            note(b.right - right, support(&columns, b.right, b.front, b.back));
                            note(front - b.front, support(&rows, b.front, b.left, b.right));
                            note(b.back - back, support(&rows, b.back, b.left, b.right));
                            let outer = Rectangle {
                                left: left.min(b.left),
                                right: right.max(b.right),
                                front: front.min(b.front),
                                back: back.max(b.back),
                            };
                            (if 0.0 < seen.1 { seen.0 / seen.1 } else { 0.45 }, outer)
                        })
                        .max_by(|a, b| a.0.total_cmp(&b.0))
                        .unwrap_or((0.0, r));
                    let size = ((right - left) * (back - front)).sqrt() / 100.0;
                    let ([ground, mut beyond], [within, lit_within]) =
                        (paper_beside(&outer, 4.0), paper_beside(&r, -2.0));
                    let most = |sides: [f64; 4]| sides.into_iter().fold(0.0, f64::max);
                    let fewest = |sides: [f64; 4]| sides.into_iter().fold(1.0, f64::min);
                    // Lit paper beyond two sides at least; paper within one side and not the others is a shadow's border.
                    beyond.sort_by(f64::total_cmp);
                    let apart = f64::midpoint(beyond[2], beyond[3]) - (most(within) - fewest(within))
                        + fewest(ground)
                        - 0.6 * most(lit_within);
                    let unlike = |known: Option<f64>, seen: f64, h: f64| {
                        let off = known.map_or(0.0, |k| seen * (stand[2] - h) / stand[2] - k);
                        (off * off / 16.0).min(1.0)
                    };
                    let h = known.height.unwrap_or(45.0);
                    let off = unlike(known.width, right - left, h) + unlike(known.depth, back - front, h);
                    let score = mean + 0.3 * least + 0.5 * base + 0.1 * size + 0.5 * apart - 0.6 * off;
                    found.push((score, r));
                }
            }
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.truncate(MOST);
    found
        .into_iter()
        .map(|(score, r)| {
            let corners = [[r.left, r.front], [r.right, r.front], [r.right, r.back], [r.left, r.back]];
            (score, corners.map(|[u, v]| out(u, v)))
        })
        .collect()
}

/// By how much the device is turned on the sheet, in radians: where sums along columns and rows are most uneven.
fn turn_of(level: &Level, sheet: &Sheet) -> Option<f64> {
    let unevenness = |turn: f64| {
        let (s, c) = libm::sincos(turn);
        let count = level.width + level.height;
        let (mut columns, mut rows) = (vec![0.0; count], vec![0.0; count]);
        for y in (0..level.height).step_by(1) {
            for x in 0..level.width {
                let (px, py) = (real(x) - AROUND, real(y) - AROUND);
                if px < 4.0 || py < 4.0 || sheet.size[0] - 4.0 < px || sheet.size[1] - 4.0 < py {
                    continue;
                }
                let g = level.slopes[y * level.width + x];
                let (gu, gv) = (c * g[0] + s * g[1], -s * g[0] + c * g[1]);
                let size = (gu * gu + gv * gv).sqrt();
                if size < 4.0 {
                    continue;
                }
                let (dx, dy) = (px - sheet.size[0] / 2.0, py - sheet.size[1] / 2.0);
                let (u, v) = (c * dx + s * dy, -s * dx + c * dy);
                let bin = |w: f64| index(w + real(count) / 2.0).min(count - 1);
                // Only what runs along an axis counts.
                if gv.abs() < 0.3 * size {
                    columns[bin(u)] += size.min(24.0);
                }
                if gu.abs() < 0.3 * size {
                    rows[bin(v)] += size.min(24.0);
                }
            }
        }
        columns.iter().chain(&rows).map(|v| v * v).sum::<f64>()
    };
    let best = |from: f64, step: f64, count: u32| {
        (0..count)
            .map(|k| from + step * f64::from(k))
            .map(|turn| (unevenness(turn), turn))
            .max_by(|a, b| a.0.total_cmp(&b.0))
    };
    let degree = std::f64::consts::PI / 180.0;
    let (score, coarse) = best(-44.0 * degree, 1.5 * degree, 59)?;
    if score <= 0.0 {
        return None;
    }
    best(coarse - 1.5 * degree, 0.25 * degree, 13).map(|(_, turn)| turn)
}

/// The corners of a rectangle on the sheet, to a fraction of a pixel: each side traced in the picture.
fn sharpened(picture: &Picture, sheet: &Sheet, corners: &Quad, reach: [f64; 4]) -> Option<Quad> {
    let ppm = sheet.camera.pixels_per_mm([sheet.size[0] / 2.0, sheet.size[1] / 2.0]);
    let mut lines = Vec::new();
    for k in 0..4 {
        let [a, b] = [corners[k], corners[(k + 1) % 4]].map(|[x, y]| sheet.camera.project([x, y, 0.0]));
        let how = Search {
            reach: reach[k],
            near: (0.35 * ppm).min(reach[k] * 0.4),
            terms: 2,
            brighter: Brighter::Either,
            ends: 0.1,
            samples: 120,
            weight_of_ends: 1.0,
            paper: None,
        };
        let found = trace(picture, a, b, how);
        if found.seen < 0.3 {
            return None;
        }
        let points: Vec<[f64; 2]> = found
            .points
            .iter()
            .map(|p| {
                let at = sheet.camera.on_level(*p, 0.0);
                [at[0], at[1]]
            })
            .collect();
        lines.push(line(&points)?);
    }
    let mut out = [[0.0; 2]; 4];
    for k in 0..4 {
        let [x, y] = meet(lines[(k + 3) % 4], lines[k])?;
        out[k] = sheet.camera.project([x, y, 0.0]);
    }
    Some(out)
}
