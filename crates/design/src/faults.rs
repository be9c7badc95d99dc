//! What the engine for faults is given: the one network of signal in a state, with the parts that each piece of it needs,
//! and what powers what.

use std::collections::{BTreeMap, BTreeSet};

use ::faults::{End, Input, Jack, Kind, Link, OffState, Part, Powered};
use rig::geometry::EndKind;
use rig::{Bypass, Carries, Device, FeedKind, LeadClass, Nature, Outlet, PortRef, Role};
use signal::model::{Circuit, EARTH, Model};

use crate::Design;

/// The name of the state with everything on, where the document names none.
pub const ALL_ON: &str = "everything on";

impl Design {
    /// The board as the engine for faults sees it: in a named state, or the first in which something is heard at the sink.
    ///
    /// `sink` names where the complaint is; left out, the first that hears anything.
    pub fn fault_input(&self, state: Option<&str>, sink: Option<&str>) -> Input {
        Maker::new(self).input(state, sink)
    }

    /// The names of the states that a complaint can be of.
    pub fn fault_states(&self) -> Vec<String> {
        let named = self.rig.states.iter().map(|state| state.name.clone());
        named.chain([ALL_ON.to_owned()]).collect()
    }
}

struct Maker<'a> {
    design: &'a Design,
    signal: signal::Input<'a>,
    config: signal::Config,
    model: Model,
    parts: Vec<Part>,
    /// Places of parts by their ids.
    by_id: BTreeMap<String, usize>,
}

impl<'a> Maker<'a> {
    fn new(design: &'a Design) -> Self {
        let signal = design.signal_input();
        let config = design.signal_config();
        let model = signal::network(&signal, &config);
        Self { design, signal, config, model, parts: Vec::new(), by_id: BTreeMap::new() }
    }

    fn input(mut self, state: Option<&str>, sink: Option<&str>) -> Input {
        let all: Vec<String> = match signal::everything_on(&self.signal, &self.config).into_iter().next() {
            Some(whole) => whole.engaged,
            None => Vec::new(),
        };
        let mut states: Vec<(String, Vec<String>)> =
            self.design.rig.states.iter().map(|state| (state.name.clone(), state.engaged.clone())).collect();
        states.push((ALL_ON.to_owned(), all));
        let circuits: Vec<Circuit> = states.iter().map(|(_, engaged)| self.circuit(engaged)).collect();
        // Parts have the same places whatever the state: everything on is asked first.
        let powered = self.powered();
        let chains: BTreeMap<String, Vec<usize>> =
            powered.iter().map(|one| (one.device.clone(), one.chain.clone())).collect();
        let ends = circuits.first().map(|first| self.ends(first)).unwrap_or_default();
        let (sources, sinks) = ends;
        let links: Vec<Vec<Link>> =
            circuits.iter().map(|circuit| self.links(circuit, &chains, &sinks)).collect();
        let nodes = circuits.first().map_or(0, |first| first.nodes.len()) + sinks.len();
        let mut input = Input { nodes, sources, sinks, ..Input::default() };
        input.earth_loops = self.earth_loops(&input.sinks);
        let sink = sink.and_then(|id| input.sinks.iter().position(|end| end.id == id));
        let asked = state.and_then(|name| states.iter().position(|(own, _)| own == name));
        let plays = |at: usize| reaches(&input, &links[at], sink);
        let chosen = asked.or_else(|| (0..states.len()).find(|at| plays(*at))).unwrap_or(0);
        let bypassed = self.circuit(&[]);
        let bypassed = self.links(&bypassed, &chains, &input.sinks);
        input.other = if reaches(&input, &bypassed, sink) {
            bypassed
        } else {
            let other = (0..states.len()).find(|at| *at != chosen && plays(*at));
            other.map(|at| links[at].clone()).unwrap_or_default()
        };
        let (name, engaged) = &states[chosen];
        input.state.clone_from(name);
        input.links.clone_from(&links[chosen]);
        for device in self.design.rig.by_tag() {
            if engaged.contains(&device.tag) && is_switched(device) {
                let without: Vec<String> =
                    engaged.iter().filter(|tag| **tag != device.tag).cloned().collect();
                let circuit = self.circuit(&without);
                let links = self.links(&circuit, &chains, &input.sinks);
                input.off.push(OffState { device: device.tag.clone(), links });
            }
        }
        input.jacks = circuits.get(chosen).map(|circuit| self.jacks(circuit)).unwrap_or_default();
        input.powered = powered;
        input.parts = self.parts;
        input
    }

