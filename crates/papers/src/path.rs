//! The signal-path sheet: every run as a strip, the states, what inserts do.

use design::{CASES, Design, breaks, heard_words, insert_tables};
use drawing::text::BENCH;
use drawing::{BandCurves, Drawing};
use rig::{Bypass, Carries, Device, Normal, Role};

use crate::block::{Block, Cell, Column, Table, cell, figures, share, wide};
use crate::part::Part;
use crate::sheet::Lie;
use crate::{PapersInput, SignalWay, StateLevels, cautions, text};

/// Height of the drawing of a band, and the room between two.
const BAND: f64 = 98.0;
const BETWEEN: f64 = 6.0;

/// The paper.
pub(crate) fn path(input: &PapersInput<'_>) -> Part {
    let design = input.design;
    let mut part = Part::blocks(input, "path", text::PATH, "-SIG", Lie::Landscape, Vec::new());
    let wide = part.sheet.room().0 - 1.5;
    let mut blocks = vec![Block::Title(text::PATH), Block::Faint(text::PATH_NOTE.to_owned())];
    blocks.extend(cautions::phantom(design));
    for run in design.rig.runs.iter().filter(|run| run.carries != Carries::Mains) {
        let head = text::run(&run.name, run.carries.word());
        for (row, strip) in drawing::path_rows(design, run, wide).into_iter().enumerate() {
            blocks.push(Block::Figure(strip, if row == 0 { head.clone() } else { String::new() }));
        }
    }
    if design.rig.runs.is_empty() {
        blocks.push(Block::Words(text::NO_RUNS.to_owned()));
    }
    blocks.push(Block::Head(text::STATES.to_owned(), text::STATES_NOTE.to_owned()));
    blocks.push(Block::Table(states(design, input.ways)));
    if let Some(table) = inserts(design) {
        blocks.push(Block::Head(text::INSERTS.to_owned(), text::INSERTS_NOTE.to_owned()));
        blocks.push(Block::Table(table));
    }
    if let Some(table) = broken(design) {
        blocks.push(Block::Head(text::BREAKS.to_owned(), String::new()));
        blocks.push(Block::Table(table));
    }
    blocks.push(Block::Head(text::ENDS.to_owned(), String::new()));
    blocks.push(Block::Table(ends(design)));
    if let Some(table) = earth_loops(design) {
        blocks.push(Block::Head(text::EARTH_LOOPS.to_owned(), text::EARTH_LOOPS_NOTE.to_owned()));
        blocks.push(Block::Table(table));
    }
    if !input.signal_notes.is_empty() {
        blocks.push(Block::Head(text::SIGNAL_NOTES.to_owned(), String::new()));
        blocks.push(Block::Table(notes(input.signal_notes)));
    }
    if let Some(table) = asked(input.ways) {
        blocks.push(Block::Head(text::ASKED.to_owned(), text::ASKED_NOTE.to_owned()));
        blocks.push(Block::Table(table));
    }
    blocks.extend(bands(input, wide));
    part.body = crate::part::Body::Blocks(blocks);
    part
}

/// Earths that meet in the screens: which ends, by which leads, and the least that opens all of them. `None` where none do.
fn earth_loops(design: &Design) -> Option<Table> {
    let outcome = design.shields();
    let mut table = Table::new(
        "",
        11.0,
        vec![
            share(text::USE, 0.4),
            share(text::EARTHED, 0.6),
            share(text::BY_LEADS, 1.0),
            share(text::OPENED_BY, 1.0),
        ],
    )
    .tight();
    let mut is_any = false;
    for own in design::judged(&outcome).filter(|own| !own.loops.is_empty()) {
        is_any = true;
        let cure = own.cure.steps.iter().map(|step| format!("{}: {}", step.join, step.kind.words()));
        let cure = cure.collect::<Vec<_>>().join("; ");
        for (number, one) in own.loops.iter().enumerate() {
            table.row([
                cell(if number == 0 { own.name.clone() } else { String::new() }),
                cell(one.ends.join(", ")).bold(),
                cell(one.joins.join(", ")),
                cell(match number {
                    0 if own.cure.is_impossible => text::EARTHS_BONDED.to_owned(),
                    0 => cure.clone(),
                    _ => String::new(),
                }),
            ]);
        }
    }
    is_any.then_some(table)
}

