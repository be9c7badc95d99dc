//! Devices: what each is made of when it is on and when it is off.

use finding::Field;
use quantity::Ohms;
use rig::{Bypass, Device, Normal, PortRef, Role};

use super::{Builder, Hop, LEAST_OHMS, Use};
use crate::model::{Block, EARTH, Node, Part, Variant};

/// A way inside a device.
type Link = (PortRef, PortRef);

impl Builder<'_> {
    pub(super) fn device(&mut self, device: &Device, used: &Use) {
        if used.ins.is_empty() {
            // It has no way in: a receiver, a synthesiser.
            for port in &used.outs {
                let (node, z) = (self.port(port), self.z(port, self.config.device_output));
                self.emf(&device.tag, node, z);
            }
            return;
        }
        let links = self.links(device, used);
        if matches!(device.role, Role::Panel | Role::Strip) {
            self.wires(device, &links);
        } else if !device.loops.is_empty() {
            self.switcher(device, used, &links);
        } else {
            self.pedal(device, &links);
        }
    }

    /// The ways inside a device: those the runs state, and those to where runs begin or from where they end.
    fn links(&mut self, device: &Device, used: &Use) -> Vec<Link> {
        let mut links: Vec<Link> = used.links.iter().filter(|(from, to)| from != to).cloned().collect();
        let mut add = |link: Link| {
            if link.0 != link.1 && !links.contains(&link) {
                links.push(link);
            }
        };
        for out in &used.starts {
            // A run that begins where another arrives goes on from there.
            if used.ins.contains(out) {
                continue;
            }
            if let Some(input) = partner(out, &used.ins, &used.outs) {
                add((input, out.clone()));
            }
        }
        for input in used.ends.iter().filter(|input| !used.links.iter().any(|(from, _)| from == *input)) {
            if !used.outs.contains(input)
                && let Some(out) = partner(input, &used.outs, &used.ins)
            {
                add((input.clone(), out));
            }
        }
        links.retain(|link| self.closed(device, link));
        links
    }

    /// Whether the normals on a way are closed: with nothing plugged, or with what is plugged leaving them so.
    fn closed(&mut self, device: &Device, link: &Link) -> bool {
        let leads = super::signal_leads(self.input.rig);
        for insert in &device.inserts {
            let (send, back) =
                (PortRef::new(&device.tag, &insert.send), PortRef::new(&device.tag, &insert.back));
            let through = link.0 == send && link.1 == back;
            let inside = ![&send, &back].into_iter().any(|port| *port == link.0 || *port == link.1);
            if !through && !inside {
                continue;
            }
            let sent = leads.iter().any(|(from, _, _)| *from == send);
            let returned = leads.iter().any(|(_, to, _)| *to == back);
            if insert.normal.is_unknown() {
                self.out
                    .lacks
                    .insert(Field::device(&device.tag, "insert").below(&insert.name).below("normal"));
            }
            let normal = insert.normal.value.unwrap_or(Normal::Full);
            let closed = match normal {
                Normal::Full => !sent && !returned,
                Normal::Half => !returned,
                Normal::Open => false,
            };
            if !closed {
                if normal == Normal::Open && !sent && !returned {
                    self.out.notes.insert(format!("{send} is open with nothing plugged: nothing passes"));
                }
                return false;
            }
        }
        true
    }

    fn hops(&mut self, device: &Device, links: &[Link]) {
        for (from, to) in links {
            self.out.hops.push(Hop {
                from: from.clone(),
                to: to.clone(),
                device: Some(device.tag.clone()),
                needs: None,
                past: Vec::new(),
            });
        }
    }

    /// A panel: its normals are wires.
    fn wires(&mut self, device: &Device, links: &[Link]) {
        for (from, to) in links {
            let (a, b) = (self.port(from), self.port(to));
            self.out.model.add(format!("{} normal", device.tag), a, b, Part::Resistor(self.config.contact));
        }
        self.hops(device, links);
    }

    /// Impedance of a port.
    fn z(&mut self, port: &PortRef, otherwise: f64) -> f64 {
        let known = self.input.rig.port(port).map(|port| port.z).unwrap_or_default();
        let field = Field::device(&port.device, "port").below(&port.port).below("z");
        self.take(known, field, Ohms::get, otherwise).max(LEAST_OHMS)
    }

    fn bypass(&mut self, device: &Device) -> Bypass {
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

    fn pedal(&mut self, device: &Device, links: &[Link]) {
        let bypass = self.bypass(device);
        let stray = if bypass == Bypass::Relay { self.config.relay_stray } else { self.config.stray };
        for port in ends_of(links) {
            let node = self.port(&port);
            self.out.model.add(format!("{port} stray"), node, EARTH, Part::Capacitor(stray / 2.0));
        }
        let engaged =
            if device.signal.passive { self.passive(device, links) } else { self.active(device, links) };
        if matches!(bypass, Bypass::AlwaysOn | Bypass::Buffered) {
            // A buffered device shows the same impedances on and off, as far as the document knows them.
            self.out.model.fixed.elements.extend(engaged.elements);
            self.out.model.fixed.stages.extend(engaged.stages);
        } else {
            let mut bypassed = Variant::default();
            for (from, to) in links {
                let (a, b) = (self.port(from), self.port(to));
                bypassed.add(format!("{} contact", device.tag), a, b, Part::Resistor(self.config.contact));
            }
            let switch = self.switch(&device.tag, ["bypassed", "engaged"]);
            self.out.model.blocks.push(Block { switch, variants: vec![bypassed, engaged] });
        }
        self.hops(device, links);
    }

    /// An engaged active device: a load at each input, a driven resistance at each output.
    fn active(&mut self, device: &Device, links: &[Link]) -> Variant {
        let mut variant = Variant::default();
        for port in inputs_of(links) {
            let (node, z) = (self.port(&port), self.z(&port, self.config.device_input));
            variant.add(format!("{port} input"), node, EARTH, Part::Resistor(z));
        }
        for port in outputs_of(links) {
            self.drive(&mut variant, device, links, &port);
        }
        variant
    }

    /// A gain stage from every input that leads to an output.
    fn drive(&mut self, variant: &mut Variant, device: &Device, links: &[Link], port: &PortRef) {
        let (node, z) = (self.port(port), self.z(port, self.config.device_output));
        let driven = self.out.model.node(format!("{port} drive"));
        let inputs: Vec<Node> =
            links.iter().filter(|(_, to)| to == port).map(|(from, _)| self.port(from)).collect();
        variant.add(format!("{port} output"), driven, node, Part::Resistor(z));
        variant.stage(&device.tag, inputs, driven);
    }

    /// An engaged passive device: a volume pot, a transformer, or a box that only joins.
    fn passive(&mut self, device: &Device, links: &[Link]) -> Variant {
        let mut variant = Variant::default();
        let travel = self.input.travel.get(&device.tag).copied();
        let is_pot = device.treadle.is_some() || travel.is_some();
        for port in inputs_of(links) {
            let known = self.input.rig.port(&port).map(|port| port.z).unwrap_or_default();
            if is_pot {
                let pot = self.z(&port, self.config.pot);
                let outs: Vec<PortRef> =
                    links.iter().filter(|(from, _)| *from == port).map(|(_, to)| to.clone()).collect();
                self.pot(&mut variant, device, &port, &outs, pot, travel.unwrap_or(1.0).clamp(0.0, 1.0));
            } else if !known.is_unknown() {
                let (node, z) = (self.port(&port), self.z(&port, self.config.device_input));
                variant.add(format!("{port} input"), node, EARTH, Part::Resistor(z));
            }
        }
        if is_pot {
            return variant;
        }
        let transformer = device.signal.transformer.value == Some(true);
        for port in outputs_of(links) {
            if transformer && !is_straight(&port) {
                self.out.notes.insert(format!(
                    "{} is taken as a transformer of the stated impedances, its ratio as its gain",
                    device.tag
                ));
                self.drive(&mut variant, device, links, &port);
                continue;
            }
            let known = self.input.rig.port(&port).and_then(|port| port.z.value);
            let series = match known {
                Some(z) if !transformer && !is_straight(&port) => z.get().max(self.config.contact),
                _ => self.config.contact,
            };
            let b = self.port(&port);
            for (from, _) in links.iter().filter(|(_, to)| *to == port) {
                let a = self.port(from);
                variant.add(format!("{port} series"), a, b, Part::Resistor(series));
            }
        }
        variant
    }

    /// A pot between an input and its outputs; a tuner output hangs before it.
    fn pot(
        &mut self,
        variant: &mut Variant,
        device: &Device,
        input: &PortRef,
        outs: &[PortRef],
        ohms: f64,
        x: f64,
    ) {
        let tag = &device.tag;
        let top = self.port(input);
        let wiped: Vec<&PortRef> = outs.iter().filter(|port| !is_straight(port)).collect();
        let wiper = match wiped.as_slice() {
            [only] => self.port(only),
            _ => {
                let wiper = self.out.model.node(format!("{input} wiper"));
                for port in &wiped {
                    let node = self.port(port);
                    variant.add(format!("{port} wire"), wiper, node, Part::Resistor(self.config.contact));
                }
                wiper
            }
        };
        for port in outs.iter().filter(|port| is_straight(port)) {
            let node = self.port(port);
            variant.add(format!("{port} wire"), top, node, Part::Resistor(self.config.contact));
        }
        variant.add(
            format!("{tag} above wiper"),
            top,
            wiper,
            Part::Resistor(((1.0 - x) * ohms).max(LEAST_OHMS)),
        );
        variant.add(format!("{tag} below wiper"), wiper, EARTH, Part::Resistor((x * ohms).max(LEAST_OHMS)));
    }

    /// A switcher: its way in, perhaps a buffer, then each loop in order, in or out, then its ways out.
    fn switcher(&mut self, device: &Device, used: &Use, links: &[Link]) {
        let tag = device.tag.clone();
        let bypass = self.bypass(device);
        let own = |name: &str| PortRef::new(&tag, name);
        let loops: Vec<(String, PortRef, PortRef)> = device
            .loops
            .iter()
            .map(|one| (one.name.clone(), own(&one.send), own(&one.back)))
            .filter(|(_, send, back)| used.outs.contains(send) && used.ins.contains(back))
            .collect();
        let is_loop = |port: &PortRef| loops.iter().any(|(_, send, back)| port == send || port == back);
        let entries: Vec<PortRef> = used.ins.iter().filter(|port| !is_loop(port)).cloned().collect();
        let exits: Vec<PortRef> = used.outs.iter().filter(|port| !is_loop(port)).cloned().collect();
        let Some(entry) = entries.first() else {
            self.pedal(device, links);
            return;
        };
        let stray = self.config.relay_stray;
        for port in entries.iter().chain(&exits).chain(loops.iter().flat_map(|(_, send, back)| [send, back]))
        {
            let node = self.port(port);
            self.out.model.add(format!("{port} stray"), node, EARTH, Part::Capacitor(stray / 2.0));
        }
        let mut at = self.port(entry);
        if matches!(bypass, Bypass::Buffered | Bypass::AlwaysOn) && !device.signal.passive {
            let mut variant = Variant::default();
            for port in &entries {
                let (node, z) = (self.port(port), self.z(port, self.config.device_input));
                variant.add(format!("{port} input"), node, EARTH, Part::Resistor(z));
            }
            let first = exits.first().or(loops.first().map(|(_, send, _)| send)).cloned();
            let z = first.map_or(self.config.device_output, |port| self.z(&port, self.config.device_output));
            let driven = self.out.model.node(format!("{tag} drive"));
            let bus = self.out.model.node(format!("{tag} bus"));
            let inputs = entries.iter().map(|port| self.port(port)).collect();
            variant.add(format!("{tag} output"), driven, bus, Part::Resistor(z));
            variant.stage(&tag, inputs, driven);
            self.out.model.fixed.elements.extend(variant.elements);
            self.out.model.fixed.stages.extend(variant.stages);
            at = bus;
        } else {
            for port in &entries[1..] {
                let node = self.port(port);
                self.out.model.add(format!("{port} contact"), node, at, Part::Resistor(self.config.contact));
            }
        }
        // Ways for parity, latency and the like: past each loop or through it.
        let mut before: Vec<(PortRef, Vec<String>)> =
            entries.iter().map(|port| (port.clone(), Vec::new())).collect();
        let hop = |from: &PortRef, to: &PortRef, needs: Option<String>, past: &[String]| Hop {
            from: from.clone(),
            to: to.clone(),
            device: Some(tag.clone()),
            needs,
            past: past.to_vec(),
        };
        for (name, send, back) in &loops {
            let name = format!("{tag}.{name}");
            let after = self.out.model.node(format!("{name} after"));
            let (s, r) = (self.port(send), self.port(back));
            let contact = Part::Resistor(self.config.contact);
            let (mut around, mut through) = (Variant::default(), Variant::default());
            around.add(format!("{name} contact"), at, after, contact);
            through.add(format!("{name} send contact"), at, s, contact);
            through.add(format!("{name} return contact"), r, after, contact);
            let switch = self.switch(&name, ["out", "in"]);
            self.out.model.blocks.push(Block { switch, variants: vec![around, through] });
            for (from, past) in &mut before {
                self.out.hops.push(hop(from, send, Some(name.clone()), past));
                past.push(name.clone());
            }
            before.push((back.clone(), Vec::new()));
            at = after;
        }
        for port in &exits {
            let node = self.port(port);
            self.out.model.add(format!("{port} contact"), at, node, Part::Resistor(self.config.contact));
            for (from, past) in &before {
                self.out.hops.push(hop(from, port, None, past));
            }
        }
    }
}

