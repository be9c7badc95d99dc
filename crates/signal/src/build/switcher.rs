//! A switcher: its way in, perhaps a buffer, then each loop in order, in or out, then its ways out.
//!
//! A send or a return with a stated impedance is a stage of its own: the send drives its loop through that resistance,
//! the return loads what comes back with it and drives what follows. Without one it is a contact.

use finding::Field;
use rig::{Bypass, Device, PortRef, PortRole};

use super::uses::{Link, Use, once};
use super::{Builder, Hop};
use crate::model::{Block, EARTH, Node, Part, Variant};

/// What the path has come to.
#[derive(Clone)]
enum Reached {
    /// The output of a buffer that listens to these, its resistance still to come.
    Driven(Vec<PortRef>),
    /// A node.
    Node(Node),
    /// Nothing: no input is reached.
    Nothing,
}

/// A conductor of a switcher: what runs lead from where through which loops to where. A stereo one has two.
#[derive(Default)]
struct Lane {
    entries: Vec<PortRef>,
    circuits: Vec<Circuit>,
    exits: Vec<PortRef>,
}

/// The conductors of a switcher, those with a way in first.
///
/// Jacks hang together where a run leads from one to the other inside, and a loop's two by the loop. One conductor is the
/// rule; there are more where at least two sets have a way out and something that leads to it. What is then left over (a
/// tuner's output, a loop that no run continues) hangs on the first.
fn lanes(entries: &[PortRef], circuits: Vec<Circuit>, exits: &[PortRef], visits: &[Link]) -> Vec<Lane> {
    let ends = circuits.iter().flat_map(|one| [&one.send, &one.back]);
    let jacks: Vec<PortRef> = entries.iter().chain(exits).chain(ends).cloned().collect();
    let place = |port: &PortRef| jacks.iter().position(|jack| jack == port);
    let mut set: Vec<usize> = (0..jacks.len()).collect();
    let loops = circuits.iter().map(|one| (&one.send, &one.back));
    for (from, to) in loops.chain(visits.iter().map(|(from, to)| (from, to))) {
        if let (Some(from), Some(to)) = (place(from), place(to)) {
            let (stays, goes) = (set[from], set[to]);
            set.iter_mut().filter(|one| **one == goes).for_each(|one| *one = stays);
        }
    }
    let of = |port: &PortRef| place(port).map(|place| set[place]);
    let mut heads: Vec<Option<usize>> = Vec::new();
    for one in entries.iter().chain(exits).map(of) {
        let led =
            entries.iter().any(|port| of(port) == one) || circuits.iter().any(|own| of(&own.send) == one);
        if led && exits.iter().any(|port| of(port) == one) {
            once(&mut heads, &one);
        }
    }
    if heads.len() < 2 {
        return vec![Lane { entries: entries.to_vec(), circuits, exits: exits.to_vec() }];
    }
    let lane = |port: &PortRef| heads.iter().position(|head| *head == of(port)).unwrap_or(0);
    let mut lanes: Vec<Lane> = heads.iter().map(|_| Lane::default()).collect();
    for port in entries {
        lanes[lane(port)].entries.push(port.clone());
    }
    for port in exits {
        lanes[lane(port)].exits.push(port.clone());
    }
    for circuit in circuits {
        lanes[lane(&circuit.send)].circuits.push(circuit);
    }
    lanes
}

/// A loop with either side reached.
struct Circuit {
    name: String,
    send: PortRef,
    back: PortRef,
}