/// What the figures rest on, line by line: what a line is about stands before its colon.
fn notes(lines: &[String]) -> Table {
    let mut table = Table::new("", 11.0, vec![share("", 0.3), share("", 1.0)]).tight();
    for line in lines {
        let (about, words) = line.split_once(": ").unwrap_or(("", line));
        table.row([cell(about).faint(), cell(words)]);
    }
    table
}

/// Devices in the order in which signal meets them first.
pub(crate) fn along(design: &Design) -> Vec<&Device> {
    let rig = &design.rig;
    let mut out: Vec<&Device> = Vec::new();
    let stops = rig.runs.iter().filter(|run| run.carries == Carries::Signal).flat_map(|run| &run.stops);
    for port in stops.flat_map(|stop| [&stop.arrives, &stop.leaves]).flatten() {
        if let Some(device) = rig.device(&port.device).filter(|device| device.role == Role::Pedal)
            && out.iter().all(|known| known.tag != device.tag)
        {
            out.push(device);
        }
    }
    out
}

/// Questions with their answers.
type Answers<'a> = &'a [(String, String)];

/// What is asked of every way; ways of the same answers stand together.
fn asked(ways: &[SignalWay]) -> Option<Table> {
    let mut table = Table::new("asked", 11.0, vec![share(text::QUESTION, 1.0), share(text::ANSWER, 3.0)]);
    let mut shown: Vec<(Answers<'_>, Vec<String>)> = Vec::new();
    for way in ways.iter().filter(|way| !way.asked.is_empty()) {
        let name = text::way(&way.source, &way.sink);
        match shown.iter_mut().find(|(asked, _)| *asked == way.asked) {
            Some((_, names)) => names.push(name),
            None => shown.push((&way.asked, vec![name])),
        }
    }
    for (asked, names) in &shown {
        if 1 < ways.len() {
            table.group(names.join(", "), "");
        }
        for (question, answer) in *asked {
            table.row([cell(question.clone()).bold(), cell(answer.clone())]);
        }
    }
    (!shown.is_empty()).then_some(table)
}

/// The band of every way against the reference; ways that sound alike share one.
fn bands(input: &PapersInput<'_>, wide: f64) -> Vec<Block> {
    let mut shown: Vec<(&SignalWay, Vec<&str>)> = Vec::new();
    for way in input.ways {
        match shown.iter_mut().find(|(other, _)| alike(other, way)) {
            Some((_, sinks)) => sinks.push(&way.sink),
            None => shown.push((way, vec![&way.sink])),
        }
    }
    if shown.is_empty() {
        return Vec::new();
    }
    // Two stand beside each other, so that they can be compared.
    let wide = if shown.len() > 1 { (wide - BETWEEN) / 2.0 } else { wide };
    let mut notes = vec![text::BAND_NOTE.to_owned()];
    let mut figures = Vec::new();
    for (way, sinks) in shown {
        let title = text::way(&way.source, &sinks.join(", "));
        figures.push((drawn(way, &title, wide, BAND), title));
        let left_off = (!way.left_off.is_empty()).then(|| text::left_off(&way.left_off.join(", ")));
        let bound = way.doubt.as_deref().map(text::band_doubt);
        let assumed = way.assumed.then(|| text::BAND_ASSUMED.to_owned());
        let turned = way.turned.as_ref().map(|(place, db)| text::band_turned(place, &text::decibels(*db)));
        for note in [left_off, turned, bound, assumed].into_iter().flatten() {
            if !notes.contains(&note) {
                notes.push(note);
            }
        }
    }
    let mut blocks = vec![Block::Head(text::BANDS.to_owned(), String::new()), Block::Faint(notes.join(" "))];
    let mut left = figures.into_iter();
    while let Some(first) = left.next() {
        blocks.push(match left.next() {
            Some(second) => Block::Beside([first, second]),
            None => Block::Figure(first.0, first.1),
        });
    }
    blocks
}

/// The band of one way as the signal sheet shows it, on a sheet of this size in millimetres.
pub fn band(way: &SignalWay, width_mm: f64, height_mm: f64) -> Drawing {
    drawn(way, &text::way(&way.source, &way.sink), width_mm, height_mm)
}

fn drawn(way: &SignalWay, title: &str, width_mm: f64, height_mm: f64) -> Drawing {
    let state = text::on_words(&way.worst_state);
    let curves = BandCurves {
        title,
        frequencies: &way.frequencies,
        reference_db: &way.reference_db,
        upper_db: &way.upper_db,
        lower_db: &way.lower_db,
        worst_db: &way.worst_db,
        worst_state: &state,
        is_exact: way.doubt.is_none(),
        change_at_4k_db: way.change_at_4k_db,
        look_db: way.limits_db[0],
        stop_db: way.limits_db[1],
    };
    drawing::band(&curves, width_mm, height_mm, BENCH)
}

/// Whether two ways of one source have the same curves, to what a drawing can show.
fn alike(a: &SignalWay, b: &SignalWay) -> bool {
    let near = |a: &[f64], b: &[f64]| {
        a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.total_cmp(b).is_eq() || (a - b).abs() < 0.02)
    };
    a.source == b.source
        && a.worst_state == b.worst_state
        && near(&a.reference_db, &b.reference_db)
        && near(&a.upper_db, &b.upper_db)
        && near(&a.lower_db, &b.lower_db)
}

