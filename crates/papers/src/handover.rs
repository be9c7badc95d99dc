//! The handover book: what the player must know, what a stranger with a torch must know.

use design::{Design, Making};
use rig::{Carries, PortRef, Role};

use crate::block::{Block, Cell, Table, blank, cell, figures, known, pair, share, ticks, wide};
use crate::part::Part;
use crate::path::along;
use crate::photographs::photographs;
use crate::sheet::Lie;
use crate::words::{end_name, never, travel_mass};
use crate::{PapersInput, cautions, text};

/// The most height for the drawing of what stands where.
const MAP: f64 = 88.0;
/// The most height for the picture of one brick with what it feeds.
const BRICK: f64 = 110.0;

/// The paper.
pub(crate) fn handover(input: &PapersInput<'_>) -> Part {
    let design = input.design;
    let mut part = Part::blocks(input, "handover", text::HANDOVER, "-HND", Lie::Portrait, Vec::new());
    let wide = part.sheet.room().0 - 1.5;
    let mut blocks = vec![Block::Title(text::PLUG_IN_TITLE)];
    let arrivals = arrivals(design);
    let numbers: Vec<(PortRef, usize)> =
        arrivals.iter().filter_map(|one| Some((one.port.clone()?, one.number))).collect();
    if !numbers.is_empty() {
        let map = (1..=100)
            .map(|whole| drawing::portrait(design, drawing::Scale::one_to(whole), &numbers))
            .find(|map| map.width_mm <= wide && map.height_mm <= MAP)
            .unwrap_or_else(|| drawing::portrait(design, drawing::Scale::one_to(100), &numbers));
        blocks.push(Block::Picture(map));
        if let Some(faces) = drawing::faces(design, &numbers, wide) {
            let scale = faces.scale.to_string();
            blocks
                .push(Block::Head(text::JACKS_FACE_ON.to_owned(), format!("{}, {scale}", text::FACES_NOTE)));
            blocks.push(Block::Figure(faces, String::new()));
        }
    }
    blocks.push(Block::Head(text::PLUG_IN.to_owned(), text::PLUG_IN_NOTE.to_owned()));
    blocks.push(Block::Table(plug_in(design, &arrivals)));
    blocks.push(Block::Head(text::SWITCH_ON.to_owned(), text::SWITCH_OFF.to_owned()));
    blocks.push(Block::Figure(drawing::start(&start_acts(design), wide), String::new()));
    let instead = instead(design);
    if !instead.is_empty() {
        blocks.push(Block::Boxed(text::WHEN_IT_FAILS.to_owned(), instead, 11.0));
    }
    let foot = foot_words(design);
    if !foot.is_empty() {
        blocks.push(Block::Head(text::SWITCHES.to_owned(), text::SWITCHES_NOTE.to_owned()));
        let rows = foot.into_iter().map(|(device, words)| pair(device.tag.clone(), cell(words))).collect();
        blocks.push(Block::Pairs(rows, 2, 18.0, 11.0));
    }
    blocks.push(Block::Head(text::STATES.to_owned(), String::new()));
    blocks.push(Block::Table(states(design).keep()));
    blocks.push(Block::Head(text::WHAT_IS_ON.to_owned(), String::new()));
    blocks.push(Block::Table(devices(design)));
    blocks.extend(photographs(design, input.photographs, Lie::Portrait));
    blocks.extend(cautions::for_players(design));
    blocks.push(Block::Title(text::HOW_IT_RUNS));
    for run in design.rig.runs.iter().filter(|run| run.carries != Carries::Mains) {
        let head = text::run(&run.name, run.carries.word());
        for (row, strip) in drawing::path_rows(design, run, wide).into_iter().enumerate() {
            blocks.push(Block::Figure(strip, if row == 0 { head.clone() } else { String::new() }));
        }
    }
    blocks.push(Block::Title(text::SUPPLIES));
    for brick in design.rig.devices.iter().filter(|device| crate::power::has_low_voltage(device)) {
        for part in drawing::power_parts(design, brick, wide, BRICK) {
            blocks.push(Block::Figure(part, format!("{} {}", brick.tag, brick.title)));
        }
    }
    // What stands on a brick is drawn; adaptors of devices' own are not.
    let own = supplies(design);
    if !own.rows.is_empty() {
        blocks.push(Block::Table(own));
    }
    let warnings = never(design);
    if !warnings.is_empty() {
        blocks.push(Block::Boxed(text::NEVER.to_owned(), warnings, 10.0));
    }
    blocks.push(Block::Head(text::LEAD_LIST.to_owned(), text::LEAD_LIST_NOTE.to_owned()));
    blocks.push(Block::Table(leads(design)));
    blocks.push(Block::Break);
    blocks.push(Block::Title(text::TEST_RESULTS));
    blocks.push(Block::Faint(text::TEST_RESULTS_NOTE.to_owned()));
    blocks.push(Block::Table(results(design, input.record)));
    blocks.push(Block::Head(text::REPAIRS.to_owned(), text::REPAIRS_NOTE.to_owned()));
    blocks.push(Block::Table(repairs(input)));
    blocks.push(Block::Head(text::CARE.to_owned(), String::new()));
    blocks.push(Block::Table(care()));
    blocks.push(Block::Pairs(
        vec![
            pair(text::WARRANTY, blank()),
            pair(text::CONTACT, blank()),
            pair(text::SETTINGS_PHOTOS, blank()),
            pair(text::BACKUPS, blank()),
            pair(text::RIDER, cell(rider(design))),
            pair(text::MASS_TRAVEL, travel_mass(design)),
        ],
        1,
        46.0,
        11.0,
    ));
    let signed = vec![text::TESTED_BY, text::WORKSHOP_SIGNS, text::PLAYER_SIGNS, text::DATE_BLANK];
    blocks.push(Block::Sign(signed));
    part.body = crate::part::Body::Blocks(blocks);
    part
}

