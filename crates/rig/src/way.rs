//! The ways signal takes: runs joined to the runs that feed them, and the junctions along them.

use crate::{Bypass, Carries, Device, PortRef, PortRole, Purpose, Rig, Role, Run, Source};

/// Ways are counted no further than this; a rig with more is beyond what anyone builds.
const MOST_WAYS: usize = 1000;

/// One thing that signal passes on its way.
#[derive(Debug, Clone, Copy)]
pub struct Step<'a> {
    /// Tag of the device, or id of the source or sink.
    pub name: &'a str,
    /// The port signal arrives at.
    pub arrives: Option<&'a PortRef>,
    /// The port it leaves by.
    pub leaves: Option<&'a PortRef>,
}

/// A way from where signal begins to the end of a run.
#[derive(Debug, Clone)]
pub struct Way<'a> {
    /// The run it ends with.
    pub run: &'a Run,
    /// What it passes, in order.
    pub steps: Vec<Step<'a>>,
}

impl Way<'_> {
    /// Where it begins.
    pub fn start(&self) -> &str {
        self.steps.first().map_or("", |step| step.name)
    }

    /// Where it ends.
    pub fn end(&self) -> &str {
        self.steps.last().map_or("", |step| step.name)
    }
}

impl<'a> Way<'a> {
    /// The devices it passes, panels and strips left out.
    pub fn devices(&self, rig: &'a Rig) -> impl Iterator<Item = (usize, &'a Device)> {
        self.steps
            .iter()
            .enumerate()
            .filter_map(|(index, step)| Some((index, rig.device(step.name)?)))
            .filter(|(_, device)| !is_wall(device))
    }
}

/// Whether a device only leads signal through.
pub fn is_wall(device: &Device) -> bool {
    matches!(device.role, Role::Panel | Role::Strip)
}

/// Every way of every signal run, in document order.
///
/// A run that begins at a port of a device is joined to each run that reaches the device.
pub fn ways(rig: &Rig) -> Vec<Way<'_>> {
    let runs: Vec<&Run> = rig.runs.iter().filter(|run| run.carries == Carries::Signal).collect();
    let mut out = Vec::new();
    for (index, run) in runs.iter().enumerate() {
        for steps in joined(&runs, index, &mut vec![index]) {
            if out.len() < MOST_WAYS {
                out.push(Way { run, steps });
            }
        }
    }
    out
}

/// The steps of a run, stops at one device after the other drawn together.
fn steps(run: &Run) -> Vec<Step<'_>> {
    let mut out: Vec<Step<'_>> = Vec::new();
    for stop in &run.stops {
        let Some(port) = stop.arrives.as_ref().or(stop.leaves.as_ref()) else { continue };
        let step = Step { name: &port.device, arrives: stop.arrives.as_ref(), leaves: stop.leaves.as_ref() };
        match out.last_mut() {
            Some(last) if last.name == step.name => last.leaves = step.leaves,
            _ => out.push(step),
        }
    }
    out
}

fn joined<'a>(runs: &[&'a Run], index: usize, seen: &mut Vec<usize>) -> Vec<Vec<Step<'a>>> {
    let own = steps(runs[index]);
    let Some(first) = own.first().copied() else { return Vec::new() };
    let is_end = first.leaves.is_none_or(|port| port.port.is_empty());
    let mut out = Vec::new();
    if first.arrives.is_none() && !is_end {
        for before in 0..runs.len() {
            if seen.contains(&before) || MOST_WAYS <= out.len() {
                continue;
            }
            let Some(at) =
                steps(runs[before]).iter().rposition(|s| s.name == first.name && s.arrives.is_some())
            else {
                continue;
            };
            seen.push(before);
            for mut front in joined(runs, before, seen) {
                // The joined way may be longer at its front, so the place is counted from its end.
                let behind = steps(runs[before]).len() - at;
                front.truncate(front.len() - behind + 1);
                if let Some(last) = front.last_mut() {
                    last.leaves = first.leaves;
                }
                front.extend(own.iter().skip(1).copied());
                out.push(front);
            }
            seen.pop();
        }
    }
    if out.is_empty() {
        out.push(own);
    }
    out
}