    /// The network with these on.
    fn circuit(&self, engaged: &[String]) -> Circuit {
        let on = signal::on_in_states(&self.signal, &self.config, [engaged])
            .into_iter()
            .next()
            .unwrap_or_default();
        let position = |switch: &signal::model::Switch| {
            let last = switch.positions.len().saturating_sub(1);
            u8::try_from(if on.contains(&switch.name) { last } else { 0 }).unwrap_or(0)
        };
        self.model.circuit(&self.model.switches.iter().map(position).collect::<Vec<_>>())
    }

    /// The place of a part, which is made when it is first asked for.
    fn part(&mut self, id: &str, kind: Kind, device: Option<&str>) -> usize {
        if let Some(at) = self.by_id.get(id) {
            return *at;
        }
        let title = self.title(id, kind);
        self.parts.push(Part { id: id.to_owned(), kind, title, device: device.map(str::to_owned) });
        self.by_id.insert(id.to_owned(), self.parts.len() - 1);
        self.parts.len() - 1
    }

    fn title(&self, id: &str, kind: Kind) -> String {
        let rig = &self.design.rig;
        let named = |device: Option<&Device>| {
            device.map(|device| device.title.clone()).filter(|title| !title.is_empty())
        };
        match kind {
            Kind::Lead | Kind::PowerLead | Kind::MainsLead => {
                let lead = self.design.leads.iter().find(|lead| lead.tag == id);
                lead.map_or_else(|| id.to_owned(), |lead| format!("lead {id}, {}", lead.route_words()))
            }
            Kind::Jack => format!("jack {id}"),
            Kind::Normal => format!("normal of {id}"),
            Kind::Outlet => format!("outlet {id}"),
            Kind::Switch | Kind::Adaptor | Kind::EarthLoop => id.to_owned(),
            Kind::Source => rig.source(id).map_or_else(|| id.to_owned(), |source| source.title.clone()),
            Kind::Sink => rig.sink(id).map_or_else(|| id.to_owned(), |sink| sink.title.clone()),
            Kind::Device | Kind::Brick | Kind::Strip => {
                named(rig.device(id)).map_or_else(|| id.to_owned(), |title| format!("{id}, {title}"))
            }
        }
    }

    fn jack(&mut self, port: &PortRef) -> Option<usize> {
        self.design.rig.port(port)?;
        Some(self.part(&port.to_string(), Kind::Jack, Some(&port.device)))
    }

    /// Where sound begins and ends.
    fn ends(&mut self, circuit: &Circuit) -> (Vec<End>, Vec<End>) {
        let leads_at = |design: &Design, id: &str| -> Vec<String> {
            let own = design.leads.iter().filter(|lead| lead.class == LeadClass::Signal);
            own.filter(|lead| lead.ends.iter().any(|end| end.port.device == id))
                .map(|lead| lead.tag.clone())
                .collect()
        };
        let mut out: [Vec<End>; 2] = [Vec::new(), Vec::new()];
        let of = [(&circuit.sources, Kind::Source), (&circuit.sinks, Kind::Sink)];
        let mut extra = circuit.nodes.len();
        for (place, (terminals, kind)) in of.into_iter().enumerate() {
            for terminal in terminals {
                let leads = leads_at(self.design, &terminal.id);
                if leads.is_empty() {
                    continue;
                }
                let leads = leads.iter().map(|tag| self.part(tag, Kind::Lead, None)).collect();
                let part = self.part(&terminal.id, kind, None);
                let mut node = terminal.node;
                if kind == Kind::Sink {
                    // Behind the jack of the amp stands the amp, which may be at fault too.
                    node = extra;
                    extra += 1;
                }
                out[place].push(End { id: terminal.id.clone(), node, part, leads });
            }
        }
        let [sources, sinks] = out;
        (sources, sinks)
    }

    /// Earths of two ends that meet in the screens: each way round, as either may be where it hums.
    fn earth_loops(&mut self, sinks: &[End]) -> Vec<(usize, usize, usize)> {
        let outcome = self.design.shields();
        let place = |id: &str| sinks.iter().position(|end| end.id == id);
        let mut out = Vec::new();
        for one in crate::judged(&outcome).flat_map(|one| &one.loops) {
            let (Some(a), Some(b)) = (place(&one.ends[0]), place(&one.ends[1])) else { continue };
            let part =
                self.part(&format!("earths of {} and {}", one.ends[0], one.ends[1]), Kind::EarthLoop, None);
            if !out.contains(&(a, b, part)) {
                out.extend([(a, b, part), (b, a, part)]);
            }
        }
        out
    }