/// A lead that comes from outside, in the order in which they are plugged.
pub(crate) struct Arrival {
    /// Its place in the order, from 1.
    pub(crate) number: usize,
    /// Whose lead it is.
    pub(crate) theirs: String,
    /// The jack it goes into; nothing for a plug that goes into the wall.
    pub(crate) port: Option<PortRef>,
    /// Its tag, where it has one.
    tag: String,
    /// Whether it brings mains.
    is_mains: bool,
}

/// Every lead that comes from outside, mains last, when every other lead is in.
pub(crate) fn arrivals(design: &Design) -> Vec<Arrival> {
    let mut out = Vec::new();
    for lead in design.leads.iter().filter(|lead| lead.making == Making::Theirs) {
        let outside = |port: &PortRef| {
            port.port.is_empty() || design.rig.device(&port.device).is_some_and(|device| device.outside)
        };
        let (theirs, ours) =
            if outside(&lead.from().port) { (lead.from(), lead.to()) } else { (lead.to(), lead.from()) };
        out.push(Arrival {
            number: out.len() + 1,
            theirs: text::lead_of(&end_name(design, &theirs.port)),
            port: Some(ours.port.clone()),
            tag: lead.tag.clone(),
            is_mains: false,
        });
    }
    if let Some((lead, port)) = mains_lead(design) {
        out.push(Arrival {
            number: out.len() + 1,
            theirs: text::MAINS_LEAD.to_owned(),
            port: port.cloned(),
            tag: lead.map(|lead| lead.tag.clone()).unwrap_or_default(),
            is_mains: true,
        });
    }
    out
}

