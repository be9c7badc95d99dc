//! `boardwright check`.

use crate::args::{Check, Format};
use crate::loaded::load;
use crate::render;
use crate::shell::{self, Outcome};

pub(crate) fn run(options: &Check) -> anyhow::Result<Outcome> {
    let loaded = load(&options.rig)?;
    let text = match options.format {
        Format::Text => render::text::findings(&loaded, shell::may_colour(true), options.all),
        Format::Line => render::line::findings(&loaded),
        Format::Json => render::json::findings(&loaded),
    };
    shell::data(&text)?;
    Ok(if loaded.stops() { Outcome::Stop } else { Outcome::Clean })
}
