//! `boardwright photo`: sizes of a device from pictures of it on a sheet of paper.

use std::fmt::Write as _;
use std::path::Path;

use anyhow::{Context as _, anyhow};
use photo::{Face, Length, Measures, Paper, Proposal, Shot};
use pictures::Taken;
use schemars::JsonSchema;
use serde::Serialize;

use crate::args::{OutcomeFormat, PaperSize, PhotoOptions};
use crate::shell::{self, Outcome};

pub(crate) fn run(options: &PhotoOptions) -> anyhow::Result<Outcome> {
    let sides = [
        (Face::Left, &options.left),
        (Face::Right, &options.right),
        (Face::Back, &options.back),
        (Face::Front, &options.front),
    ];
    let sides: Vec<(Face, &Path)> =
        sides.into_iter().filter_map(|(face, path)| Some((face, path.as_deref()?))).collect();
    let top = taken(&options.top)?;
    let others = sides.iter().map(|(_, path)| taken(path)).collect::<anyhow::Result<Vec<_>>>()?;
    let paper = match options.paper {
        PaperSize::A4 => Paper::A4,
        PaperSize::Letter => Paper::Letter,
    };
    let shots: Vec<(Face, Shot<'_>)> =
        sides.iter().zip(&others).map(|((face, _), taken)| (*face, shot(taken))).collect();
    let proposal = photo::propose(paper, shot(&top), &shots).map_err(|refused| {
        let path = match refused.picture.checked_sub(1) {
            None => options.top.as_path(),
            Some(side) => sides.get(side).map_or(Path::new(""), |(_, path)| path),
        };
        anyhow!("`{}`: {}; {}", path.display(), refused.why, refused.why.remedy())
    })?;
    let above = proposal.above.as_ref().ok_or_else(|| {
        anyhow!(
            "`{}`: the edges of the device do not stand out from the paper; drag them into place on Gear, *Measure a new kind*",
            options.top.display()
        )
    })?;
    if let Some(apart) = proposal.doubt {
        anyhow::bail!(
            "the pictures contradict one another by {apart:.0} mm: what was taken for the device is something else in one of them; drag the points into place on Gear, *Measure a new kind*"
        );
    }
    let before: Vec<_> = proposal.before.iter().filter_map(|(_, before)| before.clone()).collect();
    let found = photo::measure(above, &before, options.height.map(quantity::Length::as_mm));
    let found = if proposal.is_sure { found } else { found.unsure() };
    let text = match options.format {
        OutcomeFormat::Text => told(&proposal, &found, paper),
        OutcomeFormat::Json => serde_json::to_string_pretty(&answer(&proposal, &found, paper))? + "\n",
    };
    shell::data(&text)?;
    for ((face, path), (_, seen)) in sides.iter().zip(&proposal.before) {
        if seen.is_none() {
            shell::say(&format!("`{}`: the {} was not found", path.display(), face.word()));
        }
    }
    Ok(Outcome::Clean)
}

fn taken(path: &Path) -> anyhow::Result<Taken> {
    let size = std::fs::metadata(path).with_context(|| format!("cannot read `{}`", path.display()))?.len();
    let most = u64::try_from(pictures::LARGEST_FILE).unwrap_or(u64::MAX);
    if most < size {
        let error = pictures::Unreadable::TooLarge(usize::try_from(size / 1024 / 1024).unwrap_or(usize::MAX));
        return Err(error).with_context(|| format!("cannot read `{}`", path.display()));
    }
    let bytes = std::fs::read(path).with_context(|| format!("cannot read `{}`", path.display()))?;
    pictures::read(&bytes).with_context(|| format!("cannot read `{}`", path.display()))
}

fn shot(taken: &Taken) -> Shot<'_> {
    Shot { picture: &taken.picture, focal_35: taken.focal_35, corners: None }
}

