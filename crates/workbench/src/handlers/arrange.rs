//! Beginning and stopping a search for places.

use std::sync::Arc;

use axum::extract::{Form as Fields, Path, State};
use axum::http::HeaderMap;
use axum::response::Response;

use super::edit::{Pairs, answer};
use super::place::{off, wants_data};
use crate::act::Form;
use crate::arranging::begin;
use crate::bench::Bench;
use crate::error::Refusal;

pub(crate) async fn arrange(
    State(bench): State<Arc<Bench>>,
    Path(job): Path<String>,
    headers: HeaderMap,
    Fields(pairs): Fields<Pairs>,
) -> Result<Response, Refusal> {
    let data = wants_data(&headers);
    off(move || {
        let form = Form::new(pairs);
        let opened = bench.look(&job).map_err(|error| Refusal::from(error).told_as_data(data))?;
        let said = match form.get("do") {
            Some("stop") => {
                if let Ok(read) = &opened.read {
                    read.arranging.stop();
                }
                "stopping; the best so far stays"
            }
            Some(word @ ("arrange" | "anew")) => {
                begin(&bench, &opened, word == "anew");
                "arranging"
            }
            _ => return Err(Refusal::senseless("arrange, anew or stop").told_as_data(data)),
        };
        Ok(answer(&bench, &opened, &form, &headers, Some(said)))
    })
    .await
}
