//! Small matrices, least squares, and the casts that pictures need.

/// The whole number below, within what a picture can have.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "bounded just before")]
pub(crate) fn index(value: f64) -> usize {
    value.clamp(0.0, 1e9) as usize
}

/// A count as a number.
#[expect(clippy::cast_precision_loss, reason = "counts of pixels are far below 2^52")]
pub(crate) fn real(count: usize) -> f64 {
    count as f64
}

/// The middle value; 0 of none.
pub(crate) fn median(values: &mut [f64]) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f64::total_cmp).1
}

/// Solves `a x = b` by elimination with pivots, for several right sides; `None` where it has no single answer.
pub(crate) fn solve(mut a: Vec<Vec<f64>>, mut b: Vec<Vec<f64>>) -> Option<Vec<Vec<f64>>> {
    let n = a.len();
    for column in 0..n {
        let pivot = (column..n).max_by(|&i, &j| a[i][column].abs().total_cmp(&a[j][column].abs()))?;
        if !a[pivot][column].is_finite() || a[pivot][column].abs() < 1e-300 {
            return None;
        }
        a.swap(column, pivot);
        b.swap(column, pivot);
        for row in 0..n {
            if row == column {
                continue;
            }
            let factor = a[row][column] / a[column][column];
            if factor == 0.0 {
                continue;
            }
            for m in [&mut a, &mut b] {
                let pivot = m[column].clone();
                for (value, upper) in m[row].iter_mut().zip(&pivot) {
                    *value -= factor * upper;
                }
            }
        }
    }
    for row in 0..n {
        let by = a[row][row];
        for value in &mut b[row] {
            *value /= by;
        }
    }
    b.iter().flatten().all(|value| value.is_finite()).then_some(b)
}

/// What a least-squares fit came to.
pub(crate) struct Fitted {
    pub(crate) at: Vec<f64>,
    /// The inverse of JᵀJ: the covariance, as residuals are in units of their own standard deviation.
    pub(crate) covariance: Vec<Vec<f64>>,
}

/// Least squares by Levenberg's and Marquardt's method, with differences for derivatives. `steps` are the parameters'
/// sizes. (Marquardt 1963, from memory.)
pub(crate) fn minimise(
    start: &[f64],
    steps: &[f64],
    residuals: impl Fn(&[f64]) -> Vec<f64>,
) -> Option<Fitted> {
    let n = start.len();
    let mut at = start.to_vec();
    let mut now = residuals(&at);
    let cost = |r: &[f64]| r.iter().map(|v| v * v).sum::<f64>();
    let mut damping = 1e-3;
    let normal = |at: &[f64], now: &[f64]| {
        let columns: Vec<Vec<f64>> = (0..n)
            .map(|k| {
                let mut moved = at.to_vec();
                let step = steps[k] * 1e-4;
                moved[k] += step;
                residuals(&moved).iter().zip(now).map(|(a, b)| (a - b) / step).collect()
            })
            .collect();
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
        let square: Vec<Vec<f64>> =
            (0..n).map(|i| (0..n).map(|j| dot(&columns[i], &columns[j])).collect()).collect();
        let right: Vec<f64> = (0..n).map(|i| -dot(&columns[i], now)).collect();
        (square, right)
    };
    for _ in 0..40 {
        let (square, right) = normal(&at, &now);
        let mut better = false;
        for _ in 0..10 {
            let mut damped = square.clone();
            for (k, row) in damped.iter_mut().enumerate() {
                row[k] *= 1.0 + damping;
            }
            let Some(step) = solve(damped, right.iter().map(|v| vec![*v]).collect()) else {
                damping *= 10.0;
                continue;
            };
            let moved: Vec<f64> = at.iter().zip(&step).map(|(a, s)| a + s[0]).collect();
            let there = residuals(&moved);
            if cost(&there) < cost(&now) {
                let gain = 1.0 - cost(&there) / cost(&now);
                at = moved;
                now = there;
                damping = (damping * 0.2).max(1e-12);
                better = 1e-9 < gain;
                break;
            }
            damping *= 10.0;
        }
        if !better {
            break;
        }
    }
    let (square, _) = normal(&at, &now);
    let one = (0..n).map(|i| (0..n).map(|j| if i == j { 1.0 } else { 0.0 }).collect()).collect();
    let covariance = solve(square, one)?;
    at.iter().all(|v| v.is_finite()).then_some(Fitted { at, covariance })
}

/// The points near the line or parabola `a + b s + c s²`, `terms` of a, b, c, that runs near most of them.
///
/// Random sample consensus ([src:FISCHLER-1981]), with samples in a fixed order: same points, same answer. A point at the
/// ends, where s is ±1, counts as much as `ends` in the middle.
pub(crate) fn consensus(points: &[[f64; 2]], terms: usize, near: f64, ends: f64) -> Option<Vec<usize>> {
    if points.len() < 3 * terms {
        return None;
    }
    let value = |c: &[f64], s: f64| c.iter().rev().fold(0.0, |sum, k| sum * s + k);
    let fit = |of: &[usize]| {
        let mut square = vec![vec![0.0; terms]; terms];
        let mut right = vec![vec![0.0]; terms];
        for &i in of {
            let [s, t] = points[i];
            let mut powers = vec![1.0; terms];
            for k in 1..terms {
                powers[k] = powers[k - 1] * s;
            }
            for a in 0..terms {
                for b in 0..terms {
                    square[a][b] += powers[a] * powers[b];
                }
                right[a][0] += powers[a] * t;
            }
        }
        solve(square, right).map(|x| x.into_iter().map(|v| v[0]).collect::<Vec<f64>>())
    };
    let inliers = |c: &[f64]| -> Vec<usize> {
        (0..points.len()).filter(|&i| (value(c, points[i][0]) - points[i][1]).abs() < near).collect()
    };
    let mut seed = 1u64;
    let mut best: (Vec<f64>, f64) = (Vec::new(), 0.0);
    for _ in 0..120 {
        let sample: Vec<usize> = (0..terms)
            .map(|_| {
                seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                usize::try_from(seed >> 33).unwrap_or(0) % points.len()
            })
            .collect();
        let Some(curve) = fit(&sample) else { continue };
        let count: f64 =
            inliers(&curve).into_iter().map(|i| 1.0 + (ends - 1.0) * points[i][0] * points[i][0]).sum();
        if best.1 < count {
            best = (curve, count);
        }
    }
    let mut curve = best.0;
    if curve.is_empty() {
        return None;
    }
    for _ in 0..4 {
        curve = fit(&inliers(&curve))?;
    }
    Some(inliers(&curve))
}
