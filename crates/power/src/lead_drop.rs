//! What a direct-current lead loses along the way.

use quantity::{Length, Milliamps, Ohms, Ratio, Volts};

/// What the contacts of both plugs add together: 30 mΩ. *Common practice, no source.*
pub const CONTACTS: Ohms = Ohms::of(0.030);

/// The voltage lost along a lead: both conductors carry the current there and back, and the contacts add to it.
///
/// ΔU = I · (2 · l · r + R), with r the resistance of one metre of one conductor (Ohm's law; r from the cable's record,
/// for copper at 20 °C).
pub fn drop(current: Milliamps, length: Length, per_metre: Ohms, contacts: Ohms) -> Volts {
    const MM_PER_METRE: f64 = 1000.0;
    const MILLIAMPS_PER_AMP: f64 = 1000.0;
    let loop_ohms = per_metre.get() * 2.0 * length.as_mm() / MM_PER_METRE + contacts.get();
    Volts::new(current.get() / MILLIAMPS_PER_AMP * loop_ohms).unwrap_or_default()
}

/// What is left of the outlet's voltage at the device, and the loss as a share of it.
pub fn arrives(outlet: Volts, lost: Volts) -> (Volts, Ratio) {
    (outlet - lost, Ratio::new(lost / outlet).unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Computed by hand from ΔU = 2 · l · r · I; r of 24 AWG 84.2, of 20 AWG 33.3, of 26 AWG 134, of 0.5 mm² class 5
    /// 39.0 Ω/km.
    #[test]
    fn leads_lose_what_the_hand_computes() {
        for (ma, mm, per_km, mv) in [
            (500.0, 500, 84.2, 42.1),
            (1000.0, 1000, 84.2, 168.4),
            (2000.0, 1000, 33.3, 133.2),
            (500.0, 600, 134.0, 80.4),
            (1000.0, 500, 39.0, 39.0),
        ] {
            let lost = drop(Milliamps::of(ma), Length::from_mm(mm), Ohms::of(per_km / 1000.0), Ohms::ZERO);
            assert!((lost.get() * 1000.0 - mv).abs() < 1e-9, "{lost}");
        }
    }

    #[test]
    fn contacts_count_and_the_share_is_of_the_outlet() {
        let lost = drop(Milliamps::of(1000.0), Length::from_mm(800), Ohms::of(0.085), CONTACTS);
        assert!((lost.get() - 0.166).abs() < 1e-12);
        let (left, share) = arrives(Volts::of(9.0), lost);
        assert!((left.get() - 8.834).abs() < 1e-12);
        assert!((share.get() - 0.166 / 9.0).abs() < 1e-12);
    }
}
