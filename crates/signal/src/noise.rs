//! Thermal noise and frequency weighting.

/// Boltzmann's constant in J/K, exact in the SI of 2019. `[src:SI-2019]`
pub(crate) const BOLTZMANN: f64 = 1.380_649e-23;

/// Poles of the A-weighting in hertz, as printed to eight digits. `[src:IEC-61672-1]`
const A_POLES: [f64; 4] = [20.598_997, 107.652_65, 737.862_23, 12_194.217];

/// A-weighting as a ratio of amplitudes, 1 at 1 kHz. `[src:IEC-61672-1]`
///
/// R(f) = f4²·f⁴ / ((f²+f1²)·√((f²+f2²)(f²+f3²))·(f²+f4²)), divided by R(1 kHz).
pub fn a_weighting(hertz: f64) -> f64 {
    let [f1, f2, f3, f4] = A_POLES.map(|pole| pole * pole);
    let raw = |f: f64| {
        let s = f * f;
        f4 * s * s / ((s + f1) * ((s + f2) * (s + f3)).sqrt() * (s + f4))
    };
    raw(hertz) / raw(1000.0)
}

/// Integral over frequency of a density of power sampled at rising frequencies (trapezoid rule).
pub(crate) fn integrate(frequencies: &[f64], power: &[f64]) -> f64 {
    frequencies.windows(2).zip(power.windows(2)).map(|(f, p)| 0.5 * (p[0] + p[1]) * (f[1] - f[0])).sum()
}
