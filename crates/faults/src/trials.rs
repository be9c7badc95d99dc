//! Trials: what a person can do, and what each suspect answers to it.

use crate::input::{Input, Jack, Link};
use crate::kind::{Kind, Symptom, Tool, TrialKind};
use crate::reach::{Passed, Ways};

/// What somebody complains of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Complaint {
    /// What is heard.
    pub symptom: Symptom,
    /// Where, by place among the sinks.
    pub sink: usize,
    /// What is played, by place among the sources.
    pub source: usize,
    /// The device without power, where it is that.
    pub device: Option<String>,
}

impl Complaint {
    /// A complaint of what is heard at a sink, of the first source.
    pub fn new(symptom: Symptom, sink: usize) -> Self {
        Self { symptom, sink, source: 0, device: None }
    }
}

/// Something to do, and a question.
#[derive(Debug, Clone, PartialEq)]
pub struct Trial {
    /// Its name: `into:D5.IN`.
    pub id: String,
    /// What kind it is.
    pub kind: TrialKind,
    /// What to do: `Plug the guitar straight into IN of D5.`
    pub act: String,
    /// What to look or listen for: `Sound?`
    pub question: String,
    /// What must be done first, where it matters.
    pub first: Option<String>,
    /// What it is done at, for the drawing: a port, a lead or a device.
    pub at: String,
    /// How long it takes.
    pub minutes: f64,
    /// What must be at hand.
    pub tool: Option<Tool>,
    /// For each suspect, how likely a *yes* is when it is the one at fault.
    pub(crate) yes: Vec<f64>,
}

/// A plug that is moved shows the fault of its jack so often. Common practice, no source.
const WIGGLED_JACK: f64 = 0.9;
/// It shows a fault of its lead so often: at one end of two. Common practice, no source.
const WIGGLED_LEAD: f64 = 0.5;
/// A contact that is worked comes back so often. Common practice, no source.
const WORKED: f64 = 0.7;
/// A device at fault has its light so often. Common practice, no source.
const LIT: f64 = 0.5;

/// Every suspect of a complaint, by place among the parts.
pub(crate) fn suspects(input: &Input, complaint: &Complaint) -> Vec<usize> {
    let symptom = complaint.symptom;
    let count = input.parts.len();
    let can = |part: &usize| 0.0 < input.parts[*part].kind.odds(symptom);
    if symptom == Symptom::NoPower {
        let powered = complaint.device.as_ref().and_then(|tag| powered(input, tag));
        let Some(powered) = powered else { return Vec::new() };
        // The others have their light: what feeds them too is not at fault.
        let shared = |part: usize| {
            input.powered.iter().any(|other| other.device != powered.device && other.chain.contains(&part))
        };
        let own = powered.chain.iter().copied().filter(|part| !shared(*part));
        return own.chain([powered.part]).filter(can).collect();
    }
    let Some(passed) = plain(input, complaint, &input.links, complaint.sink) else { return Vec::new() };
    let mut shows = if symptom.is_silence() { passed.cuts } else { passed.touches };
    match symptom {
        Symptom::OneSide => {
            let others = (0..input.sinks.len()).filter(|sink| *sink != complaint.sink);
            let heard: Vec<Passed> =
                others.filter_map(|sink| plain(input, complaint, &input.links, sink)).collect();
            // What the other side needs too would silence both.
            for (part, shows) in shows.iter_mut().enumerate() {
                *shows &= heard.iter().any(|other| !other.cuts[part]);
            }
        }
        Symptom::OneState => {
            let other = plain(input, complaint, &input.other, complaint.sink);
            for (part, shows) in shows.iter_mut().enumerate() {
                *shows &= other.as_ref().is_some_and(|other| !other.cuts[part]);
            }
        }
        Symptom::Hum => {
            for (sink, _, part) in input.earth_loops.iter().filter(|one| one.0 == complaint.sink) {
                debug_assert_eq!(*sink, complaint.sink);
                shows[*part] = true;
            }
        }
        _ => {}
    }
    (0..count).filter(|part| shows[*part]).filter(can).collect()
}

