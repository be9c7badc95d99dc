//! Papers: the previews.

use super::{Query, beside};
use crate::bench::Bench;
use crate::pages::frame::{Head, Page};
use crate::pages::papers::Sheets;
use crate::read::Read;

pub(crate) fn page(bench: &Bench, head: Head, read: &Read, query: &Query) -> Page {
    let mut papers = bench.papers.list();
    if read.prices.is_some() {
        papers.extend(bench.papers.of_money());
    }
    let shown = query
        .get("sheet")
        .and_then(|name| papers.iter().find(|paper| paper.name == name))
        .or(papers.first())
        .copied();
    let sheets = Sheets {
        head: &head,
        shown,
        open: head.open,
        stamp: read.inputs.chars().take(12).collect(),
        papers,
        // A list that cannot be read is shown as none; freezing then tells why.
        is_priced: read.prices.is_some(),
        revisions: bench.store.revisions(&head.job).unwrap_or_default(),
        by: read.design.rig.job.drawn_by.clone(),
    };
    let (tools, main) = (sheets.tools(), sheets.main());
    let side = beside(&head, read, None);
    Page { tools, main: Some(main), side, sums: None, head }
}