/// What signal passes between something that gives it and something that takes it.
pub struct Junction<'a> {
    /// Index of the giver among the steps.
    pub giver: usize,
    /// Index of the taker.
    pub taker: usize,
    /// The devices between, all of them off in this reading.
    pub between: Vec<&'a Device>,
}

/// Every giver with every taker it may meet: the next one, and those behind devices that may be off and
/// then are no more than a contact. What lies between with an unknown bypass counts as such.
pub fn junctions<'a>(rig: &'a Rig, way: &Way<'a>) -> Vec<Junction<'a>> {
    let solid: Vec<usize> = (0..way.steps.len())
        .filter(|index| rig.device(way.steps[*index].name).is_none_or(|device| !is_wall(device)))
        .collect();
    let mut out = Vec::new();
    for (place, giver) in solid.iter().enumerate() {
        let mut between: Vec<&Device> = Vec::new();
        for taker in solid.iter().skip(place + 1) {
            out.push(Junction { giver: *giver, taker: *taker, between: between.clone() });
            match rig.device(way.steps[*taker].name) {
                Some(device) if may_be_a_contact(device) => between.push(device),
                _ => break,
            }
        }
    }
    out
}

/// Whether a device that is off is, or may be, a mere contact.
pub fn may_be_a_contact(device: &Device) -> bool {
    matches!(device.signal.bypass.value, None | Some(Bypass::Hard | Bypass::Relay))
}

/// The source a way begins with.
pub fn source_of<'a>(rig: &'a Rig, way: &Way<'_>) -> Option<&'a Source> {
    rig.source(way.start())
}

/// Whether the lead between two ports is made with tip and ring crossed.
pub fn is_crossed(rig: &Rig, from: &PortRef, to: &PortRef) -> bool {
    rig.leads.iter().any(|lead| lead.from == *from && lead.to == *to && lead.crossed)
}

/// Whether a device changes the sound while it is on, and can be switched off: an effect.
fn is_effect(device: &Device) -> bool {
    device.role == Role::Pedal
        && !device.signal.passive
        && device.signal.transformer.value != Some(true)
        && device.signal.bypass.value != Some(Bypass::AlwaysOn)
}

/// The device a run branches off from: it begins at a port of one whose signal also goes on by another port.
fn branches_off<'a>(rig: &'a Rig, run: &Run) -> Option<&'a Device> {
    let from = run.stops.first()?.leaves.as_ref()?;
    let giver = rig.device(&from.device)?;
    // What leaves by an insert or a loop is meant to come back.
    let inserts = giver.inserts.iter().flat_map(|insert| [&insert.send, &insert.back]);
    let loops = giver.loops.iter().flat_map(|circuit| [&circuit.send, &circuit.back]);
    let is_sent = matches!(rig.port(from)?.role.value, Some(PortRole::Send | PortRole::Return));
    if is_sent || inserts.chain(loops).any(|port| *port == from.port) {
        return None;
    }
    let goes_on = rig
        .runs
        .iter()
        .filter(|other| other.name != run.name && other.carries == Carries::Signal)
        .any(|other| {
            let leaves = other.stops.iter().any(|stop| {
                stop.leaves.as_ref().is_some_and(|port| port.device == from.device && port.port != from.port)
            });
            let arrives = other.stops.last().and_then(|stop| stop.arrives.as_ref());
            leaves && arrives.is_some_and(|port| rig.sink(&port.device).is_some())
        });
    goes_on.then_some(giver)
}

/// Whether a run only lets something listen, such as a tuner: it branches off and ends at a device.
pub fn is_listener(rig: &Rig, run: &Run) -> bool {
    if let Some(purpose) = run.purpose {
        return purpose == Purpose::Listener;
    }
    let ends_at_device = run
        .stops
        .last()
        .and_then(|stop| stop.arrives.as_ref())
        .is_some_and(|port| rig.device(&port.device).is_some());
    ends_at_device && branches_off(rig, run).is_some()
}

