//! Level arithmetic: volts, ratios and decibels.

/// 0 dBu in volts rms: the voltage that gives 1 mW in 600 Ω, √0.6 V. `[src:LEVEL-TABLES]`
pub(crate) const DBU_REFERENCE: f64 = 0.774_596_669_241_483_4;

/// A ratio of voltages in decibels, 20·lg(ratio); −∞ for nought.
pub(crate) fn decibels(ratio: f64) -> f64 {
    20.0 * libm::log10(ratio)
}

/// The ratio of voltages that a level in decibels means, 10^(dB/20).
pub(crate) fn ratio(decibels: f64) -> f64 {
    libm::pow(10.0, decibels / 20.0)
}

/// Volts rms as dBu. `[src:LEVEL-TABLES]`
pub fn dbu(volts_rms: f64) -> f64 {
    decibels(volts_rms / DBU_REFERENCE)
}

/// The effective value of a sine with this peak: û/√2 (definition).
pub(crate) fn rms_of_peak(peak: f64) -> f64 {
    peak / std::f64::consts::SQRT_2
}

/// A figure with a true minus; one that rounds to zero has none.
pub fn figure(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let is_zero = text.chars().all(|one| !one.is_ascii_digit() || one == '0');
    if is_zero { text.replace('-', "") } else { text.replace('-', "−") }
}

/// A change in dB to a tenth; what is cancelled to the dust of rounding is no figure: `>100`.
pub fn change(db: f64) -> String {
    if db.abs() <= MOST_TOLD {
        return figure(db, 1);
    }
    format!("{}>{}", if db < 0.0 { "−" } else { "" }, figure(MOST_TOLD, 0))
}

/// Levels further apart than this are not told by their figure, in dB: no ear and no meter follows them.
pub const MOST_TOLD: f64 = 100.0;

#[cfg(test)]
mod tests {
    use super::figure;

    #[test]
    fn what_rounds_to_zero_has_no_sign() {
        assert_eq!(figure(-0.04, 1), "0.0");
        assert_eq!(figure(-0.05, 1), "−0.1");
        assert_eq!(figure(-12.34, 1), "−12.3");
        assert_eq!(figure(0.0, 2), "0.00");
    }
}
