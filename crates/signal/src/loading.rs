//! What loads a source: corners of resistance and capacitance, pots, piezo elements, cables, coils.

use std::f64::consts::PI;

use crate::level::decibels;

/// Corner of a resistance and a capacitance, 1/(2πRC), in hertz: −3 dB as low-pass or as high-pass.
pub fn corner(ohms: f64, farads: f64) -> f64 {
    1.0 / (2.0 * PI * ohms * farads)
}

/// Gain of a one-pole low-pass in dB, −10·lg(1+(f/fc)²).
pub fn low_pass(hertz: f64, corner: f64) -> f64 {
    -10.0 * libm::log10(1.0 + (hertz / corner) * (hertz / corner))
}

/// Gain of a one-pole high-pass in dB, −10·lg(1+(fc/f)²).
pub fn high_pass(hertz: f64, corner: f64) -> f64 {
    low_pass(corner, hertz)
}

/// Largest source resistance in ohms that loses no more than `loss` dB (positive) at a frequency into a capacitance.
///
/// From −10·lg(1+(2πfRC)²) = −loss.
pub fn largest_source(loss: f64, hertz: f64, farads: f64) -> f64 {
    (libm::pow(10.0, loss / 10.0) - 1.0).sqrt() / (2.0 * PI * hertz * farads)
}

/// Corner of a coil into a resistance, (R+Rload)/(2πL), in hertz; capacitance neglected.
pub fn inductive_corner(coil_ohms: f64, load_ohms: f64, henries: f64) -> f64 {
    (coil_ohms + load_ohms) / (2.0 * PI * henries)
}

/// Output resistance of a pot as divider, fed from `source_ohms`, at a travel from 0 to 1 of its resistance.
///
/// x·R in parallel with (1−x)·R plus the source. Without source at half travel it is R/4, the worst.
pub fn pot_output(pot_ohms: f64, travel: f64, source_ohms: f64) -> f64 {
    let x = travel.clamp(0.0, 1.0);
    let (low, high) = (x * pot_ohms, (1.0 - x) * pot_ohms + source_ohms);
    if low + high <= 0.0 { 0.0 } else { low * high / (low + high) }
}

/// Level that a capacitive source loses to capacitance across it, 20·lg(C/(C+Cload)) in dB, at all frequencies.
pub fn capacitive_divider(source_farads: f64, load_farads: f64) -> f64 {
    decibels(source_farads / (source_farads + load_farads))
}

/// Corner of a piezo element of this capacitance, with cable across it, into a resistance, in hertz.
pub fn piezo_corner(element_farads: f64, cable_farads: f64, load_ohms: f64) -> f64 {
    corner(load_ohms, element_farads + cable_farads)
}

/// Capacitance of a lead in farads: metres times farads per metre, and that of its plugs.
pub fn lead_capacitance(metres: f64, farads_per_metre: f64, plug_farads: f64) -> f64 {
    metres * farads_per_metre + plug_farads
}

/// Capacitance of a metre of coaxial cable in farads, 2πε₀εr/ln(D/d). `[src:CODATA-2018]` for ε₀.
pub fn coax_capacitance(permittivity: f64, diameter_ratio: f64) -> f64 {
    const EPSILON_0: f64 = 8.854_187_812_8e-12;
    2.0 * PI * EPSILON_0 * permittivity / libm::log(diameter_ratio)
}

/// Resonance of an inductance and a capacitance without loss, 1/(2π√(LC)), in hertz.
pub fn resonance(henries: f64, farads: f64) -> f64 {
    1.0 / (2.0 * PI * (henries * farads).sqrt())
}

/// Inductance from a resonance and the whole capacitance, 1/((2πf)²C), in henries.
pub fn inductance(hertz: f64, farads: f64) -> f64 {
    let w = 2.0 * PI * hertz;
    1.0 / (w * w * farads)
}

/// What the closed form says of a coil (series R and L) into C in parallel with a resistance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// f0 = √((1+R/Rp)/(LC))/2π, in hertz.
    pub natural: f64,
    /// Q = √((1+R/Rp)·LC)/(L/Rp+RC).
    pub quality: f64,
    /// Frequency of the highest response, f0·√(1−1/2Q²); `None` when Q ≤ 1/√2.
    pub frequency: Option<f64>,
    /// Height of that peak against the EMF in dB, H0·Q/√(1−1/4Q²).
    pub height: Option<f64>,
    /// Level at low frequencies against the EMF in dB, 1/(1+R/Rp).
    pub low: f64,
}

/// The closed form of a second-order low-pass: coil of `ohms` and `henries`, `farads` in all, `load` in parallel.
///
/// Textbook second order; no eddy loss, no tone circuit.
pub fn coil_peak(ohms: f64, henries: f64, farads: f64, load: f64) -> Peak {
    let k = 1.0 + ohms / load;
    let quality = (k * henries * farads).sqrt() / (henries / load + ohms * farads);
    let natural = (k / (henries * farads)).sqrt() / (2.0 * PI);
    let low = 1.0 / k;
    let under = 1.0 - 0.5 / (quality * quality);
    let peaks = under > 0.0;
    Peak {
        natural,
        quality,
        frequency: peaks.then(|| natural * under.sqrt()),
        height: peaks.then(|| decibels(low * quality / (1.0 - 0.25 / (quality * quality)).sqrt())),
        low: decibels(low),
    }
}
