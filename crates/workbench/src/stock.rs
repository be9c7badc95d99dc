//! The shop's cable: read for plans, and booked when a plan is cut.

use std::path::Path;

use design::{CutLead, Design, KEEP_MM, Shelf, Stock};
use document::{ReadError, StockList, Taken};
use leads::CableCuts;
use quantity::Length;
use store::{Direction, STOCK, Store, StoreError};

/// What stands in a shop's `stock.toml`; nothing where there is no such file.
pub fn stock_of(shop: &Path) -> Result<StockList, ReadError> {
    let path = shop.join("stock.toml");
    if !path.is_file() {
        return Ok(StockList::default());
    }
    let text = document::edit::read_plain_text(&path)
        .map_err(|error| ReadError::File { path: path.clone(), error })?;
    document::read_stock(&path.display().to_string(), &text)
}

/// The cable of a shop as the plan of one job sees it, with the leads of the job that are cut.
pub fn shelf_of(shop: &Path, job: &str) -> Result<Shelf, ReadError> {
    // A plan counts whole millimetres: what a piece has beyond them is not promised.
    let mm = |length: Length| length.nm().div_euclid(1_000_000);
    let list = stock_of(shop)?;
    let cable = list.held.into_iter().map(|held| Stock {
        cable: held.cable,
        id: held.name,
        mm: held.length.map(mm),
        reel: held.reel,
    });
    let cut = list.cut.into_iter().filter(|cut| cut.job == job);
    let cut = cut.map(|cut| CutLead { lead: cut.lead, cable: cut.cable, mm: mm(cut.length) });
    Ok(Shelf { cable: cable.collect(), cut: cut.collect() })
}

/// What came of a booking.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Booked {
    /// It is booked, under this name.
    Done(String),
    /// Every lead that is made here is cut already.
    Nothing,
    /// These leads have no cable that is long enough; nothing is booked.
    Short(Vec<String>),
}

/// Books cut plans: what they take goes from the reels and offcuts, and their leads count as cut, as one entry of the
/// journal that can be taken back.
pub fn book(store: &Store, job: &str, design: &Design, cuts: &[CableCuts]) -> Result<Booked, StoreError> {
    let short: Vec<String> =
        cuts.iter().flat_map(|cuts| cuts.plan.missing.iter().map(|&at| cuts.pieces[at].id.clone())).collect();
    if !short.is_empty() {
        return Ok(Booked::Short(short));
    }
    let mut taken: Vec<Taken> = Vec::new();
    for cuts in cuts {
        for (at, source) in cuts.sources.iter().enumerate() {
            let steps = cuts.plan.steps.iter().filter(|step| step.source == at);
            let mm: i64 = steps.map(|step| cuts.pieces[step.piece].mm).sum();
            if 0 < mm {
                taken.push(Taken { name: source.id.clone(), length: Length::from_mm(mm) });
            }
        }
    }
    store.begin_stock()?;
    let state = store.state(STOCK)?;
    let cut: Vec<document::CutLead> = design::cut_by(design, cuts)
        .into_iter()
        .map(|cut| document::CutLead {
            job: job.to_owned(),
            lead: cut.lead,
            cable: cut.cable,
            length: Length::from_mm(cut.mm),
        })
        .collect();
    if cut.is_empty() {
        return Ok(Booked::Nothing);
    }
    let name = format!("cut the leads of {}", design.rig.job.title);
    store.edit(STOCK, state.revision, &name, |text| {
        let left = document::take_from_stock(text, &taken, Length::from_mm(KEEP_MM))
            .map_err(|error| error.to_string())?;
        Ok(document::add_cut_leads(&left, &cut))
    })?;
    Ok(Booked::Done(name))
}

/// The last change of the stock, for who wants to take it back; `None` where there is none.
pub fn last_booking(store: &Store) -> Option<String> {
    store.folder().join("stock.toml").is_file().then(|| store.state(STOCK).ok()?.undo).flatten()
}

/// Takes the last change of the stock back.
pub fn unbook(store: &Store) -> Result<String, StoreError> {
    Ok(store.step(STOCK, None, Direction::Back)?.name)
}

/// A short text that changes whenever the stock or the prices do.
pub(crate) fn stamp(shop: &Path) -> String {
    let texts = ["stock.toml", "prices.toml"]
        .map(|name| document::edit::read_plain_text(&shop.join(name)).unwrap_or_default());
    crate::bench::hash_of(texts.iter().map(String::as_str))
}
