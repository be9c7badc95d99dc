//! Requirements with their wishes as an edit writes them.

use finding::{Cells, Change, Field, Value};
use rig::{Requirement, Wish};

/// The change that makes the brief say these requirements, each with all its wishes.
pub fn requirements(all: &[Requirement]) -> Change {
    Change::set(Field::new(["brief", "requirements"]), Value::Rows(all.iter().map(row).collect()))
}

fn row(requirement: &Requirement) -> Cells {
    let mut row =
        vec![("id".to_owned(), (&requirement.id).into()), ("text".to_owned(), (&requirement.text).into())];
    if !requirement.wishes.is_empty() {
        row.push(("wants".to_owned(), Value::Rows(requirement.wishes.iter().map(cells).collect())));
    }
    row
}

fn cells(wish: &Wish) -> Cells {
    let list = |devices: &[String]| Some(Value::from(devices));
    let text = |text: &Option<String>| text.as_ref().map(Value::from);
    let cells: Vec<(&str, Option<Value>)> = match wish {
        Wish::Order { devices, run } => vec![("order", list(devices)), ("run", text(run))],
        Wish::Place { at, devices } => vec![("place", Some(at.word().into())), ("of", list(devices))],
        Wish::Beside { devices } => vec![("beside", list(devices))],
        Wish::Together { devices } => vec![("together", list(devices))],
        Wish::Apart { devices, by } => vec![("apart", list(devices)), ("by", Some((*by).into()))],
        Wish::Spare { width, depth, deck } => {
            let size = Value::table([("width", (*width).into()), ("depth", (*depth).into())]);
            vec![("spare", Some(size)), ("deck", text(deck))]
        }
        Wish::Mass { most, cased } => {
            vec![("mass", Some((*most).into())), ("cased", cased.then_some(true.into()))]
        }
        Wish::Plays { sink, without, from } => {
            vec![("plays", Some(sink.into())), ("without", list(without)), ("from", text(from))]
        }
        Wish::Mono { sink } => vec![("mono", Some(sink.into()))],
        Wish::Use { how, devices } => vec![("use", Some(how.word().into())), ("of", list(devices))],
    };
    cells.into_iter().filter_map(|(key, value)| Some((key.to_owned(), value?))).collect()
}
