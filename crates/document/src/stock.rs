//! The cable a shop has: reels and offcuts, in `stock.toml`.

use std::collections::BTreeSet;

use estimate::Amount;
use quantity::Length;
use toml_edit::{DocumentMut, Item, Table, value};

use crate::edit::EditError;
use crate::format::STOCK;
use crate::job::ReadError;
use crate::problem::{File, Files, Problem, shown};
use crate::read::node::Node;
use crate::read::walk::walk;

/// More than a shop ever needs: a reel whose length nobody measured.
const ENDLESS: Length = Length::from_mm(100_000_000);

/// The text of a stock that holds nothing yet.
pub const EMPTY_STOCK: &str = "# Reels and offcuts of cable. Cutting a plan books what it takes from them.\n";

/// A reel or an offcut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Held {
    /// Its name, as it is written on it.
    pub name: String,
    /// Catalogue id of its cable.
    pub cable: String,
    /// How long it is; `None` for a reel that nobody measured.
    pub length: Option<Length>,
    /// Whether it is a reel; else an offcut.
    pub reel: bool,
}

/// What a plan takes from a reel or an offcut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken {
    /// The name of the reel or offcut.
    pub name: String,
    /// All that is cut from it.
    pub length: Length,
}

/// A lead that is cut and booked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutLead {
    /// The folder of its job.
    pub job: String,
    /// Its two ends.
    pub lead: String,
    /// Catalogue id of its cable; `None` when it was not decided.
    pub cable: Option<String>,
    /// How long it was cut.
    pub length: Length,
}

/// How much there is of a part other than cable.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldPart {
    /// What the price file knows it by.
    pub name: String,
    /// How much.
    pub amount: Amount,
}

/// What stands in `stock.toml`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct StockList {
    /// Reels and offcuts, reels first.
    pub held: Vec<Held>,
    /// Leads that are cut already.
    pub cut: Vec<CutLead>,
    /// Parts other than cable.
    pub parts: Vec<HeldPart>,
}

impl StockList {
    /// What order lists and quotes may count on: reels and parts. An offcut counts only where a cut plan finds a lead for
    /// it; a reel that nobody measured is endless.
    pub fn on_hand(&self) -> estimate::PartsOnHand {
        let mut on_hand = estimate::PartsOnHand::default();
        for held in self.held.iter().filter(|held| held.reel) {
            on_hand.add(&held.cable, Amount::Length(held.length.unwrap_or(ENDLESS)));
        }
        for part in &self.parts {
            on_hand.add(&part.name, part.amount);
        }
        on_hand
    }
}

/// Reads a stock. `name` stands in messages for the file.
pub fn read_stock(name: &str, text: &str) -> Result<StockList, ReadError> {
    let (tree, mut problems) = walk(0, text, &STOCK);
    let mut names = BTreeSet::new();
    let mut out = Vec::new();
    for (list, reel) in [("reel", true), ("offcut", false)] {
        for node in tree.items(list) {
            let Some(name) = node.text("name") else { continue };
            if !names.insert(name.clone()) {
                let message = format!("two reels or offcuts are called `{}`", shown(&name));
                problems.push(Problem::new(node.at.clone(), message));
            }
            let length: Option<Length> = node.plain("length");
            if length.is_none() && !reel {
                problems.push(Problem::new(node.at.clone(), "an offcut must say how long it is".to_owned()));
            }
            if length.is_some_and(|length| length <= Length::ZERO) {
                problems.push(Problem::new(node.at.clone(), "a length must be above zero".to_owned()));
            }
            let Some(cable) = node.text("cable") else { continue };
            out.push(Held { name, cable, length, reel });
        }
    }
    let cut = tree.items("cut").iter().filter_map(|node| {
        let (job, lead, cable) = (node.text("job")?, node.text("lead")?, node.text("cable"));
        Some(CutLead { job, lead, cable, length: node.plain("length")? })
    });
    let parts = parts(&tree, &mut problems);
    if problems.is_empty() {
        Ok(StockList { held: out, cut: cut.collect(), parts })
    } else {
        let file = File { name: name.to_owned(), text: text.to_owned() };
        Err(ReadError::Problems { problems, files: Files(vec![file]) })
    }
}

fn parts(tree: &Node, problems: &mut Vec<Problem>) -> Vec<HeldPart> {
    let mut names = BTreeSet::new();
    let mut out = Vec::new();
    for node in tree.items("part") {
        let Some(name) = node.text("name") else { continue };
        if !names.insert(name.clone()) {
            let message = format!("part `{}` is listed twice", shown(&name));
            problems.push(Problem::new(node.at.clone(), message));
        }
        let amount = match (node.count("pieces"), node.plain("length")) {
            (Some(pieces), None) => Amount::Pieces(i64::from(pieces)),
            (None, Some(length)) => Amount::Length(length),
            _ => {
                let message = format!("part `{}` must say `pieces` or `length`, one of them", shown(&name));
                problems.push(Problem::new(node.at.clone(), message));
                continue;
            }
        };
        out.push(HeldPart { name, amount });
    }
    out
}

