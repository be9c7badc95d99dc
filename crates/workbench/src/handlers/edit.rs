//! Edits, undo, redo and ticks. A form without script is answered by a page, the script by fragments.

use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;
use store::HistoryStep;

use super::asked::{Asked, answer, base};
use super::build::stops;
use super::unit_of;
use crate::act::Form;
use crate::bench::Bench;
use crate::building::{Bar, Order, mark, ticks_of};
use crate::error::Refusal;
use crate::read::Opened;
use crate::units::{Fine, in_unit};

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
    let mut edit =
        crate::acts::edit(&opened.state.text, opened.read.as_ref().ok(), form).map_err(Refusal::senseless)?;
    // A run that leaves a jack which another run leaves goes along one lead with it.
    if let (Some("run"), Some(name)) = (form.get("act"), form.get("name"))
        && let Ok(after) = document::edit::apply(&opened.state.text, &edit)
        && let Ok(read) = bench.read(job, &after)
        && let Some(joint) = verdict::joint_of_run(&read.design.rig, name.trim())
    {
        edit.changes.extend(joint.changes);
        edit.name = format!("{}, along one Y lead", edit.name);
    }
    let client = form.get("client").unwrap_or("");
    let done = bench.edit(job, base, client, &edit)?;
    let said = in_unit(&crate::said::done(&edit.name), unit_of(headers), Fine::Tape);
    Ok(answer(bench, &done.opened, form, headers, Some(&done.said(&said))))
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
            let is_done = asked.form.get("done") == Some("yes");
            set_tick(asked, &opened, step, is_done)?;
            Ok(asked.answer(&opened, None))
        })
        .await
}

/// Sets or takes away the tick of an act. It belongs to an act of this work order, anything else would only fill the
/// journal; and it is set only where nothing keeps the act from being done.
fn set_tick(asked: &Asked, opened: &Opened, id: &str, is_done: bool) -> Result<(), Refusal> {
    let gone = || Refusal::missing("that act is no longer in the work order");
    let Ok(read) = &opened.read else { return Err(gone()) };
    let design = read.laid();
    let building = read.building();
    let at = building.steps().position(|step| step.id == id).ok_or_else(gone)?;
    let ticks = asked.bench.store.ticks(&asked.job)?;
    let order = Order::new(design, building, &ticks, stops(read));
    let step = order.steps[at];
    if let Some(bar) = order.bar(at).filter(|_| is_done) {
        return Err(Refusal::new(StatusCode::CONFLICT, bar_words(&bar, &order)));
    }
    let mark = mark(step);
    if is_done {
        asked.bench.tick(&asked.job, asked.client(), &mark, true)?;
    }
    // What it was done for before holds no more.
    for old in ticks_of(step, &ticks).filter(|tick| !is_done || tick.step != mark) {
        asked.bench.tick(&asked.job, asked.client(), &old.step, false)?;
    }
    Ok(())
}

fn bar_words(bar: &Bar, order: &Order<'_>) -> String {
    match bar {
        Bar::Hold(at) => format!(
            "act {} is a hold, and nobody has looked yet: {}",
            at + 1,
            order.steps.get(*at).map_or("", |step| step.text.as_str())
        ),
        Bar::Stops(stops) => crate::pages::build::stops_words(*stops),
        Bar::Lengths(all) => {
            let said: Vec<String> =
                all.iter().map(|(part, why)| format!("{part} has no length yet: {why}")).collect();
            said.join("; ")
        }
    }
}
