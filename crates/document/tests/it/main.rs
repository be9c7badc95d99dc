//! Tests of the document crate: reading, refusing, editing, the printed format.

mod catalogue;
mod earlier;
mod edits;
mod hostile;
mod prices;
mod random_edits;
mod reading;
mod refusals;
mod sample;
mod shop_files;
mod stock;
mod switching;
mod wishes;
