//! Hum that was planted, of each kind at any mains frequency, is found and named.

use takes::{Kind, hum};

use crate::recorded::{Lot, with_noise};

const RATE: u32 = 48_000;

/// Silences by lot.
const SILENCES: usize = 400;

/// Levels of the lines of a kind in dB, by what multiple of the mains they are; of a clock, by the hertz.
///
/// The signatures are those of a transformer's field, of a full wave (0, −14.0, −21.3, −26.4 dB, more or less smoothed), of
/// current in an earthed screen, and of single tones. Common practice, no source.
fn planted(kind: Kind, lot: &mut Lot) -> Vec<(f64, f64)> {
    let mut about = |db: f64, by: f64| db + lot.between(-by, by);
    match kind {
        Kind::Magnetic => vec![(1.0, 0.0), (3.0, about(-30.0, 6.0)), (2.0, about(-40.0, 6.0))],
        Kind::Rectifier => vec![
            (2.0, 0.0),
            (4.0, about(-14.0, 4.0)),
            (6.0, about(-21.3, 4.0)),
            (8.0, about(-26.4, 4.0)),
            (1.0, about(-22.0, 6.0)),
        ],
        Kind::Loop => vec![
            (1.0, 0.0),
            (3.0, about(-8.0, 4.0)),
            (5.0, about(-12.0, 4.0)),
            (7.0, about(-16.0, 4.0)),
            (9.0, about(-20.0, 4.0)),
            (2.0, about(-18.0, 4.0)),
        ],
        Kind::Clock => vec![(about(3_300.0, 2_500.0), 0.0), (about(9_000.0, 3_000.0), about(-10.0, 6.0))],
    }
}

#[test]
fn the_kind_is_right_and_the_mains_frequency_to_a_hundredth() {
    let (mut right, mut mains) = (0, 0.0_f64);
    let mut wrong = Vec::new();
    let kinds = [Kind::Magnetic, Kind::Rectifier, Kind::Loop, Kind::Clock];
    for (seed, kind) in (0_u64..).zip(kinds.into_iter().cycle().take(SILENCES)) {
        let mut lot = Lot(1000 + seed);
        let net = if lot.below(2) == 0 { lot.between(49.9, 50.1) } else { lot.between(59.9, 60.1) };
        let level = lot.between(-85.0, -60.0);
        let mut silence = vec![0.0; 4 * 48_000];
        for (at, db) in planted(kind, &mut lot) {
            let hertz = if kind == Kind::Clock { at } else { at * net };
            let size = libm::pow(10.0, (level + db) / 20.0);
            let phase = lot.between(0.0, std::f64::consts::TAU);
            for (n, value) in (0_u32..).zip(&mut silence) {
                *value +=
                    size * libm::sin(std::f64::consts::TAU * hertz * f64::from(n) / f64::from(RATE) + phase);
            }
        }
        let found = hum(&with_noise(silence, 1e-5, &mut lot), RATE);
        match found.sources.first() {
            Some(first) if first.kind == kind => right += 1,
            other => wrong.push((seed, kind, net, other.map(|one| one.kind))),
        }
        if kind != Kind::Clock {
            mains = mains.max(found.mains_hz.map_or(99.0, |own| (own - net).abs()));
        }
    }
    assert!(98 * SILENCES <= 100 * right, "{right} of {SILENCES}: {wrong:?}");
    assert!(mains < 0.01, "{mains} Hz off");
}

#[test]
fn a_line_between_two_bins_reads_its_level() {
    for hertz in [50.0, 50.11, 99.87] {
        let mut lot = Lot(7);
        let size = libm::pow(10.0, -80.0 / 20.0);
        let tone: Vec<f64> = (0..4 * 48_000)
            .map(|n| size * libm::sin(std::f64::consts::TAU * hertz * f64::from(n) / f64::from(RATE)))
            .collect();
        let found = hum(&with_noise(tone, 1e-6, &mut lot), RATE);
        let line = found.lines().next().expect("a line");
        assert!((line.level_db + 80.0).abs() < 0.05 && (line.hertz - hertz).abs() < 0.01, "{line:?}");
    }
}

#[test]
fn noise_alone_hums_not() {
    for seed in 0..40 {
        let mut lot = Lot(seed);
        assert_eq!(hum(&with_noise(vec![0.0; 4 * 48_000], 1e-4, &mut lot), RATE).sources, []);
    }
}
