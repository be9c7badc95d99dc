//! What a direct-current lead loses along the way, and how much of that is too much. The search and the findings both ask
//! here, so they say the same.

use quantity::{Length, Ohms, Ratio, Volts};
use rig::{FeedKind, Limits};

use crate::millionths::PPM;

/// What the contacts of both plugs add together, in microohms: 30 mΩ. *Common practice, no source.*
pub(crate) const CONTACTS_UOHM: i64 = 30_000;

/// How much longer than the straight line a laid lead comes out: along the axes instead of across,
/// at most √2 in the plane (geometry), rounded up for bends (common practice, no source).
pub const PULL: f64 = 1.5;

/// Cable used up inside the two plugs. *Common practice, no source.*
const INSIDE: Length = Length::from_mm(40);

/// The length that a supply lead is counted with as long as it is not made: the straight line between its ports times
/// [`PULL`], what its plugs take up, slack, rounded up. No route is laid for it, so that an outlet can be judged before
/// anything hangs on it.
pub fn estimated(limits: &Limits, straight: Length) -> Length {
    let way = Length::from_mm_rounded(straight.as_mm() * PULL);
    let slack =
        limits.plug_allowance_least.max(Length::from_mm_rounded(way.as_mm() * limits.slack_share.get()));
    let (whole, step) = ((way + INSIDE + slack).nm(), limits.cut_rounding.nm());
    if step <= 0 {
        return Length::from_nm(whole);
    }
    Length::from_nm(((whole + step - 1).div_euclid(step)).saturating_mul(step))
}

/// The resistance of both conductors of a lead, in whole microohms: 2 · l · r.
#[expect(clippy::cast_possible_truncation, reason = "rounded and clamped to what an i64 holds")]
pub fn loop_uohm(length: Length, per_metre: Ohms) -> i64 {
    const MM_PER_METRE: f64 = 1000.0;
    let micro = 2.0 * length.as_mm() / MM_PER_METRE * per_metre.get() * 1e6;
    micro.round().clamp(0.0, 9e15) as i64
}

/// What a feed loses, in whole picovolts: all the current of the outlet along the device's own lead.
///
/// `loops` are the resistances of the leads from its outlets. Both legs of a series pair carry the whole current one after
/// the other; those of a parallel pair half of it each. Where devices share an outlet the current of all of them is counted
/// along the whole way, since nobody knows yet where the lead branches (Ohm's law).
pub fn lost_pv(kind: FeedKind, current_ua: i64, loops: &[i64]) -> i128 {
    let sum: i128 = loops.iter().map(|&uohm| i128::from(uohm)).sum();
    let (current, contacts) = (i128::from(current_ua), i128::from(CONTACTS_UOHM));
    match kind {
        FeedKind::ParallelPair => current * (sum + 2 * contacts) / 4,
        FeedKind::Single | FeedKind::SeriesPair | FeedKind::Adaptor => current * (sum + contacts),
    }
}

/// What is to be said of a loss.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grade {
    /// Nothing.
    Fine,
    /// More than the share of the voltage that deserves a look.
    Look,
    /// The device is left further below its window than that share.
    Stop,
}

/// A loss along a lead beside what it is judged by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Loss {
    /// The loss, in picovolts.
    pub lost_pv: i128,
    /// The voltage at the outlet, of a pair together, in millivolts.
    pub given_mv: i64,
    /// The lower end of the device's window, in millivolts.
    pub low_mv: i64,
    /// The share of the voltage that deserves a look, in millionths.
    pub look_ppm: i64,
}

impl Loss {
    /// What is to be said of it.
    pub fn grade(self) -> Grade {
        const PV_PER_MV: i128 = 1_000_000_000;
        let (ppm, look) = (i128::from(PPM), i128::from(self.look_ppm));
        let given = i128::from(self.given_mv) * PV_PER_MV;
        let low = i128::from(self.low_mv) * PV_PER_MV;
        if self.low_mv <= self.given_mv && (given - self.lost_pv) * ppm < low * (ppm - look) {
            Grade::Stop
        } else if given * look < self.lost_pv * ppm {
            Grade::Look
        } else {
            Grade::Fine
        }
    }
}

