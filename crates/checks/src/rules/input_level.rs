//! Outputs too loud for the input they feed.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Volts;
use signal::Level;

use super::CUSTOM;
use crate::asked::{Asked, port_field};
use crate::compare::above;
use crate::group::{Pair, hubs};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "input-level";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "outputs too loud for what they feed",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[30],
    limits: &[],
    page: Page {
        what: "Where the nominal level of an output is written down: its peaks, 12 dB over it, against the largest \
               input of the next device. And, for every named state, or with everything on where no state is named: the \
               peaks of a source whose highest peak is written down, as the network brings them to each input that says \
               what it takes; a stop where it clips with every gain at 0 dB, a look where it does with gains at their largest.",
        why: "A send at line level drives a pedal into clipping.",
        source: CUSTOM,
        example: "A send of +4 dBu, 1.23 V, peaks at 6.9 V; the pedal clips from 4 V.",
        remedy: "put a pad or level shifter between, or lower the send",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    let mut pairs = Vec::new();
    for stated in &design.signal().stated {
        let (giver, taker) = (&stated.from, &stated.to);
        let (Some(from), Some(device)) = (rig.port(giver), rig.device(&taker.device)) else { continue };
        let mut asked = Asked::default();
        asked.value(from.level, port_field(giver, "level"));
        let stands = rig.max_input(device);
        let most = asked.value(stands.value, stands.field.clone());
        let devices = [&giver.device, &device.tag];
        let Some(most) = most else {
            out.extend(asked.cannot_judge(
                ID,
                &format!("whether {} stands the level of {}", device.tag, giver),
                devices,
            ));
            continue;
        };
        let peak = Volts::of(stated.peak);
        if above(peak.get(), most.get()) {
            let says = format!(
                "{} peaks at {}, {} takes {}",
                giver,
                shown(peak),
                device.tag,
                takes(device, &stands)
            );
            let case = Finding::new(ID, Severity::Stop, says)
                .about(devices)
                .at(stands.field, "")
                .with(Evidence::at_most(peak, most))
                .assuming(asked.assumed);
            pairs.push(Pair { first: giver.to_string(), second: device.tag.clone(), case });
        }
    }
    out.extend(from_sources(design));
    for hub in hubs(pairs) {
        let is_giver = hub.is_first;
        out.extend(hub.told(|name, others, _| {
            if is_giver {
                format!("{name} is too loud for {others}")
            } else {
                format!("{others} are too loud for {name}")
            }
        }));
    }
    out
}

/// Peaks of sources at the inputs of the network that clip, each input once, by its worst state.
fn from_sources(design: &Design) -> Vec<Finding> {
    let mut worst: Vec<&Level> = Vec::new();
    let room = |level: &Level| (level.least_headroom_db, level.headroom_db);
    for level in &design.signal().levels {
        let same = |other: &&mut &Level| (&other.source, &other.port) == (&level.source, &level.port);
        match worst.iter_mut().find(same) {
            Some(other) if room(level) < room(other) => *other = level,
            Some(_) => {}
            None => worst.push(level),
        }
    }
    worst.into_iter().filter_map(|level| clips(design, level)).collect()
}

fn clips(design: &Design, level: &Level) -> Option<Finding> {
    let rig = &design.rig;
    let (tag, _) = level.port.rsplit_once('.')?;
    let (device, source) = (rig.device(tag)?, rig.source(&level.source)?);
    let always = level.least_headroom_db? < 0.0;
    let (severity, peak, gains) = if always {
        (Severity::Stop, level.least_peak?, "with every gain at 0 dB")
    } else if level.headroom_db? < 0.0 {
        (Severity::Look, level.peak?, "with gains at their largest")
    } else {
        return None;
    };
    let mut asked = Asked::default();
    let peak_field = Field::of("source", &source.id, "electrics.peak");
    asked.value(source.pickup.peak, peak_field.clone());
    let stands = rig.max_input(device);
    let most = asked.value(stands.value, stands.field.clone())?;
    if !above(peak, most.get()) {
        return None;
    }
    let peak = Volts::of(signal::level::volts_as_read(peak));
    // What a device before it cannot pass is not what arrives, though as much as it can may be too much.
    let before = level.clips_before.as_ref().filter(|_| !always);
    let before = before.map_or_else(String::new, |found| format!("; {}", found.words()));
    let message = format!(
        "{} peaks at {} at {} {}, {gains}; {tag} takes {}{before}",
        source.id,
        shown(peak),
        level.port,
        signal::in_state_words(&level.state),
        takes(device, &stands)
    );
    Some(
        Finding::new(ID, severity, message)
            .about([tag, source.id.as_str()])
            .at(stands.field, shown(most))
            .at(peak_field, "")
            .with(Evidence::at_most(peak, most))
            .assuming(asked.assumed),
    )
}

/// What a device takes, with the supply voltage where that matters: `3 V at 9 V; 7 V at 18 V`.
fn takes(device: &rig::Device, stands: &rig::InForce<Volts>) -> String {
    let Some(most) = stands.value.value else { return String::new() };
    let at = stands.volts.map(|volts| format!(" at {}", shown(volts))).unwrap_or_default();
    let others = device
        .signal
        .at
        .iter()
        .filter(|at| Some(at.volts) != stands.volts)
        .filter_map(|at| Some(format!("; {} at {}", shown(at.max_input?.value?), shown(at.volts))));
    std::iter::once(format!("{}{at}", shown(most))).chain(others).collect()
}
