//! What the signal does, as text.

use std::fmt::Write;

use signal::level::{change, figure, ohms};
use signal::{Answers, Outcome, Way};

/// A level to a tenth of a decibel, which is what a meter reads.
fn db(value: f64) -> String {
    figure(value, 1)
}

fn with(tags: Option<&Vec<String>>) -> String {
    match tags {
        Some(tags) if tags.is_empty() => signal::EVERYTHING_BYPASSED.to_owned(),
        Some(tags) => tags.join(","),
        None => "a bound over all states".to_owned(),
    }
}

/// The limits that single figures are told by.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Limits {
    /// Largest loss at a junction, in dB.
    pub(crate) junction_loss: f64,
    /// Least load on a coil, in ohms.
    pub(crate) load: f64,
}

/// All of it, or of one state where `asked` names it.
pub(crate) fn told(outcome: &Outcome, answers: &[Answers], asked: Option<&str>, limits: Limits) -> String {
    let mut out = String::new();
    for way in &outcome.ways {
        // What one state does is exact, however many there are.
        let doubt = way.judged().doubt().filter(|_| asked.is_none());
        let doubt = doubt.map_or_else(String::new, |doubt| format!(" ({doubt})"));
        let _ = writeln!(out, "{} to {}{doubt}", way.source, way.sink);
        let _ = writeln!(
            out,
            "  0 dB: {}; absolute: against the voltage that {} makes by itself; levels count every device's gain as 0 dB, \
             noise and peaks count gains as they are written down",
            way.reference_words(),
            way.source
        );
        if way.aside {
            let _ = writeln!(out, "  {}", signal::ASIDE);
        }
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
    told_stated(&mut out, outcome);
    told_sums(&mut out, outcome, asked);
    told_loads(&mut out, outcome, limits.load, asked);
    super::signal_advice::told_advice(&mut out, outcome, limits.junction_loss, asked);
    for note in &outcome.notes {
        let _ = writeln!(out, "note: {note}");
    }
    for lacks in &outcome.lacks {
        let words = signal::lacks_words(lacks, outcome.stand_ins.get(lacks).copied());
        let _ = writeln!(out, "not known: {words}");
    }
    out
}

/// The figures of a way as questions and answers, for paper: what limits are held against, everything on, the absolute
/// level and the noise of the named states.
pub(crate) fn figures_said(way: &Way, answers: &Answers) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = Vec::new();
    let mut say = |question: &str, answer: String| out.push((question.to_owned(), answer));
    let state = |tags: Option<&Vec<String>>| {
        tags.map_or_else(|| "a bound over all states".to_owned(), |tags| signal::engaged_words(tags))
    };
    if way.aside {
        say("held to limits", signal::ASIDE.to_owned());
    } else if let Some((worst, on)) = way.treble().filter(|(worst, _)| worst.is_finite()) {
        let turned = way.turned_worst();
        let by_tone = turned.map_or_else(|| way.is_judged_by_tone(), |turned| turned.by_tone);
        let what = if by_tone { "tone" } else { "at 4 kHz" };
        let place = turned.map_or_else(String::new, |turned| format!(", {}", turned.words()));
        say(
            "worst that limits are held against",
            format!("{what} {} dB, {}{place}", change(worst), state(on)),
        );
    }
    if let Some(sparing) = &way.band_sparing {
        let all = [("bypassed", sparing), ("engaged", &way.band)];
        let words = all.map(|(which, band)| {
            let worst = &band.worst;
            format!("{which} {} dB, {}", change(worst.change_at_4k_db), state(worst.state.as_ref()))
        });
        say("worst at 4 kHz, bare-pickup devices", words.join("; "));
    }
    match &answers.on {
        Ok(on) => {
            say(
                signal::EVERYTHING_ON,
                format!(
                    "{} dB at 4 kHz, tone {} dB, 1 kHz {} dB (absolute {} dB)",
                    change(on.change_at_4k_db),
                    change(on.tone_change_db),
                    change(-on.insertion_loss_1k_db),
                    change(on.level_1k_db)
                ),
            );
        }
        Err(why) => say(signal::EVERYTHING_ON, why.words().to_owned()),
    }
    let each = |of: &dyn Fn(&signal::StateResponse) -> Option<String>| {
        let named = |state: &signal::StateResponse| {
            Some(format!("{} {}", signal::state_word(&state.name), of(state)?))
        };
        way.states.iter().filter_map(named).collect::<Vec<_>>().join("; ")
    };
    let levels = each(&|state| Some(format!("{} dB", change(state.figures(way)?.level_1k_db))));
    let noises =
        each(&|state| Some(format!("{} dBu", db(signal::level::dbu(state.noise.as_ref()?.volts_a)))));
    let source = &way.source;
    for (question, answer) in [
        (format!("level at 1 kHz against the voltage of {source}"), levels),
        ("noise, A-weighted, gains as written down".to_owned(), noises),
    ] {
        if !answer.is_empty() {
            say(&question, answer);
        }
    }
    out
}

