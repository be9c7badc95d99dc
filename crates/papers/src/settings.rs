//! The pages of settings: each device with its jacks, its knobs as delivered, and rows to draw others into.

use design::Design;
use drawing::{Dial, Scale, channels, dials, front};
use rig::{Carries, Device, PortRole, Role};

use crate::block::{Block, Pair, Table, blank, cell, figures, pair, share};
use crate::part::Part;
use crate::path::along;
use crate::sheet::Lie;
use crate::{PapersInput, text};

/// The most room for a device from above, in millimetres.
const PICTURE: (f64, f64) = (92.0, 46.0);
/// The most knobs in a row.
const ROW: usize = 5;
/// Circles for a device of which nobody has said what knobs it has.
const UNSAID: usize = 4;
/// Rows to draw other settings into.
const SOUNDS: usize = 2;
/// Lines for presets.
const PRESETS: usize = 4;

/// The paper; it has no page where nothing on the board is set.
pub(crate) fn settings(input: &PapersInput<'_>) -> Part {
    let design = input.design;
    let mut blocks = vec![Block::Title(text::SETTINGS), Block::Faint(text::SETTINGS_NOTE.to_owned())];
    let devices = set_by_hand(design);
    if devices.is_empty() {
        blocks.push(Block::Words(text::NOTHING_TO_SET.to_owned()));
    }
    blocks.extend(devices.into_iter().map(|device| Block::Together(of(design, device))));
    Part::blocks(input, "settings", text::SETTINGS, "-SET", Lie::Portrait, blocks)
}

/// The devices with something to set, along the runs.
pub(crate) fn set_by_hand(design: &Design) -> Vec<&Device> {
    let mut all = along(design);
    for device in &design.rig.devices {
        if all.iter().all(|known| known.tag != device.tag) {
            all.push(device);
        }
    }
    all.retain(|device| {
        let is_gear = matches!(device.role, Role::Pedal | Role::Other) && !device.outside;
        let has_signal = device.ports.iter().any(|port| {
            matches!(port.role.value, Some(PortRole::In | PortRole::Out | PortRole::Send | PortRole::Return))
        });
        let said = device.controls.as_ref().map(Vec::is_empty);
        let guessed = has_signal && device.treadle.is_none() && !device.signal.passive;
        is_gear && (device.midi.is_some() || said == Some(false) || (said.is_none() && guessed))
    });
    all
}

/// One device.
fn of(design: &Design, device: &Device) -> Vec<Block> {
    let mut out = vec![Block::Head(device.tag.clone(), device.title.clone())];
    let picture = [1, 2, 3, 4, 5, 10]
        .map(Scale::one_to)
        .into_iter()
        .filter_map(|scale| front(device, scale))
        .find(|picture| picture.width_mm <= PICTURE.0 && picture.height_mm <= PICTURE.1);
    match picture {
        Some(picture) => out.push(Block::Aside(picture, set_once(design, device))),
        None => out.push(Block::Pairs(set_once(design, device), 1, 36.0, 10.0)),
    }
    let known = device.controls.as_deref().unwrap_or_default();
    let names: Vec<&str> = if device.controls.is_none() {
        vec![""; UNSAID]
    } else {
        known.iter().map(|control| control.name.as_str()).collect()
    };
    for (row, part) in names.chunks(ROW).enumerate() {
        let as_delivered: Vec<Dial> = part
            .iter()
            .enumerate()
            .map(|(index, name)| Dial {
                name: (*name).to_owned(),
                at: known.get(row * ROW + index).map(|control| control.at.clone()).unwrap_or_default(),
            })
            .collect();
        let empty: Vec<Dial> =
            part.iter().map(|name| Dial { name: (*name).to_owned(), at: String::new() }).collect();
        let delivered = known.iter().any(|control| !control.at.is_empty());
        let (head, lines) = if delivered {
            (text::AS_DELIVERED, Vec::new())
        } else {
            (text::AS_DELIVERED, vec![text::DATE_BLANK.to_owned()])
        };
        out.push(Block::Form(head.to_owned(), lines, dials(&as_delivered)));
        for _ in 0..SOUNDS {
            let lines = vec![text::SOUND.to_owned(), text::DATE_BLANK.to_owned()];
            out.push(Block::Form(String::new(), lines, dials(&empty)));
        }
    }
    if let Some(midi) = &device.midi {
        let others: Vec<(u32, &str)> = design
            .rig
            .devices
            .iter()
            .filter(|other| other.tag != device.tag)
            .filter_map(|other| Some((other.midi.as_ref()?.channel.value?, other.tag.as_str())))
            .collect();
        let note = match (midi.omni.value, midi.channel.value) {
            (Some(true), _) => text::MIDI_OMNI,
            (_, None) => text::MIDI_UNSAID,
            _ => text::MIDI_OWN,
        };
        out.push(Block::Figure(channels(midi.channel.value, &others), text::midi_channel(note)));
        let mut presets = Table::new(
            "",
            10.0,
            vec![figures(text::NUMBER_SHORT, "", 12.0), share(text::SOUND, 1.0), share(text::SONG, 1.0)],
        );
        for number in 1..=PRESETS {
            presets.row([cell(number.to_string()).faint(), blank(), blank()]);
        }
        out.push(Block::Table(presets.keep()));
    }
    out
}

/// What is set once and left alone: how it passes when off, what feeds it, who works it.
fn set_once(design: &Design, device: &Device) -> Vec<Pair> {
    let rig = &design.rig;
    let mut out = Vec::new();
    for switch in &device.switches {
        let does = switch.does.as_deref().unwrap_or_default();
        if !does.is_empty() {
            out.push(pair(text::foot(&switch.name), cell(does)));
        }
    }
    if let Some(bypass) = device.signal.bypass.value {
        out.push(pair(
            text::WHEN_OFF,
            cell(text::when_off(bypass)).assumed(device.signal.bypass.is_assumed()),
        ));
    }
    for run in rig.runs.iter().filter(|run| matches!(run.carries, Carries::Expression | Carries::Control)) {
        let stops: Vec<&rig::PortRef> =
            run.stops.iter().flat_map(|stop| [&stop.arrives, &stop.leaves]).flatten().collect();
        for (own, other) in stops.iter().zip(stops.iter().skip(1)).flat_map(|(a, b)| [(a, b), (b, a)]) {
            if own.device == device.tag && other.device != device.tag {
                let jack = rig.port(own).map_or_else(|| own.port.clone(), rig::Port::printed);
                out.push(pair(text::at_jack(&jack), cell(other.device.clone())));
            }
        }
    }
    if let Some(feed) = &device.feed {
        let outlets: Vec<String> = feed.outlets.iter().map(ToString::to_string).collect();
        let volts = design::feed_state(rig, device).and_then(|state| state.volts.value);
        let volts = volts.map(|volts| volts.to_string()).unwrap_or_default();
        let draws = device.power.current.value.map(|current| current.to_string()).unwrap_or_default();
        let words: Vec<String> =
            [outlets.join(" + "), volts, draws].into_iter().filter(|words| !words.is_empty()).collect();
        out.push(pair(text::FED_BY, cell(words.join(", "))));
    }
    if let Some(serial) = &device.serial {
        out.push(pair(text::SERIAL_SHORT, cell(serial.clone())));
    }
    out.push(pair(text::CELL_INSIDE, blank()));
    out.push(pair(text::BACK_UP_FILE, blank()));
    out
}
