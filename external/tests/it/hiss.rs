//! Thermal noise and A-weighting against published figures.

use signal::level::dbu;
use signal::noise::{a_weighting_db, one_pole_bandwidth, quantisation_snr, stage_density, thermal};

#[test]
fn a_weighting_is_the_table_of_the_standard() {
    // IEC 61672-1, table of A-weighting rounded to 0.1 dB at exact frequencies 1000·10^(n/10).
    let table = [
        -70.4, -63.4, -56.7, -50.5, -44.7, -39.4, -34.6, -30.2, -26.2, -22.5, -19.1, -16.1, -13.4, -10.9,
        -8.6, -6.6, -4.8, -3.2, -1.9, -0.8, 0.0, 0.6, 1.0, 1.2, 1.3, 1.2, 1.0, 0.5, -0.1, -1.1, -2.5, -4.3,
        -6.6, -9.3,
    ];
    assert_eq!(table.len(), 34);
    for (n, wanted) in (-20_i32..).zip(table) {
        let hertz = 1000.0 * libm::pow(10.0, f64::from(n) / 10.0);
        let found = a_weighting_db(hertz);
        assert!((found - wanted).abs() <= 0.05 + 1e-9, "{hertz:.1} Hz: {found} for {wanted}");
    }
    assert!(a_weighting_db(1000.0).abs() < 1e-12);
}

#[test]
fn hum_lines_weigh_what_they_should() {
    for (hertz, wanted) in
        [(50.0, -30.2716), (60.0, -27.0457), (100.0, -19.1428), (150.0, -13.9818), (300.0, -7.0540)]
    {
        assert!((a_weighting_db(hertz) - wanted).abs() < 1e-3, "{hertz}");
    }
}

#[test]
fn noise_of_a_resistance() {
    // √(4kTRB): 1 kΩ, 20 kHz, 300 K; and 1 kΩ, 10 kHz, 290 K, published as 400 nV.
    let microvolts = thermal(1e3, 300.0, 20e3) * 1e6;
    assert!((microvolts - 0.5756).abs() < 1e-3, "{microvolts}");
    assert!((dbu(thermal(1e3, 300.0, 20e3)) + 122.579).abs() < 1e-3);
    let nanovolts = thermal(1e3, 290.0, 10e3) * 1e9;
    assert!((nanovolts - 400.19).abs() < 0.01, "{nanovolts}");
    // The published rule of 1 nV for 50 Ω in 1 Hz.
    assert!((thermal(50.0, 300.0, 1.0) * 1e9 - 0.9102).abs() < 1e-4);
}

#[test]
fn noise_of_a_buffer_behind_a_source() {
    // 8 nV, 0.6 pA, 10 kΩ, 300 K, worked apart.
    assert!((stage_density(8e-9, 0.6e-12, 10e3, 300.0) * 1e9 - 16.2996).abs() < 1e-3);
}

#[test]
fn bandwidth_and_bits() {
    assert!((one_pole_bandwidth(20e3) - 31_415.93).abs() < 0.01);
    assert!((quantisation_snr(16) - 98.09).abs() < 0.01);
    assert!((quantisation_snr(24) - 146.26).abs() < 0.01);
}
