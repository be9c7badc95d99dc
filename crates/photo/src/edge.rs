//! Edges to a fraction of a pixel.

use crate::numbers::{index, median, real};
use crate::picture::{Picture, light, luma};

/// Which way a seen edge brightens, towards the side that its normal points to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Brighter {
    Inside,
    Either,
}

/// An edge along one profile.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Step {
    /// From the profile's middle, along its direction, in pixels.
    pub(crate) at: f64,
    /// Its slope.
    pub(crate) slope: f64,
    /// Its width from a tenth to nine tenths, without the smoothing of the search, in pixels.
    pub(crate) width: f64,
    /// The light just inside.
    pub(crate) inner: [f64; 3],
}

/// Samples to a pixel along a profile.
const FINE: f64 = 2.0;

/// The steepest edge along a line through `middle` towards `normal`, which has length 1: the peak of the smoothed slope, by a
/// parabola through its three highest samples.
pub(crate) fn step(
    picture: &Picture,
    middle: [f64; 2],
    normal: [f64; 2],
    reach: f64,
    sigma: f64,
    brighter: Brighter,
) -> Option<Step> {
    let half = index(reach * FINE);
    let radius = index(3.0 * sigma * FINE) + 1;
    let count = 2 * (half + radius) + 1;
    let mut samples = Vec::with_capacity(count);
    for k in 0..count {
        let t = (real(k) - real(half + radius)) / FINE;
        let code = picture.between([middle[0] + t * normal[0], middle[1] + t * normal[1]])?;
        samples.push(match brighter {
            Brighter::Inside => [luma(code.map(light)), 0.0, 0.0],
            // Colours that differ count too, and dark ones as much as they look.
            Brighter::Either => code.map(|c| c / 255.0),
        });
    }
    let kernel: Vec<f64> = (0..=2 * radius)
        .map(|k| {
            let t = (real(k) - real(radius)) / FINE;
            t * libm::exp(-t * t / (2.0 * sigma * sigma))
        })
        .collect();
    let norm: f64 = kernel.iter().map(|v| v.abs()).sum::<f64>() / 2.0;
    let slopes: Vec<f64> = (radius..count - radius)
        .map(|at| {
            let mut sum = [0.0; 3];
            for (k, weight) in kernel.iter().enumerate() {
                for c in 0..3 {
                    sum[c] += weight * samples[at + k - radius][c];
                }
            }
            match brighter {
                Brighter::Inside => sum[0] / norm,
                Brighter::Either => (sum[0] * sum[0] + sum[1] * sum[1] + sum[2] * sum[2]).sqrt() / norm,
            }
        })
        .collect();
    let best = (1..slopes.len().saturating_sub(1)).max_by(|&i, &j| slopes[i].total_cmp(&slopes[j]))?;
    let (before, peak, after) = (slopes[best - 1], slopes[best], slopes[best + 1]);
    if peak < before || peak < after || peak <= 0.0 {
        return None;
    }
    let bow = before - 2.0 * peak + after;
    let shift = if bow < -1e-15 { 0.5 * (before - after) / bow } else { 0.0 };
    let low = (0..best).rev().find(|&k| slopes[k] < peak / 2.0).unwrap_or(0);
    let high = (best..slopes.len()).find(|&k| slopes[k] < peak / 2.0).unwrap_or(slopes.len() - 1);
    // Half the height is 2.355 deviations wide; a tenth to nine tenths of a step are 2.563.
    let seen = real(high - low) / FINE / 2.355;
    let width = (seen * seen - sigma * sigma).max(0.0).sqrt() * 2.563;
    let at = (real(best) - real(half) + shift) / FINE;
    let deep = at + 2.5 * sigma + 2.0;
    let inner = picture.between([middle[0] + deep * normal[0], middle[1] + deep * normal[1]])?;
    Some(Step { at, slope: peak, width, inner: inner.map(light) })
}

/// An edge between two points of a picture, found again and again along it.
#[derive(Debug, Clone, Default)]
pub(crate) struct Traced {
    /// Points on the edge, in pixels of the picture.
    pub(crate) points: Vec<[f64; 2]>,
    /// How much of the edge was seen, 0 to 1.
    pub(crate) seen: f64,
    /// The middle width of the edge, in pixels.
    pub(crate) width: f64,
    /// The light just inside, in the middle of all.
    pub(crate) inner: [f64; 3],
    /// How far it may be from where it is, in pixels, where it was not seen; otherwise 0.
    pub(crate) loose: f64,
}

