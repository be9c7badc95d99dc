//! How a run passes its stops: the port it arrives at and the port it leaves by.
//!
//! A port that is named is the port: what does not fit there is a problem, and nothing takes its place.

use rig::{Carries, Device, Flow, Port, PortRef, PortRole, Rig, Role, Stop};

use super::references::article;
use crate::problem::{At, Problem, shown};

/// What a stop's text names.
pub(super) enum Named {
    /// A source or a sink.
    End(String),
    /// A whole device.
    Device(String),
    /// A port of a device.
    Port(PortRef),
    /// Something that is not there, perhaps of this device; a problem has been told.
    Missing(String),
}

impl Named {
    fn device(&self) -> &str {
        match self {
            Self::End(id) | Self::Device(id) | Self::Missing(id) => id,
            Self::Port(port) => &port.device,
        }
    }
}

/// One stop as it is written.
pub(super) struct Written {
    pub(super) text: String,
    pub(super) what: Named,
    pub(super) at: At,
}

/// The stops of a run as ports, and what is wrong with them. What is missing makes no stop, but the others keep their
/// places.
pub(super) fn pass(rig: &Rig, run: &str, carries: Carries, stops: &[Written]) -> (Vec<Stop>, Vec<Problem>) {
    let passing = Passing { rig, run, carries, stops };
    let mut found: Vec<(usize, Stop)> = Vec::new();
    let mut problems = Vec::new();
    let mut backwards = None;
    for (index, written) in stops.iter().enumerate() {
        let mut say = |problem: Option<Problem>| problems.extend(problem);
        let (arrives, leaves) = match &written.what {
            Named::Missing(_) => continue,
            Named::End(id) => {
                say(passing.end(index, id, written));
                let end = PortRef::new(id, "");
                (Some(end.clone()), Some(end))
            }
            Named::Device(tag) => match passing.device(index, tag, written) {
                Ok(sides) => sides,
                Err(problem) => {
                    say(Some(problem));
                    (None, None)
                }
            },
            // The second half of a pair that was told with its first.
            Named::Port(port) if backwards == Some(index) => (Some(port.clone()), Some(port.clone())),
            Named::Port(port) => {
                if let Some(problem) = passing.backwards(index, port, written) {
                    say(Some(problem));
                    backwards = Some(index + 1);
                    (Some(port.clone()), Some(port.clone()))
                } else {
                    match passing.port(index, port, written) {
                        Ok(sides) => sides,
                        Err(problem) => {
                            say(Some(problem));
                            (Some(port.clone()), Some(port.clone()))
                        }
                    }
                }
            }
        };
        let arrives = arrives.filter(|_| index != 0);
        let leaves = leaves.filter(|_| index == 0 || index + 1 < stops.len());
        found.push((index, Stop { text: written.text.clone(), arrives, leaves }));
    }
    if problems.is_empty() {
        problems.extend(passing.taken(&found));
    }
    if problems.is_empty() {
        problems.extend(passing.twice());
    }
    (found.into_iter().map(|(_, stop)| stop).collect(), problems)
}

/// The names of all ports of a device, for messages.
pub(super) fn ports_of(rig: &Rig, tag: &str) -> String {
    let names: Vec<&str> = rig
        .device(tag)
        .map(|device| device.ports.iter().map(|port| port.name.as_str()).collect())
        .unwrap_or_default();
    if names.is_empty() { "no ports".to_owned() } else { names.join(", ") }
}

/// The port a run arrives at and the one it leaves by.
type Sides = (Option<PortRef>, Option<PortRef>);

/// What stands beside a stop.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Beside {
    /// Nothing: the run begins or ends here.
    Nothing,
    /// A source, a sink, or a device beside the board.
    Outside,
    /// A device on the board, or a stop that could not be read.
    Inside,
}

struct Passing<'a> {
    rig: &'a Rig,
    run: &'a str,
    carries: Carries,
    stops: &'a [Written],
}

