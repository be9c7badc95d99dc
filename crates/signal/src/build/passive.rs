//! Passive devices when they are on: a volume pot, a transformer, or a box that only joins.

use finding::Field;
use quantity::Ohms;
use rig::{Device, PortRef};

use super::uses::{Link, Use};
use super::{Builder, LEAST_OHMS};
use crate::model::{EARTH, Node, Part, Variant};

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
            } else {
                let inner = self.enter(&mut variant, port);
                if device.turns().is_some() {
                    // What comes to its primary is told, though nothing active listens there.
                    self.listen(&mut variant, device, port, inner);
                }
            }
        }
        if is_pot {
            return variant;
        }
        let transformer = device.signal.transformer.value == Some(true);
        for port in &used.outs {
            let inputs: Vec<PortRef> =
                links.iter().filter(|(_, to)| to == port).map(|(from, _)| from.clone()).collect();
            if let Some(turns) = device.turns().filter(|_| !is_straight(port)) {
                let known = self.input.rig.port(port).map(|port| port.z).unwrap_or_default();
                let field = Field::device(&port.device, "port").below(&port.port).below("z");
                let z = self.take(known, field, Ohms::get, self.config.winding).max(LEAST_OHMS);
                let (stated, wound): (Vec<PortRef>, Vec<PortRef>) = inputs
                    .into_iter()
                    .partition(|input| self.input.rig.port(input).is_some_and(|port| !port.z.is_unknown()));
                if !wound.is_empty() {
                    let outer = self.leave(&mut variant, port);
                    for input in &wound {
                        self.secondary(&mut variant, device, (input, outer, port), turns.ratio(), z);
                    }
                }
                // An input that states its impedance is that impedance, whatever hangs behind: the voltage there stands at
                // the ratio, behind the winding alone.
                if !stated.is_empty() || wound.is_empty() {
                    self.drive_through(&mut variant, device, &stated, port, true, z);
                }
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
            let b = self.leave(&mut variant, port);
            if 1 < inputs.len() && known.is_none() && !transformer && !is_straight(port) {
                // What parts the legs of a box that sums decides how much of each is left.
                let field = Field::device(&port.device, "port").below(&port.port).below("z");
                self.out.stand_ins.insert(field.clone(), series);
                self.out.lacks.insert(field);
            }
            for from in &inputs {
                // What is wired straight to the jack hangs before its coupling capacitor.
                let a = if is_straight(port) { self.port(from) } else { self.behind(from) };
                variant.add(format!("{port} series"), a, b, Part::Resistor(series));
            }
        }
        variant
    }

    /// A secondary with its winding, wound to the primary of an input.
    ///
    /// An ideal transformer: its own inductance and losses are neglected. What hangs on the secondary loads the primary by
    /// the square of the turns, Z₁ = (N₁/N₂)²·Z₂, a law of physics.
    fn secondary(
        &mut self,
        variant: &mut Variant,
        device: &Device,
        (input, outer, output): (&PortRef, Node, &PortRef),
        turns: f64,
        ohms: f64,
    ) {
        let inner = self.behind(input);
        let turns = if device.signal.inverts.value == Some(true) { -turns } else { turns };
        variant.add(format!("{output} turns"), inner, outer, Part::Transformer { turns, ohms });
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
        let top = self.enter(variant, input);
        let wiped: Vec<&PortRef> = outs.iter().filter(|port| !is_straight(port)).collect();
        let wiper = match wiped.as_slice() {
            [only] => self.leave(variant, only),
            _ => {
                let wiper = self.out.model.node(format!("{input} wiper"));
                for port in &wiped {
                    let node = self.leave(variant, port);
                    variant.add(format!("{port} wire"), wiper, node, Part::Resistor(self.config.contact));
                }
                wiper
            }
        };
        for port in outs.iter().filter(|port| is_straight(port)) {
            let (jack, node) = (self.port(input), self.port(port));
            variant.add(format!("{port} wire"), jack, node, Part::Resistor(self.config.contact));
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
