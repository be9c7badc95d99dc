//! Whole numbers as doubles and back, each with the reason why nothing is lost.

/// A whole number as a double: exact, since sizes and counts are far below 2⁵³.
#[expect(clippy::cast_precision_loss, reason = "sizes and counts are far below 2^53")]
pub(super) fn real(whole: i64) -> f64 {
    whole as f64
}

/// A double cut to a whole number; only used on figures that are small and not negative.
#[expect(clippy::cast_possible_truncation, reason = "the part behind the point is meant to go")]
pub(super) fn whole(value: f64) -> i64 {
    value as i64
}

/// A size as a place in a table.
pub(super) fn place(size: i64) -> usize {
    usize::try_from(size).unwrap_or(0)
}

/// A place as a whole number.
pub(super) fn count(place: usize) -> i64 {
    i64::try_from(place).unwrap_or(i64::MAX)
}
