//! Level arithmetic: volts, dBu, dBV, dividers, sums of levels and cascades of noise.

/// 0 dBu in volts rms: the voltage that gives 1 mW in 600 Ω, √0.6 V. `[src:LEVEL-TABLES]`
pub const DBU_REFERENCE: f64 = 0.774_596_669_241_483_4;

/// A ratio of voltages in decibels, 20·lg(ratio); −∞ for nought.
pub fn decibels(ratio: f64) -> f64 {
    20.0 * libm::log10(ratio)
}

/// The ratio of voltages that a level in decibels means, 10^(dB/20).
pub fn ratio(decibels: f64) -> f64 {
    libm::pow(10.0, decibels / 20.0)
}

/// A ratio of powers in decibels, 10·lg(ratio).
pub fn power_decibels(ratio: f64) -> f64 {
    10.0 * libm::log10(ratio)
}

/// Volts rms as dBu. `[src:LEVEL-TABLES]`
pub fn dbu(volts_rms: f64) -> f64 {
    decibels(volts_rms / DBU_REFERENCE)
}

/// dBu as volts rms. `[src:LEVEL-TABLES]`
pub fn volts_of_dbu(dbu: f64) -> f64 {
    DBU_REFERENCE * ratio(dbu)
}

/// Volts rms as dBV, where 0 dBV is 1 V rms. `[src:LEVEL-TABLES]`
pub fn dbv(volts_rms: f64) -> f64 {
    decibels(volts_rms)
}

/// dBV as volts rms. `[src:LEVEL-TABLES]`
pub fn volts_of_dbv(dbv: f64) -> f64 {
    ratio(dbv)
}

/// The effective value of a sine with this peak: û/√2 (definition).
pub fn rms_of_peak(peak: f64) -> f64 {
    peak / std::f64::consts::SQRT_2
}

/// Gain of a divider of two resistances in dB, 20·lg(Rload/(Rsource+Rload)); never positive.
///
/// Kirchhoff's voltage law with resistances alone; capacitance is neglected.
pub fn junction_gain(source_ohms: f64, load_ohms: f64) -> f64 {
    decibels(load_ohms / (source_ohms + load_ohms))
}

/// Resistances in parallel, 1/Σ(1/R); infinite for none.
pub fn parallel(ohms: &[f64]) -> f64 {
    1.0 / ohms.iter().map(|r| 1.0 / r).sum::<f64>()
}

/// The sum of levels whose signals have nothing to do with each other: 10·lg Σ10^(L/10).
pub fn sum_of_levels(levels: &[f64]) -> f64 {
    power_decibels(levels.iter().map(|level| libm::pow(10.0, level / 10.0)).sum())
}

/// The sum of levels of signals in phase: 20·lg Σ10^(L/20).
pub fn sum_in_phase(levels: &[f64]) -> f64 {
    decibels(levels.iter().map(|level| ratio(*level)).sum())
}

/// Noise factor of stages after Friis, F = F1 + (F2−1)/G1 + …; each stage is (noise factor, power gain).
///
/// Holds for available power and matched stages, which pedals are not: a teaching value. `[src:FRIIS-1944]`
pub fn friis(stages: &[(f64, f64)]) -> f64 {
    let (mut factor, mut gain) = (1.0, 1.0);
    for (stage, stage_gain) in stages {
        factor += (stage - 1.0) / gain;
        gain *= stage_gain;
    }
    factor
}

/// Noise of stages referred to the first input, √(e1² + (e2/A1)² + …); each stage is (density, voltage gain).
///
/// Sources without correlation add as powers. The last gain does not matter.
pub fn noise_cascade(stages: &[(f64, f64)]) -> f64 {
    let (mut sum, mut gain) = (0.0, 1.0);
    for (density, stage_gain) in stages {
        sum += (density / gain) * (density / gain);
        gain *= stage_gain;
    }
    sum.sqrt()
}
