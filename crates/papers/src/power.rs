//! Power map and DC-lead list.

use design::{Design, feed_state};
use rig::geometry::EndKind;
use rig::{Device, FeedKind, Isolation, Role};

use crate::block::{Block, Cell, Table, blank, cell, figures, known, share, tick, ticks, wide};
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
    let warnings = never(design);
    let mut boxes = Vec::new();
    if !warnings.is_empty() {
        boxes.push(Block::Boxed(text::NEVER.to_owned(), warnings, 11.0));
    }
    if let Some(lines) = both_ends(design) {
        boxes.push(Block::Boxed(text::TAG_BOTH_ENDS.to_owned(), lines, 11.0));
    }
    let bricks: Vec<&Device> = design.rig.devices.iter().filter(|device| has_low_voltage(device)).collect();
    for brick in &bricks {
        // One line of the head and the paper's title stand above.
        for part in drawing::power_parts(design, brick, wide - 1.5, high - 16.0) {
            blocks.push(Block::Figure(part, format!("{} {}", brick.tag, brick.title)));
        }
    }
    if bricks.is_empty() {
        blocks.push(Block::Words(text::NO_BRICKS.to_owned()));
    }
    blocks.extend(boxes);
    if let Some(lines) = unfed(design) {
        blocks.push(Block::Boxed(text::UNFED.to_owned(), lines, 11.0));
    }
    blocks.extend(cautions::hot(design));
    blocks.push(Block::Head(text::LOADS.to_owned(), text::LOADS_NOTE.to_owned()));
    blocks.push(Block::Table(loads(design)));
    blocks.push(Block::Break);
    blocks.push(Block::Title(text::DC_LEADS));
    blocks.push(Block::Faint(text::DC_NOTE.to_owned()));
    blocks.extend(cautions::mains(design));
    blocks.push(Block::Table(dc_leads(design)));
    if let Some(table) = sockets(design) {
        blocks.push(Block::Head(text::SOCKETS.to_owned(), text::SOCKETS_NOTE.to_owned()));
        blocks.push(Block::Table(table));
    }
    part.body = crate::part::Body::Blocks(blocks);
    part
}

/// How a device's own adaptor is put in: how it lies, what holds it, what its lead is shortened to and who agreed.
fn adaptor_words(device: &rig::Device) -> String {
    let Some(adaptor) = device.feed.as_ref().and_then(|feed| feed.adaptor.as_ref()) else {
        return String::new();
    };
    let mut words = Vec::new();
    if let Some(lies) = adaptor.lies.value {
        words.push(text::lies(lies).to_owned());
    }
    if let Some(held) = adaptor.held.value {
        words.push(text::held(held).to_owned());
    }
    match (adaptor.shortened, &adaptor.consent) {
        (Some(left), Some(consent)) => words.push(text::shortened(&left.figure_mm(0), consent)),
        (Some(left), None) => words.push(text::not_shortened(&left.figure_mm(0))),
        (None, _) if !adaptor.lead.is_unknown() => words.push(text::COILED.to_owned()),
        (None, _) => {}
    }
    words.join("; ")
}

/// Leads that harm what they are plugged into by mistake: what their tags say, at both ends.
fn both_ends(design: &Design) -> Option<Vec<String>> {
    let lines: Vec<String> = design
        .leads
        .iter()
        .filter_map(|lead| {
            let words = design::tag_words(design, lead)?;
            Some(text::tagged(
                &lead.tag,
                &lead.words_of(rig::geometry::EndKind::From),
                &lead.words_of(rig::geometry::EndKind::To),
                &words,
            ))
        })
        .collect();
    (!lines.is_empty()).then_some(lines)
}

/// Devices that want power and have none.
fn unfed(design: &Design) -> Option<Vec<String>> {
    let lines: Vec<String> = design
        .rig
        .devices
        .iter()
        .filter(|device| !device.outside && device.feed.is_none() && wants_power(device))
        .map(|device| {
            let volts = device.power.volts.value.map_or_else(|| text::UNKNOWN.to_owned(), |v| v.to_string());
            let current =
                device.power.current.value.map_or_else(|| text::UNKNOWN.to_owned(), |c| c.to_string());
            text::unfed(&device.tag, &device.title, &volts, &current)
        })
        .collect();
    (!lines.is_empty()).then_some(lines)
}

/// Whether a device is known to run on low voltage from outside.
fn wants_power(device: &Device) -> bool {
    let mains = device.power.nature.value == Some(rig::Nature::Mains);
    matches!(device.role, Role::Pedal | Role::Other)
        && !mains
        && device.outlets.is_empty()
        && (device.power.volts.value.is_some() || device.power.current.value.is_some())
}

/// Whether a device has outlets of low voltage.
pub(crate) fn has_low_voltage(device: &Device) -> bool {
    device.outlets.iter().any(|outlet| outlet.nature.value != Some(rig::Nature::Mains))
}

/// Which outlets share their negative with others, and which do not.
fn isolated(brick: &Device) -> Cell {
    let of = |wanted: Option<Isolation>| -> Vec<&str> {
        brick
            .outlets
            .iter()
            .filter(|outlet| outlet.nature.value != Some(rig::Nature::Mains))
            .filter(|outlet| outlet.isolation.value == wanted)
            .map(|outlet| outlet.name.as_str())
            .collect()
    };
    let assumed = brick.outlets.iter().any(|outlet| outlet.isolation.from == rig::Provenance::Assumed);
    let (each, joined, unknown) = (of(Some(Isolation::Isolated)), of(Some(Isolation::Joined)), of(None));
    cell(text::isolation(&design::spans(&each), &design::spans(&joined), &design::spans(&unknown)))
        .assumed(assumed)
}

