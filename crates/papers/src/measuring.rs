//! The measuring sheet: what decides, in the order in which it is worth measuring, with a blank for what was found.

use measure::Decides;

use crate::block::{Block, Cell, Table, blank, cell, figures, narrow_ticks, share, tick, wide};
use crate::part::Part;
use crate::sheet::Lie;
use crate::{PapersInput, text};

/// So many values stand on the one page; who has measured these asks again.
const MOST: usize = 11;

/// The paper.
pub(crate) fn measuring(input: &PapersInput<'_>) -> Part {
    let mut blocks = vec![Block::Title(text::MEASURING)];
    let all: &[Decides] = input.measuring.map_or(&[], |answer| &answer.decides);
    if let Some(answer) = input.measuring {
        blocks.push(Block::Words(answer.summary()));
        blocks.extend(answer.left_out().map(|words| Block::Faint(text::not_all_tried(&words))));
    }
    blocks.push(Block::Picture(drawing::measuring()));
    let (first, rest) = all.split_at(all.len().min(MOST));
    let mut table = table("").grid();
    first.iter().enumerate().for_each(|(index, value)| table.row(row(index, value)));
    blocks.push(Block::Table(table));
    if !rest.is_empty() {
        blocks.push(Block::Faint(text::more_to_measure(rest.len())));
    }
    let mut part = Part::blocks(input, "measuring", text::MEASURING, "-MSR", Lie::Portrait, blocks);
    let mut values = self::table("measuring-sheet");
    all.iter().enumerate().for_each(|(index, value)| values.row(row(index, value)));
    part.files.push(values);
    part
}

fn table(file: &'static str) -> Table {
    let columns = vec![
        figures(text::ORDER_NUMBER, "", 8.0),
        share(text::WHAT, 1.3),
        wide(text::TOOL, 20.0),
        share(text::DECIDES, 1.2),
        wide(text::MEASURED, 22.0),
        narrow_ticks(text::TICK_DONE),
    ];
    Table::new(file, 9.0, columns)
}

fn row(index: usize, value: &Decides) -> [Cell; 6] {
    let now =
        value.assumed.clone().map_or_else(|| text::NOT_KNOWN.to_owned(), |now| text::assumed_to_be(&now));
    let then = if value.comes { value.says.clone() } else { text::no_longer(&value.says) };
    let point =
        letter(value).map_or_else(|| value.place.clone(), |letter| format!("{letter}: {}", value.place));
    [
        cell((index + 1).to_string()).faint(),
        cell(value.field.words()).bold().line(format!("{point}; {now}")),
        cell(value.tool.word()).line(format!("{} s", value.seconds)),
        cell(format!("{} {}", value.effect.word(), value.when)).line(then),
        blank(),
        tick(),
    ]
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