    /// The network of one state as links.
    fn links(
        &mut self,
        circuit: &Circuit,
        chains: &BTreeMap<String, Vec<usize>>,
        sinks: &[End],
    ) -> Vec<Link> {
        let mut out = Vec::new();
        for element in &circuit.elements {
            if element.a == EARTH || element.b == EARTH {
                continue;
            }
            let parts = self.parts_of(&element.name);
            let wire = is_wire(element.part);
            out.push(Link { from: element.a, to: element.b, both: true, wire, parts });
        }
        for stage in &circuit.stages {
            let mut parts = Vec::new();
            if let Some(device) = self.design.rig.device(&stage.device) {
                parts.push(self.part(&device.tag, Kind::Device, Some(&device.tag)));
                if matches!(device.signal.bypass.value, Some(Bypass::Hard | Bypass::Relay))
                    && is_switched(device)
                {
                    parts.push(self.switch(&device.tag));
                }
                parts.extend(chains.get(&device.tag).into_iter().flatten());
            }
            for input in &stage.inputs {
                out.push(Link {
                    from: *input,
                    to: stage.output,
                    both: false,
                    wire: false,
                    parts: parts.clone(),
                });
            }
        }
        for sink in sinks {
            let terminal = circuit.sinks.iter().find(|terminal| terminal.id == sink.id);
            if let Some(terminal) = terminal {
                out.push(Link {
                    from: terminal.node,
                    to: sink.node,
                    both: false,
                    wire: false,
                    parts: vec![sink.part],
                });
            }
        }
        out
    }

    fn switch(&mut self, tag: &str) -> usize {
        self.part(&format!("switch of {tag}"), Kind::Switch, Some(tag))
    }

    /// What an element of the network needs, by its name.
    fn parts_of(&mut self, name: &str) -> Vec<usize> {
        let design = self.design;
        if let Some(lead) = name.strip_suffix(" core") {
            if let Some(port) = lead.strip_suffix(" leg") {
                let found =
                    design.leads.iter().find(|own| own.ends.iter().any(|end| end.port.to_string() == port));
                return found.map(|own| self.lead_parts(own, &[port])).unwrap_or_default();
            }
            if let Some((from, to)) = lead.split_once(" > ") {
                let is_it =
                    |flow: &(PortRef, PortRef)| flow.0.to_string() == from && flow.1.to_string() == to;
                let found = design.leads.iter().find(|own| own.flows.iter().any(is_it));
                if let Some(own) = found {
                    return self.lead_parts(own, &[from, to]);
                }
            }
        }
        if let Some((from, to)) = name.split_once(" > ") {
            let (to, what) = to.rsplit_once(' ').unwrap_or((to, ""));
            let (from, to) = (port_of(from), port_of(to));
            if let Some(insert) = design.rig.device(&from.device).and_then(|device| {
                let mut own = device.inserts.iter();
                own.find(|insert| {
                    [&insert.send, &insert.back].iter().any(|port| **port == from.port || **port == to.port)
                })
            }) && what == "normal"
            {
                let id = format!("{}.{}", from.device, insert.name);
                return vec![self.part(&id, Kind::Normal, Some(&from.device))];
            }
            return [from, to].iter().filter_map(|port| self.jack(port)).collect();
        }
        let first = name.split(' ').next().unwrap_or_default();
        let tag = first.split('.').next().unwrap_or_default();
        if let Some(device) = design.rig.device(tag) {
            if name == format!("{tag} contact") {
                return vec![self.switch(tag)];
            }
            if device.role == Role::Panel {
                return Vec::new();
            }
            return vec![self.part(tag, Kind::Device, Some(tag))];
        }
        if design.rig.source(tag).is_some() {
            return vec![self.part(tag, Kind::Source, None)];
        }
        Vec::new()
    }

    fn lead_parts(&mut self, lead: &crate::Lead, ports: &[&str]) -> Vec<usize> {
        let mut out = vec![self.part(&lead.tag, Kind::Lead, None)];
        for end in lead.ends.iter().filter(|end| ports.contains(&end.port.to_string().as_str())) {
            out.extend(self.jack(&end.port));
        }
        out
    }

