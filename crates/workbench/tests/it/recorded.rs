//! Recordings that tests make up.

use takes::signals::{Side, played};
use takes::wav::{Depth, write};

/// A recording: what is played, softened by one pole where `hertz` says so.
pub(crate) fn recording(hertz: Option<f64>, depth: Depth) -> Vec<u8> {
    let rate = 44_100;
    let share = hertz.map_or(1.0, |hertz| 1.0 - libm::exp(-std::f64::consts::TAU * hertz / f64::from(rate)));
    let (mut seed, mut last) = (7_u64, 0.0);
    let samples: Vec<f64> = played(rate, Side::Left)
        .into_iter()
        .map(|value| {
            // Knuth's multiplier for 64 bits: a little noise, as every input has.
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            let noise = f64::from(u32::try_from(seed >> 32).expect("32 bits")) / 4_294_967_296.0 - 0.5;
            last += share * (value - last);
            last + 2e-5 * noise
        })
        .collect();
    let mut out = std::io::Cursor::new(Vec::new());
    write(&mut out, rate, depth, &[&samples]).expect("it is written");
    out.into_inner()
}
