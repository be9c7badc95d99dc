//! Power map and DC-lead list.

use design::{Design, feed_state};
use rig::{Device, FeedKind};

use crate::block::{Block, Table, blank, cell, figures, known, share, tick, ticks, wide};
use crate::part::Part;
use crate::sheet::Lie;
use crate::words::{never, sign};
use crate::{PapersInput, cautions, text};

/// The paper.
pub(crate) fn power(input: &PapersInput<'_>) -> Part {
    let design = input.design;
    let mut part = Part::blocks(input, "power", text::POWER, "-POW", Lie::Landscape, Vec::new());
    let (wide, high) = part.sheet.room();
    let mut blocks = vec![Block::Title(text::POWER)];
    let bricks: Vec<&Device> = design.rig.devices.iter().filter(|device| has_low_voltage(device)).collect();
    for brick in &bricks {
        let mut drawing = drawing::power(design, brick, wide - 1.5);
        // A brick with very many outlets is drawn smaller, so that it stays in one piece.
        let room = high - 24.0;
        if drawing.height_mm > room {
            let k = room / drawing.height_mm;
            drawing.width_mm *= k;
            drawing.height_mm *= k;
        }
        blocks.push(Block::Figure(drawing, format!("{} {}", brick.tag, brick.title)));
    }
    if bricks.is_empty() {
        blocks.push(Block::Words(text::NO_BRICKS.to_owned()));
    }
    blocks.push(Block::Head(text::LOADS.to_owned(), text::LOADS_NOTE.to_owned()));
    blocks.push(Block::Table(loads(design)));
    blocks.push(Block::Break);
    blocks.push(Block::Title(text::DC_LEADS));
    blocks.push(Block::Faint(text::DC_NOTE.to_owned()));
    let warnings: Vec<String> =
        design.rig.devices.iter().filter_map(|device| never(design, device)).collect();
    if !warnings.is_empty() {
        blocks.push(Block::Boxed(text::NEVER.to_owned(), warnings, 11.0));
    }
    blocks.extend(cautions::mains(design));
    blocks.push(Block::Table(dc_leads(design)));
    part.body = crate::part::Body::Blocks(blocks);
    part
}

/// Whether a device has outlets of low voltage.
fn has_low_voltage(device: &Device) -> bool {
    device.outlets.iter().any(|outlet| outlet.nature.value != Some(rig::Nature::Mains))
}

/// What each brick and bank gives and carries.
fn loads(design: &Design) -> Table {
    let mut table = Table::new(
        "supply-loads",
        11.0,
        vec![
            wide(text::BRICK, 30.0),
            share(text::WHAT, 1.0),
            figures(text::TAKEN, "mA", 28.0),
            figures(text::GIVES, "mA", 28.0),
            figures(text::TAKEN, "W", 28.0),
            figures(text::GIVES, "W", 28.0),
        ],
    );
    for brick in design.rig.devices.iter().filter(|device| has_low_voltage(device)) {
        let mut watts = 0.0;
        let mut assumed = false;
        let mut unknown = false;
        for load in design.outlets.iter().filter(|load| load.outlet.device == brick.tag) {
            let set = brick.outlet(&load.outlet.port).and_then(|outlet| outlet.set.value);
            match (load.load.value, set) {
                (Some(load_ma), Some(volts)) => watts += load_ma.get() * volts.get() / 1000.0,
                _ => unknown = true,
            }
            assumed |= load.load.is_assumed();
        }
        let taken = if unknown { cell(text::at_least(watts)) } else { cell(format!("{watts:.1}")) };
        table.row([
            cell(brick.tag.clone()).bold(),
            cell(brick.title.clone()),
            cell(text::DASH),
            cell(text::DASH),
            taken.assumed(assumed),
            known(brick.total, |total| format!("{:.1}", total.get())),
        ]);
        for bank in &brick.banks {
            let mut sum = 0.0;
            let mut lacks = false;
            let mut assumed = false;
            for load in design.outlets.iter().filter(|load| load.outlet.device == brick.tag) {
                let here = brick.outlet(&load.outlet.port).and_then(|outlet| outlet.bank.as_ref());
                if here != Some(&bank.name) {
                    continue;
                }
                lacks |= load.load.is_unknown();
                assumed |= load.load.is_assumed();
                sum += load.load.value.map_or(0.0, quantity::Milliamps::get);
            }
            let taken = if lacks { text::UNKNOWN.to_owned() } else { format!("{sum:.0}") };
            table.row([
                cell(brick.tag.clone()),
                cell(text::bank(&bank.name)),
                cell(taken).assumed(assumed),
                known(bank.current, |current| format!("{:.0}", current.get())),
                cell(text::DASH),
                cell(text::DASH),
            ]);
        }
    }
    table
}