    /// Jacks that a lead can be plugged into by hand.
    fn jacks(&mut self, circuit: &Circuit) -> Vec<Jack> {
        let design = self.design;
        let node = |port: &PortRef| {
            let name = port.to_string();
            circuit.nodes.iter().position(|own| *own == name)
        };
        let mut out: Vec<Jack> = Vec::new();
        for lead in design.leads.iter().filter(|lead| lead.class == LeadClass::Signal) {
            for end in lead.ends.iter().filter(|end| end.has_plug() && !end.inner) {
                let Some(node) = node(&end.port) else { continue };
                let pulls = Some(self.part(&lead.tag, Kind::Lead, None));
                let Some(part) = self.jack(&end.port) else { continue };
                let port = end.port.to_string();
                if out.iter().all(|jack| jack.port != port) {
                    out.push(Jack {
                        port,
                        node,
                        part,
                        pulls,
                        opens: Vec::new(),
                        is_in: end.kind == EndKind::To,
                    });
                }
            }
        }
        // The empty return of an insert: a plug in it opens the normal, and nothing needs to be unplugged.
        for device in design.rig.by_tag() {
            for insert in device.inserts.iter().filter(|insert| !insert.is_on_one_jack()) {
                let port = PortRef::new(&device.tag, &insert.back);
                let (Some(node), Some(part)) = (node(&port), self.jack(&port)) else { continue };
                if out.iter().any(|jack| jack.port == port.to_string()) {
                    continue;
                }
                let id = format!("{}.{}", device.tag, insert.name);
                let Some(normal) = self.by_id.get(&id).copied() else { continue };
                out.push(Jack {
                    port: port.to_string(),
                    node,
                    part,
                    pulls: None,
                    opens: vec![normal],
                    is_in: true,
                });
            }
        }
        out
    }

    /// What powers what.
    fn powered(&mut self) -> Vec<Powered> {
        let mut out = Vec::new();
        for device in self.design.rig.by_tag() {
            if device.role != Role::Pedal && device.role != Role::Other {
                continue;
            }
            let mut chain = Vec::new();
            self.chain(&device.tag, &mut chain, &mut BTreeSet::new());
            if chain.is_empty() {
                continue;
            }
            let part = self.part(&device.tag, Kind::Device, Some(&device.tag));
            let outlet = self.outlet(device);
            let free = outlet.as_ref().and_then(|_| self.free(device));
            out.push(Powered { device: device.tag.clone(), part, chain, outlet, free });
        }
        out
    }

    /// Everything from a device's inlet to the wall.
    fn chain(&mut self, tag: &str, out: &mut Vec<usize>, seen: &mut BTreeSet<String>) {
        if !seen.insert(tag.to_owned()) {
            return;
        }
        let design = self.design;
        let Some(device) = design.rig.device(tag) else { return };
        let add = |out: &mut Vec<usize>, part: usize| {
            if !out.contains(&part) {
                out.push(part);
            }
        };
        let mut behind: Vec<String> = Vec::new();
        for lead in design.leads.iter().filter(|lead| lead.feeds(tag)) {
            let kind = if lead.class == LeadClass::Mains { Kind::MainsLead } else { Kind::PowerLead };
            for end in lead.ends.iter().filter(|end| end.port.device == tag && end.kind == EndKind::To) {
                if let Some(jack) = self.jack(&end.port) {
                    add(out, jack);
                }
            }
            let part = self.part(&lead.tag, kind, None);
            add(out, part);
        }
        if let Some(feed) = &device.feed {
            if feed.kind == FeedKind::Adaptor {
                let part = self.part(&format!("adaptor of {tag}"), Kind::Adaptor, Some(tag));
                add(out, part);
            }
            for outlet in &feed.outlets {
                let part = self.part(&outlet.to_string(), Kind::Outlet, Some(&outlet.device));
                add(out, part);
                behind.push(outlet.device.clone());
            }
        }
        let to_it = |lead: &&crate::Lead| {
            lead.class == LeadClass::Mains
                && lead.run.is_some()
                && lead.ends.iter().any(|end| end.kind == EndKind::To && end.port.device == tag)
        };
        for lead in design.leads.iter().filter(to_it) {
            let part = self.part(&lead.tag, Kind::MainsLead, None);
            add(out, part);
            let from = lead.ends.iter().filter(|end| end.kind == EndKind::From);
            behind.extend(from.map(|end| end.port.device.clone()));
        }
        for next in behind {
            if let Some(supply) = design.rig.device(&next) {
                let kind = if supply.role == Role::Brick { Kind::Brick } else { Kind::Strip };
                let part = self.part(&next, kind, Some(&next));
                add(out, part);
                self.chain(&next, out, seen);
            }
        }
    }

