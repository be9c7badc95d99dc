//! What a form asks of a job, and how its answer or refusal is told.

use std::sync::Arc;

use axum::extract::{Form as Fields, FromRequest, FromRequestParts, Path, Request};
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Response};

use super::edit::{Pairs, answer, base};
use super::place::{off, wants_data};
use crate::act::Form;
use crate::bench::{Bench, Opened};
use crate::error::Refusal;

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
