//! Build.

use super::{Query, beside};
use crate::bench::Bench;
use crate::building::Order;
use crate::pages::build::Build;
use crate::pages::frame::{Head, Page};
use crate::read::Read;

pub(crate) fn page(bench: &Bench, head: Head, read: &Read, query: &Query) -> Page {
    // What is cut is cut by the way that a lead is laid, never by an estimate.
    let design = read.laid();
    let building = read.building();
    // Ticks that cannot be read are shown as none; the next tick tells why.
    let ticks = bench.store.ticks(&head.job).unwrap_or_default();
    let order = Order::new(design, building, &ticks, stops(read));
    let asked = query.get("act").and_then(|number| number.parse::<usize>().ok());
    let at = asked.map_or_else(
        || order.next(),
        |number| number.saturating_sub(1).min(order.steps.len().saturating_sub(1)),
    );
    // The order is put together once more by what did not make it.
    let obstacles = verdict::assembled(design, &order.steps);
    let build = Build { head: &head, design, order, at, stops: stops(read), obstacles: &obstacles };
    let tools = build.tools();
    let main = if query.get("all").is_some() { build.all() } else { build.main() };
    let side = beside(&head, read, None);
    Page { tools, main: Some(main), side, sums: None, head }
}

/// How many stops are open.
pub(crate) fn stops(read: &Read) -> usize {
    crate::pages::findings::open(read.all_findings())[0]
}
