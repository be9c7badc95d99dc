//! The test sheet: what should be found beside the blank for what was found.

use design::{Expected, TestLine, TestPart, tests as lines};
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
        "",
        11.0,
        vec![
            wide(text::SUBJECT, 24.0),
            share(text::WHAT, 1.0),
            figures(text::EXPECTED, "", 38.0),
            wide(text::PASSES, 18.0),
            wide(text::MEASURED, 20.0),
            ticks(text::TICK_OK),
        ],
    )
    .grid();
    let mut part = None;
    let all = lines(input.design);
    let (leads, others): (Vec<TestLine>, Vec<TestLine>) =
        all.into_iter().partition(|line| line.part == TestPart::Leads);
    if !leads.is_empty() {
        let (head, note) = text::test_part(TestPart::Leads);
        blocks.push(Block::Head(head.to_owned(), note.to_owned()));
        blocks.push(Block::Table(of_leads(&leads)));
    }
    for line in &others {
        if part != Some(line.part) {
            part = Some(line.part);
            let (head, note) = text::test_part(line.part);
            table.group(head, note);
        }
        table.row(row(line));
    }
    blocks.push(Block::Table(table));
    let mut part = Part::blocks(input, "tests", text::TESTS, "-TST", Lie::Portrait, blocks);
    part.files.push(values(leads.iter().chain(&others)));
    part
}

/// The leads, one row each: what each of its meterings should show, and a blank for what it did.
fn of_leads(lines: &[TestLine]) -> Table {
    let mut table = Table::new(
        "",
        11.0,
        vec![
            wide(text::LEAD, 18.0),
            figures(text::END_TO_END, "Ω", 21.0),
            wide(text::MEASURED, 22.0),
            share(text::BETWEEN_CONDUCTORS, 1.0),
            figures(text::CORE_TO_SCREEN, "pF", 22.0),
            wide(text::MEASURED, 26.0),
            ticks(text::TICK_OK),
        ],
    )
    .grid();
    let mut tags: Vec<&str> = lines.iter().map(|line| line.subject.as_str()).collect();
    tags.dedup();
    for tag in tags {
        let of = |key: &'static str| {
            lines.iter().filter(move |line| line.subject == tag && line.id.split(':').next() == Some(key))
        };
        let ohms = of("ohm").next().map(|line| figure(&line.expected)).unwrap_or_default();
        let leak = of("leak").next().map(|line| match &line.expected {
            Expected::Words(words) => format!("{}: {words}", line.what),
            _ => line.what.clone(),
        });
        let farads: Vec<&TestLine> = of("pf").collect();
        let mut core = farads.first().map_or_else(|| cell(text::DASH), |line| figure(&line.expected));
        if 1 < farads.len() {
            // Each core has a leg of its own: said beside its figure.
            let words = farads.iter().map(|line| {
                let leg = line.what.rsplit(' ').next().unwrap_or_default();
                format!("{leg} {}", figure(&line.expected).words)
            });
            let words: Vec<String> = words.collect();
            core = cell(words[0].clone());
            for more in &words[1..] {
                core = core.line(more.clone());
            }
            core = core.even();
        }
        table.row([cell(tag).bold(), ohms, blank(), cell(leak.unwrap_or_default()), core, blank(), tick()]);
    }
    table
}

/// What should be found, without its unit.
fn figure(expected: &Expected) -> Cell {
    match expected {
        Expected::Figure { value, decimals, from, .. } => {
            cell(format!("{value:.decimals$}")).bold().assumed(*from == Provenance::Assumed)
        }
        Expected::Words(words) => cell(words.clone()).left(),
        Expected::Unknown(_) => cell(text::WRITE_DOWN).left(),
    }
}

/// The whole sheet as one table of values.
fn values<'a>(lines: impl Iterator<Item = &'a TestLine>) -> Table {
    let mut table = Table::new(
        "test-sheet",
        11.0,
        vec![
            share(text::SUBJECT, 1.0),
            share(text::WHAT, 1.0),
            share(text::EXPECTED, 1.0),
            share(text::PASSES, 1.0),
            share(text::MEASURED, 1.0),
        ],
    );
    let mut part = None;
    for line in lines {
        if part != Some(line.part) {
            part = Some(line.part);
            table.group(text::test_part(line.part).0, "");
        }
        let mut cells = row(line);
        cells.truncate(5);
        table.row(cells);
    }
    table
}

fn row(line: &TestLine) -> Vec<Cell> {
    let expected = match &line.expected {
        Expected::Figure { value, unit, decimals, from } => {
            cell(format!("{value:.decimals$}")).unit(*unit).bold().assumed(*from == Provenance::Assumed)
        }
        Expected::Words(words) => cell(words.clone()).left(),
        // Volts that nobody knows are no reading to write down: they are found out before anything is plugged.
        Expected::Unknown("V") => cell(text::FIND_OUT_FIRST).left(),
        Expected::Unknown(unit) => cell(format!("{}, {unit}", text::WRITE_DOWN)).left(),
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
