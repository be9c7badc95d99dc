//! From a rig and its leads to a network with switches.
//!
//! Each port that a signal run uses is a node. A lead is its capacitance, half at each end with the plug's, and its
//! resistance between. Devices, sources and sinks are in the modules below. Where the document says nothing a
//! stated figure is assumed, and the field is listed as lacking.

mod device;
mod ends;

use std::collections::{BTreeMap, BTreeSet};

use finding::Field;
use quantity::{Farads, Ohms};
use rig::{Cable, Carries, Known, PlugKind, PortRef, Rig, Run};

use crate::input::{BufferPlace, Config, End, Input};
use crate::model::{EARTH, Model, Node, Part};

/// A way signal takes from one port to another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Hop {
    pub(crate) from: PortRef,
    pub(crate) to: PortRef,
    /// The device it lies in; `None` for a lead.
    pub(crate) device: Option<String>,
    /// The loop that must be in for this way to hold.
    pub(crate) needs: Option<String>,
    /// The loops that must be out for this way to hold.
    pub(crate) past: Vec<String>,
}

/// A network with what it took to make it.
#[derive(Debug, Clone)]
pub(crate) struct Built {
    pub(crate) model: Model,
    pub(crate) ports: BTreeMap<PortRef, Node>,
    pub(crate) hops: Vec<Hop>,
    pub(crate) assumed: BTreeSet<Field>,
    pub(crate) lacks: BTreeSet<Field>,
    pub(crate) notes: BTreeSet<String>,
    /// Switch of each tag or `TAG.loop`.
    pub(crate) switches: BTreeMap<String, usize>,
    /// Tags between send and return of each `TAG.loop`.
    pub(crate) inside: BTreeMap<String, Vec<String>>,
}

/// One visit of a run to a device, stops at one device drawn together.
#[derive(Debug, Clone)]
struct Visit {
    name: String,
    arrives: Option<PortRef>,
    leaves: Option<PortRef>,
}

/// How a device is used by the runs.
#[derive(Debug, Clone, Default)]
struct Use {
    /// Ports signal arrives at, in order of first use.
    ins: Vec<PortRef>,
    /// Ports signal leaves by.
    outs: Vec<PortRef>,
    /// Ways inside that runs state.
    links: Vec<(PortRef, PortRef)>,
    /// Outs that runs begin with.
    starts: Vec<PortRef>,
    /// Ins that runs end with.
    ends: Vec<PortRef>,
}

pub(crate) struct Builder<'a> {
    input: &'a Input<'a>,
    config: &'a Config,
    out: Built,
}

/// Makes the network of a rig.
pub(crate) fn build(input: &Input<'_>, config: &Config) -> Built {
    let mut builder = Builder { input, config, out: empty() };
    builder.all();
    builder.out
}

/// Makes the network of a source straight into a sink's impedance by the usual lead.
pub(crate) fn reference(input: &Input<'_>, config: &Config, source: &str, load_ohms: f64) -> Built {
    let mut builder = Builder { input, config, out: empty() };
    builder.straight(source, load_ohms);
    builder.out
}

fn empty() -> Built {
    Built {
        model: Model::new(),
        ports: BTreeMap::new(),
        hops: Vec::new(),
        assumed: BTreeSet::new(),
        lacks: BTreeSet::new(),
        notes: BTreeSet::new(),
        switches: BTreeMap::new(),
        inside: BTreeMap::new(),
    }
}

/// The leads of all signal runs, each once, in document order.
pub(crate) fn signal_leads(rig: &Rig) -> Vec<(PortRef, PortRef, &Run)> {
    let mut seen = BTreeSet::new();
    let mut out = Vec::new();
    for run in rig.runs.iter().filter(|run| run.carries == Carries::Signal) {
        for (from, to) in run.steps() {
            if seen.insert((from.clone(), to.clone())) {
                out.push((from.clone(), to.clone(), run));
            }
        }
    }
    out
}

fn visits(run: &Run) -> Vec<Visit> {
    let mut out: Vec<Visit> = Vec::new();
    for stop in &run.stops {
        let Some(port) = stop.arrives.as_ref().or(stop.leaves.as_ref()) else { continue };
        match out.last_mut() {
            Some(last) if last.name == port.device => last.leaves.clone_from(&stop.leaves),
            _ => out.push(Visit {
                name: port.device.clone(),
                arrives: stop.arrives.clone(),
                leaves: stop.leaves.clone(),
            }),
        }
    }
    out
}

/// Adds a port once.
fn once(ports: &mut Vec<PortRef>, port: &PortRef) {
    if !ports.contains(port) {
        ports.push(port.clone());
    }
}

