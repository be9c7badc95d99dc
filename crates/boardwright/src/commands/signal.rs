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
        OutcomeFormat::Text => {
            let asked = options.state.as_ref().map(|tags| tags.join(","));
            told(&outcome, &signal::answers(&input, &config, &outcome), asked.as_deref())
        }
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

/// Names of devices, or of loops as `TAG.loop`.
fn known(design: &Design, names: &[String]) -> anyhow::Result<()> {
    let is_loop = |name: &str| {
        name.rsplit_once('.').is_some_and(|(tag, circuit)| {
            design.rig.device(tag).is_some_and(|device| device.loops.iter().any(|one| one.name == circuit))
        })
    };
    match names.iter().find(|name| !name.is_empty() && design.rig.device(name).is_none() && !is_loop(name)) {
        Some(name) => bail!("`{name}` is no device of this rig, and no loop of one as `TAG.loop`"),
        None => Ok(()),
    }
}

/// A figure with a true minus.
fn figure(value: f64, places: usize) -> String {
    format!("{value:.places$}").replace('-', "−")
}

fn with(tags: Option<&Vec<String>>) -> String {
    match tags {
        Some(tags) if tags.is_empty() => "everything off".to_owned(),
        Some(tags) => tags.join(","),
        None => "no one state".to_owned(),
    }
}

fn told(outcome: &signal::Outcome, answers: &[signal::Answers], asked: Option<&str>) -> String {
    let mut out = String::new();
    for way in &outcome.ways {
        let exact = if way.judged().exact { "" } else { " (bounds, not exact)" };
        let _ = writeln!(out, "{} to {}{exact}", way.source, way.sink);
        let _ = writeln!(
            out,
            "  0 dB is {} straight into an input of {} by its usual lead; absolute is against its EMF",
            way.source,
            quantity::Ohms::new(way.reference_load).unwrap_or_default()
        );
        if let Some(asked) = asked {
            told_state(&mut out, way, asked);
        } else {
            told_way(&mut out, way);
            let own = answers.iter().find(|one| one.source == way.source && one.sink == way.sink);
            if let Some(own) = own {
                told_answers(&mut out, way, own);
            }
        }
    }
    told_levels(&mut out, outcome, asked);
    told_sums(&mut out, outcome, asked);
    told_advice(&mut out, &outcome.advice);
    for note in &outcome.notes {
        let _ = writeln!(out, "note: {note}");
    }
    for lacks in &outcome.lacks {
        let _ = writeln!(out, "not known, a stated figure stands in: {lacks}");
    }
    out
}

/// One named state of one way.
fn told_state(out: &mut String, way: &signal::Way, name: &str) {
    let Some(state) = way.states.iter().find(|state| state.name == name) else { return };
    match state.figures(way) {
        Some(figures) => told_figures(out, name, &figures),
        None => {
            let _ = writeln!(out, "  {name}: nothing arrives");
        }
    }
    told_noise(out, state);
}

fn told_figures(out: &mut String, name: &str, figures: &signal::StateFigures) {
    let _ = writeln!(
        out,
        "  {name:<30} {:>7} dB at 4 kHz, tone {} dB, 1 kHz {} dB (absolute {} dB)",
        figure(figures.change_at_4k_db, 2),
        figure(figures.tone_change_db, 2),
        figure(-figures.insertion_loss_1k_db, 2),
        figure(figures.level_1k_db, 2)
    );
}

fn told_noise(out: &mut String, state: &signal::StateResponse) {
    let Some(noise) = state.noise else { return };
    let _ = writeln!(
        out,
        "    thermal noise {} dBu A-weighted, {} dB over the guitar alone ({} Hz to {} kHz, {} K; devices' own left out)",
        figure(signal::level::dbu(noise.volts_a), 1),
        figure(noise.over_guitar_db, 1),
        noise.from_hz,
        noise.to_hz / 1000.0,
        noise.kelvin
    );
}

fn told_way(out: &mut String, way: &signal::Way) {
    let mut worst = |band: &signal::Band, which: &str| {
        let mut line = |what: &str, value: Option<f64>, state: Option<&Vec<String>>| {
            let Some(value) = value.filter(|value| value.is_finite()) else { return };
            let what = format!("{what}{which}");
            let _ = writeln!(out, "  {what:<46} {:>7} dB  {}", figure(value, 2), with(state));
        };
        let worst = &band.worst;
        line("worst change at 4 kHz", Some(worst.change_at_4k_db), worst.state.as_ref());
        line("worst change of tone", worst.tone_change_db, worst.tone_state.as_ref());
        line("worst insertion loss at 1 kHz", Some(worst.insertion_loss_1k_db), worst.loss_state.as_ref());
    };
    match &way.band_sparing {
        Some(sparing) => {
            worst(sparing, ", bare pickup off");
            worst(&way.band, ", bare pickup on");
        }
        None => worst(&way.band, ""),
    }
    if let (Some(reference), Some(lowest)) = (way.resonance.reference, way.resonance.worst) {
        let _ = writeln!(out, "  resonance {reference:.0} Hz, at worst {lowest:.0} Hz");
    }
    for state in &way.states {
        match state.figures(way) {
            Some(figures) => told_figures(out, &state.name, &figures),
            None => {
                let _ = writeln!(out, "  {}: nothing arrives", state.name);
            }
        }
        told_noise(out, state);
    }
}

