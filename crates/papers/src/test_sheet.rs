//! The test sheet: what should be found beside the blank for what was found.

use design::{Expected, TestLine, tests as lines};
use rig::Provenance;

use crate::block::{Block, Cell, Table, blank, cell, figures, pair, share, tick, ticks, wide};
use crate::part::Part;
use crate::sheet::Lie;
use crate::{PapersInput, cautions, text};

/// The paper.
pub(crate) fn tests(input: &PapersInput<'_>) -> Part {
    let mut blocks = vec![Block::Title(text::TESTS)];
    let instruments = vec![
        pair(text::METER_USED, blank()),
        pair(text::CAPACITANCE_METER, blank()),
        pair(text::TESTED_WITH, blank()),
        pair(text::TESTED_BY, blank()),
        pair(text::SIGNATURE, blank()),
        pair(text::DATE_BLANK, blank()),
    ];
    blocks.push(Block::Pairs(instruments, 2, 34.0, 11.0));
    blocks.extend(cautions::phantom(input.design));
    let mut table = Table::new(
        "test-sheet",
        11.0,
        vec![
            wide(text::SUBJECT, 25.0),
            share(text::WHAT, 1.0),
            figures(text::EXPECTED, "", 35.0),
            wide(text::PASSES, 19.0),
            wide(text::MEASURED, 22.0),
            ticks(text::TICK_OK),
        ],
    )
    .grid();
    let mut part = None;
    for line in lines(input.design) {
        if part != Some(line.part) {
            part = Some(line.part);
            let (head, note) = text::test_part(line.part);
            table.group(head, note);
        }
        table.row(row(&line));
    }
    blocks.push(Block::Table(table));
    Part::blocks(input, "tests", text::TESTS, "-TST", Lie::Portrait, blocks)
}

fn row(line: &TestLine) -> Vec<Cell> {
    let expected = match &line.expected {
        Expected::Figure { value, unit, decimals, from } => {
            cell(format!("{value:.decimals$}")).unit(*unit).bold().assumed(*from == Provenance::Assumed)
        }
        Expected::Words(words) => cell(words.clone()).left(),
        Expected::Unknown(unit) => cell(text::UNKNOWN).unit(*unit),
    };
    vec![
        cell(line.subject.clone()).bold(),
        cell(line.what.clone()),
        expected,
        cell(line.passes.clone()).faint(),
        blank(),
        tick(),
    ]
}
