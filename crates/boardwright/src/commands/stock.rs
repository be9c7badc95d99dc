//! `boardwright stock`, and the booking of a cut plan.

use std::path::{Path, PathBuf};

use anyhow::bail;
use design::Shelf;
use document::edit::is_there;
use document::{Catalogue, Family, Held, Shop};
use leads::CableCuts;
use quantity::{Length, Quantity as _};
use store::{HistoryStep, STOCK};
use workbench::Booked;

use crate::args::{Rig, StockOptions};
use crate::loaded::Loaded;
use crate::shell::{self, Outcome};
use crate::written;

/// The shop folder of a job: the one named, else the folder around the job's that has a journal or a `stock.toml`, else
/// the nearest one with `shop.toml`.
pub(crate) fn shop_of(rig: &Rig) -> Option<PathBuf> {
    if let Some(shop) = &rig.shop {
        return Some(shop.clone());
    }
    let path = crate::loaded::document_path(rig).ok()?;
    let folder = path.parent()?;
    let is_shop = |folder: &&Path| {
        is_there(&folder.join("stock.toml"))
            || is_there(&folder.join("prices.toml"))
            || store::has_journal(folder)
    };
    folder.parent().filter(is_shop).map(Path::to_path_buf).or_else(|| Shop::find(folder))
}

/// The cable in the shop of a job; none where there is no shop or no list of it.
pub(crate) fn shelf_for(rig: &Rig) -> anyhow::Result<Shelf> {
    let Some(shop) = shop_of(rig) else { return Ok(Shelf::default()) };
    Ok(workbench::shelf_of(&shop, &job_of(rig)?)?)
}

/// The folder of a job: what its leads are booked under.
pub(crate) fn job_of(rig: &Rig) -> anyhow::Result<String> {
    let path = std::path::absolute(crate::loaded::document_path(rig)?)?;
    let folder = path.parent().and_then(Path::file_name);
    Ok(folder.unwrap_or_default().to_string_lossy().into_owned())
}

/// Books a cut plan, and says what came of it.
pub(crate) fn book(rig: &Rig, loaded: &Loaded, cuts: &[CableCuts]) -> anyhow::Result<String> {
    let design = &loaded.design;
    if design.leads.iter().any(|lead| !lead.issued) {
        bail!(
            "what is cut is written into the document by its number, and these are not issued; nothing is booked"
        );
    }
    let Some(shop) = shop_of(rig) else {
        bail!("there is no shop to book in; name its folder with --shop");
    };
    if !is_there(&shop.join("stock.toml")) {
        bail!("`{}` has no stock.toml; add a reel with `boardwright stock {0} --add`", shop.display());
    }
    let store = shell::open_shop(&shop)?;
    Ok(match workbench::book(&store, &job_of(rig)?, design, cuts)? {
        Booked::Done(name, cut, left) => {
            if let Err(error) = written::write(rig, loaded, &design::cut_edit(&design.rig, &cut, true)) {
                // It says nothing of it yet, so that there is nobody to follow.
                store.step(STOCK, None, HistoryStep::Undo)?;
                return Err(error.context("the document cannot say what is cut; nothing is booked"));
            }
            let left = workbench::left_uncut(&left);
            format!("booked: {name}{left}; `boardwright stock {} --undo` takes it back", shop.display())
        }
        Booked::Nothing => "nothing to book: every lead that is made here is cut".to_owned(),
        Booked::Short(leads) => {
            bail!("no cable in stock is long enough for {}; nothing is booked", leads.join(", "))
        }
    })
}

pub(crate) fn run(options: &StockOptions) -> anyhow::Result<Outcome> {
    if !options.shop.is_dir() {
        bail!("`{}` is not a folder", options.shop.display());
    }
    let store = shell::open_shop(&options.shop)?;
    if let Some([name, cable, rest @ ..]) = options.add.as_deref() {
        let length = rest.first().map(|text| Length::parse(text)).transpose()?;
        let held = Held { name: name.clone(), cable: cable.clone(), length, reel: !options.offcut };
        let catalogue = Catalogue::of_shop(&options.shop)?;
        let cables = catalogue.entries().into_iter().filter(|entry| entry.family == Family::Cable);
        let cables: Vec<String> = cables.map(|entry| entry.id).collect();
        if !cables.contains(cable) {
            bail!("the catalogue has no cable `{cable}`; there are {}", cables.join(", "));
        }
        store.begin_stock()?;
        let state = store.state(STOCK)?;
        let what = if held.reel { "reel" } else { "offcut" };
        store.edit(STOCK, state.version, &format!("add {what} {name}"), |text| {
            let text = document::add_to_stock(text, &held);
            document::read_stock("stock.toml", &text).map_err(|error| workbench::stock_problems(&error))?;
            Ok(text)
        })?;
    } else if options.undo || options.redo {
        let step = if options.undo { HistoryStep::Undo } else { HistoryStep::Redo };
        let done = workbench::restock(&store, step)?;
        shell::say(&format!("{}: {}", if options.undo { "taken back" } else { "made again" }, done.name));
        for (job, why) in done.behind {
            shell::say(&format!("the document of {job} does not follow: {why}"));
        }
    }
    let mut out = String::new();
    let list = workbench::stock_of(&options.shop)?;
    for held in list.held {
        let what = if held.reel { "reel" } else { "offcut" };
        let whole = |length: Length| format!("{:.0} mm", length.as_mm().floor());
        let length = held.length.map_or_else(|| "not measured".to_owned(), whole);
        out += &format!("{:<8} {:<12} {:<16} {length:>14}\n", what, held.name, held.cable);
    }
    for part in list.parts {
        out += &format!("{:<8} {:<29} {:>14}\n", "part", part.name, part.amount.words());
    }
    if out.is_empty() {
        out.push_str("nothing in stock\n");
    }
    shell::data(&out)?;
    Ok(Outcome::Clean)
}