fn told(proposal: &Proposal, found: &Measures, paper: Paper) -> String {
    let camera = &proposal.sheet.camera;
    let mut out = String::new();
    let mut line = |what: &str, length: Length| {
        let more = if length.is_sure() { "" } else { "  unsure: measure it" };
        let _ = writeln!(out, "{what:<22}{:>7.1} mm ± {:.1}{more}", length.mm, length.within);
    };
    line("width", found.width);
    line("depth", found.depth);
    if let Some(height) = found.height {
        line("height", height);
    }
    for (number, jack) in found.jacks.iter().enumerate() {
        let from = match jack.face {
            Face::Left | Face::Right => "front",
            Face::Front | Face::Back => "left",
        };
        let name = format!("{} {}", jack.face.word(), number + 1);
        line(&format!("{name}, from {from}"), jack.along);
        line(&format!("{name}, high"), jack.high);
    }
    if found.height.is_none() {
        out.push_str("The height is not known: add a picture of a side, or `--height`; ± counts that in.\n");
    }
    if !proposal.is_sure {
        let _ = writeln!(
            out,
            "Unsure: {:.0} % of the device's edges stand out where least do. Drag the points into place on Gear, *Measure a new kind*.",
            proposal.seen * 100.0
        );
    }
    let _ = writeln!(
        out,
        "{}; camera {:.0} mm up, tilted {:.0}°. ± is meant to hold in 95 of 100 where every edge was found; nobody has looked at them. Round things on a side may be jacks or not.",
        paper.word(),
        camera.height(),
        camera.tilt()
    );
    out
}

/// What `boardwright photo --format json` prints.
#[derive(Serialize, JsonSchema)]
pub(crate) struct Answer {
    /// Name and version of this form.
    schema: &'static str,
    /// The sheet: `a4` or `letter`.
    paper: String,
    /// The angle between the camera's axis and straight down, in degrees.
    tilt_degrees: f64,
    /// How high the camera was above the sheet, in mm.
    camera_height_mm: f64,
    /// How much the lens bends at the corner of the picture, as a part of the way there.
    lens_bend: f64,
    /// How far the sheet's edges lie from where they are computed, in pixels.
    edges_off_px: f64,
    /// From left to right.
    width: Measured,
    /// From front to back.
    depth: Measured,
    /// From the sheet to the top edge; null where neither a side nor a person says it.
    height: Option<Measured>,
    /// Round things on the sides: jacks, and what looks like one.
    jacks: Vec<Round>,
}

/// A length.
#[derive(Serialize, JsonSchema)]
struct Measured {
    /// The length.
    length_mm: f64,
    /// Meant to hold 95 of 100 lengths where every edge was found.
    within_mm: f64,
}

/// A round thing on a side.
#[derive(Serialize, JsonSchema)]
struct Round {
    /// `front`, `right`, `back` or `left`.
    face: &'static str,
    /// From the front edge on right and left, from the left edge on front and back.
    along: Measured,
    /// Above what the device stands on.
    high: Measured,
}

fn answer(proposal: &Proposal, found: &Measures, paper: Paper) -> Answer {
    let tenth = |value: f64| (value * 10.0).round() / 10.0;
    let measured =
        |length: Length| Measured { length_mm: tenth(length.mm), within_mm: tenth(length.within + 0.05) };
    let camera = &proposal.sheet.camera;
    Answer {
        schema: "boardwright.photo.1",
        paper: paper.word().to_lowercase(),
        tilt_degrees: tenth(camera.tilt()),
        camera_height_mm: tenth(camera.height()),
        lens_bend: (camera.bend() * 1e4).round() / 1e4,
        edges_off_px: (proposal.sheet.off * 100.0).round() / 100.0,
        width: measured(found.width),
        depth: measured(found.depth),
        height: found.height.map(measured),
        jacks: found
            .jacks
            .iter()
            .map(|jack| Round {
                face: jack.face.word(),
                along: measured(jack.along),
                high: measured(jack.high),
            })
            .collect(),
    }
}
