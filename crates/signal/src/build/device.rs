//! Devices: what each is made of when it is on and when it is off.

use finding::Field;
use quantity::{Decibels, Ohms, Seconds, Volts};
use rig::{Bypass, Device, Normal, PortRef};

use super::uses::{Link, Use, beside, is_beside, once, ways};
use super::{Builder, Hop, LEAST_OHMS};
use crate::contacts::{contact, contact_z, own_port, port_of};
use crate::level::ratio;
use crate::model::{Block, EARTH, Node, Part, Stage, Variant};

impl Builder<'_> {
    pub(super) fn pedal(&mut self, device: &Device, used: &Use) {
        let bypass = self.bypass(device);
        // A treadle that no supply feeds and that states no output impedance is a mere pot, or nobody knows what it is.
        let may_be_passive = device.treadle.is_some()
            && !device.signal.passive
            && device.power.nature.value == Some(rig::Nature::None)
            && used.outs.iter().all(|port| contact_z(self.input.rig, port).0.is_unknown());
        if may_be_passive {
            self.out.lacks.insert(Field::device(&device.tag, "signal.passive"));
        }
        let ways = ways(device, used);
        // A loop beside the sound hangs in the circuit, which a bypass goes past: bypassed, it takes no part.
        let straight = self.through_inserts(device, used, &ways);
        let mut links = straight.clone();
        for link in &beside(device, used) {
            once(&mut links, link);
        }
        let stray = if bypass == Bypass::Relay { self.config.relay_stray } else { self.config.stray };
        let mut jacks = used.ins.clone();
        for port in &used.outs {
            once(&mut jacks, port);
        }
        for port in &jacks {
            let node = self.port(port);
            self.out.model.add(format!("{port} stray"), node, EARTH, Part::Capacitor(stray / 2.0));
        }
        let engaged = if device.signal.passive {
            self.passive(device, used, &links)
        } else {
            self.active(device, used, &links, true)
        };
        match bypass {
            Bypass::AlwaysOn => self.fixed(engaged),
            Bypass::Buffered if device.signal.passive => self.fixed(engaged),
            Bypass::Buffered => {
                let bypassed = self.active(device, used, &straight, false);
                if bypassed == engaged {
                    self.fixed(engaged);
                } else {
                    self.block(device, vec![bypassed, engaged]);
                }
            }
            Bypass::Hard | Bypass::Relay => {
                let mut bypassed = Variant::default();
                for (from, to) in &ways {
                    let (a, b) = (self.port(from), self.port(to));
                    let contact = Part::Resistor(self.config.contact);
                    bypassed.add(format!("{} contact", device.tag), a, b, contact);
                }
                self.block(device, vec![bypassed, engaged]);
            }
        }
        // A bypass contact goes past what is plugged into the device's own inserts, but only while it is off.
        let is_past = matches!(bypass, Bypass::Hard | Bypass::Relay);
        let is_buffered = bypass == Bypass::Buffered && !device.signal.passive;
        for (from, to) in &links {
            let link = (from.clone(), to.clone());
            let is_only_on = is_past && !ways.contains(&link) || is_buffered && !straight.contains(&link);
            let needs = is_only_on.then(|| device.tag.clone());
            self.out.hops.push(Hop { needs, ..Hop::within(device, from, to) });
        }
        for (from, to) in ways.iter().filter(|way| is_past && !links.contains(way)) {
            self.out.hops.push(Hop { past: vec![device.tag.clone()], ..Hop::within(device, from, to) });
        }
    }

    pub(super) fn fixed(&mut self, variant: Variant) {
        self.out.model.fixed.elements.extend(variant.elements);
        self.out.model.fixed.stages.extend(variant.stages);
    }

    fn block(&mut self, device: &Device, variants: Vec<Variant>) {
        let switch = self.switch(&device.tag, ["bypassed", "engaged"]);
        self.out.model.blocks.push(Block { switch, variants });
    }

    /// The ways through a device with its inserts in their order between input and output: what is plugged there takes
    /// the path out and brings it back, and what comes before a lifted normal goes no further.
    fn through_inserts(&mut self, device: &Device, used: &Use, ways: &[Link]) -> Vec<Link> {
        let mut paths: Vec<(Option<PortRef>, Option<PortRef>)> =
            ways.iter().map(|(from, to)| (Some(from.clone()), Some(to.clone()))).collect();
        let mut inserts = Vec::new();
        for insert in &device.inserts {
            let send = PortRef::new(&device.tag, &insert.send);
            let back = contact(self.input.rig, &PortRef::new(&device.tag, &insert.back), true, None);
            inserts.push((insert, send, back));
        }
        let on_insert = |port: &PortRef| {
            is_beside(device, port) || inserts.iter().any(|(_, send, back)| port == send || port == back)
        };
        for port in used.ins.iter().filter(|port| !on_insert(port)) {
            if !ways.iter().any(|(from, _)| from == port) {
                paths.push((Some(port.clone()), None));
            }
        }
        for port in used.outs.iter().filter(|port| !on_insert(port)) {
            if !ways.iter().any(|(_, to)| to == port) {
                paths.push((None, Some(port.clone())));
            }
        }
        if paths.is_empty() {
            paths.push((None, None));
        }
        let mut links: Vec<Link> = Vec::new();
        for (from, to) in paths {
            let mut feeds = from;
            for (insert, send, back) in &inserts {
                let plugged = self.contacts.insert(device, insert);
                let field = Field::device(&device.tag, "insert").below(&insert.name).below("normal");
                if insert.normal.is_unknown() && (plugged.sent || plugged.returned) {
                    self.out.lacks.insert(field);
                }
                if let Some(feed) = feeds.as_ref().filter(|_| used.outs.contains(send)) {
                    once(&mut links, &(feed.clone(), send.clone()));
                }
                if !plugged.closed {
                    if insert.normal.value == Some(Normal::Open) && !plugged.sent && !plugged.returned {
                        self.out.notes.insert(format!("{send} is open with nothing plugged: nothing passes"));
                    }
                    feeds = used.ins.contains(back).then(|| back.clone());
                }
            }
            if let (Some(feed), Some(to)) = (feeds, to) {
                once(&mut links, &(feed, to));
            }
        }
        links
    }

    /// Impedance of a port.
    pub(super) fn z(&mut self, port: &PortRef, otherwise: f64) -> f64 {
        let (known, field) = contact_z(self.input.rig, port);
        self.take(known, field, Ohms::get, otherwise).max(LEAST_OHMS)
    }

    pub(super) fn bypass(&mut self, device: &Device) -> Bypass {
        let field = Field::device(&device.tag, "signal.bypass");
        match device.signal.bypass.value {
            Some(bypass) => {
                if device.signal.bypass.is_assumed() {
                    self.out.assumed.insert(field);
                }
                bypass
            }
            None => {
                self.out.lacks.insert(field);
                Bypass::Hard
            }
        }
    }

    /// An active device: a load at each input that is reached, a driven resistance at each output.
    fn active(&mut self, device: &Device, used: &Use, links: &[Link], engaged: bool) -> Variant {
        let mut variant = Variant::default();
        for port in &used.ins {
            self.load_in(&mut variant, port, engaged);
        }
        for port in &used.outs {
            let inputs: Vec<PortRef> =
                links.iter().filter(|(_, to)| to == port).map(|(from, _)| from.clone()).collect();
            self.drive(&mut variant, device, &inputs, port, engaged);
        }
        // What comes to an input that nothing follows is told too: a tuner, the end of a tap.
        for port in used.ins.iter().filter(|port| !links.iter().any(|(from, _)| from == *port)) {
            let inner = self.behind(port);
            self.listen(&mut variant, device, port, inner);
        }
        variant
    }

    /// Something that listens at an input and hands nothing on.
    pub(super) fn listen(&mut self, variant: &mut Variant, device: &Device, input: &PortRef, inner: Node) {
        let heard = self.port(&PortRef::new(&input.device, format!("{} heard", input.port)));
        variant.stages.push(self.stage(device, vec![inner], heard, false));
    }

    /// The load of an input of a device that is on.
    pub(super) fn load(&mut self, variant: &mut Variant, port: &PortRef) {
        self.load_in(variant, port, true);
    }

    /// The load of an input: its resistance and capacitance, behind its coupling capacitor where it has one. What listens
    /// there listens behind the capacitor too.
    fn load_in(&mut self, variant: &mut Variant, port: &PortRef, engaged: bool) {
        let z = self.z_in(port, self.config.device_input, engaged);
        self.load_of(variant, port, z);
    }

    /// The load of an input whose resistance in ohms is known.
    pub(super) fn load_of(&mut self, variant: &mut Variant, port: &PortRef, z: f64) {
        let inner = self.enter(variant, port);
        variant.add(format!("{port} input"), inner, EARTH, Part::Resistor(z));
    }

    /// Into an input: through its coupling capacitor, where it has one, to its capacitance and whatever follows.
    pub(super) fn enter(&mut self, variant: &mut Variant, port: &PortRef) -> Node {
        let (node, inner) = (self.port(port), self.behind(port));
        if let Some(farads) = self.coupling(port) {
            variant.add(format!("{port} coupling"), node, inner, Part::Capacitor(farads));
        }
        let known = own_port(self.input.rig, port).map(|port| port.capacitance).unwrap_or_default();
        if let Some(farads) = self.extra(known, port, "capacitance") {
            variant.add(format!("{port} input C"), inner, EARTH, Part::Capacitor(farads));
        }
        inner
    }

    /// Out by an output: from the node that is returned, through its coupling capacitor where it has one.
    pub(super) fn leave(&mut self, variant: &mut Variant, port: &PortRef) -> Node {
        let node = self.port(port);
        let Some(farads) = self.coupling(port) else { return node };
        let inner = self.port(&PortRef::new(&port.device, format!("{} before coupling", port.port)));
        variant.add(format!("{port} coupling"), inner, node, Part::Capacitor(farads));
        inner
    }

    /// A value that is usually not there; without one there is none, and nothing is lacking.
    pub(super) fn extra(
        &mut self,
        known: rig::Known<quantity::Farads>,
        port: &PortRef,
        key: &str,
    ) -> Option<f64> {
        if known.is_assumed() {
            let port = port_of(port);
            self.out.assumed.insert(Field::device(&port.device, "port").below(&port.port).below(key));
        }
        known.value.map(quantity::Farads::get).filter(|farads| 0.0 < *farads)
    }

    /// Impedance of a port of a device that is on, or off with its buffer in the way.
    fn z_in(&mut self, port: &PortRef, otherwise: f64, engaged: bool) -> f64 {
        let bypassed = self.input.rig.port(&port_of(port)).map(|port| port.z_bypassed).unwrap_or_default();
        match bypassed.value {
            Some(z) if !engaged => {
                if bypassed.is_assumed() {
                    let port = port_of(port);
                    let field = Field::device(&port.device, "port").below(&port.port).below("z_bypassed");
                    self.out.assumed.insert(field);
                }
                z.get().max(LEAST_OHMS)
            }
            _ => self.z(port, otherwise),
        }
    }

    /// A gain stage from inputs to an output behind its impedance. One that nothing leads to is that impedance to earth.
    pub(super) fn drive(
        &mut self,
        variant: &mut Variant,
        device: &Device,
        inputs: &[PortRef],
        port: &PortRef,
        engaged: bool,
    ) {
        let z = self.z_in(port, self.config.device_output, engaged);
        self.drive_through(variant, device, inputs, port, engaged, z);
    }

    /// The same behind a resistance in ohms that is known.
    pub(super) fn drive_through(
        &mut self,
        variant: &mut Variant,
        device: &Device,
        inputs: &[PortRef],
        port: &PortRef,
        engaged: bool,
        z: f64,
    ) {
        let outer = self.leave(variant, port);
        if inputs.is_empty() {
            variant.add(format!("{port} output"), outer, EARTH, Part::Resistor(z));
            return;
        }
        let driven = self.driven(port);
        variant.add(format!("{port} output"), driven, outer, Part::Resistor(z));
        let nodes = inputs.iter().map(|input| self.behind(input)).collect();
        let is_back = |port: &PortRef| {
            let name = port_of(port).port;
            device
                .inserts
                .iter()
                .any(|insert| insert.back == name && *port != PortRef::new(&device.tag, &insert.send))
        };
        // Behind a return there is only what brings the sound back: the device did its work before the send. A loop beside the
        // sound gets what comes in, and what it brings back is mixed in before the work.
        let works = engaged && !inputs.iter().all(is_back) && !is_beside(device, port);
        variant.stages.push(self.stage(device, nodes, driven, works));
    }

    /// The driven node behind an output, one in all positions of its device.
    pub(super) fn driven(&mut self, port: &PortRef) -> Node {
        let drive = PortRef::new(&port.device, format!("{} drive", port.port));
        self.port(&drive)
    }

    /// A stage with what its device does to signal, or as a mere buffer.
    pub(super) fn stage(&self, device: &Device, inputs: Vec<Node>, output: Node, works: bool) -> Stage {
        let signal = &device.signal;
        let turns = device.turns().map(|turns| 1.0 / turns.ratio());
        let own = self.input.rig.gain(device).value.value;
        let gain = turns.or(own.map(|gain: Decibels| ratio(gain.get()))).unwrap_or(1.0);
        Stage {
            device: device.tag.clone(),
            inputs,
            output,
            // Turns are wound, not set: they count also where every gain stands at 0 dB.
            gain: if works { turns.unwrap_or(1.0) } else { 1.0 },
            own_gain: if works { gain } else { 1.0 },
            inverts: works && signal.inverts.value == Some(true),
            delay: if works { signal.latency.value.map_or(0.0, Seconds::get) } else { 0.0 },
            noise: signal.noise.value.map(Volts::get).filter(|_| works),
        }
    }
}
