//! Test: the test sheet with what was found, and recordings of the board beside their prediction.

use super::{Query, beside};
use crate::bench::Bench;
use crate::pages::frame::{Head, Page};
use crate::pages::test::Test;
use crate::read::Read;

pub(crate) fn page(bench: &Bench, head: Head, read: &Read, query: &Query) -> Page {
    let design = read.laid();
    // Answers that cannot be read are shown as none; the next one tells why.
    let record = crate::tested::record(&bench.store, &head.job, design)
        .unwrap_or_else(|_| design::TestRecord::new(design, &[]));
    let takes = bench.takes(&head.job, read);
    let findings = beside(&head, read, None);
    let states = design::recorded_states(design);
    let test = Test {
        head: &head,
        record: &record,
        takes: &takes,
        states: &states,
        only: query.get("rows").unwrap_or("all"),
        picked: query.get("take"),
        before: query.get("before"),
    };
    let (tools, main, side, sums) = (test.tools(), test.main(), test.side(&findings), test.sums());
    Page { tools, main: Some(main), side, sums: Some(sums), head }
}
