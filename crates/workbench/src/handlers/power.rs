//! Power.

use super::{Query, beside};
use crate::bench::Read;
use crate::pages::frame::{Head, Page};
use crate::pages::power::Power;

pub(crate) fn page(head: Head, read: &Read, query: &Query) -> Page {
    let picked = query.get("pick");
    let power = Power { head: &head, design: &read.design, picked };
    let (tools, main) = (power.tools(), power.main());
    let side = beside(&head, read, picked);
    Page { tools, main: Some(main), side, sums: None, head }
}
