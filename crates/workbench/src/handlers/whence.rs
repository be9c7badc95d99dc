//! Where a number comes from: its value, unit, origin, formula and source.

use std::sync::Arc;

use axum::extract::{Path, RawQuery, State};
use axum::http::HeaderMap;
use axum::response::{Html, IntoResponse, Response};
use maud::html;

use super::off::{off, wants_data};
use super::{Query, unit_of};
use crate::bench::Bench;
use crate::error::Refusal;

pub(crate) async fn show(
    State(bench): State<Arc<Bench>>,
    Path(job): Path<String>,
    RawQuery(query): RawQuery,
    headers: HeaderMap,
) -> Result<Response, Refusal> {
    off(move || {
        let opened = bench.look(&job)?;
        let read = opened.read.as_ref().map_err(|trouble| Refusal::senseless(trouble.said.clone()))?;
        let query = Query::of(&query.unwrap_or_default());
        let told = crate::origin::tell(read, &query, unit_of(&headers))
            .ok_or_else(|| Refusal::missing("nothing is known of that number"))?;
        if wants_data(&headers) {
            return Ok(Html(told.into_string()).into_response());
        }
        let page = html! { (told) p { a.btn href={ "/job/" (crate::pages::value::query(&job)) "/deck" } { "Back to the deck" } } };
        Ok(Html(crate::pages::frame::bare("Where it comes from", &page)).into_response())
    })
    .await
}
