//! The most that a board may weigh.

use design::Design;
use finding::{Evidence, Field};
use quantity::Grams;

use super::unmet::{Found, Unmet};
use crate::asked::Asked;
use crate::compare::over;
use crate::words::shown;

/// The sum of what is known is not over the limit.
pub(super) fn judge(design: &Design, most: Grams, cased: bool, asked: &mut Asked) -> Found {
    let case = Field::new(["board", "case", "mass"]);
    let items = design.mass.items.iter().filter(|item| cased || item.field != case);
    let sum: Grams = items.filter_map(|item| asked.value(item.mass, item.field.clone())).sum();
    if over(sum, most) {
        let least = if asked.complete() { "" } else { "at least " };
        return Err(Unmet::new(format!("it weighs {least}{}", shown(sum)), Evidence::at_most(sum, most)));
    }
    Ok(())
}
