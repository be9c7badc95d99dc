//! Errors as pages with a way out, or as data for the script.

use axum::Json;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};
use maud::html;
use serde_json::json;
use store::StoreError;

/// Why a request is not served.
#[derive(Debug)]
pub(crate) struct Refusal {
    status: StatusCode,
    why: String,
    /// The revision in force, when the edit was made on an older one.
    now: Option<u64>,
    as_data: bool,
    /// The document was written all the same.
    is_written: bool,
}

impl Refusal {
    pub(crate) fn new(status: StatusCode, why: impl Into<String>) -> Self {
        Self { status, why: quoted(&why.into()), now: None, as_data: false, is_written: false }
    }

    pub(crate) fn status(&self) -> StatusCode {
        self.status
    }

    /// Why, in words for people.
    pub(crate) fn why(&self) -> &str {
        &self.why
    }

    /// Something that is not there.
    pub(crate) fn missing(why: impl Into<String>) -> Self {
        Self::new(StatusCode::NOT_FOUND, why)
    }

    /// Something that makes no sense.
    pub(crate) fn senseless(why: impl Into<String>) -> Self {
        Self::new(StatusCode::UNPROCESSABLE_ENTITY, why)
    }

    /// For the script, which shows it where the edit was made.
    #[must_use]
    pub(crate) fn told_as_data(mut self, as_data: bool) -> Self {
        self.as_data = as_data;
        self
    }
}

/// A message for people: what is quoted stands between quotation marks. Back-ticks are for code.
pub(crate) fn quoted(text: &str) -> String {
    let parts: Vec<&str> = text.split('`').collect();
    // Where they come in no pairs they mean something else.
    if parts.len().is_multiple_of(2) {
        return text.to_owned();
    }
    let mut out = String::new();
    for (index, part) in parts.iter().enumerate() {
        if 0 < index {
            out.push(if index % 2 == 1 { '“' } else { '”' });
        }
        out.push_str(part);
    }
    out
}

impl From<StoreError> for Refusal {
    fn from(error: StoreError) -> Self {
        let status = match &error {
            StoreError::NoJob(_) => StatusCode::NOT_FOUND,
            StoreError::Stale { .. }
            | StoreError::Taken(_)
            | StoreError::Kept(_)
            | StoreError::Nothing(_)
            | StoreError::Overtaken { .. } => StatusCode::CONFLICT,
            StoreError::Name { .. }
            | StoreError::Refused(_)
            | StoreError::Revision(_)
            | StoreError::Outside { .. } => StatusCode::UNPROCESSABLE_ENTITY,
            StoreError::Busy { .. } | StoreError::Gone { .. } => StatusCode::SERVICE_UNAVAILABLE,
            StoreError::File { .. }
            | StoreError::Journal(_)
            | StoreError::Unnoted(_)
            | StoreError::Damaged { .. }
            | StoreError::Backup { .. } => StatusCode::INTERNAL_SERVER_ERROR,
        };
        let now = match &error {
            StoreError::Stale { now, .. } => Some(*now),
            _ => None,
        };
        let is_written = matches!(error, StoreError::Unnoted(_));
        Self { status, why: quoted(&error.to_string()), now, as_data: false, is_written }
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        if self.as_data {
            return (self.status, Json(json!({ "refused": self.why, "now": self.now }))).into_response();
        }
        let title = if self.is_written { "Written, not yet noted" } else { "Not done" };
        let page = crate::pages::frame::bare(
            title,
            &html! {
                h1 { (title) }
                p { (self.why) "." }
                @if self.now.is_some() {
                    p { "Nothing was saved. Go back, look at what changed, and make the edit again if it is still wanted." }
                }
                p { a.btn href="/" { "To the shop" } }
            },
        );
        (self.status, Html(page)).into_response()
    }
}