impl Passing<'_> {
    fn name_at(&self, index: usize) -> Option<&str> {
        Some(self.stops.get(index)?.what.device())
    }

    /// Whether the stop before and the stop after are of the same device.
    fn same(&self, index: usize) -> (bool, bool) {
        let here = self.name_at(index);
        (0 < index && self.name_at(index - 1) == here, self.name_at(index + 1) == here)
    }

    fn is_last(&self, index: usize) -> bool {
        index + 1 == self.stops.len()
    }

    /// Sources and sinks stand at the ends of what carries signal.
    fn end(&self, index: usize, id: &str, written: &Written) -> Option<Problem> {
        // A name that two things share is a problem of its own.
        if self.carries != Carries::Signal || self.rig.device(id).is_some() {
            return None;
        }
        let name = shown(id);
        let (message, help) = if self.rig.source(id).is_some() && 0 < index {
            (format!("{name} is a source; a run begins there and cannot arrive"), "put it first")
        } else if self.rig.sink(id).is_some() && !self.is_last(index) {
            (
                format!("{name} is a sink; a run ends there and cannot go on"),
                "put it last, or begin another run",
            )
        } else {
            return None;
        };
        Some(Problem::new(written.at.clone(), message).help(help))
    }

    /// A device named without a port: the run passes it by its own input and output.
    fn device(&self, index: usize, tag: &str, written: &Written) -> Result<Sides, Problem> {
        let Some(device) = self.rig.device(tag) else { return Ok((None, None)) };
        let (from_same, to_same) = self.same(index);
        if device.role == Role::Panel {
            return self.panel(device, written);
        }
        let enters = 0 < index && !from_same;
        let leaves = !self.is_last(index) && !to_same;
        let arrives = enters.then(|| self.default_side(device, Flow::In, None)).flatten();
        let leaving = leaves.then(|| self.default_side(device, Flow::Out, arrives.as_ref())).flatten();
        let lacking = match (enters && arrives.is_none(), leaves && leaving.is_none()) {
            (true, _) => "enters",
            (_, true) => "leaves",
            _ => {
                // Beside a named port of its own, the other side lies within the device.
                let within = arrives.clone().or_else(|| leaving.clone());
                return Ok((arrives.or_else(|| within.clone()), leaving.or(within)));
            }
        };
        let tag = shown(tag);
        let message = format!("the run {lacking} {tag} but there is no port for it");
        let wanted = if lacking == "enters" { Flow::In } else { Flow::Out };
        let fitting: Vec<String> = device
            .ports
            .iter()
            .filter(|port| device.flow(port, self.carries).is_some_and(|flow| passes(flow, wanted)))
            .map(|port| format!("`{tag}.{}`", port.name))
            .collect();
        let help = if fitting.is_empty() {
            format!("name the port, such as `{tag}.NAME`; {tag} has {}", ports_of(self.rig, &device.tag))
        } else {
            format!("name one: {}", fitting.join(", "))
        };
        Err(Problem::new(written.at.clone(), message).help(help))
    }

    /// A panel named without a jack: that is its only one for this, or nobody knows which.
    fn panel(&self, device: &Device, written: &Written) -> Result<Sides, Problem> {
        let jacks: Vec<&Port> =
            device.ports.iter().filter(|port| device.flow(port, self.carries).is_some()).collect();
        if let [only] = jacks[..] {
            let own = Some(PortRef::new(&device.tag, &only.name));
            return Ok((own.clone(), own));
        }
        let tag = shown(&device.tag);
        let message = match jacks.len() {
            0 => format!("panel {tag} has no jack for {}", self.carries.word()),
            count => format!("panel {tag} has {count} jacks for {}", self.carries.word()),
        };
        let names = jacks.iter().map(|jack| format!("`{tag}.{}`", jack.name)).collect::<Vec<_>>();
        let help = if names.is_empty() {
            format!("it has {}", ports_of(self.rig, &device.tag))
        } else {
            format!("name one: {}", names.join(", "))
        };
        Err(Problem::new(written.at.clone(), message).help(help))
    }

    /// A pair of ports of one device the wrong way round: one slip, told once.
    fn backwards(&self, index: usize, port: &PortRef, written: &Written) -> Option<Problem> {
        let next = self.stops.get(index + 1)?;
        let Named::Port(second) = &next.what else { return None };
        let device = self.rig.device(&port.device)?;
        let (from_same, to_same) = self.same(index);
        let pair = to_same && !from_same && !self.same(index + 1).1;
        if !pair || device.role == Role::Panel {
            return None;
        }
        let flow = |port: &PortRef| device.flow(device.port(&port.port)?, self.carries);
        if flow(port)? != Flow::Out || flow(second)? != Flow::In {
            return None;
        }
        let phrase = |port: &PortRef| self.phrase(port);
        let at = At { end: next.at.end.max(written.at.end), ..written.at.clone() };
        let tag = shown(&device.tag);
        let message = format!(
            "the run passes {tag} backwards: {} is {}, {} is {}",
            shown(&port.to_string()),
            phrase(port),
            shown(&second.to_string()),
            phrase(second)
        );
        Some(Problem::new(at, message).help(format!(
            "write `{}`, `{}`",
            shown(&second.to_string()),
            shown(&port.to_string())
        )))
    }

    /// A port that is named.
    fn port(&self, index: usize, named: &PortRef, written: &Written) -> Result<Sides, Problem> {
        let own = Some(named.clone());
        let as_it_stands = (own.clone(), own.clone());
        let found =
            self.rig.device(&named.device).and_then(|device| Some((device, device.port(&named.port)?)));
        let Some((device, port)) = found else { return Ok(as_it_stands) };
        // A port of unknown role is taken as it stands; a rule says that its role is unknown.
        if port.role.is_unknown() {
            return Ok(as_it_stands);
        }
        let Some(flow) = device.flow(port, self.carries) else {
            let message = format!(
                "{} is {}; run `{}` carries {}",
                shown(&named.to_string()),
                self.phrase(named),
                shown(self.run),
                self.carries.word()
            );
            return Err(self.refuse(written, message, device, Flow::Both, named));
        };
        if device.role == Role::Panel {
            return self.wall(index, device, named, flow, written).map(|()| as_it_stands);
        }
        let (from_same, to_same) = self.same(index);
        let (first, last) = (index == 0, self.is_last(index));
        let (enters, leaves) = match (from_same, to_same) {
            (true, true) => return Ok(as_it_stands),
            (false, true) => (true, false),
            (true, false) => (false, true),
            (false, false) => (!first, !last),
        };
        let says = |what: &str| {
            format!(
                "{} is {}; the run {what} {} here",
                shown(&named.to_string()),
                self.phrase(named),
                shown(&device.tag)
            )
        };
        if enters && !leaves && !flow.takes() {
            return Err(self.refuse(written, says("enters"), device, Flow::In, named));
        }
        if leaves && !enters && !flow.gives() {
            return Err(self.refuse(written, says("leaves"), device, Flow::Out, named));
        }
        if !(enters && leaves) {
            return Ok(as_it_stands);
        }
        // Alone in the middle: it says one side by its direction, and the other is the device's own.
        let through =
            port.role.value == Some(PortRole::Through) || device.insert_on_jack(&port.name).is_some();
        match flow {
            Flow::Both if through => Ok(as_it_stands),
            Flow::Both => {
                let message = format!("the run would enter and leave {} by one jack", shown(&device.tag));
                let mut problem = self.refuse(written, message, device, Flow::Both, named);
                if let Some(help) = &mut problem.help {
                    *help = format!("name the jack where it enters and the jack where it leaves; {help}");
                }
                Err(problem)
            }
            Flow::In => match self.default_side(device, Flow::Out, own.as_ref()) {
                Some(out) => Ok((own, Some(out))),
                None => Err(self.refuse(written, says("leaves"), device, Flow::Out, named)),
            },
            Flow::Out => match self.default_side(device, Flow::In, own.as_ref()) {
                Some(input) => Ok((Some(input), own)),
                None => Err(self.refuse(written, says("enters"), device, Flow::In, named)),
            },
        }
    }

    /// A jack of a panel passes the wall. One whose role tells a direction passes it that way only: inputs and returns
    /// inwards, outputs and sends outwards.
    fn wall(
        &self,
        index: usize,
        device: &Device,
        named: &PortRef,
        flow: Flow,
        written: &Written,
    ) -> Result<(), Problem> {
        let (from_same, to_same) = self.same(index);
        if from_same || to_same {
            return Ok(());
        }
        let before = if index == 0 { Beside::Nothing } else { self.beside(index - 1) };
        let after = if self.is_last(index) { Beside::Nothing } else { self.beside(index + 1) };
        let (wrong, goes, wanted) = match flow {
            Flow::In => (before != Beside::Outside && after != Beside::Inside, "out", Flow::Out),
            Flow::Out => (before != Beside::Inside && after != Beside::Outside, "in", Flow::In),
            Flow::Both => (false, "", Flow::Both),
        };
        if !wrong {
            return Ok(());
        }
        let message = format!(
            "{} is {} of the panel; the run goes {goes} through the wall here",
            shown(&named.to_string()),
            self.phrase(named)
        );
        Err(self.refuse(written, message, device, wanted, named))
    }

    fn beside(&self, index: usize) -> Beside {
        match self.stops.get(index).map(|written| &written.what) {
            Some(Named::End(_)) => Beside::Outside,
            Some(Named::Device(tag) | Named::Port(PortRef { device: tag, .. }))
                if self.rig.device(tag).is_some_and(Device::is_beside_board) =>
            {
                Beside::Outside
            }
            _ => Beside::Inside,
        }
    }

    /// Sides that a stop did not name, but another stop of the run has already.
    fn taken(&self, found: &[(usize, Stop)]) -> Vec<Problem> {
        let mut problems = Vec::new();
        for (index, stop) in found {
            let Some(written) = self.stops.get(*index) else { continue };
            let Named::Port(named) = &written.what else { continue };
            if self.same(*index) != (false, false) {
                continue;
            }
            let Some(device) = self.rig.device(&named.device) else { continue };
            for (side, what, wanted) in
                [(&stop.arrives, "enters", Flow::In), (&stop.leaves, "leaves", Flow::Out)]
            {
                let Some(side) = side.as_ref().filter(|side| *side != named) else { continue };
                let elsewhere = found.iter().any(|(other, stop)| {
                    let (from_same, to_same) = self.same(*other);
                    let met = match wanted {
                        Flow::In => stop.arrives.as_ref().filter(|_| !from_same),
                        _ => stop.leaves.as_ref().filter(|_| !to_same),
                    };
                    other != index && met == Some(side)
                });
                if elsewhere {
                    let message = format!(
                        "{} is {}; the run {what} {} here, and another stop has {} already",
                        shown(&named.to_string()),
                        self.phrase(named),
                        shown(&device.tag),
                        shown(&side.to_string())
                    );
                    let mut problem = self.refuse(written, message, device, wanted, side);
                    problem.at = written.at.clone();
                    problems.push(problem);
                }
            }
        }
        problems
    }

    /// Inputs and outputs that a run names twice: it would go through one jack a second time.
    fn twice(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        for (index, written) in self.stops.iter().enumerate() {
            let Named::Port(port) = &written.what else { continue };
            let named = |other: &Written| matches!(&other.what, Named::Port(named) if named == port);
            let Some(device) = self.rig.device(&port.device) else { continue };
            let one_way = device
                .port(&port.port)
                .is_some_and(|port| matches!(port.role.value, Some(PortRole::In | PortRole::Out)));
            let sends_and_returns =
                device.inserts.iter().any(|insert| insert.send == port.port || insert.back == port.port);
            if device.role != Role::Panel
                && one_way
                && !sends_and_returns
                && self.stops.iter().take(index).any(named)
            {
                let message =
                    format!("run {} names {} a second time", shown(self.run), shown(&port.to_string()));
                let help =
                    "a jack takes one plug; for a second pass through the device name other jacks of it";
                problems.push(Problem::new(written.at.clone(), message).help(help));
            }
        }
        problems
    }

    /// A problem with the ports that would do, other than `not`.
    fn refuse(
        &self,
        written: &Written,
        message: String,
        device: &Device,
        wanted: Flow,
        not: &PortRef,
    ) -> Problem {
        let fits = |flow: Flow| passes(flow, wanted);
        let tag = shown(&device.tag);
        let names: Vec<String> = device
            .ports
            .iter()
            .filter(|port| port.name != not.port && device.flow(port, self.carries).is_some_and(fits))
            .map(|port| format!("`{tag}.{}`", port.name))
            .collect();
        let help = match &names[..] {
            [] => {
                let side = match wanted {
                    Flow::In => "jack to enter by",
                    Flow::Out => "jack to leave by",
                    Flow::Both => "other jack for it",
                };
                format!("{tag} has no {side}: its ports are {}", ports_of(self.rig, &device.tag))
            }
            [one] => format!("write {one}"),
            many => format!("write one of {}", many.join(", ")),
        };
        Problem::new(written.at.clone(), message).help(help)
    }

    fn phrase(&self, port: &PortRef) -> String {
        let Some(port) = self.rig.port(port) else { return "not there".to_owned() };
        let mains = port.connector.as_ref().filter(|c| c.family == rig::ConnectorFamily::Mains);
        match (mains, port.role.value) {
            (Some(connector), _) => format!("{} {}", article(&connector.title), connector.title),
            (None, Some(role)) => role.phrase().to_owned(),
            (None, None) => "of unknown role".to_owned(),
        }
    }

    /// The port by which a run enters or leaves a device where it does not say: of those for what it carries the one
    /// that belongs to the other side (`IN_R` and `OUT_R`), else the first. It is never the other side itself, except
    /// where a jack leads through.
    fn default_side(&self, device: &Device, side: Flow, other: Option<&PortRef>) -> Option<PortRef> {
        let roles: &[PortRole] = match (self.carries, side) {
            (Carries::Signal, Flow::In) => &[PortRole::In, PortRole::Through],
            (Carries::Signal, _) => &[PortRole::Out, PortRole::Through],
            (Carries::Expression, _) => &[PortRole::Expression],
            (Carries::Control, _) => &[PortRole::Control, PortRole::Expression],
            (Carries::Midi, Flow::In) => &[PortRole::MidiIn],
            (Carries::Midi, _) => &[PortRole::MidiThru, PortRole::MidiOut],
            (Carries::Usb, _) => &[PortRole::Usb],
            (Carries::Mains, _) => &[PortRole::Mains],
        };
        let suffix = |name: &str| name.rsplit_once('_').map(|(_, suffix)| suffix.to_owned());
        let wanted = other.and_then(|other| suffix(&other.port));
        roles.iter().find_map(|role| {
            let ports: Vec<&Port> = device
                .ports
                .iter()
                .filter(|port| port.role.value == Some(*role))
                .filter(|port| {
                    *role == PortRole::Through || other.is_none_or(|other| other.port != port.name)
                })
                .filter(|port| device.flow(port, self.carries).is_some_and(|flow| passes(flow, side)))
                .collect();
            // Which socket of a strip it is matters, and is said.
            if self.carries == Carries::Mains && side == Flow::Out && 1 < ports.len() {
                return None;
            }
            let partner = ports.iter().find(|port| wanted.is_some() && suffix(&port.name) == wanted);
            let port = partner.or_else(|| ports.first())?;
            Some(PortRef::new(&device.tag, &port.name))
        })
    }
}

/// Whether something passes the way that is wanted through a port of such a direction.
fn passes(flow: Flow, wanted: Flow) -> bool {
    match wanted {
        Flow::In => flow.takes(),
        Flow::Out => flow.gives(),
        Flow::Both => true,
    }
}
