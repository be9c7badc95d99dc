//! A change with its money.

use change::RevisionChange;
use estimate::{Money, Prices, Quote, QuoteDifference};

/// A change with its money.
#[derive(Debug)]
pub(crate) struct Compared {
    pub(crate) change: RevisionChange,
    /// What carrying it out costs.
    pub(crate) quote: Quote,
    /// The whole job before and after, each at the prices of its day.
    pub(crate) whole: [Quote; 2],
    /// The whole job before at the prices of the job after.
    pub(crate) repriced: Quote,
    /// The prices of the job after.
    pub(crate) prices: Prices,
    /// Whether the shop has prices.
    pub(crate) is_priced: bool,
}

impl Compared {
    /// The difference of the whole job quoted anew.
    pub(crate) fn difference(&self) -> QuoteDifference {
        estimate::difference(&self.whole[0], &self.whole[1])
    }

    /// What of that comes from prices alone.
    pub(crate) fn price_rise(&self) -> Money {
        self.repriced.totals.to_pay - self.whole[0].totals.to_pay
    }
}
