//! `boardwright stock`, and the booking of a cut plan.

use std::path::{Path, PathBuf};

use anyhow::{Context as _, bail};
use design::{KEEP_MM, Stock};
use document::{Held, Shop, Taken};
use leads::CableCuts;
use quantity::{Length, Quantity as _};
use store::{Direction, STOCK, Store};

use crate::args::{Rig, StockOptions};
use crate::shell::{self, Outcome};

/// The shop folder of a job: the one named, else the folder around the job's that has a journal or a `stock.toml`, else
/// the nearest one with `shop.toml`.
pub(crate) fn shop_of(rig: &Rig) -> Option<PathBuf> {
    if let Some(shop) = &rig.shop {
        return Some(shop.clone());
    }
    let path = crate::loaded::document_path(rig).ok()?;
    let folder = path.parent()?;
    let is_shop =
        |folder: &&Path| folder.join("stock.toml").is_file() || folder.join(".boardwright/journal.sqlite").is_file();
    folder.parent().filter(is_shop).map(Path::to_path_buf).or_else(|| Shop::find(folder))
}

/// The cable in a shop's `stock.toml`; none where there is no such file.
pub(crate) fn stock_of(shop: Option<&Path>) -> anyhow::Result<Vec<Stock>> {
    let Some(path) = shop.map(|shop| shop.join("stock.toml")).filter(|path| path.is_file()) else {
        return Ok(Vec::new());
    };
    let text = std::fs::read_to_string(&path).with_context(|| format!("cannot read `{}`", path.display()))?;
    let held = document::read_stock(&path.display().to_string(), &text)?;
    Ok(held.into_iter().map(in_plan).collect())
}

fn in_plan(held: Held) -> Stock {
    // A plan counts whole millimetres: what a piece has beyond them is not promised.
    let mm = held.length.map(|length| length.nm().div_euclid(1_000_000));
    Stock { cable: held.cable, id: held.name, mm, reel: held.reel }
}

/// Books a cut plan: what it takes goes from the reels and offcuts, as one entry of the journal.
pub(crate) fn book(rig: &Rig, job: &str, cuts: &[CableCuts]) -> anyhow::Result<String> {
    let Some(shop) = shop_of(rig) else {
        bail!("there is no shop to book in; name its folder with --shop");
    };
    if !shop.join("stock.toml").is_file() {
        bail!("`{}` has no stock.toml; add a reel with `boardwright stock`", shop.display());
    }
    let short: Vec<String> =
        cuts.iter().flat_map(|cuts| cuts.plan.missing.iter().map(|&at| cuts.pieces[at].id.clone())).collect();
    if !short.is_empty() {
        bail!("no cable in stock is long enough for {}; nothing is booked", short.join(", "));
    }
    let mut taken: Vec<Taken> = Vec::new();
    for cuts in cuts {
        for (at, source) in cuts.sources.iter().enumerate() {
            let mm: i64 = cuts.plan.steps.iter().filter(|step| step.source == at).map(|step| cuts.pieces[step.piece].mm).sum();
            if 0 < mm {
                taken.push(Taken { name: source.id.clone(), length: Length::from_mm(mm) });
            }
        }
    }
    let store = Store::open(&shop)?;
    let state = store.state(STOCK)?;
    let name = format!("cut the leads of {job}");
    let written = store.edit(STOCK, state.revision, &name, |text| {
        document::take_from_stock(text, &taken, Length::from_mm(KEEP_MM)).map_err(|error| error.to_string())
    })?;
    Ok(if written.state.text == state.text {
        "nothing to book: every piece comes from reels of unknown length".to_owned()
    } else {
        format!("booked: {name}; `boardwright stock {} --undo` takes it back", shop.display())
    })
}

pub(crate) fn run(options: &StockOptions) -> anyhow::Result<Outcome> {
    if !options.shop.is_dir() {
        bail!("`{}` is no folder", options.shop.display());
    }
    let store = Store::open(&options.shop)?;
    if let Some([name, cable, rest @ ..]) = options.add.as_deref() {
        let length = rest.first().map(|text| Length::parse(text)).transpose()?;
        let held = Held { name: name.clone(), cable: cable.clone(), length, reel: !options.offcut };
        if document::Catalogue::for_shop(&options.shop)?.cable(cable).is_none() {
            bail!("the catalogue has no cable `{cable}`");
        }
        store.begin_stock()?;
        let state = store.state(STOCK)?;
        let what = if held.reel { "reel" } else { "offcut" };
        store.edit(STOCK, state.revision, &format!("add {what} {name}"), |text| {
            let text = document::add_to_stock(text, &held).map_err(|error| error.to_string())?;
            document::read_stock("stock.toml", &text).map_err(|error| problems(&error))?;
            Ok(text)
        })?;
    } else if options.undo || options.redo {
        let direction = if options.undo { Direction::Back } else { Direction::Forth };
        let written = store.step(STOCK, None, direction)?;
        shell::say(&format!("{}: {}", if options.undo { "taken back" } else { "made again" }, written.name));
    }
    let mut out = String::new();
    for stock in stock_of(Some(&options.shop))? {
        let what = if stock.reel { "reel" } else { "offcut" };
        let length = stock.mm.map_or_else(|| "not measured".to_owned(), |mm| format!("{mm} mm"));
        out += &format!("{:<8} {:<12} {:<16} {length:>14}\n", what, stock.id, stock.cable);
    }
    if out.is_empty() {
        out = "no cable in stock\n".to_owned();
    }
    shell::data(&out)?;
    Ok(Outcome::Clean)
}

/// What a document is refused for, in one line.
fn problems(error: &document::ReadError) -> String {
    match error {
        document::ReadError::Problems { problems, .. } => {
            problems.iter().map(|problem| problem.message.clone()).collect::<Vec<_>>().join("; ")
        }
        other => other.to_string(),
    }
}
