//! Minutes by operation: planned by the rate table, refined by what the shop logged.

use crate::{Act, Prices, Rounding, Stage, mul_div_rounded};

/// How many of an operation the plan weighs as much as: five logged ones count as much as the plan, fifty nearly decide.
/// *Common practice, no source* (a mean drawn towards what was expected before).
pub const PRIOR_UNITS: u32 = 5;

/// One operation with its minutes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkLine {
    /// The operation.
    pub operation: String,
    /// What it is.
    pub title: String,
    /// Where a client reads it.
    pub stage: Stage,
    /// How often.
    pub units: u32,
    /// Minutes planned for all.
    pub planned: u32,
    /// Minutes that the shop logged.
    pub logged: u32,
    /// How often it was done in them.
    pub logged_units: u32,
    /// Minutes counted on: the plan, refined.
    pub minutes: u32,
}

/// Every operation with its minutes.
///
/// The minutes of one are `(K·p + M) / (K + N)`: p planned, M logged over N of them, K = [`PRIOR_UNITS`]. What a job
/// takes is that many times its units, rounded to a whole minute once.
pub fn work(acts: &[Act], prices: &Prices) -> Vec<WorkLine> {
    acts.iter()
        .map(|act| {
            let rate = prices.rates.iter().find(|rate| rate.operation == act.operation);
            let planned = rate.map_or(act.minutes, |rate| rate.minutes.saturating_mul(act.units));
            let of_it = prices.logged.iter().filter(|logged| logged.operation == act.operation);
            let (logged, logged_units) = of_it.fold((0_u32, 0_u32), |(minutes, units), logged| {
                (minutes.saturating_add(logged.minutes), units.saturating_add(logged.units))
            });
            let all = i128::from(PRIOR_UNITS) + i128::from(logged_units);
            let sum =
                i128::from(PRIOR_UNITS) * i128::from(planned) + i128::from(logged) * i128::from(act.units);
            let minutes = if logged_units == 0 {
                planned
            } else {
                u32::try_from(mul_div_rounded(1, sum, all, Rounding::HalfUp)).unwrap_or(u32::MAX)
            };
            WorkLine {
                operation: act.operation.clone(),
                title: act.title.clone(),
                stage: act.stage,
                units: act.units,
                planned,
                logged,
                logged_units,
                minutes,
            }
        })
        .collect()
}
