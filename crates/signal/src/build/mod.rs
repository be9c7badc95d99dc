//! From a rig and its leads to a network with switches, built once, from contacts.
//!
//! Each contact that a lead of the rig's one list reaches is a node: a port, or the sending or returning contact of an
//! insert on one jack. What a device is made of hangs on its contacts: a load at every input that is reached, whether
//! or not anything follows; a driven resistance at every output; normals between the jacks of inserts as far as no plug
//! lifts them ([`crate::contacts`]). Where the document says nothing a stated figure is assumed, and the field is
//! listed as lacking.

mod device;
mod ends;
mod lead;
mod panel;
mod passive;
mod switcher;
mod uses;

use std::collections::{BTreeMap, BTreeSet};

use finding::Field;
use rig::{Carries, Known, PortRef, Role, Run};

pub(crate) use self::lead::put_buffer;
use self::uses::{Use, uses, visits};
use crate::contacts::{Contacts, coupled, own_port};
use crate::input::{Config, Input};
use crate::model::{Model, Node, SwitchChoice};

/// A way signal takes from one port to another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Hop {
    pub(crate) from: PortRef,
    pub(crate) to: PortRef,
    /// The device it lies in; `None` for a lead.
    pub(crate) device: Option<String>,
    /// The loop that must be in for this way to hold, or the device that must be on.
    pub(crate) needs: Option<String>,
    /// The loops that must be out for this way to hold, the devices that must be off.
    pub(crate) past: Vec<String>,
}

impl Hop {
    /// A way inside a device that always holds.
    fn within(device: &rig::Device, from: &PortRef, to: &PortRef) -> Self {
        Self {
            from: from.clone(),
            to: to.clone(),
            device: Some(device.tag.clone()),
            needs: None,
            past: Vec::new(),
        }
    }
}

/// A network with what it took to make it.
#[derive(Debug, Clone)]
pub(crate) struct Built {
    /// The network with every stage at 0 dB, without switches that change nothing then.
    pub(crate) model: Model,
    /// The same with every device's own gain where it is on.
    pub(crate) gained: Model,
    pub(crate) ports: BTreeMap<PortRef, Node>,
    pub(crate) hops: Vec<Hop>,
    pub(crate) assumed: BTreeSet<Field>,
    pub(crate) lacks: BTreeSet<Field>,
    /// The figures that stand in for what is lacking, in SI units.
    pub(crate) stand_ins: BTreeMap<Field, f64>,
    pub(crate) notes: BTreeSet<String>,
    /// Switch of each tag or `TAG.loop`.
    pub(crate) switches: BTreeMap<String, usize>,
    /// The tags or loops that each switch works.
    pub(crate) worked: Vec<Vec<String>>,
    /// Tags between send and return of each `TAG.loop`.
    pub(crate) inside: BTreeMap<String, Vec<String>>,
}

pub(crate) struct Builder<'a> {
    input: &'a Input<'a>,
    config: &'a Config,
    contacts: Contacts,
    out: Built,
}

/// Makes the network of a rig.
pub(crate) fn build(input: &Input<'_>, config: &Config) -> Built {
    let mut builder = Builder { input, config, contacts: Contacts::new(input.rig), out: empty() };
    builder.all();
    let mut built = builder.out;
    built.worked = vec![Vec::new(); built.model.switches.len()];
    for (name, switch) in &built.switches {
        built.worked[*switch].push(name.clone());
    }
    built.gained = built.model.with_own_gains();
    built.model = built.model.without_idle_switches();
    built
}

/// Makes the network of a source straight into a sink's impedance by the usual lead.
pub(crate) fn reference(input: &Input<'_>, config: &Config, source: &str, load_ohms: f64) -> Built {
    let mut builder = Builder { input, config, contacts: Contacts::default(), out: empty() };
    builder.straight(source, load_ohms);
    builder.out
}

fn empty() -> Built {
    Built {
        model: Model::new(),
        gained: Model::new(),
        ports: BTreeMap::new(),
        hops: Vec::new(),
        assumed: BTreeSet::new(),
        lacks: BTreeSet::new(),
        stand_ins: BTreeMap::new(),
        notes: BTreeSet::new(),
        switches: BTreeMap::new(),
        worked: Vec::new(),
        inside: BTreeMap::new(),
    }
}

impl Built {
    /// The node where what listens at a contact listens.
    pub(crate) fn heard_at(&self, contact: &PortRef) -> Option<Node> {
        self.ports.get(&coupled(contact)).or_else(|| self.ports.get(contact)).copied()
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
                self.out.stand_ins.insert(field.clone(), otherwise);
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

    /// The node where what listens at an input listens: behind its coupling capacitor, where it has one.
    fn behind(&mut self, port: &PortRef) -> Node {
        if self.coupling(port).is_some() { self.port(&coupled(port)) } else { self.port(port) }
    }

    /// The coupling capacitor of a port in farads, where it has one.
    fn coupling(&mut self, port: &PortRef) -> Option<f64> {
        let known = own_port(self.input.rig, port).map(|port| port.coupling).unwrap_or_default();
        self.extra(known, port, "coupling")
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
        let uses: BTreeMap<String, Use> = uses(rig, &self.contacts);
        let (mut sources, mut sinks): (Vec<String>, Vec<String>) = (Vec::new(), Vec::new());
        for (_, from, to) in self.contacts.flows() {
            if from.port.is_empty() && rig.source(&from.device).is_some() {
                uses::once(&mut sources, &from.device);
            }
            if to.port.is_empty() && rig.sink(&to.device).is_some() {
                uses::once(&mut sinks, &to.device);
            }
        }
        for run in rig.runs.iter().filter(|run| run.carries == Carries::Signal) {
            self.note_loops(run);
        }
        for id in &sources {
            self.source(id);
        }
        for device in &rig.devices {
            let Some(used) = uses.get(&device.tag) else { continue };
            if matches!(device.role, Role::Panel | Role::Strip) {
                self.panel(device, used);
            } else if used.ins.is_empty() && device.loops.is_empty() {
                self.giver(device, used);
            } else if device.loops.is_empty() {
                self.pedal(device, used);
            } else {
                self.switcher(device, used);
            }
        }
        for id in &sinks {
            self.sink(id);
        }
        self.leads();
        self.exclusive_sets();
    }

    /// A device that nothing leads into: a receiver, a synthesiser.
    fn giver(&mut self, device: &rig::Device, used: &Use) {
        let sends = |port: &PortRef| device.inserts.iter().any(|insert| insert.send == port.port);
        for port in used.outs.iter().filter(|port| !sends(port)) {
            let (node, z) = (self.port(port), self.z(port, self.config.device_output));
            self.emf(&device.tag, node, z);
        }
    }

    /// Which devices stand in each loop of a switcher, by the order of stops.
    fn note_loops(&mut self, run: &Run) {
        let rig = self.input.rig;
        let visits = visits(rig, run);
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
            let mut choices: Vec<SwitchChoice> = set
                .iter()
                .filter_map(|name| self.out.switches.get(name))
                .map(|&switch| SwitchChoice { switch, position: 1 })
                .collect();
            choices.sort_unstable();
            choices.dedup();
            if 1 < choices.len() {
                self.out.model.exclusive.push(choices);
            }
        }
    }
}

/// No resistance of the network is smaller: a conductor of nought ohms has no admittance.
pub(crate) const LEAST_OHMS: f64 = 1e-3;