fn told_answers(out: &mut String, way: &signal::Way, answers: &signal::Answers) {
    // Where no state is named it is one of the states.
    let told = way.states.iter().any(|state| state.name == signal::EVERYTHING_ON);
    if let Some(on) = answers.on.as_ref().filter(|_| !told) {
        told_figures(out, signal::EVERYTHING_ON, on);
    }
    for travel in &answers.travel {
        let name = format!("{} {:.0} % open", travel.tag, travel.share * 100.0);
        if let Some(figures) = &travel.figures {
            told_figures(out, &name, figures);
        }
    }
    let longest = |longest: signal::Longest| match longest {
        signal::Longest::None => "none keeps the limits".to_owned(),
        signal::Longest::Metres(metres) => format!("{metres:.1} m"),
        signal::Longest::Beyond(metres) => format!("more than {metres:.0} m"),
    };
    let _ = writeln!(out, "  longest lead from {}: {}", answers.source, longest(answers.lead_in));
    let _ = writeln!(out, "  longest lead to {}: {}", answers.sink, longest(answers.lead_out));
}

/// Levels at the junctions: in the state asked for, else in the one that is loudest there.
fn told_levels(out: &mut String, outcome: &signal::Outcome, asked: Option<&str>) {
    let mut loudest: Vec<&signal::Level> = Vec::new();
    for level in outcome.levels.iter().filter(|level| asked.is_none_or(|asked| level.state == asked)) {
        match loudest.iter_mut().find(|other| other.port == level.port && other.source == level.source) {
            Some(other) if other.dbu < level.dbu => *other = level,
            Some(_) => {}
            None => loudest.push(level),
        }
    }
    if !loudest.is_empty() {
        let _ = writeln!(
            out,
            "peaks of the source as a sine at 1 kHz, gains at their largest (line gear: +4 dBu, or −10 dBV, which is −7.8 dBu)"
        );
    }
    for level in loudest {
        let room = match level.headroom_db {
            Some(db) if db < 0.0 => format!(", clips by {} dB", figure(-db, 1)),
            Some(db) => format!(", {} dB to clipping", figure(db, 1)),
            None => String::new(),
        };
        let doubt = if level.lacks.is_empty() { "" } else { ", some gains not known" };
        let _ = writeln!(
            out,
            "  {} at {}: {} dBu in {}{room}{doubt}",
            level.source,
            level.port,
            figure(level.dbu, 1),
            level.state
        );
    }
}

fn told_sums(out: &mut String, outcome: &signal::Outcome, asked: Option<&str>) {
    for branches in outcome.branches.iter().filter(|one| asked.is_none_or(|asked| one.state == asked)) {
        let Some(at) = &branches.meets else { continue };
        let [one, other] = branches.names();
        let louder = branches.louder_db.filter(|db| 0.05 <= db.abs()).map_or_else(String::new, |db| {
            let loud = if 0.0 < db { &one } else { &other };
            format!("; {loud} is {} dB louder", figure(db.abs(), 1))
        });
        let cancel = branches.cancels().map_or_else(String::new, |cancels| format!("; {cancels}"));
        let _ = writeln!(
            out,
            "{} at {at} {}: {one} and {other} meet{louder}{cancel}",
            branches.source,
            signal::in_state_words(&branches.state)
        );
    }
}

fn told_advice(out: &mut String, advice: &signal::Advice) {
    let _ = writeln!(out, "{}", verdict(advice.verdict));
    if advice.verdict == signal::Verdict::Enough && !advice.rests_on.is_empty() {
        let _ = writeln!(out, "  as far as is known: {} values are not, see below", advice.rests_on.len());
    }
    for field in &advice.asks {
        let _ = writeln!(out, "  say first whether it wants the bare pickup, its input is low: {field}");
    }
    for alternative in &advice.alternatives {
        let places: Vec<String> = alternative.places.iter().map(ToString::to_string).collect();
        let _ = writeln!(out, "  a buffer {}", places.join(" and "));
    }
}

fn verdict(verdict: signal::Verdict) -> &'static str {
    match verdict {
        signal::Verdict::NotAsked => "buffers were not asked for",
        signal::Verdict::Enough => "no buffer is needed",
        signal::Verdict::Proven => "the smallest sets of buffers that keep the limits, proven:",
        signal::Verdict::NoneFound => "no set of buffers keeps the limits: every one was tried",
        signal::Verdict::NotProven => "a good set of buffers, not proven smallest:",
        signal::Verdict::CutShort => "no set of buffers was found that keeps the limits; not all were tried",
    }
}
