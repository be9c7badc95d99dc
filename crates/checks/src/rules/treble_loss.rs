//! Treble lost in the worst switching state, and the pickup's resonance shifted.

use std::collections::BTreeSet;

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::{Decibels, Ratio};
use rig::Rig;
use signal::Way;
use signal::level::MOST_TOLD;

use crate::asked::{Asked, are_lengths, by_usual_lengths};
use crate::compare::too_much;
use crate::group::{by_key, together};
use crate::way::ways;
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "treble-loss";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "treble lost in some switching state",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[26],
    limits: &["treble_change_look", "treble_change_stop", "resonance_shift_look", "resonance_shift_stop"],
    page: Page {
        what: "From each source to each amp or desk, dry feeds and what only listens left out, over every switching state that can be stepped into: the change \
               at 4 kHz against the same guitar straight into the amp by its usual lead, and how far the resonance of \
               coil and leads moves. Into a desk, whose flat loss says nothing of tone, with a volume pedal turned down, and where branches add up on the way, the change of 4 kHz \
               against 1 kHz. A passive volume pedal counts a tenth up, half way and at the toe. Devices that need the bare pickup count as bypassed; they load it on purpose. Where only impedances are unknown, what is lost with each of them at either end of what is usual is told all the same.",
        why: "Contacts and leads of a bypassed chain hang on the coil like a much longer lead: the top goes, and \
              nobody finds the one pedal that takes it.",
        source: "nodal analysis of coil, pots, leads and inputs; what is published of the thresholds stands with them",
        example: "Eight contacts and 11 m of lead take 10 dB at 4 kHz from a single coil and move its peak from 3.7 kHz to 2.2 kHz.",
        remedy: "put a buffer early in the run, behind what needs the bare pickup; `boardwright signal` and the Path \
                 place name the fewest that are enough",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let outcome = design.signal();
    let mut cases: Vec<(&str, Finding)> = Vec::new();
    let judged = |way: &&Way| !way.aside;
    let mut unknown: Vec<&Way> = Vec::new();
    for way in outcome.ways.iter().filter(judged) {
        let by_length = are_lengths(&way.lacks);
        if !way.lacks.is_empty() && !by_length {
            match certain(design, way) {
                Some(finding) => {
                    cases.push((way.source.as_str(), finding.assuming(outcome.assumed.clone())));
                }
                None => unknown.push(way),
            }
            continue;
        }
        let (change, shift) = (change(design, way), shift(design, way));
        let open = not_all(design, way).filter(|_| change.is_none() && shift.is_none());
        let mut findings: Vec<Finding> = [change, shift, open].into_iter().flatten().collect();
        if by_length {
            if findings.is_empty() {
                unknown.push(way);
            }
            findings = findings.into_iter().map(|finding| by_usual_lengths(finding, &way.lacks)).collect();
        }
        let told = |finding: Finding| (way.source.as_str(), finding.assuming(outcome.assumed.clone()));
        cases.extend(findings.into_iter().map(told));
    }
    let mut out: Vec<Finding> = not_known(design, &unknown).into_iter().collect();
    for (source, cases) in by_key(cases) {
        out.extend(together(cases, |cases| match cases.first() {
            Some(worst) => format!("{}{}", worst.message, elsewhere(source, worst, cases)),
            None => String::new(),
        }));
    }
    out
}

/// The ends of what an impedance that nobody knows may be, in ohms. Common practice, no source.
type Ends = [f64; 2];
const ANY_INPUT: Ends = [100e3, 10e6];
const ANY_OUTPUT: Ends = [10.0, 10e3];
const ANY_WINDING: Ends = [10.0, 1e3];
const ANY_POT: Ends = [10e3, 1e6];

