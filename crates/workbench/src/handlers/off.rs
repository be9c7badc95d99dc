//! Work away from the threads that serve, and what a request wants back.

use axum::http::{HeaderMap, StatusCode};

use crate::error::Refusal;

/// Whether the script asks, which wants data.
pub(crate) fn wants_data(headers: &HeaderMap) -> bool {
    headers
        .get(axum::http::header::ACCEPT)
        .and_then(|value| value.to_str().ok())
        .is_some_and(|value| value.contains("application/json"))
}

/// The fragments a page has already.
pub(crate) fn has(headers: &HeaderMap) -> String {
    headers.get("x-have").and_then(|value| value.to_str().ok()).unwrap_or("").to_owned()
}

/// Runs what touches files or computes away from the threads that answer.
pub(crate) async fn off<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    match tokio::task::spawn_blocking(work).await {
        Ok(done) => done,
        Err(_) => Err(Refusal::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "this is a bug in the program; your files are as they were",
        )),
    }
}