impl Builder<'_> {
    /// The value of something known, or a stated figure with a note of what is lacking.
    fn take<T: Copy>(
        &mut self,
        known: Known<T>,
        field: Field,
        number: impl Fn(T) -> f64,
        otherwise: f64,
    ) -> f64 {
        match known.value {
            Some(value) => {
                if known.is_assumed() {
                    self.out.assumed.insert(field);
                }
                number(value)
            }
            None => {
                self.out.lacks.insert(field);
                otherwise
            }
        }
    }

    /// Like [`take`](Self::take) for figures that have a usual value: without one it is assumed, not lacking.
    fn usual<T: Copy>(
        &mut self,
        known: Known<T>,
        field: Field,
        number: impl Fn(T) -> f64,
        otherwise: f64,
    ) -> f64 {
        if known.is_unknown() {
            self.out.assumed.insert(field);
            return otherwise;
        }
        self.take(known, field, number, otherwise)
    }

    /// The node of a port.
    fn port(&mut self, port: &PortRef) -> Node {
        if let Some(node) = self.out.ports.get(port) {
            return *node;
        }
        let node = self.out.model.node(port.to_string());
        self.out.ports.insert(port.clone(), node);
        node
    }

    fn all(&mut self) {
        let rig = self.input.rig;
        let mut uses: BTreeMap<String, Use> = BTreeMap::new();
        let mut sources: Vec<String> = Vec::new();
        let mut sinks: Vec<String> = Vec::new();
        for run in rig.runs.iter().filter(|run| run.carries == Carries::Signal) {
            for visit in visits(run) {
                if rig.source(&visit.name).is_some() {
                    if !sources.contains(&visit.name) {
                        sources.push(visit.name);
                    }
                } else if rig.sink(&visit.name).is_some() {
                    if !sinks.contains(&visit.name) {
                        sinks.push(visit.name);
                    }
                } else if rig.device(&visit.name).is_some() {
                    uses.entry(visit.name.clone()).or_default().visit(&visit);
                }
            }
            self.note_loops(run);
        }
        for id in &sources {
            self.source(id);
        }
        for device in &rig.devices {
            if let Some(used) = uses.get(&device.tag) {
                self.device(device, used);
            }
        }
        for id in &sinks {
            self.sink(id);
        }
        let leads = rig::leads(rig);
        for (from, to, run) in signal_leads(rig) {
            let own = leads.iter().find(|lead| lead.flows.iter().any(|flow| flow.0 == from && flow.1 == to));
            self.lead(&from, &to, run, own);
        }
        self.exclusive_sets();
    }

    /// Which devices stand in each loop of a switcher, by the order of stops.
    fn note_loops(&mut self, run: &Run) {
        let rig = self.input.rig;
        let visits = visits(run);
        for (at, visit) in visits.iter().enumerate() {
            let Some(device) = rig.device(&visit.name) else { continue };
            for one in &device.loops {
                if visit.leaves.as_ref().map(|port| port.port.as_str()) != Some(one.send.as_str()) {
                    continue;
                }
                let back = visits[at + 1..].iter().position(|later| {
                    later.name == device.tag
                        && later.arrives.as_ref().map(|port| port.port.as_str()) == Some(one.back.as_str())
                });
                if let Some(back) = back {
                    let tags = visits[at + 1..at + 1 + back].iter().map(|visit| visit.name.clone());
                    self.out.inside.entry(format!("{}.{}", device.tag, one.name)).or_default().extend(tags);
                }
            }
        }
    }

    /// The switch that works a tag or loop; several names may share one.
    fn switch(&mut self, name: &str, positions: [&str; 2]) -> usize {
        if let Some(switch) = self.out.switches.get(name) {
            return *switch;
        }
        let group = self.input.together.iter().find(|group| group.iter().any(|tag| tag == name));
        let switch = match group.and_then(|group| group.iter().find_map(|tag| self.out.switches.get(tag))) {
            Some(switch) => *switch,
            None => {
                let shown = group.map_or_else(|| name.to_owned(), |group| group.join("+"));
                self.out.model.switch(shown, &positions)
            }
        };
        self.out.switches.insert(name.to_owned(), switch);
        switch
    }

    fn exclusive_sets(&mut self) {
        for set in &self.input.exclusive {
            let mut choices: Vec<(usize, u8)> = set
                .iter()
                .filter_map(|name| self.out.switches.get(name))
                .map(|switch| (*switch, 1))
                .collect();
            choices.sort_unstable();
            choices.dedup();
            if 1 < choices.len() {
                self.out.model.exclusive.push(choices);
            }
        }
    }

    /// Capacitance and resistance of a metre.
    fn per_metre(&mut self, cable: Option<&Cable>, field: &Field) -> (f64, f64) {
        let Some(cable) = cable else {
            self.out.assumed.insert(field.below("cable"));
            return (self.config.cable_capacitance, self.config.cable_resistance);
        };
        let c = self.usual(
            cable.capacitance_per_metre,
            field.below("cable"),
            Farads::get,
            self.config.cable_capacitance,
        );
        let r = self.usual(
            cable.resistance_per_metre,
            field.below("cable"),
            Ohms::get,
            self.config.cable_resistance,
        );
        (c, r)
    }

    fn plug(&mut self, plug: Option<&PlugKind>, inner: bool) -> f64 {
        if inner {
            // Soldered behind a panel's jack.
            return 0.0;
        }
        plug.and_then(|plug| plug.capacitance.value).map_or(self.config.plug, Farads::get)
    }

    fn lead(&mut self, from: &PortRef, to: &PortRef, run: &Run, own: Option<&rig::Lead>) {
        let rig = self.input.rig;
        let field = Field::of("lead", &format!("{from} > {to}"), "");
        let cable = own.and_then(|lead| lead.cable.clone()).or_else(|| run.cable.clone());
        let (c, r) = self.per_metre(cable.as_ref(), &field);
        let outside = rig
            .source(&from.device)
            .filter(|_| from.port.is_empty())
            .map(|source| (source.lead, Field::of("source", &source.id, "lead"), self.config.usual_lead))
            .or_else(|| {
                let sink = rig.sink(&to.device).filter(|_| to.port.is_empty())?;
                Some((sink.lead, Field::of("sink", &sink.id, "lead"), self.config.usual_lead))
            });
        let given = self.input.leads.iter().find(|lead| lead.from == *from && lead.to == *to);
        let (unknown, place, usual) =
            outside.unwrap_or((Known::default(), field.below("cut"), self.config.lead));
        let length = given.map(|lead| lead.length).filter(|length| !length.is_unknown()).unwrap_or(unknown);
        let metres = self.take(length, place, |length| length.as_mm() / 1000.0, usual);
        let plugs = [from, to].map(|port| {
            let end = own.and_then(|lead| lead.ends.iter().find(|end| end.port == *port));
            let end = end.filter(|end| !end.port.port.is_empty());
            self.plug(end.and_then(|end| end.plug.plug.as_ref()), end.is_some_and(|end| end.inner))
        });
        let name = format!("{from} > {to}");
        let (mut a, mut b) = (self.port(from), self.port(to));
        for buffer in self.input.buffers.iter().filter(|place| place.from == *from && place.to == *to) {
            match buffer.at {
                End::From => a = self.buffer(buffer, a, false),
                End::To => b = self.buffer(buffer, b, true),
            }
        }
        let model = &mut self.out.model;
        let half = c * metres / 2.0;
        model.add(format!("{name} near end"), a, EARTH, Part::Capacitor(half + plugs[0]));
        model.add(format!("{name} core"), a, b, Part::Resistor((r * metres).max(LEAST_OHMS)));
        model.add(format!("{name} far end"), b, EARTH, Part::Capacitor(half + plugs[1]));
        self.out.hops.push(Hop {
            from: from.clone(),
            to: to.clone(),
            device: None,
            needs: None,
            past: Vec::new(),
        });
    }

    /// A buffer at an end of a lead: after `node`, or before it. Gives the node where the lead then ends.
    fn buffer(&mut self, place: &BufferPlace, node: Node, before: bool) -> Node {
        let name = format!("buffer {place}");
        let model = &mut self.out.model;
        let (lead, driven) = (model.node(format!("{name} lead")), model.node(format!("{name} drive")));
        let (input, output) = if before { (lead, node) } else { (node, lead) };
        model.add(format!("{name} input"), input, EARTH, Part::Resistor(self.config.buffer_input));
        model.add(format!("{name} output"), driven, output, Part::Resistor(self.config.buffer_output));
        model.fixed.stage(name, vec![input], driven);
        lead
    }
}

/// No resistance of the network is smaller: a conductor of nought ohms has no admittance.
pub(crate) const LEAST_OHMS: f64 = 1e-3;

impl Use {
    fn visit(&mut self, visit: &Visit) {
        if let Some(port) = &visit.arrives {
            once(&mut self.ins, port);
        }
        if let Some(port) = &visit.leaves {
            once(&mut self.outs, port);
        }
        match (&visit.arrives, &visit.leaves) {
            (Some(from), Some(to)) if !self.links.contains(&(from.clone(), to.clone())) => {
                self.links.push((from.clone(), to.clone()));
            }
            (None, Some(port)) => once(&mut self.starts, port),
            (Some(port), None) => once(&mut self.ends, port),
            _ => {}
        }
    }
}
