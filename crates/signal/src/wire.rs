//! Wire: gauges, resistances, and the drop along a DC lead.

use std::f64::consts::PI;

/// Resistivity of annealed copper at 20 °C in Ωm. `[src:IEC-60028]`
pub const COPPER: f64 = 1.7241e-8;

/// Temperature coefficient of copper's resistance per kelvin, at 20 °C. `[src:IEC-60028]`
pub const COPPER_TEMPERATURE: f64 = 0.003_93;

/// Diameter of an American wire gauge in millimetres, 0.127·92^((36−n)/39). `[src:ASTM-B258]`
pub fn awg_diameter(gauge: f64) -> f64 {
    0.127 * libm::pow(92.0, (36.0 - gauge) / 39.0)
}

/// Section of an American wire gauge in mm². `[src:ASTM-B258]`
pub fn awg_area(gauge: f64) -> f64 {
    let d = awg_diameter(gauge);
    PI / 4.0 * d * d
}

/// The gauge whose section is this many mm², as a fraction. `[src:ASTM-B258]`
pub fn awg_of_area(square_mm: f64) -> f64 {
    let d = (4.0 * square_mm / PI).sqrt();
    36.0 - 39.0 * libm::log(d / 0.127) / libm::log(92.0)
}

/// Resistance of a solid copper conductor of this section at 20 °C, in Ω per km. `[src:IEC-60028]`
pub fn copper_per_km(square_mm: f64) -> f64 {
    COPPER * 1e9 / square_mm
}

/// Resistance at a temperature in °C of what is given at 20 °C. `[src:IEC-60028]`
pub fn at_temperature(ohms_at_20: f64, celsius: f64) -> f64 {
    ohms_at_20 * (1.0 + COPPER_TEMPERATURE * (celsius - 20.0))
}

/// How a conductor is built, after IEC 60228.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Conductor {
    /// Solid or stranded, plain copper.
    Class1To2,
    /// Flexible, plain copper.
    Class5To6,
    /// Flexible, tinned copper.
    Class5To6Tinned,
}

/// Largest resistances at 20 °C in Ω/km by section in mm²: classes 1 and 2, 5 and 6, 5 and 6 tinned.
/// `[src:IEC-60228]`; the sections below 0.5 mm² after `[src:VDE-0295]`, where classes 1 and 2 have no entry.
const LARGEST: [(f64, Option<f64>, f64, f64); 7] = [
    (0.14, None, 134.0, 138.0),
    (0.25, None, 76.0, 79.0),
    (0.34, None, 53.0, 56.0),
    (0.5, Some(36.0), 39.0, 40.1),
    (0.75, Some(24.5), 26.0, 26.7),
    (1.0, Some(18.1), 19.5, 20.0),
    (1.5, Some(12.1), 13.3, 13.7),
];

/// Largest resistance that the standard allows, in Ω/km at 20 °C; `None` for a section it does not list here.
/// `[src:IEC-60228]`
pub fn largest_per_km(square_mm: f64, conductor: Conductor) -> Option<f64> {
    let row = LARGEST.iter().find(|row| (row.0 - square_mm).abs() < 1e-9)?;
    match conductor {
        Conductor::Class1To2 => row.1,
        Conductor::Class5To6 => Some(row.2),
        Conductor::Class5To6Tinned => Some(row.3),
    }
}

/// Drop along a DC lead in volts, 2·length·resistance·current: out and back. Ohm's law.
pub fn lead_drop(amps: f64, metres: f64, ohms_per_km: f64) -> f64 {
    2.0 * metres * ohms_per_km / 1000.0 * amps
}

/// The longest lead in metres with no more than this drop in volts. Ohm's law.
pub fn longest_lead(drop: f64, amps: f64, ohms_per_km: f64) -> f64 {
    drop * 1000.0 / (2.0 * ohms_per_km * amps)
}
