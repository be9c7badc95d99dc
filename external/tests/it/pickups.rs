//! Coils against published measurements, by the resonance that `signal`, the rules and the papers tell.

use crate::chain::{PLUGS_PF, coil, level, near, straight, way, with_pot};

/// Source: H. Lemme's table; see the file's head.
const LEMME: &str = include_str!("../../pickups/lemme.tsv");
/// Resistances of the same coils.
const SPLIT: &str = include_str!("../../pickups/split.tsv");
const LOADS_PF: [f64; 7] = [470.0, 680.0, 1000.0, 1500.0, 2200.0, 3300.0, 4700.0];

fn rows(text: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    text.lines().filter(|line| !line.starts_with('#')).map(|line| line.split('\t').collect())
}

/// The resonance of a guitar straight into an input of 10 MΩ, in hertz; the board's own is the same.
fn resonance(electrics: &str, lead_pf: f64) -> f64 {
    let design = straight(electrics, lead_pf, "10 MΩ");
    let found = &way(design.signal()).resonance;
    assert_eq!(found.variants.iter().map(|variant| variant.1).collect::<Vec<_>>(), [found.reference]);
    found.reference.expect("it peaks")
}

#[test]
fn lemmes_49_resonances_come_out_within_his_spread() {
    let mut deviations = Vec::new();
    for (fields, split) in rows(LEMME).zip(rows(SPLIT)) {
        assert_eq!(fields[0], split[0]);
        let number = |text: &str| text.parse::<f64>().expect("a number");
        let electrics = coil(number(split[3]), number(fields[1]), number(fields[2]));
        for (load, measured) in LOADS_PF.iter().zip(&fields[3..]) {
            let measured = number(measured) * 1000.0;
            deviations.push((resonance(&electrics, *load) - measured) / measured);
        }
    }
    assert_eq!(deviations.len(), 49);
    let worst = deviations.iter().map(|d| d.abs()).fold(0.0, f64::max);
    let rms = (deviations.iter().map(|d| d * d).sum::<f64>() / 49.0).sqrt();
    // He states a spread of samples of 10 % and more, and rounds to 0.1 kHz.
    println!("49 resonances: worst {worst}, rms {rms}");
    assert!(worst <= 0.10 && rms <= 0.035, "worst {worst}, rms {rms}");
}

#[test]
fn lemmes_example_in_his_text() {
    // 8 H with 800 + 150 pF, quoted as 1827 Hz (H. Lemme, The Secrets of Electric Guitar Pickups). He leaves resistance out.
    let hertz = resonance(&coil(1.0, 8.0, 150.0), 800.0);
    assert!((hertz - 1827.0).abs() / 1827.0 < 0.002, "{hertz}");
}

#[test]
fn zollners_screw_coil() {
    // R 4420 Ω, L 1.125 H, C 43 pF with 330, 700 and 1030 pF: measured maxima at 7.7, 5.5 and 4.6 kHz
    // (M. Zollner, Physics of the Electric Guitar, §5.9).
    for (added, measured) in [(330.0, 7700.0), (700.0, 5500.0), (1030.0, 4600.0)] {
        let found = resonance(&coil(4420.0, 1.125, 43.0), added);
        assert!((found - measured).abs() / measured <= 0.012, "{added} pF: {found} Hz");
    }
}

#[test]
fn second_order_closed_form() {
    // L, R, pF in all, Rp, then peak frequency, peak dB, low-frequency dB; textbook second order, worked apart.
    let rows = [
        (2.2, 6050.0, 810.0, "1 MΩ", 3754.92, 15.4877, -0.0524),
        (2.2, 6050.0, 580.0, "200 kΩ", 4337.55, 7.8738, -0.2589),
        (2.5, 6000.0, 600.0, "200 kΩ", 3991.79, 7.6821, -0.2567),
        (5.0, 7600.0, 620.0, "333.333 kΩ", 2800.94, 9.0562, -0.1958),
    ];
    for (l, r, picofarads, load, peak, height, low) in rows {
        let design =
            straight(&with_pot(r, l, picofarads - 400.0 - PLUGS_PF, load), 400.0 + PLUGS_PF, "1000000 MΩ");
        let outcome = design.signal();
        near(way(outcome).resonance.reference.expect("it peaks"), peak, 0.5);
        near(level(outcome, peak), height, 0.003);
        near(level(outcome, 20.0), low, 0.001);
    }
}
