//! The shop's cable: read for plans, and booked when a plan is cut.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use design::{CutLead, Design, KEEP_MM, Shelf, Stock};
use document::edit::is_there;
use document::{ReadError, StockList, Taken};
use finding::Edit;
use leads::CableCuts;
use quantity::Length;
use store::{HistoryStep, STOCK, Store, StoreError};

/// What stands in a shop's `stock.toml`; nothing where there is no such file.
pub fn stock_of(shop: &Path) -> Result<StockList, ReadError> {
    let path = shop.join("stock.toml");
    if !is_there(&path) {
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
    /// It is booked, under this name; these pieces are cut, and the document is to say so. Those named last have no way yet,
    /// so that nobody knows how long they are: they are not cut.
    Done(String, Vec<CutLead>, Vec<String>),
    /// Every lead that is made here is cut already.
    Nothing,
    /// These leads have no cable that is long enough; nothing is booked.
    Short(Vec<String>),
}

/// Books cut plans: what they take goes from the reels and offcuts, and their leads are noted as cut, as one entry of the
/// journal of the stock that can be taken back with [`restock`]. Who books writes what is cut into the document
/// ([`design::cut_edit`]), where it is a fact for all that follows, and takes the booking back if that cannot be done.
pub fn book(store: &Store, job: &str, design: &Design, cuts: &[CableCuts]) -> Result<Booked, StoreError> {
    let short: Vec<String> =
        cuts.iter().flat_map(|cuts| cuts.plan.missing.iter().map(|&at| cuts.pieces[at].id.clone())).collect();
    if !short.is_empty() {
        return Ok(Booked::Short(short));
    }
    let failed: BTreeSet<&str> =
        design.routes().outcome.failed.iter().map(|failed| failed.id.as_str()).collect();
    let mut taken: Vec<Taken> = Vec::new();
    for cuts in cuts {
        for (at, source) in cuts.sources.iter().enumerate() {
            let steps = cuts.plan.steps.iter().filter(|step| step.source == at);
            let pieces = steps.map(|step| &cuts.pieces[step.piece]);
            let mm: i64 =
                pieces.filter(|piece| !failed.contains(piece.id.as_str())).map(|piece| piece.mm).sum();
            if 0 < mm {
                taken.push(Taken { name: source.id.clone(), length: Length::from_mm(mm) });
            }
        }
    }
    let shelf = shelf_of(store.folder(), job).map_err(|error| StoreError::Refused(error.to_string()))?;
    store.begin_stock()?;
    let state = store.state(STOCK)?;
    let (left, pieces): (Vec<CutLead>, Vec<CutLead>) = design::cut_by(design, &shelf, cuts)
        .into_iter()
        .partition(|piece| failed.contains(piece.lead.as_str()));
    let left = left.into_iter().map(|piece| piece.lead).collect();
    if pieces.is_empty() {
        return Ok(Booked::Nothing);
    }
    let cut: Vec<document::CutLead> = pieces
        .iter()
        .map(|cut| document::CutLead {
            job: job.to_owned(),
            lead: cut.lead.clone(),
            cable: cut.cable.clone(),
            length: Length::from_mm(cut.mm),
        })
        .collect();
    let name = format!("cut the leads of {}", design.rig.job.title);
    store.edit(STOCK, state.version, &name, |text| {
        let left = document::take_from_stock(text, &taken, Length::from_mm(KEEP_MM))
            .map_err(|error| error.to_string())?;
        Ok(document::add_cut_leads(&left, &cut))
    })?;
    Ok(Booked::Done(name, pieces, left))
}

/// The last change of the stock, for who wants to take it back; `None` where there is none.
pub fn last_booking(store: &Store) -> Option<String> {
    is_there(&store.folder().join("stock.toml")).then(|| store.state(STOCK).ok()?.undo).flatten()
}

/// What came of a step back or forth in the stock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restored {
    /// The change that was taken back or made again.
    pub name: String,
    /// Documents that say otherwise than the stock now: the job, and why.
    pub behind: Vec<(String, String)>,
}

/// Takes the last change of the stock back, or makes the last one that was taken back again; documents of the shop whose
/// leads it cuts follow, each by an entry of its own journal.
///
/// Where one of them cannot be read the step is refused: nobody could tell it afterwards. A job that is gone, or moved
/// elsewhere, is named.
pub fn restock(store: &Store, step: HistoryStep) -> Result<Restored, StoreError> {
    let mut followers = Vec::new();
    let mut gone: Vec<String> = Vec::new();
    if let Some(text) = store.peek(STOCK, step)? {
        let (before, after) = (cut_of(&store.state(STOCK)?.text), cut_of(&text));
        for (less, more, are_cut) in [(&after, &before, false), (&before, &after, true)] {
            let mut jobs: BTreeMap<&str, Vec<CutLead>> = BTreeMap::new();
            for cut in more.iter().filter(|cut| !less.contains(cut)) {
                let mm = cut.length.nm().div_euclid(1_000_000);
                let piece = CutLead { lead: cut.lead.clone(), cable: cut.cable.clone(), mm };
                jobs.entry(cut.job.as_str()).or_default().push(piece);
            }
            for (job, pieces) in jobs {
                match follower(store, job, &pieces, are_cut)? {
                    Some(follower) => followers.push(follower),
                    None => gone.push(job.to_owned()),
                }
            }
        }
    }
    let name = store.step(STOCK, None, step)?.name;
    let moved = |job| (job, "its document is not there, and was not changed".to_owned());
    let mut behind: Vec<(String, String)> = gone.into_iter().map(moved).collect();
    for Follower { job, version, edit, recut } in followers {
        if !recut.is_empty() {
            let recut = recut.into_iter().collect::<Vec<_>>().join(", ");
            behind.push((job.clone(), format!("cut again by hand, and left as they are: {recut}")));
        }
        if edit.changes.is_empty() {
            continue;
        }
        let made = store.edit_anew(&job, version, &edit.name, |text| {
            document::edit::apply(text, &edit).map_err(|error| error.to_string())
        });
        if let Err(error) = made {
            behind.push((job, error.to_string()));
        }
    }
    Ok(Restored { name, behind })
}

