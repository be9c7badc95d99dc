//! Leads.

use document::Family;

use super::{Query, beside, kinds};
use crate::bench::Read;
use crate::pages::frame::{Head, Page};
use crate::pages::leads::{Leads, Row};

pub(crate) fn page(head: Head, read: &Read, query: &Query) -> Page {
    let design = &read.design;
    // A lead is asked for by its two ends, or by the number on its label.
    let id = |lead: &design::Lead| format!("{} > {}", lead.from.port, lead.to.port);
    let picked = query
        .get("lead")
        .and_then(|asked| design.leads.iter().find(|lead| lead.tag == asked || id(lead) == asked))
        .map(id);
    let leads = Leads {
        head: &head,
        rows: design
            .leads
            .iter()
            .map(|lead| Row { lead, making: design::making(&design.rig, lead), id: id(lead) })
            .collect(),
        picked: picked.as_deref(),
        cables: kinds(&read.job, Family::Cable),
        plugs: kinds(&read.job, Family::Plug),
    };
    let (tools, main) = (leads.tools(), leads.main());
    let side = beside(&head, read, query.get("pick"));
    Page { tools, main: Some(main), side, sums: None, head }
}
