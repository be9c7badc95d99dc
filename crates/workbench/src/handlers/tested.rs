//! What is done on the Test place: answers, the signature, recordings; and plots to take along.

use std::sync::Arc;

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, RawQuery, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use design::Reads;
use drawing::Theme;

use super::Query;
use super::asked::Asked;
use super::off::off;
use crate::bench::Bench;
use crate::error::Refusal;
use crate::recordings::STRAIGHT;
use crate::tested::Given;

/// An answer, a signature, or a recording taken out of the list.
pub(crate) async fn act(asked: Asked) -> Result<Response, Refusal> {
    asked.done(act_now).await
}

fn act_now(asked: &Asked) -> Result<Response, Refusal> {
    let Asked { bench, job, form, .. } = asked;
    let opened = bench.look(job)?;
    let read = opened.read.as_ref().map_err(|trouble| Refusal::senseless(trouble.said.clone()))?;
    let design = read.laid();
    let need = |name: &str| form.need(name).map_err(Refusal::senseless);
    let by = form.get("by").map(str::trim).filter(|by| !by.is_empty());
    let said = match need("act")? {
        "answer" => {
            let row = need("row")?;
            let mut rows = design::test_rows(design);
            rows.extend(design::recorded_rows(design));
            let own = rows
                .iter()
                .find(|own| own.line.id == row)
                .ok_or_else(|| Refusal::missing("that row is no longer on the test sheet"))?;
            let said = with_unit(own, need("is")?);
            let answer = form.get("because").map(str::trim).filter(|why| !why.is_empty());
            let given = Given { said: &said, by, on: form.get("on"), answer };
            let record = crate::tested::keep(&bench.store, job, design, row, given)?;
            record.row(row).map(|one| match (&one.state, &one.found) {
                (design::TestState::Failed, Some(found)) => format!("{} does not pass", found.said),
                (_, Some(found)) => format!("{} kept", found.said),
                _ => "taken back".to_owned(),
            })
        }
        "sign" => {
            let by = by.ok_or_else(|| Refusal::senseless("write who signs"))?;
            crate::tested::sign(&bench.store, job, design, by, form.get("on"))?;
            Some(format!("signed by {by}"))
        }
        "drop" => {
            let name = need("name")?;
            let before = bench.takes(job, read).rows();
            bench.store.drop_recording(job, name)?;
            // What it alone has said is no longer so.
            let now = bench.takes(job, read).rows();
            let gone: Vec<String> = before
                .into_iter()
                .map(|(id, _)| id)
                .filter(|id| now.iter().all(|(own, _)| own != id))
                .collect();
            crate::tested::take_back(&bench.store, job, design, &gone, by)?;
            crate::tested::fill(&bench.store, job, design, &now, by)?;
            Some(format!("{name} taken out of the list; its file stays"))
        }
        other => return Err(Refusal::senseless(format!("nobody knows how to `{other}` a test sheet"))),
    };
    bench.tell(job, opened.state.version, asked.client());
    Ok(asked.answer(&opened, said.as_deref()))
}

/// A bare figure is in the unit that stands beside its field.
fn with_unit(row: &design::TestRow, typed: &str) -> String {
    let typed = typed.trim();
    let figure = typed.replace(',', ".");
    if figure.parse::<f64>().is_err() {
        return typed.to_owned();
    }
    let unit = match row.reads {
        Reads::Ohms if crate::pages::test::is_in_megohms(row) => "Mohm",
        Reads::Ohms => "ohm",
        Reads::Picofarads => "pF",
        Reads::Volts => "V",
        Reads::Milliamps => "mA",
        Reads::Decibels => "dB",
        Reads::Dbu => "dBu",
        Reads::YesNo | Reads::Words => return typed.to_owned(),
    };
    format!("{figure} {unit}")
}