/// What is said of all ways together, line by line, for paper: levels and headroom, branches that meet, buffers.
pub(crate) fn said_of_all(outcome: &Outcome, junction_limit: f64) -> Vec<String> {
    const MOST: usize = 48;
    let mut out = String::new();
    told_levels(&mut out, outcome, None);
    told_sums(&mut out, outcome, None);
    super::signal_advice::told_advice(&mut out, outcome, junction_limit, None);
    let mut lines: Vec<String> = out.lines().map(|line| line.trim_start().to_owned()).collect();
    if MOST < lines.len() {
        let more = lines.len() - MOST;
        lines.truncate(MOST);
        lines.push(format!("and {more} more, all of them in the JSON of `boardwright signal`"));
    }
    lines
}

/// One named state of one way.
fn told_state(out: &mut String, way: &Way, name: &str) {
    let Some(state) = way.states.iter().find(|state| state.name == name) else { return };
    match state.figures(way) {
        Some(figures) => told_figures(out, name, &figures),
        None => told_silence(out, state),
    }
    told_noise(out, way, state);
}

fn told_silence(out: &mut String, state: &signal::StateResponse) {
    let why = state.silence.unwrap_or(signal::WhyNot::Silent);
    let _ = writeln!(out, "  {}: {}", signal::state_word(&state.name), why.words());
}

fn told_figures(out: &mut String, name: &str, figures: &signal::StateFigures) {
    let name = signal::state_word(name);
    let _ = writeln!(
        out,
        "  {name:<30} {:>6} dB at 4 kHz, tone {} dB, 1 kHz {} dB (absolute {} dB)",
        change(figures.change_at_4k_db),
        change(figures.tone_change_db),
        change(-figures.insertion_loss_1k_db),
        change(figures.level_1k_db)
    );
}

fn told_noise(out: &mut String, way: &Way, state: &signal::StateResponse) {
    let Some(noise) = &state.noise else { return };
    let what = if noise.own.is_empty() { "thermal noise" } else { "noise" };
    let _ = writeln!(
        out,
        "    {what} {} dBu A-weighted, {} dB {} {} alone ({} Hz to {} kHz, {} K; {}, gains as written down)",
        db(signal::level::dbu(noise.volts_a)),
        db(noise.over_guitar_db.abs()),
        if noise.over_guitar_db < 0.0 { "below" } else { "over" },
        way.source,
        noise.from_hz,
        noise.to_hz / 1000.0,
        noise.kelvin,
        noise.own_words()
    );
}

/// The worst of what limits are held against, as the rules judge it: with a volume pedal wherever on its travel that is.
fn told_judged(out: &mut String, way: &Way) {
    let Some(turned) = way.turned_worst().filter(|_| !way.aside) else { return };
    let what = format!(
        "worst over the pedal's travel: change {}, {}",
        if turned.by_tone { "of tone" } else { "at 4 kHz" },
        turned.words()
    );
    let _ = writeln!(out, "  {what:<60} {:>6} dB  {}", change(turned.change_db), with(turned.state.as_ref()));
}