fn powered<'a>(input: &'a Input, tag: &str) -> Option<&'a crate::input::Powered> {
    input.powered.iter().find(|powered| powered.device == tag)
}

/// What sound passes as the board is played.
fn plain(input: &Input, complaint: &Complaint, links: &[Link], sink: usize) -> Option<Passed> {
    let (from, to) = (input.sources.get(complaint.source)?, input.sinks.get(sink)?);
    Ways::new(input.nodes, links).between(from.node, to.node, input.parts.len())
}

/// Whether a link is gone when a plug goes into a jack: the lead that was in it, and what the plug opens.
pub(crate) fn goes(link: &Link, jack: &Jack) -> bool {
    let touches = link.from == jack.node || link.to == jack.node;
    touches && link.parts.iter().any(|part| jack.pulls == Some(*part) || jack.opens.contains(part))
}

/// What sound passes with the source plugged into a jack.
pub(crate) fn plugged_in(input: &Input, complaint: &Complaint, jack: &Jack) -> Option<Passed> {
    let (source, sink) = (input.sources.get(complaint.source)?, input.sinks.get(complaint.sink)?);
    let moved = |link: &&Link| source.leads.iter().any(|lead| link.parts.contains(lead));
    let mut parts = vec![source.part, jack.part];
    parts.extend(&source.leads);
    let put = Link { from: source.node, to: jack.node, both: true, parts };
    let kept = input.links.iter().filter(|link| !goes(link, jack) && !moved(link));
    Ways::new(input.nodes, kept.chain([&put])).between(source.node, sink.node, input.parts.len())
}

/// What sound passes with the sink's lead plugged into an output.
pub(crate) fn plugged_out(input: &Input, complaint: &Complaint, jack: &Jack) -> Option<Passed> {
    let (source, sink) = (input.sources.get(complaint.source)?, input.sinks.get(complaint.sink)?);
    let moved = |link: &&Link| sink.leads.iter().any(|lead| link.parts.contains(lead));
    let mut parts = vec![sink.part, jack.part];
    parts.extend(&sink.leads);
    let put = Link { from: jack.node, to: sink.node, both: true, parts };
    let kept = input.links.iter().filter(|link| !goes(link, jack) && !moved(link));
    Ways::new(input.nodes, kept.chain([&put])).between(source.node, sink.node, input.parts.len())
}

/// What sound passes with a spare lead from one jack to another.
pub(crate) fn joined(input: &Input, complaint: &Complaint, from: &Jack, to: &Jack) -> Option<Vec<bool>> {
    let (source, sink) = (input.sources.get(complaint.source)?, input.sinks.get(complaint.sink)?);
    let put = Link { from: from.node, to: to.node, both: true, parts: vec![from.part, to.part] };
    let kept = input.links.iter().filter(|link| !goes(link, from) && !goes(link, to));
    let ways = Ways::new(input.nodes, kept.chain([&put]));
    ways.touched(source.node, sink.node, input.parts.len()).map(|(touches, _)| touches)
}

/// Whether a part is heard to be at fault on what sound passes.
pub(crate) fn heard(symptom: Symptom, passed: &Passed, part: usize) -> bool {
    if symptom.is_silence() { passed.cuts[part] } else { passed.touches[part] }
}

/// Every trial that tells something of these suspects.
pub(crate) fn trials(input: &Input, complaint: &Complaint, suspects: &[usize]) -> Vec<Trial> {
    let maker = Maker { input, complaint, suspects };
    let mut out = if complaint.symptom == Symptom::NoPower { maker.of_power() } else { maker.of_sound() };
    // What every suspect answers alike tells nothing.
    out.retain(|trial| trial.yes.iter().any(|yes| 1e-9 < (yes - trial.yes[0]).abs()));
    out
}

