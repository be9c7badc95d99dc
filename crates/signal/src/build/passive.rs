//! Passive devices when they are on: a volume pot, a transformer, or a box that only joins.

use finding::Field;
use quantity::Ohms;
use rig::{Device, PortRef};

use super::uses::{Link, Use};
use super::{Builder, LEAST_OHMS};
use crate::model::{EARTH, Node, Part, Reflected, Variant};

impl Builder<'_> {
    pub(super) fn passive(&mut self, device: &Device, used: &Use, links: &[Link]) -> Variant {
        let mut variant = Variant::default();
        let travel = self.input.travel.get(&device.tag).copied();
        let is_pot = device.treadle.is_some() || travel.is_some();
        for port in &used.ins {
            let known = self.input.rig.port(port).map(|port| port.z).unwrap_or_default();
            if is_pot {
                let pot = self.z(port, self.config.pot);
                let outs: Vec<PortRef> =
                    links.iter().filter(|(from, _)| from == port).map(|(_, to)| to.clone()).collect();
                self.pot(&mut variant, device, port, &outs, pot, travel.unwrap_or(1.0).clamp(0.0, 1.0));
            } else if !known.is_unknown() {
                self.load(&mut variant, port);
            } else if device.turns().is_some() {
                self.reflecting(&mut variant, device, port, links);
            }
        }
        if is_pot {
            return variant;
        }
        let transformer = device.signal.transformer.value == Some(true);
        for port in &used.outs {
            let inputs: Vec<PortRef> =
                links.iter().filter(|(_, to)| to == port).map(|(from, _)| from.clone()).collect();
            if device.turns().is_some() && !is_straight(port) {
                // The source is not reflected into this resistance: it has made its voltage at the input already, loaded
                // by what the turns reflect there, and here that voltage stands at the ratio, behind the winding alone.
                let known = self.input.rig.port(port).map(|port| port.z).unwrap_or_default();
                let field = Field::device(&port.device, "port").below(&port.port).below("z");
                let z = self.take(known, field, Ohms::get, self.config.winding).max(LEAST_OHMS);
                self.drive_through(&mut variant, device, &inputs, port, true, z);
                continue;
            }
            if transformer && !is_straight(port) {
                self.out.notes.insert(format!(
                    "{} is taken as a transformer of the stated impedances, its ratio as its gain",
                    device.tag
                ));
                self.drive(&mut variant, device, &inputs, port, true);
                continue;
            }
            let known = self.input.rig.port(port).and_then(|port| port.z.value);
            let series = match known {
                Some(z) if !transformer && !is_straight(port) => Ohms::get(z).max(self.config.contact),
                _ => self.config.contact,
            };
            let b = self.port(port);
            if 1 < inputs.len() && known.is_none() && !transformer && !is_straight(port) {
                // What parts the legs of a box that sums decides how much of each is left.
                self.out.lacks.insert(Field::device(&port.device, "port").below(&port.port).below("z"));
            }
            for from in &inputs {
                let a = self.port(from);
                variant.add(format!("{port} series"), a, b, Part::Resistor(series));
            }
        }
        variant
    }

    /// The load that a transformer's turns make of what hangs on the outputs that an input feeds. How much that is shows
    /// when everything is there, [`reflect`](crate::reflect::reflect).
    fn reflecting(&mut self, variant: &mut Variant, device: &Device, input: &PortRef, links: &[Link]) {
        let Some(turns) = device.turns() else { return };
        let outs = links.iter().filter(|(from, to)| from == input && !is_straight(to));
        let outputs: Vec<Node> = outs.map(|(_, to)| self.driven(to)).collect();
        if outputs.is_empty() {
            return;
        }
        self.load_of(variant, input, crate::reflect::OPEN);
        let element = format!("{input} input");
        self.out.model.reflected.push(Reflected { element, turns: turns.ratio(), outputs });
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
}

/// Whether an output of a passive box is wired to its input: a tuner output, a link, a through jack.
///
/// By the name on the jack; common practice, no source.
fn is_straight(port: &PortRef) -> bool {
    let name = port.port.to_ascii_uppercase();
    ["TUN", "LINK", "THRU", "THROUGH"].iter().any(|word| name.contains(word))
}
