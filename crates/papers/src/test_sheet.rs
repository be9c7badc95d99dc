//! The test sheet: what should be found beside what was found, or the blank for it.

use design::{Expected, TestLine, TestPart, TestRecord, TestState, Tested, tests as lines};
use rig::Provenance;

use crate::block::{Block, Cell, Table, blank, cell, figures, pair, share, tick, ticks, wide};
use crate::part::Part;
use crate::sheet::Lie;
use crate::{PapersInput, cautions, text};

/// The paper.
pub(crate) fn tests(input: &PapersInput<'_>) -> Part {
    let mut blocks = vec![Block::Title(text::TESTS)];
    let record = input.record.filter(|record| record.rows.iter().any(|one| one.found.is_some()));
    let signed = record.and_then(|record| record.signed.as_ref());
    let instruments = vec![
        pair(text::METER_USED, blank()),
        pair(text::CAPACITANCE_METER, blank()),
        pair(text::TESTED_WITH, blank()),
        pair(
            text::TESTED_BY,
            signed.map_or_else(blank, |signed| cell(signed.by.clone().unwrap_or_default())),
        ),
        pair(
            text::SIGNATURE,
            signed.map_or_else(blank, |signed| cell(text::signed_at(&signed.revision)).bold()),
        ),
        pair(text::DATE_BLANK, signed.map_or_else(blank, |signed| cell(signed.on.clone()))),
    ];
    blocks.push(Block::Pairs(instruments, 2, 34.0, 11.0));
    if let Some(record) = record {
        blocks.push(Block::Words(text::tested(record)));
    }
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
    let mut all = lines(input.design);
    // What was recorded stands where its part does.
    let recorded = record.into_iter().flat_map(|record| &record.rows).map(|one| &one.row.line);
    let recorded: Vec<TestLine> =
        recorded.filter(|line| line.part == TestPart::Recordings).cloned().collect();
    let before = all.iter().position(|line| TestPart::Recordings < line.part).unwrap_or(all.len());
    all.splice(before..before, recorded);
    let (leads, others): (Vec<TestLine>, Vec<TestLine>) =
        all.into_iter().partition(|line| line.part == TestPart::Leads);
    if !leads.is_empty() {
        let (head, note) = text::test_part(TestPart::Leads);
        blocks.push(Block::Head(head.to_owned(), note.to_owned()));
        blocks.push(Block::Table(of_leads(&leads, record)));
    }
    for line in &others {
        if part != Some(line.part) {
            part = Some(line.part);
            let (head, note) = text::test_part(line.part);
            table.group(head, note);
        }
        table.row(row(line, record));
    }
    blocks.push(Block::Table(table));
    if !input.plots.is_empty() {
        blocks.push(Block::Head(text::RECORDED.to_owned(), text::RECORDED_NOTE.to_owned()));
        for (words, drawing) in input.plots {
            blocks.push(Block::Figure(drawing.clone(), words.clone()));
        }
    }
    let mut part = Part::blocks(input, "tests", text::TESTS, "-TST", Lie::Portrait, blocks);
    part.files.push(values(leads.iter().chain(&others), record));
    part
}

/// What was found at a line, where that counts still.
fn found<'a>(record: Option<&'a TestRecord>, line: &TestLine) -> Option<&'a Tested> {
    record?.row(&line.id).filter(|one| !matches!(one.state, TestState::Due(_)))
}

/// What was found.
fn measured(tested: Option<&Tested>) -> Cell {
    let Some(found) = tested.and_then(|one| one.found.as_ref()) else { return blank() };
    cell(found.said.clone()).bold()
}

/// Who answers for what does not pass, and why.
fn answered(tested: Option<&Tested>) -> Option<String> {
    let one = tested.filter(|one| one.state == TestState::AnsweredFor)?;
    let found = one.found.as_ref()?;
    Some(text::answered_for(found.by.as_deref(), found.answer.as_deref()?))
}

/// How lines stand together, where each of them has been answered: a box to tick else.
fn verdict(tested: &[Option<&Tested>]) -> Cell {
    // One that fails is no box to tick, whatever is left to do beside it.
    if tested.iter().flatten().any(|one| one.state == TestState::Failed) {
        return cell(text::FAILS).bold();
    }
    let states: Option<Vec<&TestState>> = tested.iter().map(|one| one.map(|one| &one.state)).collect();
    let Some(states) = states.filter(|states| !states.is_empty()) else { return tick() };
    if states.iter().any(|state| **state == TestState::AnsweredFor) {
        return cell(text::ANSWERED_SHORT);
    }
    cell(if states.iter().all(|state| **state == TestState::Noted) {
        text::NOTED
    } else {
        text::PASSES_SHORT
    })
}

