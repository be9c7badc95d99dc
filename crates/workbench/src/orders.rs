//! What a shop orders for its jobs, and what came.

use std::path::Path;

use design::Design;
use document::{Held, HeldPart, ReadError};
use estimate::{Amount, JobNeeds, Missing, Order, Prices};
use store::{STOCK, Store, StoreError};

use crate::stock::{shelf_of, stock_of};

/// One list for each supplier over these jobs, what stock covers left out, and what no item of the price file serves.
///
/// The designs are laid. Cable on the shelf serves the jobs in their order.
///
/// # Errors
/// `stock.toml` cannot be read.
pub fn orders_of(
    shop: &Path,
    jobs: &[(String, &Design)],
    prices: &Prices,
) -> Result<(Vec<Order>, Vec<Missing>), ReadError> {
    let on_hand = stock_of(shop)?.on_hand();
    let mut shelf = shelf_of(shop, "")?;
    let mut needs = Vec::new();
    for (job, design) in jobs {
        shelf.cut = shelf_of(shop, job)?.cut;
        needs.push(JobNeeds { job: job.clone(), needs: design::needs_from(design, &mut shelf) });
    }
    Ok(estimate::orders(&needs, prices, &on_hand))
}

/// So many packs come at once, at most.
pub(crate) const MOST_PACKS: i64 = 10_000;

/// Books packs in as one entry of the journal: cable as reels, all else as parts. Gives the entry's name.
///
/// # Errors
/// There is no such item, it serves no part, the number is none, or stock or journal cannot be written.
pub fn receive(store: &Store, prices: &Prices, name: &str, packs: &str) -> Result<String, StoreError> {
    let refused = |why: String| StoreError::Refused(why);
    let Some(item) = prices.items.iter().find(|item| item.name == name) else {
        let names: Vec<&str> = prices.items.iter().map(|item| item.name.as_str()).collect();
        return Err(refused(format!("the price file has no item `{name}`; there are {}", names.join(", "))));
    };
    let count = packs.trim().parse::<i64>().ok().filter(|count| (1..=MOST_PACKS).contains(count));
    let count = count.ok_or_else(|| {
        refused(format!("`{packs}` is not a number of packs; allowed are 1 to {MOST_PACKS}"))
    })?;
    let catalogue =
        document::Catalogue::of_shop(store.folder()).map_err(|error| refused(error.to_string()))?;
    let entries = catalogue.entries();
    let named_cable = |key: &&String| {
        entries.iter().any(|entry| entry.family == document::Family::Cable && entry.id == **key)
    };
    let Some(key) = item.serves.iter().find(named_cable).or(item.serves.first()) else {
        return Err(refused(format!("item `{name}` serves no part, so it has no place in stock")));
    };
    let is_cable = named_cable(&key);
    store.begin_stock()?;
    let state = store.state(STOCK)?;
    let entry = format!("receive {count} × {name}");
    store.edit(STOCK, state.version, &entry, |text| {
        let text = match item.pack.0 {
            Amount::Length(length) if is_cable => {
                let held = document::read_stock("stock.toml", text).map_err(|error| problems(&error))?.held;
                let mut text = text.to_owned();
                let mut number = 1;
                for _ in 0..count {
                    let (name, next) = free_name(&held, key, number);
                    number = next;
                    let reel = Held { name, cable: key.clone(), length: Some(length), reel: true };
                    text = document::add_to_stock(&text, &reel);
                }
                text
            }
            pack => {
                let amount = pack.with(pack.units().saturating_mul(count));
                document::add_parts(text, &[HeldPart { name: key.clone(), amount }])
                    .map_err(|error| error.to_string())?
            }
        };
        document::read_stock("stock.toml", &text).map_err(|error| problems(&error))?;
        Ok(text)
    })?;
    Ok(entry)
}

/// What is wrong with a stock, in one line.
pub fn problems(error: &ReadError) -> String {
    match error {
        ReadError::Problems { problems, .. } => {
            problems.iter().map(|problem| problem.message.clone()).collect::<Vec<_>>().join("; ")
        }
        other => other.to_string(),
    }
}

/// A name for a reel that no other has, and the number to go on with. Names have no dots, as catalogue ids may.
fn free_name(held: &[Held], cable: &str, from: i64) -> (String, i64) {
    let mut number = from;
    loop {
        let name = format!("{}-{number}", cable.replace('.', "-"));
        number += 1;
        if held.iter().all(|held| held.name != name) {
            return (name, number);
        }
    }
}
