//! `boardwright signal`.

use std::fmt::Write;

use anyhow::bail;
use design::Design;
use rig::State;

use crate::args::{OutcomeFormat, Signal};
use crate::loaded::{Loaded, load};
use crate::shell::{self, Outcome};

pub(crate) fn run(options: &Signal) -> anyhow::Result<Outcome> {
    let loaded = load(&options.rig)?;
    let mut input = loaded.design.signal_input();
    if let Some(tags) = &options.state {
        known(&loaded.design, tags)?;
        input.states.push(State { name: tags.join(","), engaged: tags.clone() });
    }
    let config = loaded.design.signal_config();
    let outcome = signal::solve(&input, &config);
    let text = match options.format {
        OutcomeFormat::Json => serde_json::to_string_pretty(&signal::json(&outcome, &input, &config))? + "\n",
        OutcomeFormat::Text => told(&outcome),
    };
    shell::data(&text)?;
    Ok(Outcome::Clean)
}

/// The circuit file of one state.
pub(crate) fn circuit(loaded: &Loaded, engaged: &[String]) -> anyhow::Result<String> {
    known(&loaded.design, engaged)?;
    let input = loaded.design.signal_input();
    let circuit = signal::circuit(&input, &loaded.design.signal_config(), engaged);
    if circuit.sources.is_empty() {
        bail!("the rig has no source, so there is no circuit");
    }
    Ok(signal::spice(&circuit, &loaded.design.rig.job.title, 0))
}

fn known(design: &Design, tags: &[String]) -> anyhow::Result<()> {
    match tags.iter().find(|tag| !tag.is_empty() && design.rig.device(tag).is_none()) {
        Some(tag) => bail!("`{tag}` is no device of this rig"),
        None => Ok(()),
    }
}

fn told(outcome: &signal::Outcome) -> String {
    let mut out = String::new();
    for way in &outcome.ways {
        let band = way.judged();
        let exact = if band.exact { "" } else { " (bounds, not exact)" };
        let _ = writeln!(out, "{} to {}{exact}", way.source, way.sink);
        let worst = &band.worst;
        let mut line = |what: &str, value: Option<f64>, state: Option<&Vec<String>>| {
            let Some(value) = value.filter(|value| value.is_finite()) else { return };
            let with = match state {
                Some(tags) if tags.is_empty() => "everything off".to_owned(),
                Some(tags) => tags.join(", "),
                None => "no one state".to_owned(),
            };
            let figure = format!("{value:.2}").replace('-', "−");
            let _ = writeln!(out, "  {what:<30} {figure:>7} dB  {with}");
        };
        line("worst change at 4 kHz", Some(worst.change_at_4k_db), worst.state.as_ref());
        line("worst change of tone", worst.tone_change_db, worst.tone_state.as_ref());
        line("worst insertion loss at 1 kHz", Some(worst.insertion_loss_1k_db), worst.loss_state.as_ref());
        if let (Some(reference), Some(lowest)) = (way.resonance.reference, way.resonance.worst) {
            let _ = writeln!(out, "  resonance {reference:.0} Hz, at worst {lowest:.0} Hz");
        }
    }
    let advice = &outcome.advice;
    let _ = writeln!(out, "{}", verdict(advice.verdict));
    for alternative in &advice.alternatives {
        let places: Vec<String> = alternative.places.iter().map(ToString::to_string).collect();
        let _ = writeln!(out, "  a buffer {}", places.join(" and "));
    }
    for note in &outcome.notes {
        let _ = writeln!(out, "note: {note}");
    }
    for lacks in &outcome.lacks {
        let _ = writeln!(out, "not known, a stated figure stands in: {lacks}");
    }
    out
}

fn verdict(verdict: signal::Verdict) -> &'static str {
    match verdict {
        signal::Verdict::NotAsked => "buffers were not asked for",
        signal::Verdict::Enough => "no buffer is needed",
        signal::Verdict::Proven => "the smallest sets of buffers that keep the limits, proven:",
        signal::Verdict::NoneFound => "no set of buffers keeps the limits",
        signal::Verdict::CutShort => "the search for buffers ended before all sets were tried:",
    }
}
