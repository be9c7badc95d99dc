//! Edits, undo, redo and ticks. A form without script is answered by a page, the script by fragments.

use axum::Json;
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Redirect, Response};
use store::Direction;

use super::asked::Asked;
use super::place::{has, page, wants_data};
use super::{Query, unit_of};
use crate::act::Form;
use crate::bench::{Bench, Opened};
use crate::error::Refusal;
use crate::pages::frame::Place;

pub(crate) type Pairs = Vec<(String, String)>;

/// Where the page stood that asked, as place and query; an address of another job or site counts as none.
pub(crate) fn here(job: &str, form: &Form) -> (Place, Query) {
    let found = form.get("here").and_then(|here| {
        let rest = here.strip_prefix("/job/")?.strip_prefix(job)?.strip_prefix('/')?;
        let (place, query) = rest.split_once('?').unwrap_or((rest, ""));
        Some((Place::of(place)?, Query::of(query)))
    });
    found.unwrap_or((Place::Deck, Query::default()))
}

/// The answer after something was done.
pub(crate) fn answer(
    bench: &Bench,
    opened: &Opened,
    form: &Form,
    headers: &HeaderMap,
    said: Option<&str>,
) -> Response {
    let (place, mut query) = here(&opened.name, form);
    if wants_data(headers) {
        query.quick = true;
        let page = page(bench, opened, place, &query, unit_of(headers));
        return Json(page.data(&has(headers), said)).into_response();
    }
    let job = crate::pages::value::query(&opened.name);
    let mark = if query.raw.is_empty() { "" } else { "?" };
    Redirect::to(&format!("/job/{job}/{}{mark}{}", place.word(), query.raw)).into_response()
}

pub(crate) fn base(form: &Form) -> Result<u64, Refusal> {
    form.get("base")
        .and_then(|base| base.parse().ok())
        .ok_or_else(|| Refusal::senseless("an edit says which revision it was made on"))
}

pub(crate) async fn edit(asked: Asked) -> Result<Response, Refusal> {
    asked.done(|asked| make(&asked.bench, &asked.job, &asked.headers, &asked.form)).await
}

/// Makes the edit a form asks for and answers with the page it came from.
pub(crate) fn make(bench: &Bench, job: &str, headers: &HeaderMap, form: &Form) -> Result<Response, Refusal> {
    let base = base(form)?;
    let opened = bench.look(job)?;
    if opened.state.revision != base {
        return Err(store::StoreError::Stale { base, now: opened.state.revision }.into());
    }
    let edit =
        crate::acts::edit(&opened.state.text, opened.read.as_ref().ok(), form).map_err(Refusal::senseless)?;
    let client = form.get("client").unwrap_or("");
    let done = bench.edit(job, base, client, &edit)?;
    Ok(answer(bench, &done.opened, form, headers, Some(&done.said(&edit.name))))
}

async fn step(asked: Asked, direction: Direction) -> Result<Response, Refusal> {
    asked
        .done(move |asked| {
            let done = asked.bench.step(&asked.job, Some(asked.base()?), asked.client(), direction)?;
            let said = if direction == Direction::Back { "taken back" } else { "made again" };
            Ok(asked.answer(&done.opened, Some(&done.said(said))))
        })
        .await
}

pub(crate) async fn undo(asked: Asked) -> Result<Response, Refusal> {
    step(asked, Direction::Back).await
}

pub(crate) async fn redo(asked: Asked) -> Result<Response, Refusal> {
    step(asked, Direction::Forth).await
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
