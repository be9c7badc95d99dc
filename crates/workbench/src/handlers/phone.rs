//! A phone at the bench: an address that lets it in, as a picture that its camera reads.

use std::sync::Arc;

use axum::extract::{Form as Fields, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};

use super::asked::Pairs;
use crate::access::May;
use crate::act::Form;
use crate::bench::Bench;
use crate::error::Refusal;
use crate::pages::phone::{Address, Phone};

pub(crate) async fn show(
    State(bench): State<Arc<Bench>>,
    Fields(pairs): Fields<Pairs>,
) -> Result<Response, Refusal> {
    let may = match Form::new(pairs).get("may") {
        Some("change") => May::Change,
        Some("look") => May::Look,
        other => {
            let what = other.unwrap_or("nothing");
            return Err(Refusal::new(
                StatusCode::BAD_REQUEST,
                format!("a phone may `look` or `change`, not `{what}`"),
            ));
        }
    };
    if !bench.is_for_phones() {
        return Err(Refusal::new(StatusCode::NOT_FOUND, "this workbench listens on this machine alone"));
    }
    let Some(path) = bench.link(may) else {
        return Err(Refusal::new(StatusCode::INTERNAL_SERVER_ERROR, "the system gave no chance; try again"));
    };
    // Each opens once: of several addresses of this machine the first that is used.
    let addresses = bench.access.phones.iter().map(|phone| Address::new(format!("{phone}{path}")));
    Ok(Html(Phone { may, addresses: addresses.collect() }.html()).into_response())
}
