//! The door: an address that opens once, or the token in a form.

use std::sync::Arc;

use axum::extract::{Form as Fields, Path, State};
use axum::http::{Method, StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};

use super::asked::Pairs;
use crate::access::{May, now};
use crate::act::Form;
use crate::bench::Bench;
use crate::door::Door;

/// What a visitor sees who is not known yet.
pub(crate) fn form(why: &str) -> Response {
    (StatusCode::FORBIDDEN, Html(crate::pages::enter::page(why))).into_response()
}

/// Why the form is shown to who shows nothing.
pub(crate) const WANTED: &str = "This workbench asks for its token.";

fn let_in(door: &Door, may: May) -> Response {
    let to = (header::LOCATION, "/".to_owned());
    (StatusCode::SEE_OTHER, [door.cookie(may), to]).into_response()
}

/// The form, for who comes by its address.
pub(crate) async fn show(State(bench): State<Arc<Bench>>) -> Response {
    match &bench.door {
        Some(_) => form(WANTED),
        None => Redirect::to("/").into_response(),
    }
}

/// The token, from the form.
pub(crate) async fn enter(State(bench): State<Arc<Bench>>, Fields(pairs): Fields<Pairs>) -> Response {
    let Some(door) = &bench.door else { return Redirect::to("/").into_response() };
    let shown = Form::new(pairs);
    if door.opens(shown.get("token").unwrap_or("").trim()) {
        return let_in(door, May::Change);
    }
    form("That is not the token of this workbench.")
}

/// An address that opens once. Only a visit uses it up, not a look ahead.
pub(crate) async fn link(
    State(bench): State<Arc<Bench>>,
    method: Method,
    Path(code): Path<String>,
) -> Response {
    let Some(door) = &bench.door else { return Redirect::to("/").into_response() };
    if method == Method::GET
        && let Some(may) = door.take(&code, now())
    {
        return let_in(door, may);
    }
    form(
        "This address was used already, or it is too old: each opens once, within a quarter of an hour after it was made.",
    )
}
