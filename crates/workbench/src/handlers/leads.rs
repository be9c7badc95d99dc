//! Leads.

use document::Family;
use maud::html;

use super::{Query, beside, kinds};
use crate::bench::{Bench, Read};
use crate::laid::{way, why_not};
use crate::pages::cuts::{Cuts, drawn_out, looms, near, since};
use crate::pages::frame::{Head, Page};
use crate::pages::lead::One;
use crate::pages::leads::{Leads, Row, Sort, plan};

pub(crate) fn page(bench: &Bench, head: Head, read: &Read, query: &Query) -> Page {
    let design = if query.quick { read.shown() } else { read.laid() };
    // A lead is asked for by its two ends, or by the number on its label.
    let id = |lead: &design::Lead| format!("{} > {}", lead.from.port, lead.to.port);
    let picked = query
        .get("lead")
        .and_then(|asked| design.leads.iter().find(|lead| lead.tag == asked || id(lead) == asked));
    // An edit is answered by the straight line; the ways are laid when the page asks again.
    let routes = design.is_laid().then(|| design.routes());
    let order = design::install_order(design);
    let batches = design::batches(design);
    let rows = design.leads.iter().enumerate().map(|(index, lead)| Row {
        lead,
        batch: batches.iter().find(|batch| batch.leads.contains(&index)).map(|batch| batch.number),
        making: design::making(&design.rig, lead),
        id: id(lead),
        way: routes.and_then(|routes| way(routes, &lead.tag)),
        why_not: routes.and_then(|routes| why_not(routes, &lead.tag)),
        turn: order.iter().position(|other| other.tag == lead.tag),
    });
    let leads = Leads {
        head: &head,
        rows: rows.collect(),
        picked: picked.map(id),
        sort: Sort::of(query.get("sort").unwrap_or("")),
        is_known: routes.is_some(),
        cables: kinds(&read.job, Family::Cable),
        plugs: kinds(&read.job, Family::Plug),
    };
    let one = picked.and_then(|lead| {
        Some(One { head: &head, lead, row: leads.rows.iter().find(|row| row.lead.tag == lead.tag)?, routes })
    });
    let main = (!query.quick).then(|| {
        html! {
            div.sheet.of-leads { (plan(&read.plan(None), one.as_ref())) }
            div.page {
                (leads.schedule())
                div.cols {
                    (looms(&head, design))
                    (near(&head, design.routes()))
                }
                (drawn_out(design))
                (Cuts { head: &head, read, cables: &design::cut_plans(design, &[]) }.html())
                (since(&head, read.since(bench, &head.job)))
            }
        }
    });
    let side = html! {
        (beside(&head, read, query.get("pick")))
        @if let Some(one) = &one { (one.html()) }
    };
    let tools = leads.tools();
    Page { tools, main, side, sums: None, head }
}
