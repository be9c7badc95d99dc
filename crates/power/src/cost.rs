//! The objective term by term, with names, units, values and bounds, for whoever wants to reckon it again.
//!
//! `docs/power-cost.md` explains each name; a test holds the two together.

use crate::energy::EFFICIENCY;
use crate::input::{PPM, STRONG_UA, USUAL_MV, milliamps};
use crate::lead_drop::{CONTACTS_UOHM, PULL};
use crate::mains::POWER_FACTOR;
use crate::outcome::{LookKind, Outcome};
use crate::wire::{Assumptions, Cost, Limits, Term};

/// The terms in their order: each is made as small (or wide) as can be before the next is looked at.
pub(crate) fn cost(outcome: &Outcome) -> Cost {
    let (found, bound) = (&outcome.objective, &outcome.bound);
    let term = |name, unit, better, is: Option<i64>, bound: Option<i64>| Term {
        name,
        unit,
        better,
        is,
        bound,
        proven: is == bound,
    };
    let rules = &outcome.rules;
    Cost {
        terms: vec![
            term("without_feed", "devices", "less", Some(outcome.missing), Some(outcome.missing_bound)),
            term("looks", "findings", "less", Some(found.looks), Some(bound.looks)),
            term("special_leads", "leads", "less", Some(found.special), Some(bound.special)),
            term("margin", "permille", "more", Some(found.margin_permille), Some(bound.margin_permille)),
            term("length", "mm", "less", found.length_mm, bound.length_mm),
        ],
        // Each counts one.
        look_weights: LookKind::ALL.iter().map(|kind| (kind.word(), 1)).collect(),
        limits: Limits {
            outlet_load_look_ratio: ratio(rules.outlet_look_ppm),
            outlet_load_stop_ratio: ratio(rules.outlet_stop_ppm),
            brick_load_look_ratio: ratio(rules.brick_look_ppm),
            brick_load_stop_ratio: ratio(rules.brick_stop_ppm),
            surge_factor_ratio: ratio(rules.surge_ppm),
            shared_analogue_look_ma: milliamps(rules.shared_look_ua),
            outlet_share_most: rules.share_most,
            supply_drop_look_ratio: ratio(rules.drop_look_ppm),
        },
        assumptions: Assumptions {
            usual_v: crate::assignment::real(USUAL_MV) / 1000.0,
            strong_ma: milliamps(STRONG_UA),
            efficiency_ratio: EFFICIENCY.get(),
            power_factor_ratio: POWER_FACTOR.get(),
            contacts_ohm: crate::assignment::real(CONTACTS_UOHM) / 1e6,
            pull_ratio: PULL,
        },
    }
}

/// Millionths as a ratio.
pub(crate) fn ratio(ppm: i64) -> f64 {
    crate::assignment::real(ppm) / crate::assignment::real(PPM)
}
