//! Cases with a closed answer.

use realfft::num_complex::Complex64;
use signal::grid::frequencies;
use takes::signals::{Side, played};
use takes::spectrum::{BLACKMAN_HARRIS, HANN};
use takes::{compare, noise};

use crate::recorded::{Lot, after, heard, straight, through, with_noise};

#[test]
fn a_known_low_pass_comes_out_within_a_twentieth_of_a_decibel() {
    let mut lot = Lot(1);
    let rate = 48_000;
    // One pole at 3 kHz, behind a high pass at 30 Hz.
    let response = |f: f64| {
        let (low, high) = (Complex64::new(1.0, f / 3_000.0), Complex64::new(1.0, -30.0 / f.max(1e-3)));
        1.0 / (low * high)
    };
    let board = with_noise(through(&played(rate, Side::Left), rate, response), 1e-5, &mut lot);
    let board = heard(rate, &[&after(1.7, rate, &board)]).expect("it is read");
    let reference = heard(rate, &[&after(0.4, rate, &straight(rate, &mut lot))]).expect("it is read");
    let takes = compare(&board, &reference).expect("two recordings");
    let mut worst = 0.0_f64;
    for (f, db) in frequencies().into_iter().zip(&takes[0].change_db) {
        let exact = 10.0 * libm::log10(response(f).norm_sqr());
        worst = worst.max((db - exact).abs());
        assert!(worst < 0.05, "{worst} dB at {f} Hz");
    }
    assert_eq!(takes[0].inverts, Some(false));
}

#[test]
fn clocks_a_hundred_millionths_apart_are_found_and_change_nothing() {
    let mut lot = Lot(2);
    // Played at a rate 5 Hz above what the file says: 104.17 ppm.
    let board: Vec<f64> = played(48_005, Side::Left).iter().map(|value| -0.25 * value).collect();
    let board =
        heard(48_000, &[&after(0.9, 48_000, &with_noise(board, 1e-5, &mut lot))]).expect("it is read");
    assert!((board.found.drift - 5.0 / 48_000.0).abs() < 1e-7, "{:?}", board.found);
    let reference = heard(48_000, &[&straight(48_000, &mut lot)]).expect("it is read");
    let take = compare(&board, &reference).expect("two recordings").remove(0);
    let exact = 20.0 * libm::log10(0.25);
    let worst = take.change_db.iter().map(|db| (db - exact).abs()).fold(0.0, f64::max);
    assert!(worst < 0.05, "{worst} dB");
    assert_eq!(take.inverts, Some(true));
}

#[test]
fn orders_of_distortion_come_apart() {
    let mut lot = Lot(3);
    let rate = 48_000;
    // y = x + a·x² + b·x³ of a sine of size A: the second is a·A/2 of the first, the third b·A²/4 of it.
    let (a, b, size) = (0.02, 0.04, 0.5);
    let board: Vec<f64> = played(rate, Side::Left).iter().map(|x| x + a * x * x + b * x * x * x).collect();
    let board = heard(rate, &[&with_noise(board, 1e-6, &mut lot)]).expect("it is read");
    let reference = heard(rate, &[&straight(rate, &mut lot)]).expect("it is read");
    let take = compare(&board, &reference).expect("two recordings").remove(0);
    let first = 1.0 + 0.75 * b * size * size;
    let second = 20.0 * libm::log10(a * size / 2.0 / first);
    let third = 20.0 * libm::log10(b * size * size / 4.0 / first);
    for at in &take.distortion {
        assert!((at[0].board_db - second).abs() < 0.1, "{:?}, {second}", at[0]);
        assert!((at[1].board_db - third).abs() < 0.1, "{:?}, {third}", at[1]);
        assert!(at[2].board_db < -85.0 && at[3].board_db < -85.0, "{at:?}");
        assert!(at.iter().all(|order| order.reference_db < -85.0), "{at:?}");
    }
}

#[test]
fn a_delay_is_measured_against_the_interfaces_own_output() {
    let mut lot = Lot(4);
    let rate = 48_000;
    let (left, right) = (played(rate, Side::Left), played(rate, Side::Right));
    let late = 137;
    let board = [vec![0.0; late], left[..left.len() - late].to_vec()].concat();
    let (noisy, loose) = (with_noise(board, 1e-5, &mut lot), with_noise(right.clone(), 1e-5, &mut lot));
    let board = heard(rate, &[&after(2.0, rate, &noisy), &after(2.0, rate, &loose)]).expect("it is read");
    let own = with_noise(right, 1e-5, &mut lot);
    let reference = heard(rate, &[&straight(rate, &mut lot), &own]).expect("it is read");
    let takes = compare(&board, &reference).expect("two recordings");
    assert_eq!(takes.len(), 1);
    let latency = takes[0].latency.expect("a delay");
    assert!(latency.is_sure && (latency.seconds - 137.0 / 48_000.0).abs() < 2e-6, "{latency:?}");
}

#[test]
fn white_noise_is_two_decibels_quieter_a_weighted() {
    let mut lot = Lot(5);
    let rate = 48_000;
    let hush = noise(&with_noise(vec![0.0; 20 * 48_000], 1e-3, &mut lot), rate);
    // All of it within 24 kHz; a sine of full scale is 0 dB.
    let flat = 20.0 * libm::log10(1e-3) + 10.0 * libm::log10(2.0 * 19_980.0 / 24_000.0);
    assert!((hush.flat_db - flat).abs() < 0.1, "{hush:?}, {flat}");
    assert!((hush.weighted_db - hush.flat_db + 2.048).abs() < 0.1, "{hush:?}");
}

#[test]
fn windows_have_the_constants_of_their_table() {
    for (window, gain, noise_bins) in [(HANN, 0.5, 1.5), (BLACKMAN_HARRIS, 0.358_75, 2.004_4)] {
        let (own_gain, own_bins) = window.constants(4096);
        assert!((own_gain - gain).abs() < 1e-6 && (own_bins - noise_bins).abs() < 5e-5);
    }
}

#[test]
fn a_sine_of_full_scale_is_0_on_its_own_scale() {
    let rate = 48_000;
    let tone = |size: f64| -> Vec<f64> {
        (0..96_000)
            .map(|n| size * libm::sin(std::f64::consts::TAU * 997.0 * f64::from(n) / 48_000.0))
            .collect()
    };
    assert!(noise(&tone(1.0), rate).flat_db.abs() < 0.001);
    assert!((noise(&tone(0.5), rate).flat_db + 6.0206).abs() < 0.001);
}