/// What a state does on a way, as three figures.
fn figures_of(state: Option<&StateLevels>, assumed: bool) -> [Cell; 3] {
    let figure = |value: Option<f64>| match value.filter(|value| value.is_finite()) {
        Some(value) => cell(text::level(value)).assumed(assumed),
        None => cell(text::DASH),
    };
    let of = |part: fn(&StateLevels) -> Option<f64>| figure(state.and_then(part));
    [
        of(|state| state.change_at_4k_db),
        of(|state| state.tone_change_db),
        of(|state| state.insertion_loss_1k_db.map(|loss| -loss)),
    ]
}

/// The named states, a device a row: engaged, off, always on; and beneath what they do to the level.
fn states(design: &Design, ways: &[SignalWay]) -> Table {
    const MOST: usize = 6;
    let states: Vec<&rig::State> = design.rig.states.iter().collect();
    let devices = along(design);
    // Few states stand side by side; more of them one below the other.
    if states.len() > MOST || states.is_empty() {
        return listed(&states, ways);
    }
    let mut columns: Vec<Column> = vec![wide(text::DEVICE, 18.0), share(text::WHAT, 1.2)];
    if !ways.is_empty() {
        columns.push(share(text::EVERYTHING_OFF, 0.7));
    }
    columns.extend(states.iter().map(|state| share(state.name.clone(), 0.7)));
    let mut table = Table::new("states", 11.0, columns).keep();
    for device in devices {
        let mut row = vec![cell(device.tag.clone()).bold(), cell(device.title.clone()).faint()];
        let loops = |name: Option<&str>| loops_in(device, ways, name);
        let shown = |on: bool| match (on, device.signal.bypass.value) {
            (true, _) => cell(text::ON).bold(),
            (false, Some(Bypass::AlwaysOn)) => cell(text::ALWAYS_ON),
            (false, _) => cell(text::OFF).faint(),
        };
        if !ways.is_empty() {
            row.push(loops(None).unwrap_or_else(|| shown(false)));
        }
        row.extend(states.iter().map(|state| {
            loops(Some(&state.name)).unwrap_or_else(|| shown(state.engaged.contains(&device.tag)))
        }));
        table.row(row);
    }
    for way in ways {
        table.group(text::way(&way.source, &way.sink), text::STATE_FIGURES);
        // The first state of a way has everything off.
        let mut columns: Vec<Option<&StateLevels>> = vec![way.states.first()];
        columns.extend(
            states.iter().map(|state| way.states.iter().skip(1).find(|level| level.name == state.name)),
        );
        let figures: Vec<[Cell; 3]> =
            columns.into_iter().map(|state| figures_of(state, way.assumed)).collect();
        for (index, (head, what)) in text::FIGURES.iter().enumerate() {
            let mut row = vec![cell(*head).bold(), cell(*what).faint()];
            row.extend(figures.iter().map(|figures| figures[index].clone()));
            table.row(row);
        }
    }
    table
}

/// The loops of a switcher that are in, in a state or with everything off; `None` for what has no loops, and where nobody
/// has worked the states out.
fn loops_in(device: &Device, ways: &[SignalWay], state: Option<&str>) -> Option<Cell> {
    let levels = &ways.first()?.states;
    let found = match state {
        None => levels.first(),
        Some(name) => levels.iter().skip(1).find(|level| level.name == name),
    }?;
    if device.loops.is_empty() {
        return None;
    }
    let is_in = |name: &&str| found.on.contains(&format!("{}.{name}", device.tag));
    let names: Vec<&str> = device.loops.iter().map(|own| own.name.as_str()).filter(is_in).collect();
    Some(if names.is_empty() { cell(text::OFF).faint() } else { cell(names.join(", ")).bold() })
}

