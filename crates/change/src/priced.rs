//! What carrying a change out costs.

use design::Design;
use estimate::{Act, Discount, Need, PartsOnHand, Prices, Quote, Terms};

/// The quote of what a change needs and what work it is, at the prices of the design after it.
///
/// A discount was agreed on the whole and not on what comes later: it is not taken off, and a change has no number
/// of its own.
pub fn quote(after: &Design, what: (&[Need], &[Act]), prices: &Prices, on_hand: &PartsOnHand) -> Quote {
    let terms = Terms {
        margin: after.rig.quote.margin,
        number: None,
        discount: Discount::None,
        ..design::terms(after, &prices.currency)
    };
    estimate::quote(&estimate::Input {
        needs: what.0,
        acts: what.1,
        prices,
        on_hand,
        terms: &terms,
        choices: &[],
    })
}