/// Picovolts as a voltage.
pub fn volts_from_picovolts(picovolts: i128) -> Volts {
    let micro = i64::try_from(picovolts / 1_000_000).unwrap_or(i64::MAX);
    Volts::new(crate::assignment::real(micro) / 1e6).unwrap_or_default()
}

/// What is left of an outlet's voltage at the device.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arrival {
    /// The voltage at the device.
    pub volts: Volts,
    /// The loss as a share of the outlet's voltage.
    pub lost_share: Ratio,
}

/// What arrives of an outlet's voltage where some of it is lost.
pub fn arrives(outlet: Volts, lost: Volts) -> Arrival {
    Arrival { volts: outlet - lost, lost_share: Ratio::new(lost / outlet).unwrap_or_default() }
}

#[cfg(test)]
mod tests {
    use quantity::Milliamps;

    use super::*;

    /// The voltage lost along a lead: both conductors carry the current there and back, and the contacts add to it.
    ///
    /// ΔU = I · (2 · l · r + R), with r the resistance of one metre of one conductor (Ohm's law; r from the cable's record,
    /// for copper at 20 °C).
    fn voltage_drop(current: Milliamps, length: Length, per_metre: Ohms, contacts: Ohms) -> Volts {
        const MM_PER_METRE: f64 = 1000.0;
        const MILLIAMPS_PER_AMP: f64 = 1000.0;
        let loop_ohms = per_metre.get() * 2.0 * length.as_mm() / MM_PER_METRE + contacts.get();
        Volts::new(current.get() / MILLIAMPS_PER_AMP * loop_ohms).unwrap_or_default()
    }

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
            let (length, per_metre) = (Length::from_mm(mm), Ohms::of(per_km / 1000.0));
            let lost = voltage_drop(Milliamps::of(ma), length, per_metre, Ohms::ZERO);
            assert!((lost.get() * 1000.0 - mv).abs() < 1e-9, "{lost}");
            let current = crate::from_rig::microamps(Milliamps::of(ma));
            let whole = lost_pv(FeedKind::Single, current, &[loop_uohm(length, per_metre) - CONTACTS_UOHM]);
            assert!((volts_from_picovolts(whole).get() * 1000.0 - mv).abs() < 1e-3, "{whole}");
        }
    }

    #[test]
    fn contacts_count_and_the_share_is_of_the_outlet() {
        let lost =
            voltage_drop(Milliamps::of(1000.0), Length::from_mm(800), Ohms::of(0.085), Ohms::of(0.030));
        assert!((lost.get() - 0.166).abs() < 1e-12);
        let arrival = arrives(Volts::of(9.0), lost);
        assert!((arrival.volts.get() - 8.834).abs() < 1e-12);
        assert!((arrival.lost_share.get() - 0.166 / 9.0).abs() < 1e-12);
    }

    /// 1 A along 0.2 Ω and 0.03 Ω of contacts loses 0.23 V: 2.56 % of 9 V. Two such legs in series 0.43 V, in parallel,
    /// half the current along each and its contacts, 0.115 V.
    #[test]
    fn pairs_add_up_or_halve_and_the_grade_follows_the_window() {
        let one = lost_pv(FeedKind::Single, 1_000_000, &[200_000]);
        assert_eq!(one, 230_000_000_000);
        assert_eq!(lost_pv(FeedKind::SeriesPair, 1_000_000, &[200_000; 2]), 430_000_000_000);
        assert_eq!(lost_pv(FeedKind::ParallelPair, 1_000_000, &[200_000; 2]), 115_000_000_000);
        let loss = Loss { lost_pv: one, given_mv: 9000, low_mv: 9000, look_ppm: 25_000 };
        assert_eq!(loss.grade(), Grade::Stop);
        assert_eq!(Loss { low_mv: 8000, ..loss }.grade(), Grade::Look);
        assert_eq!(Loss { look_ppm: 30_000, ..loss }.grade(), Grade::Fine);
    }

    /// 400 mm straight: 600 mm laid, 40 mm in the plugs, a tenth of slack, 700 mm.
    #[test]
    fn a_lead_is_estimated_longer_than_the_straight_line() {
        assert_eq!(estimated(&Limits::default(), Length::from_mm(400)), Length::from_mm(700));
        assert_eq!(estimated(&Limits::default(), Length::ZERO), Length::from_mm(65));
    }
}
