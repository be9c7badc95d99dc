//! Brief and intake sheet.

use design::given::count_device;
use rig::Role;

use crate::block::{Block, Pair, Table, blank, cell, figures, known, pair, share, tick, ticks, wide};
use crate::part::Part;
use crate::photographs::photographs;
use crate::sheet::Lie;
use crate::{PapersInput, text};

/// The paper.
pub(crate) fn brief(input: &PapersInput<'_>) -> Part {
    let mut blocks = vec![Block::Title(text::BRIEF), Block::Pairs(told(input), 2, 36.0, 11.0)];
    let mut requirements =
        Table::new("requirements", 11.0, vec![wide(text::NUMBER_SHORT, 16.0), share(text::WANTED, 1.0)]);
    for requirement in &input.design.rig.brief.requirements {
        requirements.row([cell(requirement.id.clone()).bold(), cell(requirement.text.clone())]);
    }
    requirements.none = text::NO_REQUIREMENTS;
    blocks.push(Block::Head(text::REQUIREMENTS.to_owned(), String::new()));
    blocks.push(Block::Table(requirements));
    blocks.push(Block::Break);
    blocks.push(Block::Title(text::INTAKE));
    blocks.push(Block::Faint(text::INTAKE_NOTE.to_owned()));
    // Signed above the list, so that no page carries nothing but a signature.
    let signed = [text::HANDED_IN, text::TAKEN_IN, text::DATE_BLANK].map(|label| pair(label, blank()));
    blocks.push(Block::Pairs(signed.to_vec(), 3, 30.0, 12.0));
    blocks.push(Block::Table(intake(input)));
    blocks.extend(photographs(input.design, input.photographs, Lie::Landscape));
    Part::blocks(input, "brief", text::BRIEF, "-BRF", Lie::Landscape, blocks)
}

fn told(input: &PapersInput<'_>) -> Vec<Pair> {
    let rig = &input.design.rig;
    let brief = &rig.brief;
    let said = |words: &Option<String>| match words {
        Some(words) => cell(words.clone()),
        None => blank(),
    };
    let mains = rig.job.mains.map(|mains| format!("{}, {}", mains.volts, mains.hertz));
    let countries = (!brief.countries.is_empty()).then(|| brief.countries.join(", "));
    let limit = brief.mass_limit.map(|mass| mass.to_string());
    vec![
        pair(text::PLAYER, said(&rig.job.player)),
        pair(text::DUE, said(&brief.due)),
        pair(text::MUSIC, said(&brief.music)),
        pair(text::BUDGET, said(&brief.budget)),
        pair(text::VENUES, said(&brief.venues)),
        pair(text::MAINS_HOME, said(&mains)),
        pair(text::CARRIED, said(&brief.carried).line(text::carriers(brief.carriers, brief.touring))),
        pair(text::COUNTRIES, said(&countries)),
        pair(text::MASS_LIMIT, said(&limit)),
        pair(text::SHOE, known(brief.shoe_width, |width| width.to_string())),
        pair(text::SAID, said(&brief.note)),
        pair(text::NEVER_FAIL, blank()),
    ]
}

fn intake(input: &PapersInput<'_>) -> Table {
    let mut table = Table::new(
        "intake",
        11.0,
        vec![
            wide(text::TAG, 20.0),
            share(text::DEVICE, 1.4),
            wide(text::OWNER, 20.0),
            share(text::SERIAL, 0.8),
            figures(text::MASS, "kg", 15.0),
            figures(text::ASSUMED_SHORT, "", 20.0),
            figures(text::OF_VALUES, "", 13.0),
            share(text::CONDITION, 1.0),
            wide(text::VALUE, 20.0),
            ticks(text::TICK_PHOTO),
            ticks(text::TICK_BATTERY),
            ticks(text::TICK_MEASURED),
        ],
    )
    .grid();
    for device in input.design.rig.devices.iter().filter(|device| !device.outside) {
        if matches!(device.role, Role::Panel) {
            continue;
        }
        let count = count_device(device);
        let text_or_blank = |words: &Option<String>| words.clone().map_or_else(blank, cell);
        let mut what = cell(device.title.clone());
        if let Some(note) = &device.note {
            what = what.line(note.clone());
        }
        table.row([
            cell(device.tag.clone()).bold(),
            what,
            text_or_blank(&device.owner),
            text_or_blank(&device.serial),
            known(device.mass, |mass| format!("{:.2}", mass.get() / 1000.0)),
            cell(count.assumed.to_string()),
            cell(count.given.to_string()),
            blank(),
            blank(),
            tick(),
            tick(),
            tick(),
        ]);
    }
    table
}
