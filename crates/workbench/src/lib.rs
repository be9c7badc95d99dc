//! The workbench: the screens a builder lives in, served by the program itself to the browser on the bench.
//!
//! Server-rendered pages over a shop folder, with the very drawings of the papers; a few plain modules of
//! script make them answer at once. The web layer computes nothing: a handler parses the request, calls a
//! crate, fills a page, and the page's template shows it.
//!
//! - [`Bench`] is a shop folder opened for serving, [`routes`](routes::routes) the addresses, [`guard`] what
//!   keeps strangers out, [`act`] the edits a page may ask for.
//! - Each place has one module in `handlers` and one of the same name in `pages`.
//! - [`Papers`] is how printed output comes in, so that this crate links no typesetter.

#![warn(unreachable_pub)]

mod access;
pub mod act;
mod acts;
mod arranging;
mod bench;
mod building;
mod changing;
mod compared;
mod cookies;
mod door;
mod drag;
mod error;
mod fit;
mod format_at;
mod frozen;
pub mod guard;
mod handlers;
mod hash;
mod heard;
mod here;
mod laid;
mod mended;
mod numbers;
mod orders;
mod origin;
mod pages;
mod papers;
mod paste;
mod photos;
mod reached;
mod read;
mod recordings;
pub mod routes;
mod said;
mod searching;
mod serving;
mod statics;
mod stock;
mod tested;
mod units;
mod usual;
mod zip;

pub use crate::zip::archive;
pub use access::{Access, May};
pub use bench::{Bench, Event, MOST_LISTENERS};
pub use frozen::{frozen_as, frozen_prices};
pub use mended::{Said as SaidOfRepair, history, mend, words as repair_words};
pub use orders::{orders_of, problems as stock_problems, receive};
pub use papers::{Order, PaperEntry, Papers, Printed, PrintedFrom};
pub use reached::addresses;
pub use recordings::{Kept as KeptRecording, STRAIGHT, keep_recordings, plots};
pub use stock::{Booked, Restored, book, last_booking, left_uncut, restock, shelf_of, stock_of};
pub use tested::{Given, keep, record, sign};

/// Serves a shop on a listener until told to stop.
pub async fn serve(
    bench: std::sync::Arc<Bench>,
    listener: tokio::net::TcpListener,
    stop: impl Future<Output = ()> + Send + 'static,
) -> std::io::Result<()> {
    serving::serve(routes::routes(bench), listener, stop).await
}