/// The leads, one row each: what each of its meterings should show, and a blank for what it did.
fn of_leads(lines: &[TestLine], record: Option<&TestRecord>) -> Table {
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
        let own: Vec<&TestLine> = lines.iter().filter(|line| line.subject == tag).collect();
        let tested: Vec<Option<&Tested>> = own.iter().map(|line| found(record, line)).collect();
        let of_key = |key: &'static str| of(key).next().and_then(|line| found(record, line));
        let mut between = cell(leak.unwrap_or_default());
        if let Some(found) = of_key("leak").and_then(|one| one.found.as_ref()) {
            between = between.line(text::found_words(&found.said));
        }
        for words in tested.iter().filter_map(|one| answered(*one)) {
            between = between.line(words);
        }
        let mut picofarads = measured(of_key("pf"));
        for line in farads.iter().skip(1) {
            if let Some(found) = found(record, line).and_then(|one| one.found.as_ref()) {
                picofarads = picofarads.line(found.said.clone());
            }
        }
        table.row([
            cell(tag).bold(),
            ohms,
            measured(of_key("ohm")),
            between,
            core,
            picofarads,
            verdict(&tested),
        ]);
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
fn values<'a>(lines: impl Iterator<Item = &'a TestLine>, record: Option<&TestRecord>) -> Table {
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
        let mut cells = row(line, record);
        cells.truncate(5);
        table.row(cells);
    }
    table
}

fn row(line: &TestLine, record: Option<&TestRecord>) -> Vec<Cell> {
    let expected = match &line.expected {
        Expected::Figure { value, unit, decimals, from } => {
            cell(format!("{value:.decimals$}")).unit(*unit).bold().assumed(*from == Provenance::Assumed)
        }
        Expected::Words(words) => cell(words.clone()).left(),
        // Volts that nobody knows are no reading to write down: they are found out before anything is plugged.
        Expected::Unknown("V") => cell(text::FIND_OUT_FIRST).left(),
        Expected::Unknown(unit) => cell(format!("{}, {unit}", text::WRITE_DOWN)).left(),
    };
    let mut what = cell(line.what.clone());
    if let Some(words) = answered(found(record, line)) {
        what = what.line(words);
    }
    let mut measured = measured(found(record, line));
    if line.part == TestPart::Recordings
        && let Some(said) = found(record, line).and_then(|one| one.found.as_ref()).map(|found| &found.said)
        && let Some((figure, place)) = said.split_once(" at ")
    {
        // The figure stands in its column, where it was found beside the row.
        measured = cell(figure.to_owned()).bold();
        what = what.line(format!("at {place}"));
    }
    vec![
        cell(line.subject.clone()).bold(),
        what,
        expected,
        cell(line.passes.clone()).faint(),
        measured,
        verdict(&[found(record, line)]),
    ]
}

/// How the rows of one part stand, for the client: a verdict, and what is said of those that do not pass.
pub(crate) fn part_result(record: Option<&TestRecord>, own: impl Fn(&&Tested) -> bool) -> (Cell, Cell) {
    let all: Vec<&Tested> =
        record.into_iter().flat_map(|record| &record.rows).filter(|one| own(one)).collect();
    let kept: Vec<Option<&Tested>> =
        all.iter().map(|one| Some(*one).filter(|one| !matches!(one.state, TestState::Due(_)))).collect();
    let settled = all.iter().filter(|one| one.state.is_settled()).count();
    let remark = if all.iter().all(|one| one.found.is_none()) || settled == all.len() {
        let answered = all.iter().filter(|one| one.state == TestState::AnsweredFor);
        let words = answered.filter_map(|one| {
            let found = one.found.as_ref()?;
            Some(format!(
                "{}: {}",
                one.row.line.subject,
                text::answered_for(found.by.as_deref(), found.answer.as_deref()?)
            ))
        });
        cell(words.collect::<Vec<_>>().join("; "))
    } else {
        cell(text::of_rows_pass(settled, all.len()))
    };
    (verdict(&kept), remark)
}