/// Where each of them goes.
fn plug_in(design: &Design, arrivals: &[Arrival]) -> Table {
    let mut table = Table::new(
        "",
        11.0,
        vec![
            figures("", "", 9.0),
            share(text::TAKE, 1.2),
            share(text::PUT_INTO, 0.8),
            share("", 1.2),
            wide(text::LEAD, 16.0),
        ],
    );
    for one in arrivals {
        let (jack, place) = match &one.port {
            Some(port) => port_cells(design, port),
            None => (cell(text::WALL_OUTLET).bold(), blank()),
        };
        table.row([
            cell(one.number.to_string()).bold(),
            cell(one.theirs.clone()),
            jack,
            if one.is_mains && one.port.is_some() { place.line(text::THEN_WALL) } else { place },
            cell(one.tag.clone()).faint(),
        ]);
    }
    table.none = text::NO_OUTSIDE_LEADS;
    table
}

/// A jack in a few words: what is printed beside it, and where it is.
pub(crate) fn jack_words(design: &Design, port: Option<&PortRef>) -> String {
    let Some(port) = port else { return text::WALL_OUTLET.to_owned() };
    let printed = design.rig.port(port).map_or_else(|| port.port.clone(), rig::Port::printed);
    match design.rig.device(&port.device) {
        Some(device) if device.role == Role::Panel => printed,
        _ => format!("{printed}, {}", port.device),
    }
}

/// What is done with each device by foot: what its switches do from left to right, as they are said to, or what they are
/// for by the way it is switched.
pub(crate) fn foot_words(design: &Design) -> Vec<(&rig::Device, String)> {
    let on_board = |device: &&rig::Device| !device.outside && device.role != Role::Panel;
    let mut out = Vec::new();
    for device in design.rig.devices.iter().filter(on_board) {
        let mut switches: Vec<&rig::Switch> = device.switches.iter().collect();
        switches.sort_by_key(|switch| switch.x);
        let always_on = device.signal.bypass.value == Some(rig::Bypass::AlwaysOn);
        let words = match &switches[..] {
            [] if device.treadle.is_some() => text::TREADLE.to_owned(),
            [] => continue,
            [one] => one.does.clone().unwrap_or_else(|| {
                if always_on || device.signal.bypass.is_unknown() {
                    String::new()
                } else {
                    text::ON_OFF.to_owned()
                }
            }),
            several => {
                let said =
                    several.iter().map(|one| one.does.clone().unwrap_or_else(|| text::BLANK.to_owned()));
                text::from_left(&said.collect::<Vec<_>>().join("; "))
            }
        };
        out.push((device, words));
    }
    out
}

/// What was tested, how many rows of the test sheet, and a tick for each.
fn results(design: &Design, record: Option<&design::TestRecord>) -> Table {
    let mut table = Table::new(
        "",
        11.0,
        vec![
            share(text::TESTED, 1.0),
            figures(text::ROWS, "", 16.0),
            ticks(text::TICK_OK),
            share(text::REMARK, 0.8),
        ],
    );
    let mut lines = design::tests(design);
    let recorded = record.into_iter().flat_map(|record| &record.rows).map(|one| &one.row.line);
    lines.extend(recorded.filter(|line| line.part == design::TestPart::Recordings).cloned());
    let mut done: Vec<design::TestPart> = Vec::new();
    for line in &lines {
        if done.contains(&line.part) {
            continue;
        }
        done.push(line.part);
        if line.part == design::TestPart::Brief {
            continue;
        }
        let count = lines.iter().filter(|other| other.part == line.part).count();
        let own = |one: &&design::Tested| one.row.line.part == line.part;
        let (verdict, remark) = crate::test_sheet::part_result(record, own);
        table.row([cell(text::test_part(line.part).0), cell(count.to_string()), verdict, remark]);
    }
    let asked = lines.iter().filter(|line| line.part == design::TestPart::Brief);
    for (index, line) in asked.enumerate() {
        if index == 0 {
            table.group(text::test_part(design::TestPart::Brief).0, "");
        }
        let own = |one: &&design::Tested| one.row.line.id == line.id;
        let (verdict, remark) = crate::test_sheet::part_result(record, own);
        table.row([cell(format!("{} {}", line.subject, line.what)), cell(""), verdict, remark]);
    }
    table
}