/// The leads that a text of the stock says are cut; none where it cannot be read.
fn cut_of(text: &str) -> Vec<document::CutLead> {
    document::read_stock("stock.toml", text).map(|list| list.cut).unwrap_or_default()
}

/// How the document of a job comes to say what is cut, or no longer says it.
struct Follower {
    job: String,
    version: u64,
    edit: Edit,
    /// Leads that were cut again by hand since they were booked.
    recut: BTreeSet<String>,
}

/// How the document of a job follows; `None` where there is no such job any more.
fn follower(
    store: &Store,
    job: &str,
    cut: &[CutLead],
    are_cut: bool,
) -> Result<Option<Follower>, StoreError> {
    if store.document(job).is_ok_and(|path| !is_there(&path)) {
        return Ok(None);
    }
    let state = store.state(job)?;
    let read = document::read_in_shop(&format!("{job}/rig.toml"), &state.text, store.folder());
    let rig = read.map_err(|error| {
        StoreError::Refused(format!("the document of {job} is to follow, and cannot be read: {error}"))
    })?;
    let recut = if are_cut { BTreeSet::new() } else { design::recut(&rig.rig, cut) };
    let edit = design::cut_edit(&rig.rig, cut, are_cut);
    Ok(Some(Follower { job: job.to_owned(), version: state.version, edit, recut }))
}

/// The step of the stock that goes with a step of a job's document: where it takes a booking back, or makes one again, the
/// stock does so too, or the two would tell otherwise of one lead. `None` where the step is no matter of the stock.
///
/// Refused where the stock has gone on since, so that it cannot go along.
pub(crate) fn along(store: &Store, job: &str, step: HistoryStep) -> Result<Option<HistoryStep>, StoreError> {
    if !is_there(&store.folder().join("stock.toml")) {
        return Ok(None);
    }
    let read = |text: &str| {
        document::read_in_shop(&format!("{job}/rig.toml"), text, store.folder()).ok().map(|read| read.rig)
    };
    let Some(next) = store.peek(job, step)? else { return Ok(None) };
    let (Some(before), Some(after)) = (read(&store.state(job)?.text), read(&next)) else { return Ok(None) };
    let (now, then) = (design::said_cut(&before), design::said_cut(&after));
    // A lead that goes with its device was cut all the same.
    let open = design::said_open(&after);
    let pieces = |text: &str| -> BTreeSet<(String, i64)> {
        let own = cut_of(text).into_iter().filter(|cut| cut.job == job);
        own.map(|cut| (cut.lead, cut.length.nm().div_euclid(1_000_000))).collect()
    };
    let booked = pieces(&store.state(STOCK)?.text);
    let (mut lost, won): (BTreeSet<_>, BTreeSet<_>) = (&now - &then, &then - &now);
    lost.retain(|(piece, _)| open.contains(piece));
    for way in [HistoryStep::Undo, HistoryStep::Redo] {
        let Some(text) = store.peek(STOCK, way)? else { continue };
        let after = pieces(&text);
        let (less, more) = (&booked - &after, &after - &booked);
        let changes = !less.is_empty() || !more.is_empty();
        if changes && less.is_subset(&lost) && more.is_subset(&won) {
            return Ok(Some(way));
        }
    }
    let still: Vec<&str> = lost.intersection(&booked).map(|(piece, _)| piece.as_str()).collect();
    if still.is_empty() {
        return Ok(None);
    }
    Err(StoreError::Refused(format!(
        "{} cut from the stock, and more was done there since: take that back first, on Leads or with `boardwright stock --undo`",
        match still[..] {
            [one] => format!("{one} is"),
            _ => format!("{} are", still.join(", ")),
        }
    )))
}

/// What is said of leads that have no way yet when the others are booked; nothing where there are none.
pub fn left_uncut(leads: &[String]) -> String {
    if leads.is_empty() { String::new() } else { format!("; not cut, with no way yet: {}", leads.join(", ")) }
}

/// A short text that changes whenever the stock or the prices do.
pub(crate) fn stamp(shop: &Path) -> String {
    let texts = ["stock.toml", "prices.toml"]
        .map(|name| document::edit::read_plain_text(&shop.join(name)).unwrap_or_default());
    crate::hash::hash_of(texts.iter().map(String::as_str))
}
