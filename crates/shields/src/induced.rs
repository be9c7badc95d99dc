//! What a field induces in a loop.

/// The area that a closed way encloses, in square metres: half the length of the sum of the cross products of its corners
/// (Newell's vector area), so that it is the largest that any direction of field sees. Corners in millimetres.
pub fn area(corners: &[[f64; 3]]) -> f64 {
    const SQUARE_MM: f64 = 1e-6;
    let mut sum = [0.0; 3];
    for (at, p) in corners.iter().enumerate() {
        let q = corners[(at + 1) % corners.len()];
        sum[0] += p[1] * q[2] - p[2] * q[1];
        sum[1] += p[2] * q[0] - p[0] * q[2];
        sum[2] += p[0] * q[1] - p[1] * q[0];
    }
    0.5 * SQUARE_MM * (sum[0] * sum[0] + sum[1] * sum[1] + sum[2] * sum[2]).sqrt()
}

/// What an alternating field induces in a loop, in volts: area × field × ω, Faraday's law for a loop square to a field that
/// is the same all over it. `[src:FARADAY-LAW]`
pub fn induced(area_m2: f64, tesla: f64, hertz: f64) -> f64 {
    area_m2 * tesla * std::f64::consts::TAU * hertz
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_metre_in_a_microtesla_at_fifty_hertz_gives_314_microvolts() {
        let square = [[0.0, 0.0, 0.0], [1000.0, 0.0, 0.0], [1000.0, 1000.0, 0.0], [0.0, 1000.0, 0.0]];
        let volts = induced(area(&square), 1e-6, 50.0);
        assert!((volts - 314.159_265_358_979e-6).abs() < 1e-15, "{volts}");
    }

    #[test]
    fn an_area_is_the_same_however_it_lies_and_wherever() {
        let flat = [[0.0, 0.0, 0.0], [300.0, 0.0, 0.0], [0.0, 400.0, 0.0]];
        let turned = [[70.0, -20.0, 5.0], [70.0, -20.0, 305.0], [470.0, -20.0, 5.0]];
        assert!((area(&flat) - 0.06).abs() < 1e-12);
        assert!((area(&turned) - 0.06).abs() < 1e-12);
    }
}