/// Every port a way touches, once.
fn ends_of(links: &[Link]) -> Vec<PortRef> {
    let mut out = inputs_of(links);
    for port in outputs_of(links) {
        super::once(&mut out, &port);
    }
    out
}

fn inputs_of(links: &[Link]) -> Vec<PortRef> {
    let mut out = Vec::new();
    for (from, _) in links {
        super::once(&mut out, from);
    }
    out
}

fn outputs_of(links: &[Link]) -> Vec<PortRef> {
    let mut out = Vec::new();
    for (_, to) in links {
        super::once(&mut out, to);
    }
    out
}

/// Whether an output of a passive box is wired to its input: a tuner output, a link, a through jack.
///
/// By the name on the jack; common practice, no source.
fn is_straight(port: &PortRef) -> bool {
    let name = port.port.to_ascii_uppercase();
    ["TUN", "LINK", "THRU", "THROUGH"].iter().any(|word| name.contains(word))
}

/// The port of the other side that belongs to this one: of the same suffix, the only one, or the one at its place.
fn partner(port: &PortRef, others: &[PortRef], own: &[PortRef]) -> Option<PortRef> {
    let suffix = |port: &PortRef| port.port.rsplit_once('_').map(|(_, suffix)| suffix.to_owned());
    let mine = suffix(port);
    let same = others.iter().find(|other| mine.is_some() && suffix(other) == mine);
    let place = own.iter().position(|mine| mine == port).unwrap_or(0);
    same.or_else(|| others.get(place)).or_else(|| others.first()).cloned()
}
