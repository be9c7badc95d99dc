//! `boardwright arrange --choices`: placements that differ on purpose, beside today's.

use std::fmt::Write;

use design::Design;
use drawing::{Scale, Theme};
use layout::{Config, Input, Outcome as Measured, Terms};
use verdict::Choices;

use super::bar::Bar;
use super::stopped::Stopped;
use crate::args::{Arrange, OutcomeFormat};
use crate::loaded::Loaded;
use crate::shell::{self, Outcome};

/// Scale of the plans on the sheet: one for all.
const SCALE: u32 = 5;
/// Paper between the plans, and the height of their titles, in millimetres.
const GAP_MM: f64 = 10.0;
const TITLE_MM: f64 = 7.0;

pub(crate) fn run(
    options: &Arrange,
    loaded: &Loaded,
    input: &Input,
    config: &Config,
) -> anyhow::Result<Outcome> {
    let (job, today) = (&loaded.job, &loaded.findings);
    let choices = verdict::choices(job, today, input, config, &Bar, &Stopped::by_ctrl_c());
    shell::progress("");
    let text = match options.format {
        OutcomeFormat::Json => serde_json::to_string_pretty(&verdict::choices_json(&choices))? + "\n",
        OutcomeFormat::Text => summary(&choices),
    };
    shell::data(&text)?;
    if let Some(path) = &options.draw {
        crate::written::file(path, &sheet(&loaded.design, &choices))?;
    }
    Ok(if choices.choices.is_empty() { Outcome::Stop } else { Outcome::Clean })
}

/// Titles of the choices.
fn titles(aims: &[verdict::Aim]) -> String {
    aims.iter().map(|aim| aim.title()).collect::<Vec<_>>().join(", ")
}

/// The terms of each beside today's, as measured; and what moves.
fn summary(choices: &Choices) -> String {
    let mut columns: Vec<(String, Option<&Measured>)> = Vec::new();
    columns.push(("today".to_owned(), Some(&choices.now).filter(|now| now.was_placed)));
    let straightened = &choices.straightened;
    columns.push(("straightened".to_owned(), Some(&straightened.outcome).filter(|_| straightened.fits())));
    for choice in &choices.choices {
        columns.push((titles(&choice.aims), Some(&choice.arranged.outcome)));
    }
    let mut out = String::new();
    for (number, (title, _)) in columns.iter().enumerate() {
        let _ = writeln!(out, "{number}: {title}");
    }
    let _ = write!(out, "\n{:<15} {:<9}", "", "");
    for number in 0..columns.len() {
        let _ = write!(out, " {number:>9}");
    }
    out.push('\n');
    for (term, (name, unit)) in Terms::NAMES.iter().zip(Terms::UNITS).enumerate() {
        let _ = write!(out, "{:<15} {unit:<9}", name.replace('_', " "));
        for (_, measured) in &columns {
            let _ = match measured {
                Some(measured) => write!(out, " {:>9.0}", measured.terms.raw()[term]),
                None => write!(out, " {:>9}", "-"),
            };
        }
        out.push('\n');
    }
    out.push('\n');
    for (number, choice) in choices.choices.iter().enumerate() {
        let moved = match choice.moved.as_slice() {
            [] => "nothing moves far".to_owned(),
            tags => format!("moves {}", tags.join(", ")),
        };
        let _ = writeln!(out, "{}: {moved}", number + 2);
        let beside = choice.arranged.verdict.iter().flat_map(|verdict| &verdict.beside);
        for finding in beside {
            let _ = writeln!(out, "   {} {}: {}", finding.severity.word(), finding.rule, finding.message);
        }
    }
    if !straightened.fits() {
        out += "only straightened, it does not pass the checks\n";
    }
    if !choices.without.is_empty() {
        let _ = writeln!(out, "nothing passes the checks for: {}", titles(&choices.without));
    }
    out
}

/// The plans of today and of each choice below one another's titles, at one scale.
fn sheet(now: &Design, choices: &Choices) -> String {
    let mut plans: Vec<(String, &Design)> = vec![("today".to_owned(), now)];
    let straightened = choices.straightened.verdict.iter().filter(|verdict| verdict.fits());
    plans.extend(straightened.map(|verdict| ("only straightened".to_owned(), &verdict.design)));
    for choice in &choices.choices {
        let verdict = choice.arranged.verdict.iter();
        plans.extend(verdict.map(|verdict| (titles(&choice.aims), &verdict.design)));
    }
    let (mut body, mut across, mut high) = (String::new(), GAP_MM, 0.0_f64);
    for (title, design) in plans {
        let drawing = drawing::plan(design, None, Scale::one_to(SCALE));
        let svg = drawing::svg(&drawing, Theme::Paper);
        let svg = svg.find("<svg").map_or(svg.as_str(), |begin| &svg[begin..]);
        let _ = writeln!(
            body,
            "<text x=\"{across:.2}\" y=\"{:.2}\" font-family=\"sans-serif\" font-size=\"4.5\" font-weight=\"bold\">{title}</text>",
            GAP_MM + TITLE_MM - 2.0,
        );
        let place = format!("<svg x=\"{across:.2}\" y=\"{:.2}\"", GAP_MM + TITLE_MM);
        body += &svg.replacen("<svg", &place, 1).replacen("mm\"", "\"", 2);
        body.push('\n');
        across += drawing.width_mm + GAP_MM;
        high = high.max(drawing.height_mm);
    }
    let high = high + TITLE_MM + 2.0 * GAP_MM;
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{across:.2}mm\" height=\"{high:.2}mm\" viewBox=\"0 0 {across:.2} {high:.2}\">\n\
         <rect width=\"100%\" height=\"100%\" fill=\"white\"/>\n{body}</svg>\n"
    )
}
