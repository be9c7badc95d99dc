//! The handover book: what the player must know, what a stranger with a torch must know.

use design::{Design, Making};
use rig::{Carries, Role};

use crate::block::{Block, Table, blank, cell, figures, known, pair, share, wide};
use crate::part::Part;
use crate::path::along;
use crate::sheet::{Lie, scales};
use crate::words::{end_name, never, sign, travel_mass};
use crate::{PapersInput, cautions, text};

/// The most height for the drawing of what stands where.
const MAP: f64 = 105.0;

/// The paper.
pub(crate) fn handover(input: &PapersInput<'_>) -> Part {
    let design = input.design;
    let mut part = Part::blocks(input, "handover", text::HANDOVER, "-HND", Lie::Portrait, Vec::new());
    let wide = part.sheet.room().0 - 1.5;
    let map = scales()
        .map(|scale| drawing::overview(design, scale))
        .find(|map| map.width_mm <= wide && map.height_mm <= MAP)
        .unwrap_or_else(|| drawing::overview(design, drawing::Scale::one_to(10)));
    let mut blocks = vec![Block::Title(text::HANDOVER)];
    blocks.push(Block::Head(text::PLUG_IN.to_owned(), text::PLUG_IN_NOTE.to_owned()));
    blocks.push(Block::Table(plug_in(design)));
    blocks.push(Block::Boxed(text::SWITCH_ON.to_owned(), switch_on(design), 11.0));
    let instead = instead(design);
    if !instead.is_empty() {
        blocks.push(Block::Boxed(text::WHEN_IT_FAILS.to_owned(), instead, 11.0));
    }
    blocks.extend(cautions::for_players(design));
    blocks.push(Block::Break);
    blocks.push(Block::Title(text::WHAT_IS_ON));
    blocks.push(Block::Figure(map, String::new()));
    blocks.push(Block::Table(devices(design)));
    blocks.push(Block::Head(text::STATES.to_owned(), String::new()));
    blocks.push(Block::Table(states(design)));
    blocks.push(Block::Break);
    blocks.push(Block::Title(text::HOW_IT_RUNS));
    for run in design.rig.runs.iter().filter(|run| run.carries != Carries::Mains) {
        let head = text::run(&run.name, run.carries.word());
        for (row, strip) in drawing::path_rows(design, run, wide).into_iter().enumerate() {
            blocks.push(Block::Figure(strip, if row == 0 { head.clone() } else { String::new() }));
        }
    }
    blocks.push(Block::Break);
    blocks.push(Block::Title(text::SUPPLIES));
    blocks.push(Block::Table(supplies(design)));
    let warnings = never(design);
    if !warnings.is_empty() {
        blocks.push(Block::Boxed(text::NEVER.to_owned(), warnings, 10.0));
    }
    blocks.push(Block::Head(text::LEAD_LIST.to_owned(), text::LEAD_LIST_NOTE.to_owned()));
    blocks.push(Block::Table(leads(design)));
    blocks.push(Block::Break);
    blocks.push(Block::Title(text::CARE));
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
    blocks.push(Block::Sign(vec![text::PLAYER_SIGNS, text::WORKSHOP_SIGNS, text::DATE_BLANK]));
    part.body = crate::part::Body::Blocks(blocks);
    part
}

/// Every lead that comes from outside, where it goes.
fn plug_in(design: &Design) -> Table {
    let mut table = Table::new(
        "",
        13.0,
        vec![
            figures("", "", 9.0),
            share(text::TAKE, 1.2),
            share(text::PUT_INTO, 1.0),
            wide(text::LEAD, 20.0),
        ],
    );
    let mut number = 0;
    for lead in design.leads.iter().filter(|lead| lead.making == Making::Theirs) {
        let outside = |port: &rig::PortRef| {
            port.port.is_empty() || design.rig.device(&port.device).is_some_and(|device| device.outside)
        };
        let (theirs, ours) =
            if outside(&lead.from().port) { (lead.from(), lead.to()) } else { (lead.to(), lead.from()) };
        number += 1;
        table.row([
            cell(number.to_string()).faint(),
            cell(text::lead_of(&end_name(design, &theirs.port))),
            port_cell(design, &ours.port),
            cell(lead.tag.clone()).faint(),
        ]);
    }
    // Mains comes last, when every lead is in.
    if let Some((lead, port)) = mains_lead(design) {
        number += 1;
        table.row([
            cell(number.to_string()).faint(),
            cell(text::MAINS_LEAD),
            match port {
                Some(port) => port_cell(design, port).line(text::THEN_WALL),
                None => cell(text::WALL_OUTLET).bold(),
            },
            cell(lead.map(|lead| lead.tag.clone()).unwrap_or_default()).faint(),
        ]);
    }
    table.none = text::NO_OUTSIDE_LEADS;
    table
}

/// A port as it is printed beside its jack, and where that is.
fn port_cell(design: &Design, port: &rig::PortRef) -> crate::block::Cell {
    let printed = design.rig.port(port).map_or_else(|| port.port.clone(), rig::Port::printed);
    let on = match design.rig.device(&port.device) {
        Some(device) if device.role == Role::Panel => text::on_panel(&device.tag),
        Some(device) => format!("{} {}", device.tag, device.title),
        None => port.device.clone(),
    };
    cell(printed).bold().line(on)
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

fn switch_on(design: &Design) -> Vec<String> {
    let mut acts = vec![text::SWITCH_LEADS];
    if design.rig.devices.iter().any(|device| !device.outlets.is_empty()) {
        acts.push(text::SWITCH_BOARD);
    }
    if design.rig.sinks.iter().any(|sink| sink.phantom.value != Some(false)) {
        acts.push(text::SWITCH_PHANTOM);
    }
    acts.push(text::SWITCH_AMPS);
    let mut out: Vec<String> =
        acts.into_iter().enumerate().map(|(index, act)| format!("{}. {act}", index + 1)).collect();
    out.push(text::SWITCH_OFF.to_owned());
    out
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
            figures(text::ARRIVES, "V", 18.0),
            wide(text::SIGN, 20.0),
            figures(text::DRAWS, "mA", 20.0),
        ],
    );
    for device in &design.rig.devices {
        let Some(feed) = &device.feed else { continue };
        let state = design::feed_state(&design.rig, device).unwrap_or_default();
        let outlets: Vec<String> = feed.outlets.iter().map(ToString::to_string).collect();
        let tags: Vec<&str> = design
            .leads
            .iter()
            .filter(|lead| lead.run.is_none() && lead.feeds(&device.tag))
            .map(|lead| lead.tag.as_str())
            .collect();
        let own = feed.kind == rig::FeedKind::Adaptor;
        table.row([
            cell(device.tag.clone()).bold(),
            cell(outlets.join(" + ")).line(if own { text::ADAPTOR } else { "" }),
            cell(tags.join(" + ")),
            if own { cell(text::DASH) } else { known(state.volts, |volts| format!("{:.1}", volts.get())) },
            cell(if own || state.is_settled {
                text::DASH
            } else {
                sign(device.power.nature.value, state.sign.value)
            }),
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
            figures(text::CUT, text::MM, 15.0),
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
