//! What a delay does where branches meet.

/// Frequencies up to a limit where two equal signals cancel, the one later by `seconds`: (2k+1)/(2Δt) where they are of
/// equal polarity, k/Δt where they are of opposite polarity, nought included. Without delay equal ones never cancel, and
/// opposite ones everywhere, told as nought.
pub(crate) fn notches(seconds: f64, opposite: bool, limit: f64, most: usize) -> Vec<f64> {
    if seconds <= 0.0 {
        return if opposite { vec![0.0] } else { Vec::new() };
    }
    let first = if opposite { 0.0 } else { 0.5 / seconds };
    std::iter::successors(Some(first), |hertz| Some(hertz + 1.0 / seconds))
        .take_while(|hertz| *hertz <= limit)
        .take(most)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::notches;

    #[test]
    fn notches_of_either_polarity() {
        assert_eq!(notches(2e-3, true, 1600.0, 8), [0.0, 500.0, 1000.0, 1500.0]);
        assert_eq!(notches(2e-3, false, 1600.0, 8), [250.0, 750.0, 1250.0]);
        assert_eq!(notches(0.0, true, 20e3, 8), [0.0]);
        assert!(notches(0.0, false, 20e3, 8).is_empty());
        assert_eq!(notches(1e-3, true, 20e3, 3).len(), 3);
    }
}
