//! Money, tax, packs and orders: closed cases and properties.

mod build;
mod cases;
mod properties;
mod published;
