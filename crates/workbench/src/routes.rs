//! The addresses of the workbench.

use std::sync::Arc;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::from_fn_with_state;
use axum::routing::{get, post};
use tower_http::CompressionLevel;
use tower_http::compression::CompressionLayer;
use tower_http::compression::predicate::{NotForContentType, Predicate, SizeAbove};

use crate::bench::Bench;
use crate::guard::{LARGEST_BODY, LARGEST_RECORDING, guard};
use crate::handlers::{
    arrange, change, edit, enter, events, fault, gear, kinds, orders, phone, photo, place, print, shop,
    stock, tested, whence,
};

/// Every address, behind the guard.
pub fn routes(bench: Arc<Bench>) -> Router {
    Router::new()
        .route("/", get(shop::show))
        .route("/jobs", post(shop::make))
        .route("/orders", get(orders::show).post(orders::act))
        .route("/orders.csv", get(orders::rows))
        .route("/enter", get(enter::show).post(enter::enter))
        .route("/enter/{code}", get(enter::link))
        .route("/phone", post(phone::show))
        .route("/unit", post(shop::unit))
        .route("/static/{stamp}/{name}", get(crate::statics::file))
        .route("/job/{job}", get(place::home))
        .route("/job/{job}/{place}", get(place::show))
        .route("/job/{job}/fault", get(fault::show))
        .route("/job/{job}/fault/mended", get(fault::mended).post(fault::mend))
        .route("/job/{job}/edit", post(edit::edit))
        .route("/job/{job}/arrange", post(arrange::arrange))
        .route("/job/{job}/undo", post(edit::undo))
        .route("/job/{job}/redo", post(edit::redo))
        .route("/job/{job}/tick", post(edit::tick))
        .route("/job/{job}/events", get(events::listen))
        .route("/job/{job}/drag/{tag}", get(place::drag))
        .route("/job/{job}/moves/{tag}", get(place::moves))
        .route("/job/{job}/where", get(whence::show))
        .route("/job/{job}/measure", post(kinds::measure))
        .route("/job/{job}/measure/view", post(kinds::view))
        .route(
            "/job/{job}/photo/take",
            post(photo::take).layer(DefaultBodyLimit::max(pictures::LARGEST_FILE)),
        )
        .route("/job/{job}/photo/{id}", get(photo::show))
        .route("/job/{job}/photo/{id}/squared", get(photo::squared))
        .route("/job/{job}/photo", post(photo::measure))
        .route("/job/{job}/gear/preview", get(kinds::form).post(kinds::preview))
        .route("/job/{job}/rows.csv", get(gear::rows))
        .route("/job/{job}/print/{file}", get(print::print))
        .route("/job/{job}/freeze", post(print::freeze))
        .route("/job/{job}/back", post(print::back))
        .route("/job/{job}/change-order/{file}", get(change::order))
        .route("/job/{job}/answer", post(tested::act))
        .route("/job/{job}/takes", post(tested::record).layer(DefaultBodyLimit::max(LARGEST_RECORDING)))
        .route("/job/{job}/takes/{file}", get(tested::file))
        .route("/job/{job}/stock", post(stock::stock))
        .route("/job/{job}/revision/{letter}", get(print::frozen))
        .route("/job/{job}/revision/{letter}/{file}", get(print::of_revision))
        .fallback(place::nowhere)
        .layer(DefaultBodyLimit::max(LARGEST_BODY))
        .layer(from_fn_with_state(Arc::clone(&bench), guard))
        .layer(CompressionLayer::new().quality(CompressionLevel::Fastest).compress_when(worth_it()))
        .with_state(bench)
}

/// What grows smaller by compression: neither a stream of events, which would wait for more, nor what is compressed
/// already.
fn worth_it() -> impl Predicate {
    SizeAbove::new(1024)
        .and(NotForContentType::SSE)
        .and(NotForContentType::const_new("application/pdf"))
        .and(NotForContentType::const_new("application/zip"))
}
