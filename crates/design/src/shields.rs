//! What the engine for screens is given: the metal of the board, what joins it, and what stands on the protective earth.

use ::shields::{Config, End, Input, Join, JoinKind, Outcome, Use, UseOutcome};
use rig::{Carries, ConnectorFamily, Isolation, LeadClass, Port, PortRef, Role, Run, Sink};

use crate::Design;

/// The use in which everything is plugged in.
const ALL_IN: &str = "everything plugged in";

/// The uses that a board is judged by: those that the document states, else that with everything plugged in.
pub fn judged(outcome: &Outcome) -> impl Iterator<Item = &UseOutcome> {
    let all = outcome.uses.iter().any(|one| one.name == ALL_IN);
    outcome.uses.iter().filter(move |one| !all || one.name == ALL_IN)
}

/// Which panel jacks join the panel's wall, where the document does not say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unsaid {
    /// They are taken as insulated.
    Insulated,
    /// They are taken as bonded.
    Bonded,
}

impl Design {
    /// The loops through screens, with everything that is not known taken as harmless.
    pub fn shields(&self) -> Outcome {
        self.shields_with(Unsaid::Insulated)
    }

    /// The same, with panel jacks of which nobody knows taken one way or the other.
    pub fn shields_with(&self, unsaid: Unsaid) -> Outcome {
        ::shields::solve(&self.shield_input(unsaid), &self.shield_config())
    }

    /// The figures that the engine goes by: those of the job's mains.
    pub fn shield_config(&self) -> Config {
        let usual = Config::default();
        let hertz = self.rig.job.mains.as_ref().map_or(usual.hertz, |mains| mains.hertz.get());
        Config { hertz, ..usual }
    }

    /// The metal of the board and what joins it.
    pub fn shield_input(&self, unsaid: Unsaid) -> Input {
        Maker { design: self, unsaid, out: Input::default() }.input()
    }
}

struct Maker<'a> {
    design: &'a Design,
    unsaid: Unsaid,
    out: Input,
}

