//! Between counts and measures.

/// A count as a measure; below 2⁵³ it is exact, and no recording is as long.
#[expect(clippy::cast_precision_loss, reason = "no recording has 2^53 samples")]
pub(crate) fn float(count: usize) -> f64 {
    count as f64
}

/// A measure as a count: rounded, and zero where it is negative or no number.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "`as` saturates, and NaN is 0")]
pub(crate) fn whole(value: f64) -> usize {
    value.round().max(0.0) as usize
}

/// A ratio of powers in dB.
pub(crate) fn db(power: f64) -> f64 {
    10.0 * libm::log10(power.max(1e-300))
}

/// The middle of some values; `None` where there are none.
pub(crate) fn median(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied()
}

/// Where the top of a parabola through three points stands, from the middle one, in steps.
pub(crate) fn top(before: f64, at: f64, after: f64) -> f64 {
    let bend = before - 2.0 * at + after;
    if bend.abs() < f64::MIN_POSITIVE { 0.0 } else { (0.5 * (before - after) / bend).clamp(-0.5, 0.5) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_parabola_through_1_3_2_has_its_top_a_sixth_of_a_step_on() {
        assert!((top(1.0, 3.0, 2.0) - 1.0 / 6.0).abs() < 1e-12);
    }
}