struct Maker<'a> {
    input: &'a Input,
    complaint: &'a Complaint,
    suspects: &'a [usize],
}

impl Maker<'_> {
    fn of_sound(&self) -> Vec<Trial> {
        let (input, symptom) = (self.input, self.complaint.symptom);
        let source = input.sources.get(self.complaint.source).map_or("guitar", |end| end.id.as_str());
        let mut out = Vec::new();
        for jack in input.jacks.iter().filter(|jack| jack.is_in) {
            let Some(passed) = plugged_in(input, self.complaint, jack) else { continue };
            let first = match jack.pulls {
                Some(lead) => format!("turn the amp down, pull {} at {}", input.parts[lead].id, jack.port),
                None => "turn the amp down; nothing to unplug".to_owned(),
            };
            out.push(self.trial(
                TrialKind::Into,
                &jack.port,
                format!("Plug the {source} straight into {}.", words_of(&jack.port)),
                symptom.question(),
                Some(first),
                |part| if heard(symptom, &passed, part) { 0.0 } else { 1.0 },
            ));
        }
        let sink = input.sinks.get(self.complaint.sink).map_or("amp", |end| end.id.as_str());
        for jack in input.jacks.iter().filter(|jack| !jack.is_in) {
            let Some(passed) = plugged_out(input, self.complaint, jack) else { continue };
            let first = match jack.pulls {
                Some(lead) => format!("turn the amp down, pull {} at {}", input.parts[lead].id, jack.port),
                None => "turn the amp down; nothing to unplug".to_owned(),
            };
            out.push(self.trial(
                TrialKind::Out,
                &jack.port,
                format!("Plug the lead to {sink} straight into {}.", words_of(&jack.port)),
                symptom.question(),
                Some(first),
                |part| if heard(symptom, &passed, part) { 0.0 } else { 1.0 },
            ));
        }
        for off in &input.off {
            let Some(passed) = plain(input, self.complaint, &off.links, self.complaint.sink) else {
                continue;
            };
            out.push(self.trial(
                TrialKind::Off,
                &off.device,
                format!("Switch {} off.", off.device),
                symptom.question(),
                None,
                |part| if heard(symptom, &passed, part) { 0.0 } else { 1.0 },
            ));
        }
        for (sink, other, own) in input.earth_loops.iter().filter(|one| one.0 == self.complaint.sink) {
            if symptom != Symptom::Hum {
                continue;
            }
            let (sink, other) = (&input.sinks[*sink].id, &input.sinks[*other].id);
            out.push(self.trial(
                TrialKind::Lone,
                other,
                format!("Pull the lead to {other} at the board; play {sink} alone."),
                symptom.question(),
                Some("leave every mains plug and earth as it is".to_owned()),
                |part| if part == *own { 1.0 } else { 0.0 },
            ));
        }
        out.extend(self.of_parts());
        for powered in &input.powered {
            out.extend(self.looks(powered));
            out.extend(self.outlets(powered));
        }
        out
    }

    fn of_power(&self) -> Vec<Trial> {
        let tag = self.complaint.device.as_deref().unwrap_or_default();
        let mut out: Vec<Trial> = powered(self.input, tag).map(|own| self.outlets(own)).unwrap_or_default();
        out.extend(self.of_parts());
        out
    }

    /// Leads, jacks and contacts, each on its own.
    fn of_parts(&self) -> Vec<Trial> {
        let (input, symptom) = (self.input, self.complaint.symptom);
        let mut out = Vec::new();
        for at in self.suspects {
            let part = &input.parts[*at];
            match part.kind {
                Kind::Lead | Kind::PowerLead => out.push(self.trial(
                    TrialKind::Swap,
                    &part.id,
                    format!("Put a lead known to be good in place of {}.", part.id),
                    symptom.question(),
                    None,
                    |one| if one == *at { 1.0 } else { 0.0 },
                )),
                Kind::Jack if matches!(symptom, Symptom::Crackle | Symptom::Moved) => {
                    let leads: Vec<usize> = input
                        .links
                        .iter()
                        .filter(|link| link.parts.contains(at))
                        .flat_map(|link| link.parts.iter().copied())
                        .filter(|one| input.parts[*one].kind == Kind::Lead)
                        .collect();
                    out.push(self.trial(
                        TrialKind::Wiggle,
                        &part.id,
                        format!("Move the plug in {} with a finger.", words_of(&part.id)),
                        "Does it do it now?",
                        None,
                        |one| {
                            if one == *at {
                                WIGGLED_JACK
                            } else if leads.contains(&one) {
                                WIGGLED_LEAD
                            } else {
                                0.0
                            }
                        },
                    ));
                }
                Kind::Switch | Kind::Normal => {
                    let how = if part.kind == Kind::Switch {
                        format!(
                            "Work the switch of {} ten times.",
                            part.device.as_deref().unwrap_or(&part.id)
                        )
                    } else {
                        format!("Push a plug into {} and out again, five times.", words_of(&part.id))
                    };
                    out.push(self.trial(TrialKind::Work, &part.id, how, symptom.question(), None, |one| {
                        if one == *at { WORKED } else { 0.0 }
                    }));
                }
                _ => {}
            }
        }
        out
    }

    fn looks(&self, powered: &crate::input::Powered) -> Option<Trial> {
        let told = powered.chain.iter().any(|part| self.suspects.contains(part));
        told.then(|| {
            self.trial(
                TrialKind::Look,
                &powered.device,
                format!("Look at {}, switched on.", powered.device),
                "Is its light on?",
                None,
                |part| {
                    if powered.chain.contains(&part) {
                        0.0
                    } else if part == powered.part {
                        LIT
                    } else {
                        1.0
                    }
                },
            )
        })
    }

    fn outlets(&self, powered: &crate::input::Powered) -> Vec<Trial> {
        let mut out = Vec::new();
        let Some((outlet, reads)) = &powered.outlet else { return out };
        let place = powered.chain.iter().position(|part| part == outlet);
        let Some(place) = place else { return out };
        let (before, behind) = (&powered.chain[..place], &powered.chain[place..]);
        let part = &self.input.parts[*outlet];
        out.push(self.trial(
            TrialKind::Meter,
            &part.id,
            format!("Meter outlet {} with its plug pulled.", part.id),
            &format!("Does it read {reads}?"),
            Some("touch nothing but the plug: mains is behind the brick's inlet".to_owned()),
            |one| if behind.contains(&one) { 0.0 } else { 1.0 },
        ));
        if let Some(free) = &powered.free {
            // Brick and mains stay the same; only the outlet is another.
            out.push(self.trial(
                TrialKind::Move,
                &powered.device,
                format!("Put the power plug of {} into {free}.", powered.device),
                if self.complaint.symptom == Symptom::NoPower {
                    "Light?"
                } else {
                    self.complaint.symptom.question()
                },
                None,
                |one| if one == *outlet && !before.contains(&one) { 1.0 } else { 0.0 },
            ));
        }
        out
    }

    fn trial(
        &self,
        kind: TrialKind,
        at: &str,
        act: String,
        question: &str,
        first: Option<String>,
        yes: impl Fn(usize) -> f64,
    ) -> Trial {
        Trial {
            id: format!("{}:{at}", kind.word()),
            kind,
            act,
            question: question.to_owned(),
            first,
            at: at.to_owned(),
            minutes: kind.minutes(),
            tool: kind.tool(),
            yes: self.suspects.iter().map(|part| yes(*part)).collect(),
        }
    }
}

/// A port as a person reads it: `IN of D5`.
pub(crate) fn words_of(port: &str) -> String {
    match port.split_once('.') {
        Some((device, jack)) => format!("{} of {device}", jack.replace('_', " ")),
        None => port.to_owned(),
    }
}
