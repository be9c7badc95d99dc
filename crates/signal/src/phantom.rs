//! Phantom power: what a short to earth draws.

/// Voltage of P48 in volts. `[src:IEC-61938]`
pub const P48_VOLTS: f64 = 48.0;

/// Feed resistor of each leg of P48 in ohms. `[src:IEC-61938]`
pub const P48_OHMS: f64 = 6810.0;

/// Current in milliamperes out of each leg of P48 into a load to earth on that leg, V/(Rfeed+R). `[src:IEC-61938]`
///
/// An unbalanced output that shorts pin 3 takes the whole of one leg, 7.05 mA; both legs shorted 14.1 mA.
pub fn p48_pin_milliamps(load_ohms: f64) -> f64 {
    P48_VOLTS / (P48_OHMS + load_ohms) * 1000.0
}
