//! What changed, as it happens: server-sent events stamped with the revision.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::sse::{Event, KeepAlive, Sse};
use futures_util::{Stream, StreamExt};
use tokio_stream::wrappers::BroadcastStream;

use crate::bench::Bench;
use crate::error::Refusal;

/// How often a page hears that the program is there.
const BEAT: Duration = Duration::from_secs(5);

pub(crate) async fn listen(
    State(bench): State<Arc<Bench>>,
    Path(job): Path<String>,
) -> Result<Sse<impl Stream<Item = Result<Event, Infallible>>>, Refusal> {
    let Ok(room) = Arc::clone(&bench.listeners).try_acquire_owned() else {
        let why = "too many pages listen already; close some of them";
        return Err(Refusal::new(StatusCode::SERVICE_UNAVAILABLE, why));
    };
    let events = BroadcastStream::new(bench.listen());
    let looked = Arc::clone(&bench);
    let name = job.clone();
    let opened = super::off::off(move || Ok(looked.look(&name)?)).await?;
    // What was found between the page and its listening is told again.
    let found = opened.read.as_ref().is_ok_and(|read| read.advice().is_some());
    let first = told(opened.state.version, if found { "advice" } else { "" });
    let first = futures_util::stream::iter([Ok(first)]);
    let watched = watch(Arc::clone(&bench), job.clone(), opened.state.version);
    let rest = events.filter_map(move |event| {
        // Given back when the page goes away.
        let _room = &room;
        let told = match event {
            Ok(event) if event.job == job => Some(Ok(told(event.revision, &event.client))),
            Ok(_) => None,
            // Too far behind: the page then asks for everything.
            Err(_) => Some(Ok(told(u64::MAX >> 12, ""))),
        };
        std::future::ready(told)
    });
    // A page that hears nothing for longer than a few beats knows that nobody is there any more.
    let beat = KeepAlive::new().interval(BEAT).event(Event::default().event("beat").data("1"));
    Ok(Sse::new(first.chain(futures_util::stream::select(rest, watched))).keep_alive(beat))
}

/// How often the file is looked at for what another program saved.
const GLANCE: Duration = Duration::from_secs(2);

/// Tells when another program saves the document: nobody else would, and a page that is only looked at asks for nothing.
fn watch(bench: Arc<Bench>, job: String, version: u64) -> impl Stream<Item = Result<Event, Infallible>> {
    let mut glance = tokio::time::interval(GLANCE);
    glance.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
    let begun = (glance, None, version);
    let stamps = futures_util::stream::unfold(begun, move |(mut glance, mut stamp, mut version)| {
        let (bench, job) = (Arc::clone(&bench), job.clone());
        async move {
            loop {
                glance.tick().await;
                let (looked, name) = (Arc::clone(&bench), job.clone());
                let then = stamp;
                let found = super::off::off(move || {
                    let now = looked.stamp(&name);
                    let is_other = now.is_some() && now != then;
                    // What cannot be read in this instant is looked at again in the next.
                    let state = if is_other {
                        looked.look(&name).ok().map(|opened| opened.state.version)
                    } else {
                        None
                    };
                    Ok((now, state))
                });
                let Ok((now, state)) = found.await else { continue };
                if state.is_some() {
                    stamp = now;
                }
                if let Some(state) = state.filter(|state| version < *state) {
                    version = state;
                    return Some((Ok(told(state, "")), (glance, stamp, version)));
                }
            }
        }
    });
    Box::pin(stamps)
}

fn told(revision: u64, client: &str) -> Event {
    let data = serde_json::json!({ "revision": revision, "client": client });
    Event::default().event("revision").id(revision.to_string()).data(data.to_string())
}