/// A port as it is printed beside its jack, and where that is.
fn port_cells(design: &Design, port: &rig::PortRef) -> (Cell, Cell) {
    let printed = design.rig.port(port).map_or_else(|| port.port.clone(), rig::Port::printed);
    let on = match design.rig.device(&port.device) {
        Some(device) if device.role == Role::Panel => text::on_panel(&device.tag),
        Some(device) => format!("{} {}", device.tag, device.title),
        None => port.device.clone(),
    };
    (cell(printed).bold(), cell(on).faint())
}

/// The lead that brings mains, where the job has one, and the inlet it is put into; a board may be fed at an inlet by a lead
/// that the job does not have, and a lead may be fixed to the board.
fn mains_lead(design: &Design) -> Option<(Option<&design::Lead>, Option<&rig::PortRef>)> {
    let beside = |port: &rig::PortRef| {
        port.port.is_empty() || design.rig.device(&port.device).is_none_or(|device| device.outside)
    };
    let mut mains = design.leads.iter().filter(|lead| lead.class == rig::LeadClass::Mains);
    if let Some(lead) = mains.clone().find(|lead| lead.ends.iter().any(|end| beside(&end.port))) {
        let inlet = lead.ends.iter().find(|end| !beside(&end.port) && end.has_plug());
        return Some((Some(lead), inlet.map(|end| &end.port)));
    }
    let wired = mains.find_map(|lead| lead.ends.iter().find(|end| end.is_wired()));
    wired.map(|end| (None, Some(&end.port)))
}

/// What takes over when a source fails: a jack that cuts it off as soon as a lead is in.
fn instead(design: &Design) -> Vec<String> {
    design::breaks(design)
        .into_iter()
        .map(|found| {
            let device = design.rig.device(&found.empty.device);
            let what = device.map_or(found.empty.device.as_str(), |device| device.title.as_str());
            let jack = design.rig.port(&found.jack).map_or_else(String::new, rig::Port::printed);
            text::instead_of(what, &jack)
        })
        .collect()
}

/// How it is switched on, act by act.
pub(crate) fn start_acts(design: &Design) -> Vec<(drawing::StartAct, String)> {
    use drawing::StartAct;
    let mut acts = vec![(StartAct::Down, text::SWITCH_LEADS)];
    if design.rig.devices.iter().any(|device| !device.outlets.is_empty()) {
        acts.push((StartAct::Mains, text::SWITCH_BOARD));
        acts.push((StartAct::Lights, text::SWITCH_LIGHTS));
    }
    if design.rig.sinks.iter().any(|sink| sink.phantom.value != Some(false)) {
        acts.push((StartAct::Phantom, text::SWITCH_PHANTOM));
    }
    acts.push((StartAct::Amps, text::SWITCH_AMPS));
    acts.into_iter().map(|(act, words)| (act, words.to_owned())).collect()
}

fn devices(design: &Design) -> Table {
    let mut table =
        Table::new("", 11.0, vec![wide(text::TAG, 20.0), share(text::DEVICE, 1.0), share(text::REMARK, 1.3)]);
    let mut order = along(design);
    for device in design.rig.devices.iter().filter(|device| !device.outside) {
        if order.iter().all(|known| known.tag != device.tag) {
            order.push(device);
        }
    }
    for device in order {
        let remark = device.note.clone().unwrap_or_default();
        table.row([cell(device.tag.clone()).bold(), cell(device.title.clone()), cell(remark).faint()]);
    }
    table
}

