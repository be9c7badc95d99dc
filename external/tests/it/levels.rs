//! Levels, dividers and corners against published figures.

use signal::level::{
    dbu, friis, junction_gain, noise_cascade, parallel, power_decibels, sum_in_phase, sum_of_levels,
    volts_of_dbu, volts_of_dbv,
};
use signal::loading::{corner, low_pass, piezo_corner};

fn near(found: f64, wanted: f64, by: f64) {
    assert!((found - wanted).abs() <= by, "found {found}, wanted {wanted} within {by}");
}

#[test]
fn professional_and_consumer_level() {
    // IEC 60268-17 for 0 dBu = √0.6 V; +4 dBu and −10 dBV as sound engineers publish them.
    near(volts_of_dbu(4.0), 1.227_65, 1e-5);
    near(volts_of_dbv(-10.0), 0.316_228, 1e-6);
    near(dbu(volts_of_dbv(-10.0)), -7.7815, 1e-4);
    near(4.0 - dbu(volts_of_dbv(-10.0)), 11.7815, 1e-3);
    near(dbu(1.0), 2.2185, 1e-4);
}

#[test]
fn a_divider_of_one_to_a_hundred() {
    // Published ratio 100/101 for a source of 10 kΩ into 1 MΩ.
    near(junction_gain(10e3, 1e6), -0.0864, 5e-4);
    near(junction_gain(10e3, 10e3), -6.0206, 5e-4);
    near(junction_gain(10e3, 100e3), -0.8279, 5e-4);
    near(junction_gain(1e3, 10e3), -0.8279, 5e-4);
    near(junction_gain(10e3, 470e3), -0.1829, 5e-4);
}

#[test]
fn loads_in_parallel() {
    near(parallel(&[1e6, 1e6, 500e3]), 250e3, 1e-6);
    near(parallel(&[250e3, 1e6]), 200e3, 1e-6);
}

#[test]
fn low_pass_corners_and_losses() {
    // fc = 1/(2πRC); loss −10 lg(1 + (f/fc)²), worked apart.
    near(corner(10e3, 1e-9), 15_915.494, 0.01);
    near(low_pass(20e3, corner(10e3, 1e-9)), -4.1147, 5e-4);
    near(low_pass(5e3, corner(100e3, 500e-12)), -5.4, 5e-4);
    near(low_pass(20e3, corner(125e3, 500e-12)), -17.9716, 5e-4);
    near(low_pass(10e3, corner(10e3, 960e-12)), -1.3476, 5e-4);
}

#[test]
fn published_high_pass_corners() {
    // 100 kΩ and 50 kΩ with 100 nF: published as 16 and 32 Hz.
    near(corner(100e3, 100e-9), 15.915, 1e-3);
    near(corner(50e3, 100e-9), 31.831, 1e-3);
    assert!((corner(100e3, 100e-9) - 16.0).abs() < 0.1 && (corner(50e3, 100e-9) - 32.0).abs() < 0.2);
}

#[test]
fn a_piezo_element_of_zollners() {
    // 1.45 nF (M. Zollner, Physics of the Electric Guitar, ch. 6) into 1 MΩ, then with 390 pF of cable.
    near(piezo_corner(1.45e-9, 0.0, 1e6), 109.762, 0.01);
    near(piezo_corner(1.45e-9, 390e-12, 1e6), 86.497, 0.01);
    near(signal::loading::capacitive_divider(1.45e-9, 390e-12), -2.0690, 5e-4);
}

#[test]
fn adding_levels() {
    near(sum_of_levels(&[0.0, 0.0]), 3.0103, 1e-4);
    near(sum_in_phase(&[0.0, 0.0]), 6.0206, 1e-4);
    near(sum_of_levels(&[-60.0, -70.0, -66.0]), -58.6928, 1e-4);
    near(sum_of_levels(&[-80.0; 5]), -73.0103, 1e-4);
}

#[test]
fn cascades_of_noise() {
    // H. T. Friis, Noise Figures of Radio Receivers (1944): F1 = 2, G1 = 10, F2 = 10.
    near(friis(&[(2.0, 10.0), (10.0, 1.0)]), 2.9, 1e-12);
    near(power_decibels(2.9), 4.6240, 1e-4);
    near(noise_cascade(&[(5e-9, 10.0), (50e-9, 1.0)]) * 1e9, 7.0711, 1e-4);
    near(noise_cascade(&[(10e-9, 2.0), (18e-9, 4.0), (30e-9, 1.0)]) * 1e9, 13.9665, 1e-4);
}