/// How an edge is looked for.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Search {
    /// Pixels to both sides.
    pub(crate) reach: f64,
    /// Points farther from the curve than this are of something else.
    pub(crate) near: f64,
    /// 2 for a line, 3 for a curve.
    pub(crate) terms: usize,
    pub(crate) brighter: Brighter,
    /// The part of the edge at both ends that is left out, 0 to ½.
    pub(crate) ends: f64,
    pub(crate) samples: usize,
    /// How many points of the middle one at the ends counts for: more than 1 where something stands before the middle.
    pub(crate) weight_of_ends: f64,
    /// The light of what lies inside, where it must be that.
    pub(crate) paper: Option<[f64; 3]>,
}

/// Whether a light can be that of the same thing elsewhere in the picture: the same hue, about as bright.
fn is_like(light: [f64; 3], of: [f64; 3]) -> bool {
    let bright = luma(light) / luma(of).max(1e-6);
    let hue = |k: usize| (light[k] / luma(light).max(1e-6)) - (of[k] / luma(of).max(1e-6));
    (0.4..2.2).contains(&bright) && hue(0).abs() < 0.14 && hue(2).abs() < 0.2
}

/// Traces the edge from `a` to `b`; inside is to the left as one looks from `a` to `b` in a picture whose y points down.
pub(crate) fn trace(picture: &Picture, a: [f64; 2], b: [f64; 2], how: Search) -> Traced {
    let along = [b[0] - a[0], b[1] - a[1]];
    let length = (along[0] * along[0] + along[1] * along[1]).sqrt();
    if length < 8.0 {
        return Traced::default();
    }
    let unit = along.map(|v| v / length);
    let normal = [unit[1], -unit[0]];
    let sigma = 1.2;
    let mut steps = Vec::new();
    for k in 0..how.samples {
        let s = how.ends + (1.0 - 2.0 * how.ends) * (real(k) + 0.5) / real(how.samples);
        let middle = [a[0] + s * along[0], a[1] + s * along[1]];
        if let Some(step) = step(picture, middle, normal, how.reach, sigma, how.brighter) {
            steps.push((s, step));
        }
    }
    if let Some(paper) = how.paper {
        steps.retain(|(_, step)| is_like(step.inner, paper));
    }
    let points: Vec<[f64; 2]> = steps.iter().map(|(s, step)| [2.0 * s - 1.0, step.at]).collect();
    let Some(mut kept) = crate::numbers::consensus(&points, how.terms, how.near, how.weight_of_ends) else {
        return Traced::default();
    };
    // A step that is far weaker than the others is no part of this edge.
    let mut slopes: Vec<f64> = kept.iter().map(|&i| steps[i].1.slope).collect();
    let usual = median(&mut slopes);
    kept.retain(|&i| usual * 0.3 < steps[i].1.slope);
    let mut widths: Vec<f64> = kept.iter().map(|&i| steps[i].1.width).collect();
    Traced {
        points: kept
            .iter()
            .map(|&i| {
                let (s, step) = steps[i];
                [a[0] + s * along[0] + step.at * normal[0], a[1] + s * along[1] + step.at * normal[1]]
            })
            .collect(),
        seen: real(kept.len()) / real(how.samples),
        width: median(&mut widths),
        inner: [0, 1, 2].map(|c| median(&mut kept.iter().map(|&i| steps[i].1.inner[c]).collect::<Vec<_>>())),
        loose: 0.0,
    }
}

/// The line through points, as a point and a direction: least squares across it.
pub(crate) fn line(points: &[[f64; 2]]) -> Option<([f64; 2], [f64; 2])> {
    if points.len() < 2 {
        return None;
    }
    let n = real(points.len());
    let mean = [0, 1].map(|k| points.iter().map(|p| p[k]).sum::<f64>() / n);
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for p in points {
        let (x, y) = (p[0] - mean[0], p[1] - mean[1]);
        xx += x * x;
        xy += x * y;
        yy += y * y;
    }
    let angle = 0.5 * libm::atan2(2.0 * xy, xx - yy);
    let (s, c) = libm::sincos(angle);
    Some((mean, [c, s]))
}

/// Where two lines meet; `None` where they run alongside.
pub(crate) fn meet(a: ([f64; 2], [f64; 2]), b: ([f64; 2], [f64; 2])) -> Option<[f64; 2]> {
    let cross = a.1[0] * b.1[1] - a.1[1] * b.1[0];
    if cross.abs() < 1e-6 {
        return None;
    }
    let d = [b.0[0] - a.0[0], b.0[1] - a.0[1]];
    let t = (d[0] * b.1[1] - d[1] * b.1[0]) / cross;
    Some([a.0[0] + t * a.1[0], a.0[1] + t * a.1[1]])
}
