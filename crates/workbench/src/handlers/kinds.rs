//! Devices that come in: rows from a spreadsheet, and what is measured.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Form as Fields, Path, State};
use axum::http::HeaderMap;
use axum::response::{Html, IntoResponse, Redirect, Response};
use document::Family;
use serde_json::json;

use super::asked::Pairs;
use super::edit::make;
use super::gear::with;
use super::off::{off, wants_data};
use super::{Query, head, kinds, unit_of};
use crate::act::Form;
use crate::acts::{alone, kind, kind_id};
use crate::bench::Bench;
use crate::error::Refusal;
use crate::pages::drawn::{scale_for, still};
use crate::pages::frame::Place;
use crate::pages::gear::Open;

/// The form for rows, for who comes back to the address of their preview: nothing was sent.
pub(crate) async fn form(Path(job): Path<String>) -> Redirect {
    Redirect::to(&format!("/job/{}/gear?add=paste", crate::pages::value::query(&job)))
}

/// Rows from a spreadsheet, looked at before they are added.
pub(crate) async fn preview(
    State(bench): State<Arc<Bench>>,
    Path(job): Path<String>,
    headers: HeaderMap,
    Fields(pairs): Fields<Pairs>,
) -> Result<Response, Refusal> {
    off(move || {
        let form = Form::new(pairs);
        let opened = bench.look(&job)?;
        let head = head(&opened, Place::Gear, &Query::of("add=paste"), unit_of(&headers));
        let read = opened.read.as_ref().map_err(|trouble| Refusal::senseless(trouble.said.clone()))?;
        let rows = form.get("rows").unwrap_or("").to_owned();
        let sheet = crate::paste::read(&rows, &read.design.rig, &read.job.catalogue);
        Ok(Html(with(head, read, None, Open::Paste { rows, sheet }).html()).into_response())
    })
    .await
}

/// The top view of what is being measured, as it is typed.
pub(crate) async fn view(Fields(pairs): Fields<Pairs>) -> Result<Response, Refusal> {
    off(move || {
        let form = Form::new(pairs);
        let text = alone(&form).map_err(|why| Refusal::senseless(why).told_as_data(true))?;
        let job = match document::read_text("kind", &text, None) {
            Ok(job) => job,
            Err(document::ReadError::Problems { problems, .. }) => {
                let why = problems.first().map(|problem| problem.message.clone()).unwrap_or_default();
                return Err(Refusal::senseless(why).told_as_data(true));
            }
            Err(other) => return Err(Refusal::senseless(other.to_string()).told_as_data(true)),
        };
        let size = job.rig.devices.first().and_then(|device| device.size.value);
        let Some(size) = size else {
            return Ok(Json(json!({ "html": "", "said": "width, depth and height make a top view" }))
                .into_response());
        };
        let design = design::derive(job.rig, job.limits);
        let long = size.width.as_mm().max(size.depth.as_mm());
        let drawing = drawing::plan(&design, None, scale_for(long, 70.0));
        let said = format!("{} wide, {} deep, {} high", size.width, size.depth, size.height);
        Ok(Json(json!({ "html": still(&drawing, "drawing").into_string(), "said": said })).into_response())
    })
    .await
}

/// Adds what was measured; keeps it as a kind of the shop's catalogue when that is wished.
pub(crate) async fn measure(
    State(bench): State<Arc<Bench>>,
    Path(job): Path<String>,
    headers: HeaderMap,
    Fields(mut pairs): Fields<Pairs>,
) -> Result<Response, Refusal> {
    let data = wants_data(&headers);
    off(move || {
        let form = Form::new(pairs.clone());
        let refuse = |why: String| Refusal::senseless(why).told_as_data(data);
        if form.get("keep") == Some("yes") {
            let title = form.get("title").unwrap_or("").trim().to_owned();
            if title.is_empty() {
                return Err(refuse("a kind for the catalogue wants to be called something".to_owned()));
            }
            let opened = bench.look(&job).map_err(|error| Refusal::from(error).told_as_data(data))?;
            let taken: Vec<String> = opened
                .read
                .as_ref()
                .map(|read| kinds(&read.job, Family::Device).into_iter().map(|entry| entry.id).collect())
                .unwrap_or_default();
            let wished = kind_id(&title);
            let id = (1..=999)
                .map(|n| if n == 1 { wished.clone() } else { format!("{wished}-{n}") })
                .find(|id| !taken.contains(id))
                .unwrap_or(wished);
            let kept = kind(&form, &id).map_err(refuse)?;
            let named: Vec<(&str, &str)> = ["above", "left", "right", "back", "front"]
                .into_iter()
                .filter_map(|name| {
                    Some((name, form.get(&format!("picture.{name}")).filter(|id| !id.is_empty())?))
                })
                .collect();
            let pictures = super::photo::kept(&bench, named.into_iter())?;
            bench.store.add_kind(&kept).map_err(|error| Refusal::from(error).told_as_data(data))?;
            if !pictures.is_empty() {
                let landed = bench.store.keep_pictures(&id, &pictures);
                landed.map_err(|error| Refusal::from(error).told_as_data(data))?;
            }
            pairs.push(("kept-kind".to_owned(), id));
        }
        make(&bench, &job, &headers, &Form::new(pairs)).map_err(|refusal| refusal.told_as_data(data))
    })
    .await
}
