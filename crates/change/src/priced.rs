//! What carrying a change out costs.

use design::Design;
use estimate::{Discount, PartsOnHand, Prices, Quote, Terms};

use crate::RevisionChange;

/// The quote of a change, at the prices of the design after it.
///
/// A discount was agreed on the whole and not on what comes later: it is not taken off, and a change has no number
/// of its own.
pub fn quote(after: &Design, change: &RevisionChange, prices: &Prices, on_hand: &PartsOnHand) -> Quote {
    let terms = Terms {
        margin: after.rig.quote.margin,
        number: None,
        discount: Discount::None,
        ..design::terms(after, &prices.currency)
    };
    estimate::quote(&estimate::Input {
        needs: &change.needs,
        acts: &change.acts,
        prices,
        on_hand,
        terms: &terms,
        choices: &[],
    })
}
