//! Leads.

use document::Family;

use super::{Query, beside, kinds};
use crate::bench::Read;
use crate::pages::frame::{Head, Page};
use crate::pages::leads::{Leads, Row};

pub(crate) fn page(head: Head, read: &Read, query: &Query) -> Page {
    let design = &read.design;
    let leads = Leads {
        head: &head,
        rows: design
            .leads
            .iter()
            .map(|lead| Row {
                lead,
                making: design::making(&design.rig, lead),
                id: format!("{} > {}", lead.from.port, lead.to.port),
            })
            .collect(),
        picked: query.get("lead"),
        cables: kinds(&read.job, Family::Cable),
        plugs: kinds(&read.job, Family::Plug),
    };
    let (tools, main) = (leads.tools(), leads.main());
    let side = beside(&head, read, query.get("pick"));
    Page { tools, main: Some(main), side, sums: None, head }
}
