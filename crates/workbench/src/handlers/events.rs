//! What changed, as it happens: server-sent events stamped with the revision.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::extract::{Path, State};
use axum::response::sse::{Event, KeepAlive, Sse};
use futures_util::{Stream, StreamExt};
use tokio_stream::wrappers::BroadcastStream;

use crate::bench::Bench;
use crate::error::Refusal;

pub(crate) async fn listen(
    State(bench): State<Arc<Bench>>,
    Path(job): Path<String>,
) -> Result<Sse<impl Stream<Item = Result<Event, Infallible>>>, Refusal> {
    let events = BroadcastStream::new(bench.listen());
    let looked = Arc::clone(&bench);
    let name = job.clone();
    let opened = super::place::off(move || Ok(looked.look(&name)?)).await?;
    // What was found between the page and its listening is told again.
    let found = opened.read.as_ref().is_ok_and(|read| read.advice().is_some());
    let first = told(opened.state.revision, if found { "advice" } else { "" });
    let first = futures_util::stream::iter([Ok(first)]);
    let rest = events.filter_map(move |event| {
        let told = match event {
            Ok(event) if event.job == job => Some(Ok(told(event.revision, &event.client))),
            Ok(_) => None,
            // Too far behind: the page then asks for everything.
            Err(_) => Some(Ok(told(u64::MAX >> 12, ""))),
        };
        std::future::ready(told)
    });
    Ok(Sse::new(first.chain(rest)).keep_alive(KeepAlive::new().interval(Duration::from_secs(20))))
}

fn told(revision: u64, client: &str) -> Event {
    let data = serde_json::json!({ "revision": revision, "client": client });
    Event::default().event("revision").id(revision.to_string()).data(data.to_string())
}