/// Which figure of the settings stands in for an impedance that nobody knows, and the ends of what that may be; `None` where
/// none of them does.
fn stands_in(design: &Design, field: &Field) -> Option<(usize, Ends)> {
    let rig = &design.rig;
    match field.parts() {
        [kind, _, key] if kind == "sink" && key == "z" => Some((0, ANY_INPUT)),
        [kind, tag, list, name, key] if kind == "device" && list == "port" && key == "z" => {
            let device = rig.device(tag)?;
            let role = device.ports.iter().find(|port| port.name == *name)?.role.value?;
            // What a buffer drives a send through is that of its way out.
            if device.loops.iter().any(|own| own.send == *name) {
                return None;
            }
            let is_wound = device.signal.transformer.value == Some(true);
            match (device.signal.passive && !(is_wound && device.turns().is_none()), role.takes_signal()) {
                (true, true) if device.treadle.is_some() => Some((1, ANY_POT)),
                (true, false) if device.turns().is_some() => Some((2, ANY_WINDING)),
                (false, true) => Some((3, ANY_INPUT)),
                (false, false) => Some((4, ANY_OUTPUT)),
                _ => None,
            }
        }
        _ => None,
    }
}

/// What is lost whatever the impedances are that nobody knows: the least that is lost with any of them at either end of its
/// range. `None` where something else is unknown, or less is lost than a limit.
fn certain(design: &Design, way: &Way) -> Option<Finding> {
    let kinds: BTreeSet<(usize, [u64; 2])> = way
        .lacks
        .iter()
        .map(|field| stands_in(design, field).map(|(kind, ends)| (kind, ends.map(f64::to_bits))))
        .collect::<Option<_>>()?;
    let input = design.signal_input();
    let size = |way: &Way| way.treble().map_or(0.0, |(change, _)| change.abs());
    let (mut least, mut found) = (size(way), change(design, way)?);
    for number in 0..1_usize << kinds.len() {
        let mut config = design.signal_config();
        for (bit, (kind, ends)) in kinds.iter().enumerate() {
            let ohms = f64::from_bits(ends[number >> bit & 1]);
            let figure = match kind {
                0 => &mut config.sink_input,
                1 => &mut config.pot,
                2 => &mut config.winding,
                3 => &mut config.device_input,
                _ => &mut config.device_output,
            };
            *figure = ohms;
        }
        let outcome = signal::solve_with(&input, &config, signal::BufferSearch::Skip);
        let same = |other: &&Way| (&other.source, &other.sink) == (&way.source, &way.sink);
        let other = outcome.ways.iter().find(same)?;
        let finding = change(design, other)?;
        if size(other) < least {
            (least, found) = (size(other), finding);
        }
    }
    let words: Vec<String> = way.lacks.iter().map(Field::words).collect();
    found.message += &format!("; so much at least, whatever is not known: {}", words.join(", "));
    Some(found)
}

/// What rests on values that nobody knows, and where nothing arrives at all, what may be for their sake.
fn not_known(design: &Design, ways: &[&Way]) -> Option<Finding> {
    let outcome = design.signal();
    let (sources, lacks): (BTreeSet<&str>, BTreeSet<Field>) = if outcome.ways.is_empty() {
        let sources = design.rig.sources.iter().map(|source| source.id.as_str());
        (sources.collect(), outcome.lacks.iter().cloned().collect())
    } else {
        let lacks = ways.iter().flat_map(|way| &way.lacks).cloned();
        (ways.iter().map(|way| way.source.as_str()).collect(), lacks.collect())
    };
    let asked = Asked { assumed: outcome.assumed.clone(), lacks: lacks.into_iter().collect() };
    if asked.complete() { None } else { asked.cannot_judge(ID, "what treble is lost", sources) }
}

/// `; also at 2 other amps or desks`: where else the treble of a source is lost than in the worst case.
fn elsewhere(source: &str, worst: &Finding, cases: &[Finding]) -> String {
    let own: Vec<&String> = worst.devices.iter().filter(|sink| *sink != source).collect();
    let mut sinks: Vec<&String> = cases.iter().flat_map(|case| &case.devices).collect();
    sinks.retain(|sink| *sink != source && !own.contains(sink));
    sinks.sort();
    sinks.dedup();
    let other = if own.is_empty() { "" } else { "other " };
    match sinks.len() {
        0 => String::new(),
        1 => format!("; also at 1 {other}amp or desk"),
        count => format!("; also at {count} {other}amps or desks"),
    }
}

/// `with everything bypassed`, `with D1 and D3 engaged`.
pub(super) fn with(tags: &[String]) -> String {
    format!("with {}", signal::engaged_words(tags))
}

/// `at least `, where not every state was looked at.
pub(super) fn at_least(way: &Way) -> &'static str {
    if way.judged().visited.is_some() { "at least " } else { "" }
}