/// Whether a way is a dry feed: it is tapped off before or beside the effects, and passes none after the tap.
///
/// It carries what it carries on purpose, so it is not judged as a chain. A run that says what it is for decides.
pub fn is_dry_feed<'a>(rig: &'a Rig, way: &Way<'a>) -> bool {
    ends_dry(rig, way.run)
}

/// Whether a run ends as a dry feed, whatever has been joined to what it begins with.
fn ends_dry(rig: &Rig, run: &Run) -> bool {
    if let Some(purpose) = run.purpose {
        return purpose == Purpose::DryFeed;
    }
    let after = || {
        run.stops.iter().skip(1).filter_map(|stop| {
            let port = stop.arrives.as_ref().or(stop.leaves.as_ref())?;
            rig.device(&port.device)
        })
    };
    end_of(run).is_some_and(|end| rig.sink(end).is_some())
        && branches_off(rig, run).is_some_and(|giver| !is_effect(giver))
        && !after().any(is_effect)
}

/// What a run ends at.
fn end_of(run: &Run) -> Option<&str> {
    let last = run.stops.last()?;
    last.arrives.as_ref().or(last.leaves.as_ref()).map(|port| port.device.as_str())
}

/// Whether all that goes from a source to a sink does so beside the sound that is played to: as a dry feed, or for something
/// that only listens. What joins another run on the way, in a mixer, goes on as that run does.
pub fn is_aside(rig: &Rig, source: &str, sink: &str) -> bool {
    let listens = |run: &Run| run.purpose == Some(Purpose::Listener);
    let runs = followed(rig, source);
    let mut own = runs.iter().filter(|run| end_of(run) == Some(sink)).peekable();
    own.peek().is_some() && own.all(|run| listens(run) || ends_dry(rig, run))
}

/// The runs that what a source gives follows: those that begin at it, those that begin at what it passes, and those that
/// go through the device that one of them ends in.
fn followed<'a>(rig: &'a Rig, source: &str) -> Vec<&'a Run> {
    let runs: Vec<&Run> = rig.runs.iter().filter(|run| run.carries == Carries::Signal).collect();
    let all: Vec<Vec<Step<'_>>> = runs.iter().map(|run| steps(run)).collect();
    let begins = |at: usize| all[at].first().is_some_and(|step| step.name == source);
    // The first step of each run that the signal reaches.
    let mut from: Vec<Option<usize>> = (0..all.len()).map(|at| begins(at).then_some(0)).collect();
    let mut open: Vec<usize> = (0..all.len()).filter(|at| from[*at].is_some()).collect();
    while let Some(run) = open.pop() {
        let Some(first) = from[run] else { continue };
        for (at, step) in all[run].iter().enumerate().skip(first) {
            // A run that ends at a wall ends in one of its jacks, not in all that it leads through.
            let is_end = at + 1 == all[run].len() && !rig.device(step.name).is_some_and(is_wall);
            for (other, others) in all.iter().enumerate().filter(|(other, _)| *other != run) {
                let meets = |(place, met): &(usize, &Step<'_>)| {
                    met.name == step.name && rig.device(met.name).is_some() && (*place == 0 || is_end)
                };
                let Some((place, _)) = others.iter().enumerate().find(meets) else { continue };
                if from[other].is_none_or(|known| place < known) {
                    from[other] = Some(place);
                    open.push(other);
                }
            }
        }
    }
    runs.into_iter().zip(from).filter_map(|(run, from)| from.map(|_| run)).collect()
}

/// Whether a sink is a tuner, a meter or the like: every run that ends there is said to be for a listener.
pub fn only_listens(rig: &Rig, sink: &str) -> bool {
    let ends = |run: &&Run| {
        run.stops.last().and_then(|stop| stop.arrives.as_ref()).is_some_and(|port| port.device == sink)
    };
    let mut runs = rig.runs.iter().filter(ends).peekable();
    runs.peek().is_some() && runs.all(|run| run.purpose == Some(Purpose::Listener))
}