/// Keeps a recording that was dropped on the page.
pub(crate) async fn record(
    State(bench): State<Arc<Bench>>,
    Path(job): Path<String>,
    RawQuery(query): RawQuery,
    headers: HeaderMap,
    bytes: Bytes,
) -> Result<Response, Refusal> {
    let query = Query::of(&query.unwrap_or_default());
    let is_wave = headers.get(header::CONTENT_TYPE).is_some_and(|kind| kind.as_bytes() == b"audio/wav");
    off(move || {
        if !is_wave {
            return Err(Refusal::new(StatusCode::UNSUPPORTED_MEDIA_TYPE, "a recording comes as a WAV file"));
        }
        let opened = bench.look(&job)?;
        let name = query.get("name").unwrap_or("take.wav");
        let state = query.get("of").filter(|of| !of.is_empty());
        // What says nothing is not kept: it would stand in the list for nothing.
        let recording =
            takes::wav::read(&bytes).map_err(|error| Refusal::senseless(format!("{name}: {error}")))?;
        takes::hear(&recording).map_err(|error| Refusal::senseless(format!("{name}: {error}")))?;
        drop(recording);
        let known =
            opened.read.as_ref().ok().map(|read| design::recorded_states(read.laid())).unwrap_or_default();
        if let Some(state) = state.filter(|state| *state != STRAIGHT)
            && !known.iter().any(|own| own.name == state)
        {
            return Err(Refusal::senseless(format!("the board has no state `{state}`")));
        }
        let kept = bench.store.keep_recording(&job, name, &bytes, state)?;
        if let Ok(read) = &opened.read {
            let by = query.get("by").filter(|by| !by.trim().is_empty());
            let said = bench.takes(&job, read).rows();
            crate::tested::fill(&bench.store, &job, read.laid(), &said, by)?;
        }
        bench.tell(&job, opened.state.version, "");
        Ok(Json(serde_json::json!({ "kept": kept })).into_response())
    })
    .await
    .map_err(|refusal| refusal.told_as_data(true))
}

/// A plot as SVG, its data as CSV, or the recording itself.
pub(crate) async fn file(
    State(bench): State<Arc<Bench>>,
    Path((job, file)): Path<(String, String)>,
    RawQuery(query): RawQuery,
) -> Result<Response, Refusal> {
    let query = Query::of(&query.unwrap_or_default());
    off(move || {
        let missing = || Refusal::missing("there is no such recording");
        let (name, ending) = file.rsplit_once('.').ok_or_else(missing)?;
        let download = |kind: &'static str, file: &str, body: Vec<u8>| {
            let name = format!("attachment; filename=\"{job}-{file}\"");
            ([(header::CONTENT_TYPE, kind.to_owned()), (header::CONTENT_DISPOSITION, name)], body)
                .into_response()
        };
        if ending == "wav" {
            return Ok(download("audio/wav", &file, bench.store.recording(&job, name)?));
        }
        let opened = bench.look(&job)?;
        let read = opened.read.as_ref().map_err(|trouble| Refusal::senseless(trouble.said.clone()))?;
        let takes = bench.takes(&job, read);
        if ending == "csv" {
            let one = takes.named(name).ok_or_else(missing)?;
            return Ok(download("text/csv; charset=utf-8", &file, one.csv().into_bytes()));
        }
        if ending != "svg" {
            return Err(missing());
        }
        let (_, reference) = takes.reference.as_ref().ok_or_else(missing)?;
        let drawing =
            match (takes.named(name), name.strip_suffix("-silence").and_then(|name| takes.named(name))) {
                (Some(one), _) => {
                    let before = query.get("before").and_then(|before| takes.named(before));
                    let output = query.get("output").and_then(|at| at.parse::<usize>().ok()).unwrap_or(1);
                    one.response(output.saturating_sub(1), before, 176.0, 90.0, 3.2)
                }
                (None, Some(one)) => one.silence(reference, 176.0, 80.0, 3.2),
                (None, None) => return Err(missing()),
            };
        Ok(download("image/svg+xml", &file, drawing::svg(&drawing, Theme::Paper).into_bytes()))
    })
    .await
}
