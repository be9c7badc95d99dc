//! The order in which tables with headers are written.
//!
//! Each such table has a place in the text. A new one is given the place of the table it follows, or the last place
//! of all; after each change places are counted anew, as reading the text again would count them.

use toml_edit::{DocumentMut, Item, Table};

/// Behind all others.
pub(super) const END: isize = isize::MAX;

/// The place of a table or of the last table below it.
pub(super) fn last_position(table: &Table) -> Option<isize> {
    let mut last = table.position();
    for (_, item) in table {
        match item {
            Item::Table(inner) => last = last.max(last_position(inner)),
            Item::ArrayOfTables(rows) => {
                last = rows.iter().filter_map(last_position).max().max(last);
            }
            _ => {}
        }
    }
    last
}

/// Counts the places of all tables anew, in the order in which they are written now.
pub(super) fn renumber(document: &mut DocumentMut) {
    let mut places = Vec::new();
    collect(document.as_table(), &mut 0, &mut places);
    // The values at the top stand before every header.
    if let Some(top) = places.first_mut() {
        *top = isize::MIN;
    }
    let mut order: Vec<usize> = (0..places.len()).collect();
    order.sort_by_key(|index| places[*index]);
    let mut ranks = vec![0; places.len()];
    for (rank, index) in order.into_iter().enumerate() {
        ranks[index] = isize::try_from(rank).unwrap_or(END);
    }
    assign(document.as_table_mut(), &mut ranks.into_iter());
}

/// The place of each table as the writer sees it: one without a place follows the one visited before it.
fn collect(table: &Table, last: &mut isize, places: &mut Vec<isize>) {
    if !table.is_dotted() {
        *last = table.position().unwrap_or(*last);
        places.push(*last);
    }
    for (_, item) in table {
        match item {
            Item::Table(inner) => collect(inner, last, places),
            Item::ArrayOfTables(rows) => rows.iter().for_each(|row| collect(row, last, places)),
            _ => {}
        }
    }
}

fn assign(table: &mut Table, ranks: &mut impl Iterator<Item = isize>) {
    if !table.is_dotted() {
        let rank = ranks.next();
        if table.position().is_some() || !table.is_implicit() {
            table.set_position(rank);
        }
    }
    for (_, item) in table.iter_mut() {
        match item {
            Item::Table(inner) => assign(inner, ranks),
            Item::ArrayOfTables(rows) => rows.iter_mut().for_each(|row| assign(row, ranks)),
            _ => {}
        }
    }
}
