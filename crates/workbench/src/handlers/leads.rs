//! Leads.

use axum::response::Response;
use document::Family;
use maud::html;
use store::Direction;

use super::asked::Asked;
use super::{Query, beside, kinds};
use crate::bench::{Bench, Read};
use crate::error::Refusal;
use crate::laid::{ways, why_not};
use crate::pages::cuts::{Cuts, drawn_out, looms, near, since};
use crate::pages::frame::{Head, Page};
use crate::pages::lead::One;
use crate::pages::leads::{Leads, Row, Sort, plan};
use crate::stock::Booked;

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

/// Books the cut plan in the shop's stock, or takes the last booking back.
pub(crate) async fn stock(asked: Asked) -> Result<Response, Refusal> {
    asked
        .done(|asked| {
            let said = match asked.form.get("what") {
                Some("back") => {
                    let back = crate::stock::restock(&asked.bench.store, Direction::Back)?;
                    let behind = back
                        .behind
                        .iter()
                        .map(|(job, why)| format!("; {job} still says that they are cut: {why}"));
                    format!("taken back: {}{}", back.name, behind.collect::<String>())
                }
                _ => {
                    crate::numbers::issue(&asked.bench, &asked.job)?;
                    book(&asked.bench, &asked.job)?
                }
            };
            Ok(asked.answer(&*asked.bench.look(&asked.job)?, Some(&said)))
        })
        .await
}

fn book(bench: &Bench, job: &str) -> Result<String, Refusal> {
    let opened = bench.look(job)?;
    let read = opened.read.as_ref().map_err(|trouble| Refusal::senseless(trouble.said.clone()))?;
    let shelf = crate::stock::shelf_of(bench.store.folder(), job)
        .map_err(|error| Refusal::senseless(error.to_string()))?;
    let design = read.laid();
    let cuts = design::cut_plans(design, &shelf);
    match crate::stock::book(&bench.store, job, design, &cuts)? {
        Booked::Done(name, cut, left) => {
            let edit = design::cut_edit(&design.rig, &cut, true);
            let written = bench.store.edit_anew(job, opened.state.revision, &edit.name, |text| {
                document::edit::apply(text, &edit).map_err(|error| error.to_string())
            });
            if let Err(error) = written {
                crate::stock::restock(&bench.store, Direction::Back)?;
                return Err(error.into());
            }
            Ok(format!("booked: {name}{}", crate::stock::left_uncut(&left)))
        }
        Booked::Nothing => Err(Refusal::senseless("nothing to book: every lead that is made here is cut")),
        Booked::Short(leads) => {
            Err(Refusal::senseless(format!("no cable is long enough for {}", leads.join(", "))))
        }
    }
}
