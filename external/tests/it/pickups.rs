//! Coils against published measurements.

use signal::loading::{coil_peak, inductance, resonance};

/// Source: H. Lemme's table; see the file's head.
const LEMME: &str = include_str!("../../pickups/lemme.tsv");
const LOADS_PF: [f64; 7] = [470.0, 680.0, 1000.0, 1500.0, 2200.0, 3300.0, 4700.0];

#[test]
fn lemmes_49_resonances_come_out_within_his_spread() {
    let mut deviations = Vec::new();
    for line in LEMME.lines().filter(|line| !line.starts_with('#')) {
        let fields: Vec<&str> = line.split('\t').collect();
        let number = |index: usize| fields[index].parse::<f64>().expect("a number");
        let (henries, own) = (number(1), number(2));
        for (column, load) in LOADS_PF.iter().enumerate() {
            let computed = resonance(henries, (own + load) * 1e-12) / 1000.0;
            let measured = number(3 + column);
            deviations.push(((computed - measured) / measured, line.to_owned()));
        }
    }
    assert_eq!(deviations.len(), 49);
    let worst = deviations.iter().map(|(d, _)| d.abs()).fold(0.0, f64::max);
    let rms = (deviations.iter().map(|(d, _)| d * d).sum::<f64>() / 49.0).sqrt();
    assert!(worst <= 0.10, "worst {worst}");
    assert!(rms <= 0.05, "rms {rms}");
    // The same figures, computed apart from this program: 6.378 % and 2.606 %.
    assert!((worst - 0.063_78).abs() < 1e-4 && (rms - 0.026_06).abs() < 1e-4, "{worst} {rms}");
}

#[test]
fn lemmes_example_in_his_text() {
    // 8 H with 800 + 150 pF, quoted as 1827 Hz (H. Lemme, The Secrets of Electric Guitar Pickups).
    let hertz = resonance(8.0, 950e-12);
    assert!((hertz - 1827.0).abs() / 1827.0 < 0.002, "{hertz}");
}

#[test]
fn an_inductance_from_a_measured_resonance() {
    // 4400 Hz with 580 pF in all is 2.2558 H: the inverse of the formula above.
    assert!((inductance(4400.0, 580e-12) - 2.2558).abs() < 1e-4);
}

#[test]
fn zollners_screw_coil() {
    // R 4420 Ω, L 1.125 H, C 43 pF with 330, 700 and 1030 pF: measured maxima at 7.7, 5.5 and 4.6 kHz
    // (M. Zollner, Physics of the Electric Guitar, §5.9).
    for (added, measured) in [(330.0, 7.7), (700.0, 5.5), (1030.0, 4.6)] {
        let khz = resonance(1.125, (43.0 + added) * 1e-12) / 1000.0;
        assert!((khz - measured).abs() / measured < 0.03, "{added} pF: {khz} kHz");
    }
}

#[test]
fn second_order_closed_form() {
    // L, R, C, Rp, then f0, Q, peak frequency, peak dB, low-frequency dB; textbook second order, worked apart.
    let rows = [
        (2.2, 6050.0, 810e-12, 1e6, 3781.60, 5.9631, 3754.92, 15.4877, -0.0524),
        (2.2, 6050.0, 580e-12, 200e3, 4522.37, 2.4990, 4337.55, 7.8738, -0.2589),
        (2.5, 6000.0, 600e-12, 200e3, 4170.55, 2.4414, 3991.79, 7.6821, -0.2567),
        (5.0, 7600.0, 620e-12, 333_333.0, 2890.91, 2.8566, 2800.94, 9.0562, -0.1958),
    ];
    for (l, r, c, rp, f0, q, peak, height, low) in rows {
        let found = coil_peak(r, l, c, rp);
        let near = |a: f64, b: f64, by: f64| assert!((a - b).abs() < by, "{a} for {b}");
        near(found.natural, f0, 0.01);
        near(found.quality, q, 1e-4);
        near(found.frequency.expect("peaks"), peak, 0.01);
        near(found.height.expect("peaks"), height, 1e-3);
        near(found.low, low, 1e-4);
    }
}
