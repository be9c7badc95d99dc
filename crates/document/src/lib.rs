//! Rig documents, the catalogue and shop settings: files are the truth.
//!
//! Reading gives a [`Job`]: the resolved [`rig::Rig`], the limits in force, and where in which file every
//! value stands, so that findings can point at it. What cannot be read comes back as [`Problem`]s with
//! their places, never as a panic. Editing ([`edit`]) works on the text: comments and spacing stay.
//!
//! The format itself is data ([`mod@format`]); `docs/rig-file.md` and the JSON Schema are printed from it.

mod catalogue;
pub mod edit;
pub mod format;
mod job;
mod kinds;
mod prices;
mod problem;
mod read;
mod shop;
mod stock;

pub use catalogue::{Catalogue, Entry, Family};
pub use job::{Job, ReadError, Written, read, read_in_shop, read_text};
pub use prices::{prices_in, read_prices};
pub use problem::{At, File, Files, Problem};
pub use read::tie_point;
pub use shop::Shop;
pub use stock::{
    CutLead, EMPTY_STOCK, Held, HeldPart, StockList, Taken, add_cut_leads, add_parts, add_to_stock,
    read_stock, take_from_stock,
};

/// `docs/rig-file.md`, printed from the format.
pub fn format_page() -> String {
    format::page::page()
}

/// The JSON Schema of rig documents, printed from the format.
pub fn format_schema() -> String {
    format::schema::schema()
}
