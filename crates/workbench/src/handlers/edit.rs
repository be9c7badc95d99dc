//! Edits, undo, redo and ticks. A form without script is answered by a page, the script by fragments.

use axum::http::HeaderMap;
use axum::response::Response;
use store::HistoryStep;

use super::asked::{Asked, answer, base};
use crate::act::Form;
use crate::bench::Bench;
use crate::error::Refusal;

pub(crate) async fn edit(asked: Asked) -> Result<Response, Refusal> {
    asked.done(|asked| make(&asked.bench, &asked.job, &asked.headers, &asked.form)).await
}

/// Makes the edit a form asks for and answers with the page it came from.
pub(crate) fn make(bench: &Bench, job: &str, headers: &HeaderMap, form: &Form) -> Result<Response, Refusal> {
    let base = base(form)?;
    let opened = bench.look(job)?;
    if opened.state.version != base {
        return Err(store::StoreError::Stale { base, now: opened.state.version }.into());
    }
    let edit =
        crate::acts::edit(&opened.state.text, opened.read.as_ref().ok(), form).map_err(Refusal::senseless)?;
    let client = form.get("client").unwrap_or("");
    let done = bench.edit(job, base, client, &edit)?;
    Ok(answer(bench, &done.opened, form, headers, Some(&done.said(&edit.name))))
}

async fn step(asked: Asked, step: HistoryStep) -> Result<Response, Refusal> {
    asked
        .done(move |asked| {
            let done = asked.bench.step(&asked.job, Some(asked.base()?), asked.client(), step)?;
            let said = if step == HistoryStep::Undo { "taken back" } else { "made again" };
            Ok(asked.answer(&done.opened, Some(&done.said(said))))
        })
        .await
}

pub(crate) async fn undo(asked: Asked) -> Result<Response, Refusal> {
    step(asked, HistoryStep::Undo).await
}

pub(crate) async fn redo(asked: Asked) -> Result<Response, Refusal> {
    step(asked, HistoryStep::Redo).await
}

pub(crate) async fn tick(asked: Asked) -> Result<Response, Refusal> {
    asked
        .done(|asked| {
            let step = asked.form.need("step").map_err(Refusal::senseless)?;
            let opened = asked.bench.look(&asked.job)?;
            // A tick belongs to an act of this work order; anything else would only fill the journal.
            let known = opened.read.as_ref().is_ok_and(|read| {
                design::work_order(&read.design)
                    .iter()
                    .any(|stage| stage.steps.iter().any(|act| act.id == step))
            });
            if !known {
                return Err(Refusal::missing("that act is no longer in the work order"));
            }
            let done = asked.form.get("done") == Some("yes");
            asked.bench.tick(&asked.job, asked.client(), step, done)?;
            Ok(asked.answer(&opened, None))
        })
        .await
}
