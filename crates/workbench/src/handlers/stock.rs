//! The shop's stock: a cut plan is booked or taken back.

use axum::response::Response;
use store::{HistoryStep, STOCK};

use super::asked::Asked;
use crate::bench::Bench;
use crate::error::Refusal;
use crate::stock::Booked;

/// Books the cut plan in the shop's stock, or takes the last booking back.
pub(crate) async fn stock(asked: Asked) -> Result<Response, Refusal> {
    asked
        .done(|asked| {
            let said = match asked.form.get("what") {
                Some("back") => {
                    let back = crate::stock::restock(&asked.bench.store, HistoryStep::Undo)?;
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
            let written = bench.store.edit_anew(job, opened.state.version, &edit.name, |text| {
                document::edit::apply(text, &edit).map_err(|error| error.to_string())
            });
            if let Err(error) = written {
                // The document says nothing of it yet, so that there is nobody to follow.
                bench.store.step(STOCK, None, HistoryStep::Undo)?;
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
