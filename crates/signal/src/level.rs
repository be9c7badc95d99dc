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

/// A resistance as it is read off a meter: `500 Ω`, `4.7 kΩ`, `180 kΩ`, `1 MΩ`.
pub fn ohms(value: f64) -> String {
    let (value, unit) = match value {
        small if small < 999.5 => (small, "Ω"),
        some if some < 999_500.0 => (some / 1e3, "kΩ"),
        large => (large / 1e6, "MΩ"),
    };
    let places = usize::from(unit != "Ω" && value < 9.95);
    let text = figure(value, places);
    format!("{} {unit}", text.strip_suffix(".0").unwrap_or(&text))
}

/// A voltage as a meter reads it, to three digits.
pub fn volts_as_read(volts: f64) -> f64 {
    if volts <= 0.0 || !volts.is_finite() {
        return volts;
    }
    let digits = 2.0 - libm::floor(libm::log10(volts));
    let scale = libm::pow(10.0, digits);
    (volts * scale).round() / scale
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
    use super::{figure, ohms, volts_as_read};

    #[test]
    fn what_rounds_to_zero_has_no_sign() {
        assert_eq!(figure(-0.04, 1), "0.0");
        assert_eq!(figure(-0.05, 1), "−0.1");
        assert_eq!(figure(-12.34, 1), "−12.3");
        assert_eq!(figure(0.0, 2), "0.00");
    }

    #[test]
    fn figures_are_those_that_a_meter_reads() {
        let told = [47.0, 999.6, 4700.0, 5000.0, 9960.0, 180e3, 999.7e3, 1e6, 2.2e6, 10e6].map(ohms);
        let wanted = ["47 Ω", "1 kΩ", "4.7 kΩ", "5 kΩ", "10 kΩ", "180 kΩ", "1 MΩ", "1 MΩ", "2.2 MΩ", "10 MΩ"];
        assert_eq!(told, wanted);
        for (volts, read) in [(346.82, 347.0), (24.56, 24.6), (4.03, 4.03), (0.0, 0.0)] {
            let told: f64 = volts_as_read(volts);
            assert!((told - read).abs() < 1e-9, "{volts} V is read as {told}");
        }
    }
}
