//! Shares in whole numbers.

/// One whole, in millionths.
pub const PPM: i64 = 1_000_000;
