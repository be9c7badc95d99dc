//! Sources and sinks, and the reference: a source straight into an amp.

use finding::Field;
use quantity::{Farads, Henries, Ohms};
use rig::{PickupKind, PortRef};

use super::{Builder, LEAST_OHMS};
use crate::model::{EARTH, Node, Part, Terminal};

impl Builder<'_> {
    /// A source of the rig, its jack at the node of its name.
    pub(super) fn source(&mut self, id: &str) {
        let jack = self.port(&PortRef::new(id, ""));
        let Some(source) = self.input.rig.source(id) else { return };
        let field = |key: &str| Field::of("source", id, "electrics").below(key);
        let pickup = &source.pickup;
        if pickup.kind.is_unknown() {
            self.out.lacks.insert(field("kind"));
        } else if pickup.kind.is_assumed() {
            self.out.assumed.insert(field("kind"));
        }
        let emf = self.out.model.node(format!("{id} EMF"));
        self.out.model.sources.push(Terminal { id: id.to_owned(), node: emf });
        match pickup.kind.value.unwrap_or_default() {
            PickupKind::Coil => self.coil(id, emf, jack),
            PickupKind::Piezo => {
                let c = self.take(pickup.capacitance, field("capacitance"), Farads::get, self.config.piezo);
                self.behind_pots(id, emf, jack, "element", Part::Capacitor(c));
            }
            PickupKind::Active => {
                let r =
                    self.take(pickup.resistance, field("resistance"), Ohms::get, self.config.active_output);
                self.behind_pots(id, emf, jack, "output", Part::Resistor(r.max(LEAST_OHMS)));
            }
        }
    }

    /// A coil with its pots: EMF behind R and L, the winding's C across, tone and volume at the same place.
    ///
    /// Equivalent circuit of a pickup. `[src:LEMME-TABLE]`
    fn coil(&mut self, id: &str, emf: Node, jack: Node) {
        let Some(source) = self.input.rig.source(id) else { return };
        let pickup = source.pickup.clone();
        let config = self.config;
        let field = |key: &str| Field::of("source", id, "electrics").below(key);
        let controls = self.input.controls.get(id).copied().unwrap_or_default();
        let r = self.take(pickup.resistance, field("resistance"), Ohms::get, config.coil_resistance);
        let l = self.take(pickup.inductance, field("inductance"), Henries::get, config.inductance);
        let c = self.take(pickup.capacitance, field("capacitance"), Farads::get, config.coil_capacitance);
        let volume = self.take(pickup.volume_pot, field("volume_pot"), Ohms::get, config.pot);
        let tone = self.take(pickup.tone_pot, field("tone_pot"), Ohms::get, config.pot);
        let tone_c =
            self.take(pickup.tone_capacitor, field("tone_capacitor"), Farads::get, config.tone_capacitor);
        let hot = self.hot(id, jack);
        let model = &mut self.out.model;
        let wire = model.node(format!("{id} winding"));
        model.add(format!("{id} coil R"), emf, wire, Part::Resistor(r.max(LEAST_OHMS)));
        match controls.eddy {
            Some((share, loss)) => {
                let core = model.node(format!("{id} core"));
                model.add(format!("{id} coil L"), wire, core, Part::Inductor((1.0 - share) * l));
                let lossy = Part::Lossy { henries: share * l, ohms: loss };
                model.add(format!("{id} coil L with loss"), core, hot, lossy);
            }
            None => model.add(format!("{id} coil L"), wire, hot, Part::Inductor(l)),
        }
        model.add(format!("{id} coil C"), hot, EARTH, Part::Capacitor(c));
        self.tone(id, hot, tone, tone_c);
        self.volume(id, hot, jack, volume);
    }

    /// What a piezo element or an active source gives, behind the pots that are stated: neither needs any.
    fn behind_pots(&mut self, id: &str, emf: Node, jack: Node, name: &str, part: Part) {
        let Some(source) = self.input.rig.source(id) else { return };
        let pickup = source.pickup.clone();
        let config = self.config;
        let field = |key: &str| Field::of("source", id, "electrics").below(key);
        let volume = pickup
            .volume_pot
            .value
            .map(|_| self.take(pickup.volume_pot, field("volume_pot"), Ohms::get, config.pot));
        let hot = if volume.is_some() { self.hot(id, jack) } else { jack };
        self.out.model.add(format!("{id} {name}"), emf, hot, part);
        let has_tone = !pickup.tone_pot.is_unknown() || !pickup.tone_capacitor.is_unknown();
        if has_tone {
            let tone = self.take(pickup.tone_pot, field("tone_pot"), Ohms::get, config.pot);
            let farads =
                self.take(pickup.tone_capacitor, field("tone_capacitor"), Farads::get, config.tone_capacitor);
            self.tone(id, hot, tone, farads);
        }
        if let Some(ohms) = volume {
            self.volume(id, hot, jack, ohms);
        }
        let turned = self.input.controls.get(id).copied().unwrap_or_default();
        for (knob, share, is_there) in
            [("volume", turned.volume, volume.is_some()), ("tone", turned.tone, has_tone)]
        {
            if share < 1.0 && !is_there {
                self.out.notes.insert(format!(
                    "{id} has its {knob} turned down, and no {knob} pot is stated: nothing is taken off for it"
                ));
            }
        }
    }

    /// Where the pots hang: at the jack, or before the upper part of a volume pot that is turned down.
    fn hot(&mut self, id: &str, jack: Node) -> Node {
        let full = 1.0 - self.turn(id) <= f64::EPSILON;
        if full { jack } else { self.out.model.node(format!("{id} hot")) }
    }

    /// How far the volume of a source is up.
    fn turn(&self, id: &str) -> f64 {
        self.input.controls.get(id).copied().unwrap_or_default().volume.clamp(0.0, 1.0)
    }

    /// A tone pot with its capacitor, to earth.
    fn tone(&mut self, id: &str, hot: Node, ohms: f64, farads: f64) {
        let turn = self.input.controls.get(id).copied().unwrap_or_default().tone;
        let model = &mut self.out.model;
        let below = model.node(format!("{id} tone"));
        let left = (turn.clamp(0.0, 1.0) * ohms).max(LEAST_OHMS);
        model.add(format!("{id} tone pot"), hot, below, Part::Resistor(left));
        model.add(format!("{id} tone C"), below, EARTH, Part::Capacitor(farads));
    }

    /// A volume pot: what is above its wiper, where it is turned down, and what is below.
    fn volume(&mut self, id: &str, hot: Node, jack: Node, ohms: f64) {
        let turn = self.turn(id);
        let model = &mut self.out.model;
        if hot != jack {
            let series = ((1.0 - turn) * ohms).max(LEAST_OHMS);
            model.add(format!("{id} volume above"), hot, jack, Part::Resistor(series));
        }
        let down = (turn * ohms).max(LEAST_OHMS);
        model.add(format!("{id} volume below"), jack, EARTH, Part::Resistor(down));
    }

    /// A sink of the rig: its input impedance.
    pub(super) fn sink(&mut self, id: &str) {
        let node = self.port(&PortRef::new(id, ""));
        let Some(sink) = self.input.rig.sink(id) else { return };
        let z = self.take(sink.z, Field::of("sink", id, "z"), Ohms::get, self.config.sink_input);
        self.out.model.add(format!("{id} input"), node, EARTH, Part::Resistor(z.max(LEAST_OHMS)));
        self.out.model.sinks.push(Terminal { id: id.to_owned(), node });
    }

    /// A source straight into a load by the player's usual lead.
    pub(super) fn straight(&mut self, id: &str, load: f64) {
        let rig = self.input.rig;
        let (cable, length) = if let Some(source) = rig.source(id) {
            self.source(id);
            (source.cable.clone(), source.lead)
        } else {
            let jack = self.port(&PortRef::new(id, ""));
            let z = rig.device(id).and_then(|device| {
                device
                    .ports
                    .iter()
                    .find(|port| port.role.value.is_some_and(rig::PortRole::gives_signal))?
                    .z
                    .value
            });
            self.emf(id, jack, z.map_or(self.config.device_output, Ohms::get));
            (None, rig::Known::default())
        };
        let jack = self.port(&PortRef::new(id, ""));
        let field = Field::of("source", id, "lead");
        let metres =
            self.usual(length, field.clone(), |length| length.as_mm() / 1000.0, self.config.usual_lead);
        let (c, r) = self.per_metre(cable.as_ref(), &Field::of("source", id, ""));
        let half = c * metres / 2.0 + self.config.plug;
        let model = &mut self.out.model;
        let amp = model.node("amp");
        model.add("usual lead near end", jack, EARTH, Part::Capacitor(half));
        model.add("usual lead core", jack, amp, Part::Resistor((r * metres).max(LEAST_OHMS)));
        model.add("usual lead far end", amp, EARTH, Part::Capacitor(half));
        model.add("amp input", amp, EARTH, Part::Resistor(load.max(LEAST_OHMS)));
        model.sinks.push(Terminal { id: "amp".to_owned(), node: amp });
    }

    /// An EMF behind a resistance.
    pub(super) fn emf(&mut self, id: &str, node: Node, ohms: f64) {
        let emf = self.out.model.node(format!("{id} EMF"));
        self.out.model.sources.push(Terminal { id: id.to_owned(), node: emf });
        self.out.model.add(format!("{id} output"), emf, node, Part::Resistor(ohms.max(LEAST_OHMS)));
    }
}