/// What each brick and bank gives and carries.
fn loads(design: &Design) -> Table {
    let mut table = Table::new(
        "supply-loads",
        11.0,
        vec![
            wide(text::BRICK, 24.0),
            share(text::WHAT, 1.0),
            share(text::ISOLATED, 1.0),
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
            isolated(brick),
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
                cell(""),
                cell(taken).assumed(assumed),
                known(bank.current, |current| format!("{:.0}", current.get())),
                cell(text::DASH),
                cell(text::DASH),
            ]);
        }
    }
    table
}

/// The sockets of the strips on the board; `None` where there are none.
fn sockets(design: &Design) -> Option<Table> {
    // A lead that is fixed to the strip takes no socket.
    let is_socket = |socket: &rig::geometry::Socket| {
        let connector = design.rig.port(&socket.at).and_then(|port| port.connector.as_ref());
        connector.is_none_or(|connector| connector.family != rig::ConnectorFamily::Fixed)
    };
    let sockets: Vec<_> = design.sockets().into_iter().filter(is_socket).collect();
    if sockets.is_empty() {
        return None;
    }
    let mut table = Table::new(
        "sockets",
        11.0,
        vec![
            wide(text::SOCKET, 30.0),
            share(text::PATTERN, 1.0),
            figures(text::PITCH, "mm", 30.0),
            share(text::STANDS, 1.4),
        ],
    );
    for socket in sockets {
        let connector = design.rig.port(&socket.at).and_then(|port| port.connector.as_ref());
        let pattern = connector.map_or(text::UNKNOWN, |connector| connector.title.as_str());
        table.row([
            cell(socket.at.to_string()).bold(),
            cell(pattern.to_owned()),
            cell(socket.pitch.map_or_else(|| text::DASH.to_owned(), |pitch| pitch.figure_mm(1))),
            cell(design::socket_words(&socket.state)).assumed(socket.assumed),
        ]);
    }
    Some(table)
}

fn dc_leads(design: &Design) -> Table {
    let mut table = Table::new(
        "dc-leads",
        11.0,
        vec![
            wide(text::LEAD, 14.0),
            wide(text::OUTLET, 30.0),
            figures(text::SET, "V", 15.0),
            share(text::DEVICE, 0.75),
            share(text::PLUG_AT_DEVICE, 1.1),
            figures(text::ARRIVES, "V", 19.0),
            wide(text::SIGN, 16.0),
            figures(text::MEASURED, "V", 22.0),
            wide(text::SIGN_FOUND, 17.0),
            figures(text::DRAWS, "mA", 17.0),
            ticks(text::TICK_PLUGGED),
        ],
    )
    .grid();
    let rig = &design.rig;
    let supplies = design.leads.iter().filter(|lead| lead.run.is_none());
    let inlets = supplies.flat_map(|lead| {
        let inlets = lead.ends.iter().enumerate().filter(|(_, end)| end.kind == EndKind::To);
        inlets.map(move |(leg, end)| (lead, leg, end))
    });
    for (lead, leg, inlet) in inlets {
        let Some(device) = rig.device(&inlet.port.device) else { continue };
        let adaptor = device.feed.as_ref().is_some_and(|feed| feed.kind == FeedKind::Adaptor);
        let from = &lead.from().port;
        let outlet = rig.device(&from.device).and_then(|brick| brick.outlet(&from.port));
        let state = feed_state(rig, device).unwrap_or_default();
        let set = outlet.filter(|_| !adaptor).map(|outlet| outlet.set).unwrap_or_default();
        // What a brick says of itself is what its adaptor takes from the wall.
        let is_from_wall = device.power.nature.value == Some(rig::Nature::Mains);
        let volts = match (adaptor, is_from_wall) {
            (true, true) => rig::Known::default(),
            (true, false) => device.power.volts,
            (false, _) => quantityless(state.volts),
        };
        let shown = known(volts, |window: quantity::Window| {
            if window.low() == window.high() {
                format!("{:.1}", window.low().get())
            } else {
                format!("{:.1}–{:.1}", window.low().get(), window.high().get())
            }
        });
        // What does not suit the device is marked beside what arrives.
        let wants = device.power.volts.value;
        let unsuited =
            wants.zip(state.volts.value).filter(|(wants, volts)| !adaptor && !wants.contains(*volts));
        let shown = match unsuited {
            Some((wants, _)) => shown.line(text::runs_on(&wants.to_string())),
            None => shown,
        };
        let word = if adaptor { device.power.sign.value } else { state.sign.value };
        let plug = inlet.plug.plug.as_ref().map_or(text::OPEN, |plug| plug.title.as_str());
        let exit = inlet.plug.exit.map(|exit| text::exit(exit.word())).unwrap_or_default();
        let special = device.feed.as_ref().map(|feed| match (feed.kind, feed.crossing) {
            (FeedKind::SeriesPair, _) => text::SERIES,
            (FeedKind::ParallelPair, _) => text::PARALLEL,
            (FeedKind::Adaptor, _) => text::ADAPTOR,
            (_, true) => text::CROSSING,
            _ => "",
        });
        table.row([
            cell(lead.part(leg)).bold(),
            cell(lead.words_of(EndKind::From))
                .line(special.unwrap_or_default())
                .line(if design::tag_words(design, lead).is_some() { text::TAGS } else { "" }),
            if adaptor { cell(text::DASH) } else { known(set, |volts| format!("{:.1}", volts.get())) },
            cell(device.tag.clone()).bold().line(device.title.clone()),
            cell(plug).line(exit).line(adaptor_words(device)),
            shown,
            cell(if state.is_settled { text::DASH } else { sign(device.power.nature.value, word) }),
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
