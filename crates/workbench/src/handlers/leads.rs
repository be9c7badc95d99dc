//! Leads.

use document::Family;
use maud::html;

use super::{Query, beside, kinds};
use crate::bench::Bench;
use crate::laid::{ways, why_not};
use crate::pages::cuts::{Cuts, drawn_out, looms, near, since};
use crate::pages::frame::{Head, Page};
use crate::pages::lead::One;
use crate::pages::leads::{Leads, Row, Sort, plan};
use crate::read::Read;

pub(crate) fn page(bench: &Bench, head: Head, read: &Read, query: &Query) -> Page {
    let design = if query.quick { read.shown() } else { read.laid() };
    // A lead is asked for by its two ends, or by the number on its label.
    let id = |lead: &design::Lead| lead.name.clone();
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
        making: lead.making,
        id: id(lead),
        ways: routes.map(|routes| ways(routes, lead)).unwrap_or_default(),
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
        Some(One {
            head: &head,
            lead,
            row: leads.rows.iter().find(|row| row.lead.tag == lead.tag)?,
            routes,
            design,
        })
    });
    let main = (!query.quick).then(|| {
        let shelf = crate::stock::shelf_of(bench.store.folder(), &head.job);
        let trouble = shelf.as_ref().err().map(ToString::to_string);
        let shelf = shelf.unwrap_or_default();
        let cuts = design::cut_plans(design, &shelf);
        let cut = design::booked(design, &shelf);
        let booked = crate::stock::last_booking(&bench.store);
        let has_stock = !shelf.cable.is_empty();
        html! {
            div.sheet.of-leads { (plan(&read.plan(None), one.as_ref())) }
            div.page {
                (leads.schedule())
                div.cols {
                    (looms(&head, design))
                    (near(&head, design.routes()))
                }
                (drawn_out(design))
                (Cuts { head: &head, design, cables: &cuts, cut, trouble, booked, has_stock }.html())
                (since(&head, read.since(|| bench.last_frozen(&head.job))))
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