impl Maker<'_> {
    fn input(mut self) -> Input {
        let rig = &self.design.rig;
        for run in &rig.runs {
            let kind = match run.carries {
                Carries::Signal => JoinKind::Screen,
                Carries::Control => JoinKind::Control,
                Carries::Usb => JoinKind::Usb,
                Carries::Expression | Carries::Midi | Carries::Mains => continue,
            };
            for (from, to) in run.steps() {
                self.screen(kind, from, to);
            }
        }
        for panel in rig.by_tag().into_iter().filter(|device| device.role == Role::Panel) {
            for port in &panel.ports {
                if !self.is_bonded(port) {
                    continue;
                }
                let own = PortRef::new(&panel.tag, &port.name).to_string();
                let (a, b) = (self.piece(&panel.tag), self.piece(&own));
                self.out.joins.push(Join::new(&format!("wall at {own}"), JoinKind::Bond, a, b));
            }
        }
        self.negatives();
        let mut sinks: Vec<&Sink> = rig.sinks.iter().collect();
        sinks.sort_by(|a, b| a.id.cmp(&b.id));
        for sink in sinks {
            let piece = self.piece(&sink.id);
            self.out.ends.push(End { id: sink.id.clone(), piece, earthed: sink.earthed.value });
        }
        self.bricks();
        if rig.uses.is_empty() {
            self.uses();
        } else {
            self.stated_uses();
        }
        self.out
    }

    /// Bricks whose joined negatives stand on the protective earth: ends in every use, as the board is always fed.
    fn bricks(&mut self) {
        for brick in self.design.rig.by_tag() {
            if brick.power.earthed.value == Some(true) {
                let piece = self.piece(&brick.tag);
                self.out.ends.push(End::earthed(&brick.tag, piece));
            }
        }
    }

    /// The uses that the document states, with every earthed brick.
    fn stated_uses(&mut self) {
        let ends = &self.out.ends;
        let rig = &self.design.rig;
        let of = |own: &rig::PluggedIn| -> Vec<usize> {
            let is_in = |end: &End| own.ends.contains(&end.id) || rig.device(&end.id).is_some();
            (0..ends.len()).filter(|at| is_in(&ends[*at])).collect()
        };
        let uses = rig.uses.iter().map(|own| Use { name: own.name.clone(), ends: of(own) }).collect();
        self.out.uses = uses;
    }

    fn piece(&mut self, name: &str) -> usize {
        if let Some(at) = self.out.pieces.iter().position(|own| own == name) {
            return at;
        }
        self.out.pieces.push(name.to_owned());
        self.out.pieces.len() - 1
    }

    /// The piece that a port's screen belongs to.
    ///
    /// A device whose outputs a transformer isolates has two. A panel has one for each jack: its wall joins those that are
    /// not insulated.
    fn of(&mut self, port: &PortRef) -> usize {
        let rig = &self.design.rig;
        let Some(device) = rig.device(&port.device) else { return self.piece(&port.device) };
        let role = rig.port(port).and_then(|port| port.role.value);
        if device.role == Role::Panel {
            self.piece(&port.to_string())
        } else if device.signal.transformer.value == Some(true)
            && role.is_some_and(|role| role.gives_signal() && !role.takes_signal())
        {
            self.piece(&format!("{} outputs", port.device))
        } else {
            self.piece(&port.device)
        }
    }

    fn is_bonded(&self, port: &Port) -> bool {
        match self.unsaid {
            Unsaid::Insulated => port.insulated.value == Some(false),
            Unsaid::Bonded => port.insulated.value != Some(true),
        }
    }

    fn screen(&mut self, kind: JoinKind, from: &PortRef, to: &PortRef) {
        let rig = &self.design.rig;
        let is_lifted = |port: &PortRef| rig.port(port).is_some_and(|port| port.lifted.value == Some(true));
        if is_lifted(from) || is_lifted(to) {
            return;
        }
        let is_xlr = |port: &PortRef| {
            let connector = rig.port(port).and_then(|port| port.connector.as_ref());
            connector.is_some_and(|connector| connector.family == ConnectorFamily::Xlr)
        };
        let design = self.design;
        let lead =
            design.leads.iter().find(|lead| lead.flows.iter().any(|flow| flow.0 == *from && flow.1 == *to));
        let (a, b) = (self.of(from), self.of(to));
        let name = lead.map_or_else(|| format!("{from} > {to}"), |lead| lead.tag.clone());
        let mut join = Join::new(&name, kind, a, b);
        join.balanced = is_xlr(from) || is_xlr(to);
        if let Some(lead) = lead {
            if lead.outside {
                join.outside_m = lead.cut.value.map_or(0.0, |cut| cut.as_mm() / 1000.0);
            } else if lead.laid && !lead.is_joined() {
                let way = design.routes().way(&lead.tag);
                join.route = way.map(|laid| laid.path.clone()).unwrap_or_default();
                // Ways run from the lead's first end.
                if lead.from().port == *to {
                    join.route.reverse();
                }
            }
        }
        self.out.joins.push(join);
    }

    /// Devices whose negatives are one: on one outlet, or on outlets of a bank that are joined.
    fn negatives(&mut self) {
        let rig = &self.design.rig;
        for device in rig.by_tag() {
            for outlet in device.feed.iter().flat_map(|feed| &feed.outlets) {
                let given = rig.device(&outlet.device).and_then(|brick| brick.outlet(&outlet.port));
                let Some(given) = given else { continue };
                let node = match (given.isolation.value, &given.bank) {
                    (Some(Isolation::Joined), Some(bank)) => format!("{} negative of {bank}", outlet.device),
                    (Some(Isolation::Joined), None) => format!("{} negative", outlet.device),
                    _ => format!("{outlet} negative"),
                };
                let leads = &self.design.leads;
                let lead = leads.iter().find(|lead| lead.class == LeadClass::Dc && lead.feeds(&device.tag));
                let Some(lead) = lead.map(|lead| lead.tag.clone()) else { continue };
                let (a, b) = (self.piece(&device.tag), self.piece(&node));
                self.out.joins.push(Join::new(
                    &format!("{lead} at {}", device.tag),
                    JoinKind::Negative,
                    a,
                    b,
                ));
                let is_joined = given.isolation.value == Some(Isolation::Joined);
                let is_earthed =
                    rig.device(&outlet.device).is_some_and(|brick| brick.power.earthed.value == Some(true));
                let name = format!("{node} to earth");
                if is_joined && is_earthed && self.out.joins.iter().all(|join| join.id != name) {
                    let case = self.piece(&outlet.device);
                    self.out.joins.push(Join::new(&name, JoinKind::Bond, b, case));
                }
            }
        }
    }

    /// One amp, two amps, a desk, a computer: as the board's ends have it.
    fn uses(&mut self) {
        let rig = &self.design.rig;
        let of = |is: &dyn Fn(&Sink) -> bool| -> Vec<usize> {
            let ends = self.out.ends.iter().enumerate();
            ends.filter(|(_, end)| rig.sink(&end.id).is_some_and(is)).map(|(at, _)| at).collect()
        };
        let carries = |sink: &Sink, is: &dyn Fn(&Run) -> bool| {
            let mut runs = rig.runs.iter().filter(|run| is(run));
            runs.any(|run| run.steps().any(|(from, to)| from.device == sink.id || to.device == sink.id))
        };
        let is_usb = |sink: &Sink| carries(sink, &|run| run.carries == Carries::Usb);
        let is_heard = |sink: &Sink| carries(sink, &|run| run.carries == Carries::Signal);
        let is_amp = |sink: &Sink| is_heard(sink) && !is_usb(sink) && sink.is_amp();
        let amps = of(&is_amp);
        let desks = of(&|sink: &Sink| is_heard(sink) && !is_amp(sink) && !is_usb(sink));
        let computers = of(&is_usb);
        let mut uses = Vec::new();
        let mut add = |name: &str, ends: Vec<usize>| {
            if 1 < ends.len() && uses.iter().all(|own: &Use| own.ends != ends) {
                uses.push(Use { name: name.to_owned(), ends });
            }
        };
        add("two amps", amps.iter().copied().take(2).collect());
        let first = || amps.first().copied().into_iter();
        add("desk feed", first().chain(desks.iter().copied()).collect());
        add("computer", first().chain(computers.iter().copied()).collect());
        // Whoever asks for everything finds it last, under its own name.
        uses.push(Use { name: ALL_IN.to_owned(), ends: (0..self.out.ends.len()).collect() });
        self.out.uses = uses;
    }
}
