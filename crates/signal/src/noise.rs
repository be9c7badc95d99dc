//! Thermal noise and frequency weighting.

/// Boltzmann's constant in J/K, exact in the SI of 2019. `[src:SI-2019]`
pub const BOLTZMANN: f64 = 1.380_649e-23;

/// Density of the thermal noise of a resistance, √(4kTR), in V/√Hz. `[src:NYQUIST-1928]`
pub fn thermal_density(ohms: f64, kelvin: f64) -> f64 {
    (4.0 * BOLTZMANN * kelvin * ohms).sqrt()
}

/// Thermal noise of a resistance over a bandwidth, √(4kTRB), in volts rms. `[src:NYQUIST-1928]`
pub fn thermal(ohms: f64, kelvin: f64, hertz: f64) -> f64 {
    thermal_density(ohms, kelvin) * hertz.sqrt()
}

/// Density at the input of a stage of voltage noise `e` (V/√Hz) and current noise `i` (A/√Hz) behind a source
/// resistance: √(e² + (i·R)² + 4kTR). `[src:NYQUIST-1928]`
pub fn stage_density(e: f64, i: f64, source_ohms: f64, kelvin: f64) -> f64 {
    let thermal = thermal_density(source_ohms, kelvin);
    (e * e + i * i * source_ohms * source_ohms + thermal * thermal).sqrt()
}

/// Noise bandwidth of one pole, π/2·fc (integral of 1/(1+(f/fc)²)).
pub fn one_pole_bandwidth(corner: f64) -> f64 {
    std::f64::consts::FRAC_PI_2 * corner
}

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

/// A-weighting in decibels. `[src:IEC-61672-1]`
pub fn a_weighting_db(hertz: f64) -> f64 {
    crate::level::decibels(a_weighting(hertz))
}

/// Signal to quantisation noise of a full-scale sine with `bits`: 6.0206·N + 1.7609 dB, from 20·lg(2^N·√1.5).
pub fn quantisation_snr(bits: u32) -> f64 {
    crate::level::decibels(libm::pow(2.0, f64::from(bits)) * 1.5_f64.sqrt())
}

/// Integral over frequency of a density of power sampled at rising frequencies (trapezoid rule).
pub fn integrate(frequencies: &[f64], power: &[f64]) -> f64 {
    frequencies.windows(2).zip(power.windows(2)).map(|(f, p)| 0.5 * (p[0] + p[1]) * (f[1] - f[0])).sum()
}
