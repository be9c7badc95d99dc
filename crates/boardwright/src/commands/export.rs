//! `boardwright export`.

use anyhow::bail;
use drawing::{Scale, Theme};

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
        ExportAs::Svg => svg(options, &loaded)?,
    };
    match &options.out {
        Some(path) => document::edit::write_atomically(path, &text)?,
        None => shell::data(&text)?,
    }
    Ok(Outcome::Clean)
}

fn svg(options: &Export, loaded: &Loaded) -> anyhow::Result<String> {
    if let Some(deck) = &options.deck
        && loaded.design.rig.board.deck(deck).is_none()
    {
        let decks: Vec<&str> = loaded.design.rig.board.decks.iter().map(|deck| deck.name.as_str()).collect();
        bail!("the board has no deck `{deck}`; it has {}", decks.join(", "));
    }
    let scale = Scale::one_to(options.scale);
    let drawing = match options.drawing {
        DrawingName::Plan => drawing::plan(&loaded.design, options.deck.as_deref(), scale),
        DrawingName::Side => drawing::side(&loaded.design, scale),
    };
    Ok(drawing::svg(&drawing, Theme::Paper))
}
