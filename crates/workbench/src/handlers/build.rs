//! Build.

use super::{Query, beside};
use crate::bench::Bench;
use crate::pages::build::Build;
use crate::pages::frame::{Head, Page};
use crate::read::Read;

pub(crate) fn page(bench: &Bench, head: Head, read: &Read, query: &Query) -> Page {
    let stages = design::work_order(read.shown());
    // Ticks that cannot be read are shown as none; the next tick tells why.
    let ticks = bench.store.ticks(&head.job).unwrap_or_default();
    let ticks: std::collections::BTreeMap<_, _> =
        ticks.into_iter().map(|tick| (tick.step.clone(), tick)).collect();
    let steps: Vec<&design::Step> = stages.iter().flat_map(|stage| &stage.steps).collect();
    let asked = query.get("act").and_then(|number| number.parse::<usize>().ok());
    let at = match asked {
        Some(number) => number.saturating_sub(1).min(steps.len().saturating_sub(1)),
        // Where work goes on: the first act that is not done.
        None => steps.iter().position(|step| !ticks.get(&step.id).is_some_and(|tick| tick.done)).unwrap_or(0),
    };
    let build = Build { head: &head, design: read.shown(), stages: &stages, ticks, at };
    let tools = build.tools();
    let main = if query.get("all").is_some() { build.all() } else { build.main() };
    let side = beside(&head, read, None);
    Page { tools, main: Some(main), side, sums: None, head }
}
