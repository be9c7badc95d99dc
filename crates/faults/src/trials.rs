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

/// Of leads that could do it by a break, so many could by a short alone, which silences what hangs beside the way as well.
/// Common practice, no source.
const SHORTED: f64 = 0.3;

/// A part that may be at fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Suspected {
    /// By place among the parts.
    pub(crate) part: usize,
    /// Whether it is a lead beside the way, which is heard only where its core touches its screen.
    pub(crate) by_short: bool,
}

impl Suspected {
    /// How likely it is against the others, by its kind and by what is wrong with it.
    pub(crate) fn odds(self, input: &Input, symptom: Symptom) -> f64 {
        input.parts[self.part].kind.odds(symptom) * if self.by_short { SHORTED } else { 1.0 }
    }
}

/// Every suspect of a complaint.
pub(crate) fn suspects(input: &Input, complaint: &Complaint) -> Vec<Suspected> {
    let by_break = broken(input, complaint);
    let mut out: Vec<Suspected> =
        by_break.iter().map(|part| Suspected { part: *part, by_short: false }).collect();
    if complaint.symptom.is_silence() && !by_break.is_empty() {
        let beside = shorted(input, complaint).into_iter().filter(|part| !by_break.contains(part));
        out.extend(beside.map(|part| Suspected { part, by_short: true }));
        out.sort_by_key(|one| one.part);
    }
    out
}

/// Leads that silence it by a short, and only what is complained of.
fn shorted(input: &Input, complaint: &Complaint) -> Vec<usize> {
    let leads: Vec<usize> = (0..input.parts.len()).filter(|at| input.parts[*at].kind == Kind::Lead).collect();
    let silent = |links: &[Link], sink: usize| -> Option<Vec<usize>> {
        let board = Board::as_played(input, links);
        let found = board.passed(complaint.source, sink, &leads)?;
        Some(found.shorted)
    };
    let own = silent(&input.links, complaint.sink).unwrap_or_default();
    let others: Vec<Vec<usize>> = match complaint.symptom {
        Symptom::OneSide => (0..input.sinks.len())
            .filter(|sink| *sink != complaint.sink)
            .filter_map(|sink| silent(&input.links, sink))
            .collect(),
        Symptom::OneState => silent(&input.other, complaint.sink).into_iter().collect(),
        _ => return own,
    };
    own.into_iter().filter(|part| others.iter().any(|other| !other.contains(part))).collect()
}

/// Every part that shows a complaint when it fails as most do: a break, a bad contact.
fn broken(input: &Input, complaint: &Complaint) -> Vec<usize> {
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
    Board::as_played(input, links).passed(complaint.source, sink, &[])
}

/// A board with some plugs elsewhere than as it is played.
struct Board<'a> {
    input: &'a Input,
    links: Vec<&'a Link>,
    /// The jack whose plug was pulled, with the links that are gone.
    pulled: Option<(&'a Jack, Vec<&'a Link>)>,
}

impl<'a> Board<'a> {
    fn as_played(input: &'a Input, links: &'a [Link]) -> Self {
        Self { input, links: links.iter().collect(), pulled: None }
    }

    /// With the plug pulled out of a jack, and one more way.
    fn without(input: &'a Input, jack: &'a Jack, moved: &[usize], put: Option<&'a Link>) -> Self {
        let (gone, kept): (Vec<&Link>, Vec<&Link>) = input.links.iter().partition(|link| goes(link, jack));
        let is_moved = |link: &&Link| moved.iter().any(|lead| link.parts.contains(lead));
        let kept = kept.into_iter().filter(|link| !is_moved(link)).chain(put);
        Self { input, links: kept.collect(), pulled: Some((jack, gone)) }
    }

    /// What sound passes between two ends, and which of these leads silence it by a short.
    fn passed(&self, source: usize, sink: usize, leads: &[usize]) -> Option<Passed> {
        let (from, to) = (self.input.sources.get(source)?.node, self.input.sinks.get(sink)?.node);
        let ways = Ways::new(self.input.nodes, self.links.iter().copied());
        let mut passed = ways.between(from, to, self.input.parts.len())?;
        let is_shorted = |lead: &usize| {
            let nodes = self.nodes(*lead);
            !nodes.is_empty() && ways.is_shorted(from, to, &nodes)
        };
        passed.shorted = leads.iter().copied().filter(is_shorted).collect();
        Some(passed)
    }

    /// The nodes that a lead still joins: one that is pulled at one end hangs on its other.
    fn nodes(&self, lead: usize) -> Vec<usize> {
        let own = |link: &&&Link| link.wire && link.parts.contains(&lead);
        let mut out: Vec<usize> =
            self.links.iter().filter(own).flat_map(|link| [link.from, link.to]).collect();
        if let Some((jack, gone)) = self.pulled.as_ref().filter(|(jack, _)| jack.pulls == Some(lead)) {
            let far = gone.iter().filter(own).flat_map(|link| [link.from, link.to]);
            out.extend(far.filter(|node| *node != jack.node));
        }
        out
    }
}

