//! Thermal noise and A-weighting against published figures, by the noise that `signal` tells.

use signal::{BufferSearch, Config, Noise, noise::a_weighting, solve_with};

use crate::chain::{PLUGS_PF, active, near, straight, way};

/// IEC 61672-1, table of A-weighting rounded to 0.1 dB at exact frequencies 1000·10^(n/10), n from −20.
const TABLE: [f64; 34] = [
    -70.4, -63.4, -56.7, -50.5, -44.7, -39.4, -34.6, -30.2, -26.2, -22.5, -19.1, -16.1, -13.4, -10.9, -8.6,
    -6.6, -4.8, -3.2, -1.9, -0.8, 0.0, 0.6, 1.0, 1.2, 1.3, 1.2, 1.0, 0.5, -0.1, -1.1, -2.5, -4.3, -6.6, -9.3,
];

fn weighting_db(hertz: f64) -> f64 {
    20.0 * libm::log10(a_weighting(hertz))
}

#[test]
fn a_weighting_is_the_table_of_the_standard() {
    for (n, wanted) in (-20_i32..).zip(TABLE) {
        let hertz = 1000.0 * libm::pow(10.0, f64::from(n) / 10.0);
        let found = weighting_db(hertz);
        assert!((found - wanted).abs() <= 0.05 + 1e-9, "{hertz:.1} Hz: {found} for {wanted}");
    }
    assert!(weighting_db(1000.0).abs() < 1e-12);
}

#[test]
fn hum_lines_weigh_what_they_should() {
    // Worked apart from the poles of IEC 61672-1.
    for (hertz, wanted) in
        [(50.0, -30.2716), (60.0, -27.0457), (100.0, -19.1428), (150.0, -13.9818), (300.0, -7.0540)]
    {
        near(weighting_db(hertz), wanted, 1e-3);
    }
}

/// Noise of a resistance with so much capacitance across, at a temperature.
fn told(ohms: f64, picofarads: f64, kelvin: f64) -> Noise {
    let design = straight(&active(ohms), picofarads, "1000000 MΩ");
    let config = Config { kelvin, ..design.signal_config() };
    let outcome = solve_with(&design.signal_input(), &config, BufferSearch::Skip);
    way(&outcome).states[0].noise.clone().expect("it is known")
}

#[test]
fn noise_of_a_resistance() {
    // √(4kTRB): 1 kΩ, 20 kHz, 300 K; the band told is 20 Hz narrower.
    let noise = told(1e3, PLUGS_PF, 300.0);
    near(noise.volts * 1e6, 0.5756, 5e-4);
    near(signal::level::dbu(noise.volts), -122.579, 0.01);
    // In one hertz [src:NOISE-VOLTAGE]: 1 kΩ at 290 K, published as 400 nV in 10 kHz at room temperature; and 50 Ω, for
    // which a rule of thumb says 1 nV.
    let density = |noise: Noise| noise.volts / (noise.to_hz - noise.from_hz).sqrt() * 1e9;
    near(density(told(1e3, PLUGS_PF, 290.0)) * 100.0, 400.19, 0.05);
    near(density(told(50.0, PLUGS_PF, 300.0)), 0.9102, 1e-4);
}

#[test]
fn noise_of_a_capacitance() {
    // √(kT/C) over all frequencies: 2.04 µV for 1 nF at 300 K whatever the resistance. Of one pole's noise the band from a
    // to b holds 2/π·(atan(b/fc) − atan(a/fc)).
    for ohms in [100e3, 300e3] {
        let corner = 1.0 / (std::f64::consts::TAU * ohms * 1e-9);
        let noise = told(ohms, 1000.0, 300.0);
        let angle = libm::atan(noise.to_hz / corner) - libm::atan(noise.from_hz / corner);
        let whole = noise.volts / (angle * std::f64::consts::FRAC_2_PI).sqrt();
        near(whole * 1e6, 2.035, 0.005);
    }
}

#[test]
fn weighted_noise_is_the_sum_of_the_standards_thirds() {
    // White noise through the table, third by third from 20 Hz to 20 kHz.
    let noise = told(1e3, PLUGS_PF, 300.0);
    let third = |n: f64| 1000.0 * libm::pow(10.0, n / 10.0);
    let sum: f64 = (-20_i32..)
        .zip(TABLE)
        .map(|(n, weight)| {
            let [from, to] =
                [-0.5, 0.5].map(|half| third(f64::from(n) + half).clamp(noise.from_hz, noise.to_hz));
            (to - from) * libm::pow(10.0, weight / 10.0)
        })
        .sum();
    let wanted = 10.0 * libm::log10(sum / (noise.to_hz - noise.from_hz));
    near(20.0 * libm::log10(noise.volts_a / noise.volts), wanted, 0.05);
}
