//! Closed forms of textbooks, which the engine does not use.

use std::f64::consts::PI;

/// Corner of a resistance and a capacitance, 1/(2πRC), in hertz.
pub(crate) fn corner(ohms: f64, farads: f64) -> f64 {
    1.0 / (2.0 * PI * ohms * farads)
}

/// Gain of a one-pole low-pass in dB, −10·lg(1+(f/fc)²).
pub(crate) fn low_pass(hertz: f64, corner: f64) -> f64 {
    -10.0 * libm::log10(1.0 + (hertz / corner) * (hertz / corner))
}

/// Thermal noise of a resistance over a bandwidth, √(4kTRB), in volts rms; k of the SI of 2019.
pub(crate) fn thermal(ohms: f64, kelvin: f64, hertz: f64) -> f64 {
    (4.0 * 1.380_649e-23 * kelvin * ohms * hertz).sqrt()
}

/// A coil into a capacitance and a resistance: levels against the EMF in dB, a second-order low-pass.
pub(crate) struct Peak {
    /// Frequency and level of the highest response, f0·√(1−1/2Q²) and H0·Q/√(1−1/4Q²), where Q is above 1/√2.
    pub(crate) top: Option<(f64, f64)>,
    /// Level at low frequencies, 1/(1+R/Rp).
    pub(crate) low: f64,
}

pub(crate) fn coil_peak(ohms: f64, henries: f64, farads: f64, load: f64) -> Peak {
    let decibels = |ratio: f64| 20.0 * libm::log10(ratio);
    let k = 1.0 + ohms / load;
    let quality = (k * henries * farads).sqrt() / (henries / load + ohms * farads);
    let natural = (k / (henries * farads)).sqrt() / (2.0 * PI);
    let under = 1.0 - 0.5 / (quality * quality);
    let height = quality / k / (1.0 - 0.25 / (quality * quality)).sqrt();
    let top = (0.0 < under).then(|| (natural * under.sqrt(), decibels(height)));
    Peak { top, low: decibels(1.0 / k) }
}