fn told_way(out: &mut String, way: &Way) {
    let stands = if way.turned.is_empty() { "" } else { ", pedals as they stand" };
    let mut worst = |band: &signal::Band, which: &str| {
        let mut line = |what: &str, value: Option<f64>, state: Option<&Vec<String>>| {
            let Some(value) = value.filter(|value| value.is_finite()) else { return };
            let what = format!("{what}{which}{stands}");
            let _ = writeln!(out, "  {what:<60} {:>6} dB  {}", change(value), with(state));
        };
        let worst = &band.worst;
        line("worst change at 4 kHz", Some(worst.change_at_4k_db), worst.state.as_ref());
        line("worst change of tone", worst.tone_change_db, worst.tone_state.as_ref());
        let loss = worst.insertion_loss_1k_db;
        let (what, size) =
            if loss < 0.0 { ("least gain at 1 kHz", -loss) } else { ("worst insertion loss at 1 kHz", loss) };
        line(what, Some(size), worst.loss_state.as_ref());
    };
    match &way.band_sparing {
        Some(sparing) => {
            worst(sparing, ", bare-pickup devices bypassed");
            worst(&way.band, ", bare-pickup devices engaged");
        }
        None => worst(&way.band, ""),
    }
    told_judged(out, way);
    if let Some(reference) = way.resonance.reference {
        if let Some(worst) = way.resonance.worst {
            let _ = writeln!(out, "  resonance {reference:.0} Hz, at worst {worst:.0} Hz");
        }
        if let Some(tags) = &way.resonance.lost {
            let _ = writeln!(out, "  resonance peak of {reference:.0} Hz gone: {}", with(Some(tags)));
        }
    }
    for state in &way.states {
        match state.figures(way) {
            Some(figures) => told_figures(out, &state.name, &figures),
            None => told_silence(out, state),
        }
        told_noise(out, way, state);
    }
}

fn told_answers(out: &mut String, way: &Way, answers: &Answers) {
    // Where no state is named it is one of the states.
    let told = way.states.iter().any(|state| state.name == signal::EVERYTHING_ON);
    match &answers.on {
        _ if told => {}
        Ok(on) => told_figures(out, signal::EVERYTHING_ON, on),
        Err(why) => {
            let _ = writeln!(out, "  {:<30} {}", signal::EVERYTHING_ON, why.words());
        }
    }
    for signal::Said { question, answer } in signal::asked(answers, way) {
        let _ = writeln!(out, "  {question:<30} {answer}");
    }
}

/// Levels at the junctions: in the state asked for, else in the one that is loudest there.
fn told_levels(out: &mut String, outcome: &Outcome, asked: Option<&str>) {
    let mut loudest: Vec<&signal::Level> = Vec::new();
    for level in outcome.levels.iter().filter(|level| asked.is_none_or(|asked| level.state == asked)) {
        match loudest.iter_mut().find(|other| other.port == level.port && other.source == level.source) {
            Some(other) if other.db < level.db => *other = level,
            Some(_) => {}
            None => loudest.push(level),
        }
    }
    if loudest.iter().any(|level| level.dbu.is_some()) {
        let _ = writeln!(
            out,
            "peaks of the source as a sine at 1 kHz, gains at their largest (line gear: +4 dBu, or −10 dBV, which is −7.8 dBu)"
        );
    } else if !loudest.is_empty() {
        let _ = writeln!(
            out,
            "levels at 1 kHz against the EMF of the source, gains at their largest; its peak is not known"
        );
    }
    for level in loudest {
        let room = match (level.headroom_db, level.least_headroom_db) {
            _ if level.clips_before.is_some() => {
                level.clips_before.as_ref().map_or_else(String::new, |found| format!(", {}", found.words()))
            }
            (_, Some(least)) if least < 0.0 => format!(", clips by {} dB whatever the gains are", db(-least)),
            (Some(most), _) if most < 0.0 => {
                format!(", clips by {} dB with the gains at their largest", db(-most))
            }
            (Some(room), _) => format!(", {} dB to clipping", db(room)),
            _ => String::new(),
        };
        let other = level.at_other_supply.iter().fold(String::new(), |mut words, (volts, room)| {
            let volts = figure(*volts, 1).trim_end_matches(".0").to_owned();
            let room = if *room < 0.0 {
                format!("clips by {} dB", db(-room))
            } else {
                format!("{} dB to clipping", db(*room))
            };
            let _ = write!(words, "; from {volts} V: {room}");
            words
        });
        let doubt = if level.lacks.is_empty() { "" } else { ", some gains not known" };
        let height = match level.dbu {
            Some(dbu) => format!("{} dBu", db(dbu)),
            None => format!("{} dB", db(level.db)),
        };
        let _ = writeln!(
            out,
            "  {} at {}: {height} {}{room}{other}{doubt}",
            level.source,
            level.port,
            signal::in_state_words(&level.state)
        );
    }
}