/// Many states one below the other.
fn listed(states: &[&rig::State], ways: &[SignalWay]) -> Table {
    let mut columns = vec![share(text::STATE, 1.0), share(text::ENGAGED, 2.0)];
    if !ways.is_empty() {
        columns.push(share(text::SINK, 1.0));
        columns.extend(text::FIGURES.iter().map(|(head, _)| figures(head, "dB", 20.0)));
    }
    let mut table = Table::new("states", 11.0, columns);
    table.none = text::NO_STATES;
    if ways.is_empty() {
        for state in states {
            table.row([cell(state.name.clone()).bold(), cell(state.engaged.join(", "))]);
        }
        return table;
    }
    let off = rig::State { name: text::EVERYTHING_OFF.to_owned(), engaged: Vec::new() };
    for (index, state) in std::iter::once(&&off).chain(states).enumerate() {
        for (number, way) in ways.iter().enumerate() {
            let found = match index {
                0 => way.states.first(),
                _ => way.states.iter().skip(1).find(|level| level.name == state.name),
            };
            let on = found.filter(|level| !level.on.is_empty()).map_or(&state.engaged, |level| &level.on);
            let (name, on) = match number {
                0 => (cell(state.name.clone()).bold(), cell(on.join(", "))),
                _ => (cell(""), cell("")),
            };
            let mut row = vec![name, on, cell(way.sink.clone()).faint()];
            row.extend(figures_of(found, way.assumed));
            table.row(row);
        }
    }
    table
}

fn inserts(design: &Design) -> Option<Table> {
    let tables = insert_tables(design);
    if tables.is_empty() {
        return None;
    }
    let mut table = Table::new(
        "inserts",
        11.0,
        vec![
            share(text::INSERT, 1.1),
            wide(text::NORMAL, 24.0),
            share(CASES[0].words(), 1.0),
            share(CASES[1].words(), 1.0),
            share(CASES[2].words(), 1.0),
            share(CASES[3].words(), 1.0),
            wide(text::HERE, 33.0),
        ],
    )
    .keep();
    for found in tables {
        let normal = match found.normal {
            Some(Normal::Full) => text::NORMAL_FULL,
            Some(Normal::Half) => text::NORMAL_HALF,
            Some(Normal::Open) => text::NORMAL_OPEN,
            None => text::UNKNOWN,
        };
        let mut row = vec![
            cell(format!("{} {}", found.device, found.name))
                .bold()
                .line(format!("{} → {}", found.send, found.back)),
            cell(normal).assumed(found.from == rig::Provenance::Assumed),
        ];
        row.extend(CASES.map(|case| {
            let heard = found.cases().find(|(there, _)| *there == case);
            heard.map_or_else(|| cell(text::DASH), |(_, heard)| cell(heard_words(heard)))
        }));
        row.push(cell(found.case_words(found.plugged)));
        table.row(row);
    }
    Some(table)
}

fn broken(design: &Design) -> Option<Table> {
    let found = breaks(design);
    if found.is_empty() {
        return None;
    }
    let mut table = Table::new(
        "breaks",
        11.0,
        vec![share(text::JACK, 1.0), share(text::NOTHING_PLUGGED, 1.0), share(text::LEAD_PLUGGED, 1.4)],
    );
    for one in found {
        let cut = text::cut_off(&one.empty.to_string());
        table.row([cell(one.jack.to_string()).bold(), cell(text::plays(&one.empty.to_string())), cell(cut)]);
    }
    Some(table)
}

/// What stands at both ends of the chain.
fn ends(design: &Design) -> Table {
    let mut table = Table::new(
        "ends",
        11.0,
        vec![
            share(text::END, 1.0),
            share(text::WHAT, 1.6),
            wide(text::LEAD_LENGTH, 34.0),
            share(text::PHANTOM, 1.0),
        ],
    );
    let metres = |length: quantity::Length| format!("{:.1} m", length.as_mm() / 1000.0);
    for source in &design.rig.sources {
        table.row([
            cell(source.id.clone()).bold(),
            cell(source.title.clone()),
            crate::block::known(source.lead, metres),
            cell(text::DASH),
        ]);
    }
    for sink in &design.rig.sinks {
        let phantom =
            crate::block::known(sink.phantom, |is| (if is { text::PHANTOM_ON } else { text::NO }).to_owned());
        table.row([
            cell(sink.id.clone()).bold(),
            cell(sink.title.clone()),
            crate::block::known(sink.lead, metres),
            phantom,
        ]);
    }
    table
}