    /// The one outlet that feeds a device, with what it should read.
    fn outlet(&mut self, device: &Device) -> Option<(usize, String)> {
        let feed = device.feed.as_ref()?;
        let [only] = feed.outlets.as_slice() else { return None };
        let outlet = self.design.rig.device(&only.device)?.outlet(&only.port)?;
        let reads = reads(outlet)?;
        Some((self.part(&only.to_string(), Kind::Outlet, Some(&only.device)), reads))
    }

    /// A free outlet that gives the same as the one that feeds a device: same voltage, same polarity, as isolated, and enough.
    /// What is not known is not offered: somebody would plug in by it.
    fn free(&self, device: &Device) -> Option<String> {
        let rig = &self.design.rig;
        let only = device.feed.as_ref()?.outlets.first()?;
        let (brick, need) = (rig.device(&only.device)?, device.power.current.value?);
        let own = brick.outlet(&only.port)?;
        let used: BTreeSet<&PortRef> = rig
            .devices
            .iter()
            .filter_map(|device| device.feed.as_ref())
            .flat_map(|feed| &feed.outlets)
            .collect();
        for other in rig.by_tag() {
            for outlet in &other.outlets {
                let port = PortRef::new(&other.tag, &outlet.name);
                let enough = outlet
                    .setting()
                    .or(outlet.settings.first().filter(|_| outlet.settings.len() == 1))
                    .and_then(|setting| setting.current.value)
                    .is_some_and(|current| need <= current);
                let alike = volts(outlet).is_some()
                    && volts(outlet) == volts(own)
                    && outlet.nature.value.is_some()
                    && outlet.nature.value == own.nature.value
                    && other.outlet_sign(outlet).value == brick.outlet_sign(own).value
                    && (other.outlet_sign(outlet).value.is_some() || outlet.nature.value == Some(Nature::Ac))
                    && outlet.isolation.value == Some(rig::Isolation::Isolated);
                if !used.contains(&port) && enough && alike {
                    return Some(port.to_string());
                }
            }
        }
        None
    }
}

/// What is less is a wire: a short behind it silences what is before it. Common practice, no source.
const WIRE_OHMS: f64 = 100.0;

fn is_wire(part: signal::model::Part) -> bool {
    match part {
        signal::model::Part::Resistor(ohms) => ohms < WIRE_OHMS,
        signal::model::Part::Transformer { .. } => true,
        _ => false,
    }
}

/// Whether a foot can switch it off.
fn is_switched(device: &Device) -> bool {
    !matches!(device.signal.bypass.value, Some(Bypass::AlwaysOn) | None) && !device.signal.passive
}

fn port_of(text: &str) -> PortRef {
    match text.split_once('.') {
        Some((device, port)) => PortRef::new(device, port),
        None => PortRef::new(text, ""),
    }
}

fn volts(outlet: &Outlet) -> Option<quantity::Volts> {
    match outlet.settings.as_slice() {
        [only] => Some(outlet.set.value.unwrap_or(only.volts)),
        _ => outlet.set.value,
    }
}

fn reads(outlet: &Outlet) -> Option<String> {
    let kind = match outlet.nature.value? {
        Nature::Dc => "DC",
        Nature::Ac => "AC",
        // Nobody meters mains by this page.
        Nature::Mains | Nature::None => return None,
    };
    Some(format!("{} {kind}", volts(outlet)?))
}

/// Whether anything is heard at a sink, or at any where none is named.
fn reaches(input: &Input, links: &[Link], sink: Option<usize>) -> bool {
    let mut to = (0..input.sinks.len()).filter(|at| sink.is_none_or(|sink| sink == *at));
    let from =
        |at: usize| input.sources.iter().any(|source| ::faults::reaches(input, links, source.node, at));
    to.any(from)
}

/// The signal runs, for whoever shows where a complaint can be: the sinks that hear something, by id.
pub fn heard_sinks(input: &Input, rig: &rig::Rig) -> Vec<usize> {
    let ends = |id: &str| {
        rig.runs.iter().any(|run| {
            run.carries == Carries::Signal
                && run
                    .stops
                    .last()
                    .and_then(|stop| stop.arrives.as_ref())
                    .is_some_and(|port| port.device == id)
        })
    };
    (0..input.sinks.len()).filter(|at| ends(&input.sinks[*at].id)).collect()
}
