//! What keeps strangers out: hosts, origins, tokens, size and pace, and the content policy.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::access::May;
use crate::bench::Bench;
use crate::error::Refusal;
use crate::handlers::enter;

/// The largest body a request may have, in bytes. A spreadsheet of a thousand devices is a tenth of it.
pub const LARGEST_BODY: usize = 512 * 1024;

/// The largest recording that is taken, in bytes: what is kept and read at most.
pub const LARGEST_RECORDING: usize = store::MOST_BYTES;

/// How long a recording may take: a minute of sound over a slow radio link.
const TIME_FOR_RECORDING: Duration = Duration::from_mins(3);

/// How long a request's body may take. On a slow radio link half a megabyte takes some seconds.
const TIME_FOR_BODY: Duration = Duration::from_secs(15);

/// How long a picture may take, which has fifty times as much.
const TIME_FOR_PICTURE: Duration = Duration::from_mins(2);

/// Whether a request brings a picture: one of a job's own addresses.
fn is_picture(path: &str) -> bool {
    path.strip_prefix("/job/")
        .and_then(|rest| rest.split_once('/'))
        .is_some_and(|(_, rest)| rest == "photo/take")
}

/// Scripts, styles, fonts and pictures of our own alone; nothing inline; frames for our own papers only.
pub const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; \
     connect-src 'self'; frame-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'self'";

fn text<'a>(headers: &'a HeaderMap, name: &header::HeaderName) -> Option<&'a str> {
    headers.get(name).and_then(|value| value.to_str().ok())
}

/// Checks every request and adds the protecting headers to every answer.
pub(crate) async fn guard(State(bench): State<Arc<Bench>>, request: Request, next: Next) -> Response {
    let mut response = match check(&bench, &request) {
        Ok(()) => match in_time(request).await {
            Ok(request) => next.run(request).await,
            Err(refusal) => refusal.into_response(),
        },
        Err(answer) => *answer,
    };
    let headers = response.headers_mut();
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "same-origin"),
        (header::HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
        (header::HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}

/// The request with its body read, which may take only so long and be only so large.
async fn in_time(request: Request) -> Result<Request, Refusal> {
    if matches!(*request.method(), Method::GET | Method::HEAD) {
        return Ok(request);
    }
    let (parts, body) = request.into_parts();
    let (most, time) = if is_recording(&parts.uri) {
        (LARGEST_RECORDING, TIME_FOR_RECORDING)
    } else if is_picture(parts.uri.path()) {
        (pictures::LARGEST_FILE, TIME_FOR_PICTURE)
    } else {
        (LARGEST_BODY, TIME_FOR_BODY)
    };
    match tokio::time::timeout(time, axum::body::to_bytes(body, most)).await {
        Ok(Ok(bytes)) => Ok(Request::from_parts(parts, Body::from(bytes))),
        Ok(Err(_)) => {
            let why = format!("a request has at most {} KB, and all that it promises", most / 1024);
            Err(Refusal::new(StatusCode::PAYLOAD_TOO_LARGE, why))
        }
        Err(_) => {
            Err(Refusal::new(StatusCode::REQUEST_TIMEOUT, "the request did not come to its end in time"))
        }
    }
}

/// Whether a request brings a recording of a job's board.
fn is_recording(uri: &axum::http::Uri) -> bool {
    let job = uri.path().strip_prefix("/job/").and_then(|rest| rest.strip_suffix("/takes"));
    job.is_some_and(|job| !job.is_empty() && !job.contains('/'))
}

/// Whether a body is said to be text in UTF-8 and nothing else: read as anything else it would be another text.
fn is_utf8(headers: &HeaderMap) -> bool {
    if headers.contains_key(header::CONTENT_ENCODING) {
        return false;
    }
    let Some(kind) = text(headers, &header::CONTENT_TYPE) else {
        return !headers.contains_key(header::CONTENT_TYPE);
    };
    kind.split(';').skip(1).all(|part| {
        let (name, value) = part.split_once('=').unwrap_or((part, ""));
        !name.trim().eq_ignore_ascii_case("charset")
            || value.trim().trim_matches('"').eq_ignore_ascii_case("utf-8")
    })
}

fn check(bench: &Bench, request: &Request) -> Result<(), Box<Response>> {
    let refuse = |status, why: &str| Err(Box::new(Refusal::new(status, why).into_response()));
    let headers = request.headers();
    // Whoever has not the token takes nothing from the pace of those who have.
    let visitor = bench.door.as_ref().map_or(Some(May::Change), |door| door.knows(headers));
    let pace = if visitor.is_some() { &bench.pace } else { &bench.strangers };
    if !pace.lock().unwrap_or_else(std::sync::PoisonError::into_inner).pass(crate::access::now()) {
        return refuse(StatusCode::TOO_MANY_REQUESTS, "too many requests; wait a moment");
    }
    // Whoever stands between could take such a request for another than we do.
    if request.uri().authority().is_some() {
        return refuse(StatusCode::BAD_REQUEST, "this server is not a proxy; ask for a path alone");
    }
    for name in [header::HOST, header::ORIGIN, header::CONTENT_TYPE, header::CONTENT_LENGTH] {
        if 1 < headers.get_all(&name).iter().count() {
            return refuse(StatusCode::BAD_REQUEST, &format!("a request has one `{name}`"));
        }
    }
    let Some(host) = text(headers, &header::HOST).filter(|host| bench.access.knows(host)) else {
        return refuse(StatusCode::FORBIDDEN, "this server does not go by that name");
    };
    if let Some(origin) = text(headers, &header::ORIGIN) {
        if origin.strip_prefix("http://") != Some(host) {
            return refuse(StatusCode::FORBIDDEN, "this request comes from another site");
        }
    } else if !matches!(*request.method(), Method::GET | Method::HEAD) {
        return refuse(StatusCode::FORBIDDEN, "an edit must say where it comes from");
    }
    if !is_utf8(headers) {
        return refuse(StatusCode::UNSUPPORTED_MEDIA_TYPE, "a form comes as plain text in UTF-8");
    }
    let is_asking = matches!(*request.method(), Method::GET | Method::HEAD);
    // Its own units are a visitor's own matter.
    if visitor == Some(May::Look) && !is_asking && !["/enter", "/unit"].contains(&request.uri().path()) {
        return refuse(
            StatusCode::FORBIDDEN,
            "whoever let you in lets you look and not change anything; ask for an address that lets you",
        );
    }
    if visitor.is_some() || is_at_the_door(request) {
        return Ok(());
    }
    Err(Box::new(enter::form(enter::WANTED)))
}

/// The door lets those pass who come to show a token or a link, and what its own page looks like: the style sheets, which are
/// the same on every bench.
fn is_at_the_door(request: &Request) -> bool {
    let path = request.uri().path();
    let is_sheet = Path::new(path).extension().is_some_and(|ending| ending == "css");
    let is_style = is_sheet && path.starts_with("/static/") && request.method() == Method::GET;
    path == "/enter" || path.starts_with("/enter/") || is_style
}
