//! The measuring sheet: what decides, in the order in which it is worth measuring, with a blank for what was found.

use drawing::Weight;
use drawing::text::wrap;
use measure::Decides;

use crate::block::{Block, Cell, Table, blank, cell, figures, share, wide};
use crate::part::Part;
use crate::sheet::{Lie, PT};
use crate::{PapersInput, text};

/// The table has so much of the one page, in millimetres; who has measured what stands there asks again.
const ROOM: f64 = 143.0;
/// Size of the type, in points, and what a line and the rule between two rows take, in millimetres.
const SIZE: f64 = 8.0;
const LINE: f64 = 3.4;
const BETWEEN: f64 = 1.5;
/// How wide the words of the two columns are, in millimetres.
const WIDE: [f64; 2] = [66.0, 57.0];

/// How many values stand on the one page.
fn on_the_page(all: &[Decides]) -> usize {
    let mut left = ROOM;
    let lines = |words: &str, wide: f64| wrap(words, SIZE * PT, Weight::Regular, wide, 9).len();
    let fits = all.iter().take_while(|value| {
        let most = lines(&how(value), WIDE[0]).max(lines(&then(value), WIDE[1]));
        let lines: f64 = (0..=most).map(|_| LINE).sum();
        left -= lines + BETWEEN;
        0.0 <= left
    });
    fits.count()
}

/// The paper.
pub(crate) fn measuring(input: &PapersInput<'_>) -> Part {
    let mut blocks = vec![Block::Title(text::MEASURING)];
    let all: &[Decides] = input.measuring.map_or(&[], |answer| &answer.decides);
    if let Some(answer) = input.measuring {
        blocks.push(Block::Words(answer.summary()));
        blocks.extend(answer.left_out().map(|words| Block::Faint(text::not_all_tried(&words))));
    }
    blocks.push(Block::Picture(drawing::measuring()));
    let (first, rest) = all.split_at(on_the_page(all));
    let mut table = table().grid();
    first.iter().enumerate().for_each(|(index, value)| table.row(row(index, value)));
    blocks.push(Block::Table(table));
    if !rest.is_empty() {
        blocks.push(Block::Faint(text::more_to_measure(rest.len())));
    }
    let mut part = Part::blocks(input, "measuring", text::MEASURING, "-MSR", Lie::Portrait, blocks);
    part.files.push(values(all));
    part
}

fn table() -> Table {
    let columns = vec![
        figures(text::ORDER_NUMBER, "", 8.0),
        share(text::WHAT, 1.15),
        share(text::DECIDES, 1.0),
        wide(text::MEASURED, 24.0),
    ];
    Table::new("", 8.0, columns)
}

/// With which tool, in which time, where, and what is taken now.
fn how(value: &Decides) -> String {
    let now =
        value.assumed.clone().map_or_else(|| text::NOT_KNOWN.to_owned(), |now| text::assumed_to_be(&now));
    let how = format!("{}, {} s: {}; {now}", value.tool.word(), value.seconds, value.place);
    letter(value).map_or_else(|| how.clone(), |letter| format!("{letter}, {how}"))
}

/// What is said then, or no longer.
fn then(value: &Decides) -> String {
    if value.comes { value.says.clone() } else { text::no_longer(&value.says) }
}

fn row(index: usize, value: &Decides) -> [Cell; 4] {
    [
        cell((index + 1).to_string()).faint(),
        cell(value.field.words()).bold().line(how(value)),
        cell(format!("{} {}", value.effect.word(), value.when)).line(then(value)),
        blank(),
    ]
}

/// All that decides, one thing a column, to be read by a spreadsheet.
fn values(all: &[Decides]) -> Table {
    let columns = vec![
        figures(text::ORDER_NUMBER, "", 8.0),
        wide(text::WHAT, 40.0),
        wide(text::WHERE, 40.0),
        wide(text::TOOL, 20.0),
        figures(text::TAKES, "s", 12.0),
        wide(text::ASSUMED_NOW, 20.0),
        wide(text::MAY_BE, 30.0),
        share(text::DECIDES, 1.0),
        share(text::SAYS, 1.0),
        wide(text::MEASURED, 20.0),
    ];
    let mut table = Table::new("measuring-sheet", 9.0, columns);
    for (index, value) in all.iter().enumerate() {
        table.row([
            cell((index + 1).to_string()),
            cell(value.field.words()),
            cell(value.place.clone()),
            cell(value.tool.word()),
            cell(value.seconds.to_string()),
            cell(value.assumed.clone().unwrap_or_default()),
            cell(text::from_to(&value.range)),
            cell(format!("{} {}", value.effect.word(), value.when)),
            cell(then(value)),
            blank(),
        ]);
    }
    table
}

/// The letter of the drawing at which a value is measured.
fn letter(value: &Decides) -> Option<&'static str> {
    let parts: Vec<&str> = value.field.parts().iter().map(String::as_str).collect();
    Some(match parts.as_slice() {
        ["device", _, "size", "width"] => "A",
        ["device", _, "size", "depth"] => "B",
        ["device", _, "size", "height"] => "C",
        ["device", _, "knobs"] => "D",
        ["device", _, "port", _, "offset"] => "E",
        ["device", _, "port", _, "height"] => "F",
        ["plug", _, "depth"] => "G",
        ["connector", _, "nut"] => "H",
        _ => return None,
    })
}