/// A level as it is told: what is cancelled to the dust of rounding is no figure.
pub(super) fn decibels(size: Decibels) -> String {
    if MOST_TOLD < size.get() { format!("more than {}", shown(Decibels::of(MOST_TOLD))) } else { shown(size) }
}

/// The runs a way follows, which are what can be changed.
pub(super) fn at_runs(rig: &Rig, way: &Way, mut finding: Finding) -> Finding {
    for run in ways(rig).iter().filter(|found| found.start() == way.source && found.end() == way.sink) {
        finding = finding.at(Field::run(&run.run.name, "stops"), "");
    }
    finding.at(Field::of("source", &way.source, "electrics"), "")
}

fn change(design: &Design, way: &Way) -> Option<Finding> {
    let limits = &design.limits;
    let (found, state) = way.treble()?;
    let turned = way.turned_worst();
    // A bound is not what any state does.
    let state = state?;
    let size = Decibels::new(found.abs())?;
    let (severity, passed) = too_much(size, limits.treble_change_look, limits.treble_change_stop)?;
    let direction = if found < 0.0 { "below" } else { "above" };
    let by_tone = turned.map_or_else(|| way.is_judged_by_tone(), |turned| turned.by_tone);
    let against = if by_tone { " against 1 kHz" } else { "" };
    let state = with(state);
    let state = turned.map_or_else(|| state.clone(), |turned| format!("{state}, {}", turned.words()));
    let least = if turned.is_none() { at_least(way) } else { "" };
    let message = format!(
        "{} to {}: 4 kHz{against} comes {least}{} {direction} {} by its own lead, {state}",
        way.source,
        way.sink,
        decibels(size),
        way.source
    );
    let finding = Finding::new(ID, severity, message)
        .about([&way.source, &way.sink])
        .with(Evidence::at_most(size, passed));
    Some(at_runs(&design.rig, way, finding))
}

/// Where only some states could be visited and those keep the limits, or only a bound is known that does not, nothing is
/// known of the others.
fn not_all(design: &Design, way: &Way) -> Option<Finding> {
    let band = way.judged();
    let (found, tried) = match band.visited {
        Some(count) => (format!("{count} states"), format!(", {count} were")),
        None if !band.exact && is_bound_beyond(design, way) => ("a bound".to_owned(), String::new()),
        None => return None,
    };
    let message = format!(
        "what treble and level are lost from {} to {} is not checked in every state: there are too many{tried}",
        way.source, way.sink
    );
    let ring = if design.signal().rings.is_empty() { "" } else { ", or take out what closes a ring" };
    let remedy =
        format!("say which devices one switch works together, and of which only one at a time is on{ring}");
    let finding = Finding::new(ID, Severity::Look, message)
        .about([&way.source, &way.sink])
        .with(Evidence::words(found, "every state"))
        .remedy(remedy);
    Some(at_runs(&design.rig, way, finding))
}

/// Whether a bound breaks a limit, or none is known.
fn is_bound_beyond(design: &Design, way: &Way) -> bool {
    let limits = &design.limits;
    let change = way.treble().map_or(f64::INFINITY, |(change, _)| change.abs());
    let loss = way.loss().map_or(f64::NEG_INFINITY, |(loss, _)| loss);
    limits.treble_change_look.get() < change || limits.chain_loss_look.get() < loss
}

fn shift(design: &Design, way: &Way) -> Option<Finding> {
    let limits = &design.limits;
    let resonance = &way.resonance;
    let reference = resonance.reference?;
    let (found, says) = match (resonance.shift, resonance.worst) {
        (Some(shift), Some(worst)) => {
            let state = resonance.state.as_deref().map_or_else(String::new, with);
            (shift.abs(), format!("moves from {reference:.0} Hz to {worst:.0} Hz, {state}"))
        }
        _ => return None,
    };
    let (severity, passed) =
        too_much(Ratio::of(found), limits.resonance_shift_look, limits.resonance_shift_stop)?;
    let finding = Finding::new(ID, severity, format!("the resonance of {} {says}", way.source))
        .about([&way.source])
        .with(Evidence::at_most(Ratio::of(found), passed));
    Some(at_runs(&design.rig, way, finding))
}
