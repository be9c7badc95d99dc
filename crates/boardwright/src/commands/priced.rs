//! A job with the prices that hold for it: those of its frozen revision, else the shop's of today.

use std::path::Path;

use anyhow::Error;
use design::{Design, Shelf};
use estimate::{Currency, PartsOnHand, Prices, Quote};

use super::stock;
use crate::args::Rig;
use crate::shell;

/// Prices and stock of a job.
#[derive(Clone)]
pub(crate) struct Priced {
    /// The prices.
    pub(crate) prices: Prices,
    /// What the shop has.
    pub(crate) on_hand: PartsOnHand,
    /// Its reels and offcuts, and what of the job is cut from them.
    pub(crate) shelf: Shelf,
    /// Whether the shop has a price file at all.
    pub(crate) known: bool,
}

/// Prices and stock for a job whose document has this text.
///
/// Where the document is as a revision was frozen, the prices of that day hold, so that no figure on paper changes without
/// a new revision.
pub(crate) fn priced(rig: &Rig, text: &str) -> anyhow::Result<Priced> {
    let Some(shop) = stock::shop_of(rig) else { return Ok(none()) };
    priced_in(&shop, &stock::job_of(rig)?, text)
}

/// The same for a job of a shop that is known.
pub(crate) fn priced_in(shop: &Path, job: &str, text: &str) -> anyhow::Result<Priced> {
    if let Some(prices) = frozen(shop, job, text)? {
        return Ok(Priced { prices, known: true, ..in_stock(shop, job)? });
    }
    today(shop, job)
}

/// Today's prices and stock of a shop.
pub(crate) fn of_shop(shop: &Path) -> anyhow::Result<Priced> {
    today(shop, "")
}

fn today(shop: &Path, job: &str) -> anyhow::Result<Priced> {
    let stock = in_stock(shop, job)?;
    Ok(match document::prices_in(shop)? {
        Some(prices) => Priced { prices, known: true, ..stock },
        None => stock,
    })
}

/// What the shop has, without prices.
fn in_stock(shop: &Path, job: &str) -> anyhow::Result<Priced> {
    Ok(Priced {
        on_hand: workbench::stock_of(shop)?.on_hand(),
        shelf: workbench::shelf_of(shop, job)?,
        ..none()
    })
}

fn none() -> Priced {
    Priced {
        prices: Prices::none(Currency::of("XXX")),
        on_hand: PartsOnHand::default(),
        shelf: Shelf::default(),
        known: false,
    }
}

/// The prices of the newest revision whose document has this text.
fn frozen(shop: &Path, job: &str, text: &str) -> anyhow::Result<Option<Prices>> {
    let Some(store) = shell::journal_of(shop)? else { return Ok(None) };
    let Some(entry) = workbench::frozen_as(&store, job, text).map_err(Error::msg)? else { return Ok(None) };
    workbench::frozen_prices(&store, job, &entry.letter).map_err(Error::msg)
}

/// The quote of a design.
pub(crate) fn quote_of(design: &Design, priced: &Priced) -> Quote {
    design::quote(design, &priced.prices, &priced.on_hand, &priced.shelf)
}