fn states(design: &Design) -> Table {
    let mut table = Table::new("", 11.0, vec![share(text::STATE, 1.0), share(text::ENGAGED, 2.0)]);
    for state in &design.rig.states {
        let on =
            if state.engaged.is_empty() { text::EVERYTHING_OFF.to_owned() } else { state.engaged.join(", ") };
        table.row([cell(state.name.clone()).bold(), cell(on)]);
    }
    table.none = text::NO_STATES;
    table
}

fn supplies(design: &Design) -> Table {
    let mut table = Table::new(
        "",
        11.0,
        vec![
            wide(text::TAG, 20.0),
            share(text::OUTLET, 1.0),
            wide(text::LEAD, 26.0),
            figures(text::DRAWS, "mA", 20.0),
        ],
    );
    for device in &design.rig.devices {
        let Some(feed) = device.feed.as_ref().filter(|feed| feed.kind == rig::FeedKind::Adaptor) else {
            continue;
        };
        let outlets: Vec<String> = feed.outlets.iter().map(ToString::to_string).collect();
        let tags: Vec<&str> = design
            .leads
            .iter()
            .filter(|lead| lead.run.is_none() && lead.feeds(&device.tag))
            .map(|lead| lead.tag.as_str())
            .collect();
        table.row([
            cell(device.tag.clone()).bold(),
            cell(outlets.join(" + ")).line(text::ADAPTOR),
            cell(tags.join(" + ")),
            known(device.power.current, |current| format!("{:.0}", current.get())),
        ]);
    }
    table
}

fn leads(design: &Design) -> Table {
    let mut table = Table::new(
        "",
        11.0,
        vec![
            wide(text::LEAD, 20.0),
            share(text::FROM, 0.75),
            share(text::TO, 0.75),
            figures(text::CUT, text::MM, 20.0),
            share(text::CABLE, 1.6),
        ],
    );
    for lead in &design.leads {
        let how = lead.making;
        table.row([
            cell(lead.tag.clone()).bold(),
            cell(crate::words::ends(design, lead, rig::geometry::EndKind::From)),
            cell(crate::words::ends(design, lead, rig::geometry::EndKind::To)),
            if how == Making::Made { crate::leads::cut_of(design, lead) } else { cell(text::DASH) },
            cell(if how == Making::Made { lead.cable_words() } else { lead.source_words() }).faint(),
        ]);
    }
    table
}

/// What was mended or lent out, with lines for what comes.
fn repairs(input: &PapersInput<'_>) -> Table {
    let columns = vec![
        wide(text::DAY, 26.0),
        wide(text::PART, 26.0),
        share(text::FOUND_DONE, 1.0),
        wide(text::BY_WHOM, 34.0),
    ];
    let mut table = Table::new("", 11.0, columns).grid();
    for one in input.repairs {
        table.row([
            cell(one.on.clone()),
            cell(one.part.clone()).bold(),
            cell(one.words.clone()),
            cell(one.by.clone().unwrap_or_default()),
        ]);
    }
    for _ in 0..BLANK_REPAIRS {
        table.row([blank(), blank(), blank(), blank()]);
    }
    table
}

/// Lines to write the next repairs on.
const BLANK_REPAIRS: usize = 3;

fn care() -> Table {
    let mut table = Table::new("", 11.0, vec![wide(text::WHEN, 44.0), share(text::WHAT, 1.0)]);
    for (when, what) in text::CARE_LINES {
        table.row([cell(*when).bold(), cell(*what)]);
    }
    table
}

/// One line for the stage plan.
fn rider(design: &Design) -> String {
    let sinks: Vec<&str> = design.rig.sinks.iter().map(|sink| sink.title.as_str()).collect();
    let watts: f64 = design
        .rig
        .devices
        .iter()
        .filter(|device| device.role == Role::Brick)
        .filter_map(|device| device.total.value)
        .map(quantity::Watts::get)
        .sum();
    let mains = design.rig.job.mains.map_or_else(|| "?".to_owned(), |mains| mains.volts.to_string());
    text::rider(&mains, watts, &sinks.join(", "))
}