fn dc_leads(design: &Design) -> Table {
    let mut table = Table::new(
        "dc-leads",
        11.0,
        vec![
            wide(text::LEAD, 17.0),
            wide(text::OUTLET, 30.0),
            figures(text::SET, "V", 14.0),
            share(text::DEVICE, 1.0),
            wide(text::PLUG_AT_DEVICE, 50.0),
            figures(text::ARRIVES, "V", 16.0),
            wide(text::SIGN, 17.0),
            figures(text::MEASURED, "V", 20.0),
            wide(text::SIGN_FOUND, 17.0),
            figures(text::DRAWS, "mA", 16.0),
            ticks(text::TICK_PLUGGED),
        ],
    )
    .grid();
    let rig = &design.rig;
    for lead in design.leads.iter().filter(|lead| lead.run.is_none()) {
        let Some(device) = rig.device(&lead.to.port.device) else { continue };
        let adaptor = device.feed.as_ref().is_some_and(|feed| feed.kind == FeedKind::Adaptor);
        let outlet = rig.device(&lead.from.port.device).and_then(|brick| brick.outlet(&lead.from.port.port));
        let state = feed_state(rig, device).unwrap_or_default();
        let set = outlet.filter(|_| !adaptor).map(|outlet| outlet.set).unwrap_or_default();
        let volts = if adaptor { device.power.volts } else { quantityless(state.volts) };
        let shown = known(volts, |window: quantity::Window| {
            if window.low() == window.high() {
                format!("{:.1}", window.low().get())
            } else {
                format!("{:.1}–{:.1}", window.low().get(), window.high().get())
            }
        });
        let word = if adaptor { device.power.sign.value } else { state.sign.value };
        let plug = lead.to.plug.plug.as_ref().map_or(text::OPEN, |plug| plug.title.as_str());
        let exit = lead.to.plug.exit.map(|exit| text::exit(exit.word())).unwrap_or_default();
        let special = device.feed.as_ref().map(|feed| match (feed.kind, feed.crossing) {
            (FeedKind::SeriesPair, _) => text::SERIES,
            (FeedKind::ParallelPair, _) => text::PARALLEL,
            (FeedKind::Adaptor, _) => text::ADAPTOR,
            (_, true) => text::CROSSING,
            _ => "",
        });
        table.row([
            cell(lead.tag.clone()).bold(),
            cell(lead.from.port.to_string()).line(special.unwrap_or_default()),
            if adaptor { cell(text::DASH) } else { known(set, |volts| format!("{:.1}", volts.get())) },
            cell(device.tag.clone()).bold().line(device.title.clone()),
            cell(plug).line(exit),
            shown,
            cell(sign(device.power.nature.value, word)),
            blank(),
            blank(),
            known(device.power.current, |current| format!("{:.0}", current.get())),
            tick(),
        ]);
    }
    table
}

/// A single voltage as a window, so that both print alike.
fn quantityless(volts: rig::Known<quantity::Volts>) -> rig::Known<quantity::Window> {
    rig::Known { value: volts.value.map(quantity::Window::exactly), from: volts.from }
}