/// Whether a link is gone when a plug goes into a jack: the lead that was in it, and what the plug opens.
pub(crate) fn goes(link: &Link, jack: &Jack) -> bool {
    let touches = link.from == jack.node || link.to == jack.node;
    touches && link.parts.iter().any(|part| jack.pulls == Some(*part) || jack.opens.contains(part))
}

/// What sound passes with the source plugged into a jack, and which of these leads silence it by a short.
pub(crate) fn plugged_in(
    input: &Input,
    complaint: &Complaint,
    jack: &Jack,
    leads: &[usize],
) -> Option<Passed> {
    let source = input.sources.get(complaint.source)?;
    let mut parts = vec![source.part, jack.part];
    parts.extend(&source.leads);
    let put = Link { from: source.node, to: jack.node, both: true, wire: true, parts };
    let board = Board::without(input, jack, &source.leads, Some(&put));
    board.passed(complaint.source, complaint.sink, leads)
}

/// What sound passes with the sink's lead plugged into an output, and which of these leads silence it by a short.
pub(crate) fn plugged_out(
    input: &Input,
    complaint: &Complaint,
    jack: &Jack,
    leads: &[usize],
) -> Option<Passed> {
    let sink = input.sinks.get(complaint.sink)?;
    let mut parts = vec![sink.part, jack.part];
    parts.extend(&sink.leads);
    let put = Link { from: jack.node, to: sink.node, both: true, wire: true, parts };
    let board = Board::without(input, jack, &sink.leads, Some(&put));
    board.passed(complaint.source, complaint.sink, leads)
}

/// What sound passes with the plug pulled out of a jack, and which of these leads silence it by a short.
pub(crate) fn pulled(input: &Input, complaint: &Complaint, jack: &Jack, leads: &[usize]) -> Option<Passed> {
    Board::without(input, jack, &[], None).passed(complaint.source, complaint.sink, leads)
}

/// The jack at which a lead is pulled out: where it is fed from, if it has a plug there.
pub(crate) fn pulled_at(input: &Input, lead: usize) -> Option<&Jack> {
    let own = || input.jacks.iter().filter(|jack| jack.pulls == Some(lead));
    own().find(|jack| !jack.is_in).or_else(|| own().next())
}

/// What sound passes with a spare lead from one jack to another.
pub(crate) fn joined(input: &Input, complaint: &Complaint, from: &Jack, to: &Jack) -> Option<Vec<bool>> {
    let (source, sink) = (input.sources.get(complaint.source)?, input.sinks.get(complaint.sink)?);
    let put = Link { from: from.node, to: to.node, both: true, wire: true, parts: vec![from.part, to.part] };
    let kept = input.links.iter().filter(|link| !goes(link, from) && !goes(link, to));
    let ways = Ways::new(input.nodes, kept.chain([&put]));
    ways.touched(source.node, sink.node, input.parts.len()).map(|(touches, _)| touches)
}

/// Whether a suspect is heard to be at fault on what sound passes.
fn heard(symptom: Symptom, passed: &Passed, suspect: Suspected) -> bool {
    if suspect.by_short {
        passed.shorted.contains(&suspect.part)
    } else if symptom.is_silence() {
        passed.cuts[suspect.part]
    } else {
        passed.touches[suspect.part]
    }
}

/// Every trial that tells something of these suspects.
pub(crate) fn trials(input: &Input, complaint: &Complaint, suspects: &[Suspected]) -> Vec<Trial> {
    let maker = Maker { input, complaint, suspects };
    let mut out = if complaint.symptom == Symptom::NoPower { maker.of_power() } else { maker.of_sound() };
    // What every suspect answers alike tells nothing.
    out.retain(|trial| trial.yes.iter().any(|yes| 1e-9 < (yes - trial.yes[0]).abs()));
    out
}

struct Maker<'a> {
    input: &'a Input,
    complaint: &'a Complaint,
    suspects: &'a [Suspected],
}

