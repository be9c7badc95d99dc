//! The frequencies everything is computed at.

/// 20 Hz and 20 kHz, and between them 24 to the octave: f = 1000·2^(k/24) Hz, k = −135 to 103. 241 in all.
///
/// k = 0 is 1 kHz and k = 48 is 4 kHz, both exact.
pub fn frequencies() -> Vec<f64> {
    let mut out = vec![20.0];
    out.extend((-135..=103).map(|k| 1000.0 * libm::exp2(f64::from(k) / 24.0)));
    out.push(20_000.0);
    out
}

/// Where 100 Hz would go, 1 kHz and 4 kHz stand in [`frequencies`].
pub const AT_1K: usize = 136;
/// The place of 4 kHz in [`frequencies`].
pub const AT_4K: usize = 184;