/// The stock after parts came in: what there is of each grows. The text is not read for sense: [`read_stock`] the result.
pub fn add_parts(text: &str, parts: &[HeldPart]) -> Result<String, EditError> {
    let mut document = parse(text)?;
    let mut fresh: Vec<HeldPart> = Vec::new();
    for part in parts {
        let rows = document.get_mut("part").and_then(Item::as_array_of_tables_mut);
        let row = rows.and_then(|rows| {
            rows.iter_mut().find(|row| row.get("name").and_then(Item::as_str) == Some(part.name.as_str()))
        });
        match (row, part.amount) {
            (Some(row), Amount::Pieces(more)) => {
                let before = row.get("pieces").and_then(Item::as_integer).unwrap_or_default();
                row["pieces"] = value(before.saturating_add(more));
            }
            (Some(row), Amount::Length(more)) => {
                let before = row.get("length").and_then(Item::as_str).and_then(parse_length);
                row["length"] = value((before.unwrap_or(Length::ZERO) + more).to_string());
            }
            (None, _) => match fresh.iter_mut().find(|other| other.name == part.name) {
                Some(other) => {
                    other.amount =
                        other.amount.with(other.amount.units().saturating_add(part.amount.units()));
                }
                None => fresh.push(part.clone()),
            },
        }
    }
    Ok(fresh.iter().fold(document.to_string(), |text, part| {
        let mut row = Table::new();
        row["name"] = value(part.name.as_str());
        match part.amount {
            Amount::Pieces(pieces) => row["pieces"] = value(pieces),
            Amount::Length(length) => row["length"] = value(length.to_string()),
        }
        with_row(&text, "part", &row)
    }))
}

fn parse(text: &str) -> Result<DocumentMut, EditError> {
    text.parse().map_err(|error: toml_edit::TomlError| EditError::NotToml(error.message().to_owned()))
}

/// Adds a reel or an offcut at the end. The text is not read for sense: [`read_stock`] the result.
pub fn add_to_stock(text: &str, held: &Held) -> String {
    let list = if held.reel { "reel" } else { "offcut" };
    let mut row = Table::new();
    row["name"] = value(held.name.as_str());
    row["cable"] = value(held.cable.as_str());
    if let Some(length) = held.length {
        row["length"] = value(length.to_string());
    }
    with_row(text, list, &row)
}

/// A text with one table more at its end.
fn with_row(text: &str, list: &str, row: &Table) -> String {
    format!("{}\n\n[[{list}]]\n{row}", text.trim_end())
}

/// The stock after cable was cut from it. What remains of a reel or an offcut keeps its name; what is shorter than
/// `keep` is scrap, and its entry goes. Names that the stock does not hold, and reels of unknown length, stay as they are.
pub fn take_from_stock(text: &str, taken: &[Taken], keep: Length) -> Result<String, EditError> {
    let mut document = parse(text)?;
    for list in ["reel", "offcut"] {
        let Some(rows) = document.get_mut(list).and_then(Item::as_array_of_tables_mut) else { continue };
        let mut at = 0;
        while let Some(row) = rows.get_mut(at) {
            let name = row.get("name").and_then(Item::as_str).unwrap_or_default();
            let before = row.get("length").and_then(Item::as_str).and_then(parse_length);
            let less = taken.iter().find(|taken| taken.name == name).map(|taken| taken.length);
            if let (Some(before), Some(less)) = (before, less) {
                let left = before - less;
                if left < keep {
                    rows.remove(at);
                    continue;
                }
                row["length"] = value(left.to_string());
            }
            at += 1;
        }
    }
    Ok(document.to_string())
}

/// Writes down that leads are cut.
pub fn add_cut_leads(text: &str, cut: &[CutLead]) -> String {
    cut.iter().fold(text.to_owned(), |text, lead| {
        let mut row = Table::new();
        row["job"] = value(lead.job.as_str());
        row["lead"] = value(lead.lead.as_str());
        if let Some(cable) = &lead.cable {
            row["cable"] = value(cable.as_str());
        }
        row["length"] = value(lead.length.to_string());
        with_row(&text, "cut", &row)
    })
}

fn parse_length(text: &str) -> Option<Length> {
    use quantity::Quantity as _;
    Length::parse(text).ok()
}