/// Outputs whose level is written down, at inputs that say what they take.
fn told_stated(out: &mut String, outcome: &Outcome) {
    for stated in &outcome.stated {
        let Some(room) = stated.headroom_db else { continue };
        let room = if room < 0.0 {
            format!("clips by {} dB", db(-room))
        } else {
            format!("{} dB to clipping", db(room))
        };
        let _ = writeln!(
            out,
            "  {} at {}: peaks at {} V by the level written down, {room}",
            stated.from,
            stated.to,
            figure(stated.peak, 1)
        );
    }
}

fn told_sums(out: &mut String, outcome: &Outcome, asked: Option<&str>) {
    let mut told: Vec<String> = Vec::new();
    for branches in outcome.branches.iter().filter(|one| asked.is_none_or(|asked| one.state == asked)) {
        let Some(at) = &branches.meets else { continue };
        let [one, other] = branches.names();
        let louder = branches.louder_db.filter(|db| 0.05 <= db.abs()).map_or_else(String::new, |louder| {
            let loud = if 0.0 < louder { &one } else { &other };
            format!("; with the gains at their largest {loud} is {} dB louder", db(louder.abs()))
        });
        let level = match branches.louder_db {
            Some(_) => louder,
            None => "; how loud each of them is there is not worked out".to_owned(),
        };
        let level = match branches.louder_db {
            Some(db)
                if db.abs() < 0.05 && branches.cancels().is_none() && branches.opposite == Some(false) =>
            {
                "; as loud as each other, they add".to_owned()
            }
            _ => level,
        };
        let cancel = branches.cancels().map_or_else(String::new, |cancels| format!("; {cancels}"));
        let line = format!(
            "{} at {at} {}: {one} and {other} meet{level}{cancel}",
            branches.source,
            signal::in_state_words(&branches.state)
        );
        if !told.contains(&line) {
            told.push(line);
        }
    }
    let more = told.len().saturating_sub(MOST_SUMS);
    for line in told.into_iter().take(MOST_SUMS) {
        let _ = writeln!(out, "{line}");
    }
    if 0 < more {
        let _ =
            writeln!(out, "and {more} more places and states where branches meet, all of them in the JSON");
    }
}

/// Places where branches meet that are told as text.
const MOST_SUMS: usize = 24;

/// What each source is loaded with at its heaviest: where several things hang on it, or where that is below the limit.
fn told_loads(out: &mut String, outcome: &Outcome, limit: f64, asked: Option<&str>) {
    let over_all = if asked.is_some() { "over all states: " } else { "" };
    let is_worth = |load: &&signal::Load| 1 < load.at.len() || !load.at.is_empty() && load.ohms < limit;
    for load in outcome.loads.iter().filter(is_worth) {
        let at: Vec<String> = load
            .at
            .iter()
            .map(|port| if port.port.is_empty() { port.device.clone() } else { port.to_string() })
            .collect();
        let doubt = if load.lacks.is_empty() { "" } else { ", some of them with a stated figure" };
        let _ = writeln!(
            out,
            "{over_all}{} is loaded with {} at 1 kHz at the heaviest: {}{doubt}",
            load.source,
            ohms(load.ohms),
            at.join(", ")
        );
    }
}
