//! What a form asks of a job, and how its answer or refusal is told.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Form as Fields, FromRequest, FromRequestParts, Path, Request};
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Redirect, Response};

use super::off::{has, off, wants_data};
use super::place::page;
use super::{Query, unit_of};
use crate::act::Form;
use crate::bench::Bench;
use crate::error::Refusal;
use crate::pages::frame::Place;
use crate::read::Opened;

pub(crate) type Pairs = Vec<(String, String)>;

/// A form that was sent for a job.
pub(crate) struct Asked {
    pub(crate) bench: Arc<Bench>,
    pub(crate) job: String,
    pub(crate) headers: HeaderMap,
    pub(crate) form: Form,
}

impl FromRequest<Arc<Bench>> for Asked {
    type Rejection = Response;

    async fn from_request(request: Request, bench: &Arc<Bench>) -> Result<Self, Response> {
        let (mut parts, body) = request.into_parts();
        let Path(job) = Path::<String>::from_request_parts(&mut parts, bench)
            .await
            .map_err(IntoResponse::into_response)?;
        let headers = parts.headers.clone();
        let request = Request::from_parts(parts, body);
        let Fields(pairs) =
            Fields::<Pairs>::from_request(request, bench).await.map_err(IntoResponse::into_response)?;
        Ok(Self { bench: Arc::clone(bench), job, headers, form: Form::new(pairs) })
    }
}

impl Asked {
    /// Does what is asked away from the threads that serve; a refusal comes in the form that was asked for.
    pub(crate) async fn done(
        self,
        work: impl FnOnce(&Self) -> Result<Response, Refusal> + Send + 'static,
    ) -> Result<Response, Refusal> {
        let data = wants_data(&self.headers);
        off(move || work(&self).map_err(|refusal| refusal.told_as_data(data))).await
    }

    /// The revision that the form was made on.
    pub(crate) fn base(&self) -> Result<u64, Refusal> {
        base(&self.form)
    }

    /// The page it came from, as it is now.
    pub(crate) fn answer(&self, opened: &Opened, said: Option<&str>) -> Response {
        answer(&self.bench, opened, &self.form, &self.headers, said)
    }

    /// Which page it came from, so that it does not hear of its own edits.
    pub(crate) fn client(&self) -> &str {
        self.form.get("client").unwrap_or("")
    }
}

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
