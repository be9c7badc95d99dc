//! Bill of materials with mass, balance and waste.

use design::{Amount, BillGroup, BillLine, balance, bill as lines};
use rig::Known;

use crate::block::{Block, Table, cell, figures, known, pair, share, wide};
use crate::part::Part;
use crate::sheet::Lie;
use crate::{PapersInput, cautions, text};

/// The paper.
pub(crate) fn bill(input: &PapersInput<'_>) -> Part {
    let design = input.design;
    let mut table = Table::new(
        "bill",
        11.0,
        vec![
            share(text::ITEM, 1.25),
            figures(text::NEEDED, "", 27.0),
            figures(text::WASTE, "", 25.0),
            figures(text::TO_BUY, "", 27.0),
            figures(text::MASS, "kg", 19.0),
            share(text::SERVES, 1.0),
            wide(text::COMES_FROM, 27.0),
        ],
    );
    let mut group: Option<BillGroup> = None;
    for line in lines(design) {
        if group != Some(line.group) {
            group = Some(line.group);
            table.group(text::bill_group(line.group), "");
        }
        table.row(row(&line));
    }
    let mut blocks = vec![Block::Title(text::BILL), Block::Faint(text::BILL_NOTE.to_owned())];
    blocks.extend(cautions::strip(design));
    blocks.push(Block::Table(table));
    blocks.push(Block::Head(text::MASS_BALANCE.to_owned(), String::new()));
    blocks.push(mass(input));
    Part::blocks(input, "bill", text::BILL, "-BOM", Lie::Landscape, blocks)
}

fn row(line: &BillLine) -> Vec<crate::block::Cell> {
    let sum = match (line.left, line.needed, line.waste) {
        (Some(left), ..) => left,
        (None, Amount::Pieces(a), Amount::Pieces(b)) => Amount::Pieces(a + b),
        (None, Amount::Length(a), Amount::Length(b)) => Amount::Length(a + b),
        (None, needed, _) => needed,
    };
    let none = matches!(line.waste, Amount::Pieces(0));
    let mass = match line.mass {
        Known { value: None, .. } if !matches!(line.group, BillGroup::Devices | BillGroup::Board) => cell(""),
        mass => known(mass, |mass| format!("{:.2}", mass.get() / 1000.0)),
    };
    vec![
        cell(line.item.clone()),
        counted(line.needed).assumed(line.estimated),
        if none { cell("").unit("") } else { counted(line.waste) },
        if line.theirs { cell(text::DASH).unit("") } else { counted(sum).bold() },
        mass,
        cell(line.serves.clone()).faint(),
        cell(if line.theirs { text::CLIENT } else { text::SHOP }),
    ]
}

/// An amount, its unit behind it.
fn counted(amount: Amount) -> crate::block::Cell {
    match amount {
        Amount::Pieces(count) => cell(count.to_string()).unit(""),
        Amount::Length(length) => cell(format!("{:.2}", length.as_mm() / 1000.0)).unit("m"),
    }
}

/// Masses and where they lie.
fn mass(input: &PapersInput<'_>) -> Block {
    let design = input.design;
    let kilos = |grams: quantity::Grams| format!("{:.2} kg", grams.get() / 1000.0);
    let assumed = design.mass.items.iter().any(|item| item.mass.is_assumed());
    let unknown: Vec<&str> = design
        .mass
        .items
        .iter()
        .filter(|item| item.mass.is_unknown())
        .map(|item| item.name.as_str())
        .collect();
    let mut rows = vec![pair(text::MASS_BARE, cell(kilos(design.mass.bare)).bold().assumed(assumed))];
    if design.rig.board.case.is_some() {
        rows.push(pair(text::MASS_CASED, cell(kilos(design.mass.cased)).bold().assumed(assumed)));
    }
    if !unknown.is_empty() {
        rows.push(pair(text::MASS_UNKNOWN, cell(unknown.join(", "))));
    }
    for (name, grams) in &design.rig.extra_mass {
        rows.push(pair(text::mass_of(name), known(*grams, kilos)));
    }
    let extent = design.rig.board.extent();
    if let Some(balance) = balance(design) {
        let share = |part: f64, whole: f64| if whole > 0.0 { part / whole * 100.0 } else { 0.0 };
        let x = share((balance.x - extent.x).as_mm(), extent.width.as_mm());
        let y = share((balance.y - extent.y).as_mm(), extent.depth.as_mm());
        let words = text::centre_of_mass(&balance.x.figure_mm(0), x, &balance.y.figure_mm(0), y);
        rows.push(pair(text::BALANCE, cell(words).assumed(balance.assumed)));
        if !balance.left_out.is_empty() {
            rows.push(pair(text::BALANCE_WITHOUT, cell(balance.left_out.join(", "))));
        }
    }
    Block::Pairs(rows, 1, 52.0, 11.0)
}
