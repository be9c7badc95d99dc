//! `boardwright export`.

use anyhow::{Context, bail};
use design::Design;
use drawing::{Drawing, PlateSide, Scale, Theme};
use papers::{PaperSize, PapersInput};

use crate::args::{DrawingName, Export, ExportAs};
use crate::loaded::{Loaded, VERSION, load};
use crate::shell::{self, Outcome};

pub(crate) fn run(options: &Export) -> anyhow::Result<Outcome> {
    let loaded = load(&options.rig)?;
    let text = match options.kind {
        ExportAs::Json => {
            let value = design::resolved(&loaded.design, VERSION, &loaded.inputs);
            serde_json::to_string_pretty(&value)? + "\n"
        }
        ExportAs::Svg if matches!(options.drawing, DrawingName::Plate) => {
            drawing::layered(&drawn(options, &loaded.design)?)
        }
        ExportAs::Svg => drawing::svg(&drawn(options, &loaded.design)?, Theme::Paper),
        ExportAs::Dxf => drawing::dxf(&drawn(options, &loaded.design)?),
        ExportAs::Csv => table(options, &loaded)?,
        ExportAs::Spice => crate::commands::signal::circuit(&loaded, &options.state, options.of.as_deref())?,
    };
    match &options.out {
        Some(path) => crate::written::file(path, &text)?,
        None => shell::data(&text)?,
    }
    Ok(Outcome::Clean)
}

/// One schedule as values.
fn table(options: &Export, loaded: &Loaded) -> anyhow::Result<String> {
    let heard = super::papers::heard(&loaded.design);
    let shelf = super::stock::shelf_for(&options.rig)?;
    let input = PapersInput {
        shelf: &shelf,
        tone: heard.tone.as_ref(),
        ways: &heard.ways,
        signal_notes: &heard.notes,
        ..PapersInput::new(&loaded.design, &loaded.findings, PaperSize::A4)
    };
    let tables = papers::tables(&input);
    let names: Vec<&str> = tables.iter().map(|table| table.name).collect();
    let Some(wanted) = &options.table else {
        bail!("say which table with --table; there are {}", names.join(", "));
    };
    tables
        .iter()
        .find(|table| table.name == wanted)
        .map(|table| table.csv.clone())
        .with_context(|| format!("there is no table `{wanted}`; there are {}", names.join(", ")))
}

/// The drawing asked for.
fn drawn(options: &Export, design: &Design) -> anyhow::Result<Drawing> {
    let rig = &design.rig;
    if let Some(deck) = &options.deck
        && rig.board.deck(deck).is_none()
    {
        let decks: Vec<&str> = rig.board.decks.iter().map(|deck| deck.name.as_str()).collect();
        bail!("the board has no deck `{deck}`; it has {}", decks.join(", "));
    }
    let scale = Scale::one_to(options.scale);
    let of = options.of.as_deref();
    Ok(match options.drawing {
        DrawingName::Plan => drawing::plan(design, options.deck.as_deref(), scale),
        DrawingName::Side => drawing::side(design, scale),
        DrawingName::Template => {
            let deck = match &options.deck {
                Some(deck) => rig.board.deck(deck),
                None => rig.board.decks.iter().min_by_key(|deck| deck.z),
            };
            drawing::template(design, deck.context("the board has no deck")?)
        }
        DrawingName::Panel | DrawingName::Plate => {
            let plates = design::plates(design);
            let names: Vec<&str> = plates.iter().map(|plate| plate.panel.as_str()).collect();
            let plate = plates.iter().find(|plate| of.is_none_or(|of| of == plate.panel));
            let plate = plate.with_context(|| match of {
                Some(of) => one_of(&format!("there is no panel `{of}`"), &names, "the board has no panel"),
                None => "the board has no panel".to_owned(),
            })?;
            if matches!(options.drawing, DrawingName::Plate) {
                if options.rear {
                    bail!("a machine works on the front of a plate; leave --rear out");
                }
                return Ok(drawing::plate_file(design, plate));
            }
            let side = if options.rear { PlateSide::Rear } else { PlateSide::Front };
            drawing::panel(design, plate, side)
        }
        DrawingName::Path => {
            let names: Vec<&str> = rig.runs.iter().map(|run| run.name.as_str()).collect();
            let run = rig.runs.iter().find(|run| of.is_none_or(|of| of == run.name));
            let run = run.with_context(|| one_of("name a run with --of", &names, "the rig has no run"))?;
            drawing::path(design, run, STRIP_MM)
        }
        DrawingName::Band => {
            let ways = super::papers::heard(design).ways;
            let sinks: Vec<&str> = ways.iter().map(|way| way.sink.as_str()).collect();
            let way = ways.iter().find(|way| of.is_none_or(|of| of == way.sink));
            let way = way.with_context(|| {
                let notes = &design.signal().notes;
                let why = notes.iter().find(|note| note.starts_with("no signal reaches"));
                let none = why.map_or("no signal reaches an amp or desk", String::as_str);
                one_of("name an amp or desk that is reached", &sinks, none)
            })?;
            papers::band(way, STRIP_MM, BAND_MM)
        }
        DrawingName::Power => {
            let bricks: Vec<&rig::Device> =
                rig.devices.iter().filter(|device| !device.outlets.is_empty()).collect();
            let names: Vec<&str> = bricks.iter().map(|brick| brick.tag.as_str()).collect();
            let brick = bricks.iter().find(|brick| of.is_none_or(|of| of == brick.tag));
            let brick =
                brick.with_context(|| one_of("name a supply with --of", &names, "the rig has no supply"))?;
            drawing::power(design, brick, STRIP_MM)
        }
    })
}

/// Width of strips that are no page: the room on an A4 sheet that lies.
const STRIP_MM: f64 = 257.0;
/// What to name, and what there is to choose from; what is missing where there is nothing.
fn one_of(ask: &str, names: &[&str], none: &str) -> String {
    if names.is_empty() { none.to_owned() } else { format!("{ask}; there are {}", names.join(", ")) }
}

/// Height of a band.
const BAND_MM: f64 = 110.0;