impl Maker<'_> {
    fn of_sound(&self) -> Vec<Trial> {
        let (input, symptom) = (self.input, self.complaint.symptom);
        let leads = self.leads();
        let source = input.sources.get(self.complaint.source).map_or("guitar", |end| end.id.as_str());
        let mut out = Vec::new();
        for jack in input.jacks.iter().filter(|jack| jack.is_in) {
            let Some(passed) = plugged_in(input, self.complaint, jack, &leads) else { continue };
            let first = match jack.pulls {
                Some(lead) => format!("turn the amp down, pull {} at {}", input.parts[lead].id, jack.port),
                None => "turn the amp down; nothing to unplug".to_owned(),
            };
            out.push(self.told(
                &passed,
                TrialKind::Into,
                &jack.port,
                format!("Plug the {source} straight into {}.", words_of(&jack.port)),
                Some(first),
            ));
        }
        let sink = input.sinks.get(self.complaint.sink).map_or("amp", |end| end.id.as_str());
        for jack in input.jacks.iter().filter(|jack| !jack.is_in) {
            let Some(passed) = plugged_out(input, self.complaint, jack, &leads) else { continue };
            let first = match jack.pulls {
                Some(lead) => format!("turn the amp down, pull {} at {}", input.parts[lead].id, jack.port),
                None => "turn the amp down; nothing to unplug".to_owned(),
            };
            out.push(self.told(
                &passed,
                TrialKind::Out,
                &jack.port,
                format!("Plug the lead to {sink} straight into {}.", words_of(&jack.port)),
                Some(first),
            ));
        }
        for off in &input.off {
            let board = Board::as_played(input, &off.links);
            let Some(passed) = board.passed(self.complaint.source, self.complaint.sink, &leads) else {
                continue;
            };
            out.push(self.told(
                &passed,
                TrialKind::Off,
                &off.device,
                format!("Switch {} off.", off.device),
                None,
            ));
        }
        for lead in &leads {
            let Some(jack) = pulled_at(input, *lead) else { continue };
            let Some(passed) = pulled(input, self.complaint, jack, &leads) else { continue };
            let id = &input.parts[*lead].id;
            out.push(self.told(
                &passed,
                TrialKind::Pull,
                id,
                format!("Pull {id} out of {}.", words_of(&jack.port)),
                Some("turn the amp down".to_owned()),
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
        for Suspected { part: at, by_short } in self.suspects {
            let part = &input.parts[*at];
            match part.kind {
                // It needs not be there: pulled out it tells as much.
                Kind::Lead if *by_short && pulled_at(input, *at).is_some() => {}
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

    /// How often a light is on, or a meter reads right, with the fault in what feeds the device: a supply that hums
    /// supplies, any other does not.
    fn works_at_fault(&self) -> f64 {
        if self.complaint.symptom == Symptom::Hum { 1.0 } else { 0.0 }
    }

    /// Whether what is wrong comes and goes, so that one look is not enough.
    fn comes_and_goes(&self) -> bool {
        matches!(self.complaint.symptom, Symptom::Crackle | Symptom::Moved)
    }

    fn looks(&self, powered: &crate::input::Powered) -> Option<Trial> {
        let unfed = self.works_at_fault();
        // What hums is lit, whatever it is.
        let told = unfed < 1.0 && self.suspects.iter().any(|one| powered.chain.contains(&one.part));
        told.then(|| {
            self.trial(
                TrialKind::Look,
                &powered.device,
                format!("Look at {}, switched on.", powered.device),
                if self.comes_and_goes() { "Is its light steady?" } else { "Is its light on?" },
                None,
                |part| {
                    if powered.chain.contains(&part) {
                        unfed
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
        let at_fault = self.works_at_fault();
        let part = &self.input.parts[*outlet];
        out.push(self.trial(
            TrialKind::Meter,
            &part.id,
            format!("Meter outlet {} with its plug pulled.", part.id),
            &format!("Does it read {reads}{}?", if self.comes_and_goes() { ", steadily" } else { "" }),
            Some("touch nothing but the plug: mains is behind the brick's inlet".to_owned()),
            |one| if behind.contains(&one) { at_fault } else { 1.0 },
        ));
        out.extend(self.apart(powered));
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

    /// A device fed from a battery or an adaptor: whatever feeds it here is then out of it, for this device alone.
    fn apart(&self, powered: &crate::input::Powered) -> Option<Trial> {
        let (input, symptom) = (self.input, self.complaint.symptom);
        let act =
            format!("Feed {} from a battery or an adaptor that fits it, its plug pulled.", powered.device);
        let first = Some("same voltage, same polarity, enough current: anything else destroys it".to_owned());
        if symptom == Symptom::NoPower {
            return Some(self.trial(
                TrialKind::Apart,
                &powered.device,
                act,
                symptom.question(),
                first,
                |part| {
                    if part == powered.part { 0.0 } else { 1.0 }
                },
            ));
        }
        let is_fed = |part: &usize| powered.chain.contains(part);
        let links: Vec<Link> = input
            .links
            .iter()
            .map(|link| {
                let mut link = link.clone();
                if link.parts.contains(&powered.part) {
                    link.parts.retain(|part| !is_fed(part));
                }
                link
            })
            .collect();
        let passed = Board::as_played(input, &links).passed(
            self.complaint.source,
            self.complaint.sink,
            &self.leads(),
        )?;
        Some(self.told(&passed, TrialKind::Apart, &powered.device, act, first))
    }

    /// Leads that are suspected of a short.
    fn leads(&self) -> Vec<usize> {
        self.suspects.iter().filter(|one| one.by_short).map(|one| one.part).collect()
    }

    /// A trial that moves a plug or works a switch: yes by whoever is not heard on what sound then passes.
    fn told(&self, passed: &Passed, kind: TrialKind, at: &str, act: String, first: Option<String>) -> Trial {
        let symptom = self.complaint.symptom;
        let mut trial = self.trial(kind, at, act, symptom.question(), first, |_| 1.0);
        for (yes, one) in trial.yes.iter_mut().zip(self.suspects) {
            *yes = if heard(symptom, passed, *one) { 0.0 } else { 1.0 };
        }
        trial
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
            yes: self.suspects.iter().map(|one| yes(one.part)).collect(),
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