impl Builder<'_> {
    pub(super) fn switcher(&mut self, device: &Device, used: &Use) {
        let tag = device.tag.clone();
        let bypass = self.bypass(device);
        let own = |name: &str| PortRef::new(&tag, name);
        let on_loop =
            |port: &PortRef| device.loops.iter().any(|one| one.send == port.port || one.back == port.port);
        let circuits: Vec<Circuit> = device
            .loops
            .iter()
            .map(|one| Circuit {
                name: format!("{tag}.{}", one.name),
                send: own(&one.send),
                back: own(&one.back),
            })
            .filter(|one| used.outs.contains(&one.send) || used.ins.contains(&one.back))
            .collect();
        let entries: Vec<PortRef> = used.ins.iter().filter(|port| !on_loop(port)).cloned().collect();
        for port in &entries {
            let role = self.input.rig.port(port).and_then(|port| port.role.value);
            if role == Some(PortRole::Return) {
                self.out.notes.insert(format!(
                    "{port} is a return that no loop names: it is taken as an input of {tag}"
                ));
            }
        }
        let exits: Vec<PortRef> = used.outs.iter().filter(|port| !on_loop(port)).cloned().collect();
        let mut jacks = used.ins.clone();
        for port in &used.outs {
            once(&mut jacks, port);
        }
        for port in &jacks {
            let (node, stray) = (self.port(port), self.config.relay_stray / 2.0);
            self.out.model.add(format!("{port} stray"), node, EARTH, Part::Capacitor(stray));
        }
        let is_buffered = matches!(bypass, Bypass::Buffered | Bypass::AlwaysOn) && !device.signal.passive;
        let lanes = lanes(&entries, circuits, &exits, &used.visits);
        // A lane that no way in is stated for begins where the first does: mono in, stereo out.
        let mut first: Option<(Vec<PortRef>, Reached)> = None;
        for lane in &lanes {
            let (entries, at) = match &first {
                Some(first) if lane.entries.is_empty() => first.clone(),
                _ => (lane.entries.clone(), self.way_in(&lane.entries, is_buffered)),
            };
            self.lane(device, used, lane, at.clone());
            self.ways_through(&tag, &entries, &lane.circuits, &lane.exits);
            if first.is_none() && !entries.is_empty() {
                first = Some((entries, at));
            }
        }
    }

    /// One conductor: its loops in order, then its ways out.
    fn lane(&mut self, device: &Device, used: &Use, lane: &Lane, mut at: Reached) {
        let bus = lane.exits.first();
        for (index, circuit) in lane.circuits.iter().enumerate() {
            let goes_on = index + 1 < lane.circuits.len() || bus.is_some();
            at = self.circuit(device, used, circuit, &at, bus, goes_on);
        }
        let mut variant = Variant::default();
        for port in &lane.exits {
            match &at {
                Reached::Driven(inputs) => self.drive(&mut variant, device, inputs, port, true),
                Reached::Node(from) => {
                    let node = self.leave(&mut variant, port);
                    let contact = Part::Resistor(self.config.contact);
                    variant.add(format!("{port} contact"), *from, node, contact);
                }
                Reached::Nothing => {}
            }
        }
        self.fixed(variant);
    }

    /// Into the switcher: loads at a buffer's inputs, or the inputs tied together.
    fn way_in(&mut self, entries: &[PortRef], is_buffered: bool) -> Reached {
        // A buffer is there, whether anything is plugged into it or not.
        if is_buffered {
            let mut variant = Variant::default();
            for port in entries {
                self.load(&mut variant, port);
            }
            self.fixed(variant);
            return Reached::Driven(entries.to_vec());
        }
        let Some((first, rest)) = entries.split_first() else { return Reached::Nothing };
        let mut variant = Variant::default();
        let at = self.enter(&mut variant, first);
        for port in rest {
            let node = self.enter(&mut variant, port);
            variant.add(format!("{port} contact"), node, at, Part::Resistor(self.config.contact));
        }
        self.fixed(variant);
        Reached::Node(at)
    }

    /// One loop, out or in; what the path has come to behind it.
    fn circuit(
        &mut self,
        device: &Device,
        used: &Use,
        circuit: &Circuit,
        at: &Reached,
        bus: Option<&PortRef>,
        goes_on: bool,
    ) -> Reached {
        let name = &circuit.name;
        let contact = Part::Resistor(self.config.contact);
        let after = goes_on.then(|| self.port(&PortRef::new(format!("{name} after"), "")));
        // What drives the bus is heard at the way out; each place where that happens is a node of its own.
        let onward = bus.map_or_else(|| name.clone(), |port| format!("{port} via {name}"));
        let (mut around, mut through) = (Variant::default(), Variant::default());
        if let Some(after) = after {
            match at {
                Reached::Driven(inputs) => {
                    let ohms = self.bus_ohms(bus);
                    self.onto(&mut around, device, inputs, &onward, after, ohms, true);
                }
                Reached::Node(node) => around.add(format!("{name} contact"), *node, after, contact),
                Reached::Nothing => {}
            }
        }
        if used.outs.contains(&circuit.send) {
            let stated = self.stated(&circuit.send);
            match at {
                Reached::Driven(inputs) if stated => {
                    self.drive(&mut through, device, inputs, &circuit.send, true);
                }
                Reached::Driven(inputs) => {
                    // A buffer drives the send through a resistance that nobody has stated; that of the way out stands in.
                    let field =
                        Field::device(&circuit.send.device, "port").below(&circuit.send.port).below("z");
                    let (ohms, send) = (self.bus_ohms(bus), self.leave(&mut through, &circuit.send));
                    self.out.stand_ins.insert(field.clone(), ohms);
                    self.out.lacks.insert(field);
                    self.onto(&mut through, device, inputs, &circuit.send.to_string(), send, ohms, true);
                }
                Reached::Node(node) if stated => {
                    let (z, driven) = (self.z(&circuit.send, 0.0), self.driven(&circuit.send));
                    let send = self.leave(&mut through, &circuit.send);
                    through.add(format!("{} output", circuit.send), driven, send, Part::Resistor(z));
                    through.stages.push(self.stage(device, vec![*node], driven, false));
                }
                Reached::Node(node) => {
                    let send = self.leave(&mut through, &circuit.send);
                    through.add(format!("{name} send contact"), *node, send, contact);
                }
                // A buffer that nothing leads to stands at nought behind its resistance.
                Reached::Nothing if stated => self.drive(&mut through, device, &[], &circuit.send, true),
                Reached::Nothing => {}
            }
        }
        if used.ins.contains(&circuit.back) {
            if self.stated(&circuit.back) {
                self.load(&mut through, &circuit.back);
                if let Some(after) = after {
                    let (inputs, ohms) = ([circuit.back.clone()], self.bus_ohms(bus));
                    self.onto(&mut through, device, &inputs, &onward, after, ohms, false);
                }
            } else if let Some(after) = after {
                let back = self.enter(&mut through, &circuit.back);
                through.add(format!("{name} return contact"), back, after, contact);
            }
        }
        let switch = self.switch(name, ["out", "in"]);
        self.out.model.blocks.push(Block { switch, variants: vec![around, through] });
        after.map_or(Reached::Nothing, Reached::Node)
    }

    /// What the switcher drives its way out through; asked for only where it drives anything.
    fn bus_ohms(&mut self, bus: Option<&PortRef>) -> f64 {
        let usual = self.config.device_output;
        bus.map_or(usual, |port| self.z(port, usual))
    }

    /// Whether a port states an impedance.
    fn stated(&self, port: &PortRef) -> bool {
        self.input.rig.port(port).is_some_and(|port| port.z.value.is_some())
    }

    /// A stage from inputs to a node behind a resistance.
    #[expect(clippy::too_many_arguments, reason = "one stage, all of it needed")]
    fn onto(
        &mut self,
        variant: &mut Variant,
        device: &Device,
        inputs: &[PortRef],
        name: &str,
        node: Node,
        ohms: f64,
        works: bool,
    ) {
        if inputs.is_empty() {
            variant.add(format!("{name} output"), node, EARTH, Part::Resistor(ohms));
            return;
        }
        let driven = self.port(&PortRef::new(format!("{name} drive"), ""));
        let nodes = inputs.iter().map(|input| self.behind(input)).collect();
        variant.add(format!("{name} output"), driven, node, Part::Resistor(ohms));
        variant.stages.push(self.stage(device, nodes, driven, works));
    }

    /// Ways for parity, latency and the like: past each loop or through it.
    fn ways_through(&mut self, tag: &str, entries: &[PortRef], circuits: &[Circuit], exits: &[PortRef]) {
        let mut before: Vec<(PortRef, Vec<String>)> =
            entries.iter().map(|port| (port.clone(), Vec::new())).collect();
        let hop = |from: &PortRef, to: &PortRef, needs: Option<String>, past: &[String]| Hop {
            from: from.clone(),
            to: to.clone(),
            device: Some(tag.to_owned()),
            needs,
            past: past.to_vec(),
        };
        for circuit in circuits {
            for (from, past) in &mut before {
                self.out.hops.push(hop(from, &circuit.send, Some(circuit.name.clone()), past));
                past.push(circuit.name.clone());
            }
            before.push((circuit.back.clone(), Vec::new()));
        }
        for port in exits {
            for (from, past) in &before {
                self.out.hops.push(hop(from, port, None, past));
            }
        }
    }
}
