//! Power.

use super::{Query, beside};
use crate::pages::allocate::Allocate;
use crate::pages::frame::{Head, Page};
use crate::pages::power::Power;
use crate::read::Read;

pub(crate) fn page(head: Head, read: &Read, query: &Query) -> Page {
    let picked = query.get("pick");
    let allocate = (!head.later).then(|| allocation(read));
    let power = Power { head: &head, design: &read.design, picked, allocate };
    let (tools, main) = (power.tools(), power.main());
    let side = beside(&head, read, picked);
    Page { tools, main: Some(main), side, sums: None, head }
}

fn allocation(read: &Read) -> Allocate<'_> {
    let input = read.design.power_input();
    let stated = power::stated(input);
    let now = power::verify::verify(input, &stated);
    let outcome = read.allocation();
    Allocate {
        outcome,
        now: power::measure(input, &stated),
        broken: now.breaches.len(),
        unfed: now.unfed.len(),
        changes: power::edits(outcome).changes.len(),
    }
}
