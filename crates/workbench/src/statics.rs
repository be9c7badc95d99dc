//! Styles, script and fonts, embedded.

use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use include_dir::{Dir, include_dir};

static FILES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/static");

/// A hash of all of them, so that a browser fetches anew only after a change of program.
pub(crate) fn stamp() -> &'static str {
    static STAMP: std::sync::OnceLock<String> = std::sync::OnceLock::new();
    STAMP.get_or_init(|| {
        let mut names: Vec<_> = FILES.files().collect();
        names.sort_by_key(|file| file.path());
        let texts = names.iter().filter_map(|file| file.contents_utf8());
        crate::hash::hash_of(texts).chars().take(12).collect()
    })
}

pub(crate) async fn file(Path((_, name)): Path<(String, String)>) -> Response {
    let font = match name.as_str() {
        "sans.ttf" => Some(notosans::REGULAR_TTF),
        "sans-bold.ttf" => Some(notosans::BOLD_TTF),
        "signs.ttf" => Some(dejavu::sans::regular()),
        "signs-bold.ttf" => Some(dejavu::sans::bold()),
        _ => None,
    };
    let found = font.or_else(|| FILES.get_file(&name).map(include_dir::File::contents));
    let Some(bytes) = found else { return StatusCode::NOT_FOUND.into_response() };
    let kind = match name.rsplit('.').next() {
        Some("css") => "text/css; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("svg") => "image/svg+xml",
        _ => "font/ttf",
    };
    ([(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, "public, max-age=31536000, immutable")], bytes)
        .into_response()
}
