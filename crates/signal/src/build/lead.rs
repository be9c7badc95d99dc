//! Leads: capacitance, half at each end with the plug's, and the resistance between. Where several flows share a
//! conductor, each end has its plug and its leg once, and the legs meet in a joint.

use std::collections::BTreeSet;

use finding::Field;
use quantity::{Farads, Length, Ohms};
use rig::geometry::EndKind;
use rig::{Cable, Known, Lead, PlugKind, PortRef};

use super::{Builder, Hop, LEAST_OHMS};
use crate::contacts::contact;
use crate::input::{BufferPlace, Config};
use crate::model::{EARTH, Model, Node, Part};

/// A flow of signal along a lead.
type Flow<'a> = (&'a PortRef, &'a PortRef);

/// A leg of a conductor.
struct Leg {
    name: String,
    /// Farads and ohms of all its cable.
    cable: (f64, f64),
    plugs: [f64; 2],
}

impl Builder<'_> {
    /// Every signal lead, each conductor once.
    pub(super) fn leads(&mut self) {
        let contacts = self.contacts.clone();
        let flows = contacts.flows();
        for (index, lead) in contacts.leads.iter().enumerate() {
            let mut own: Vec<Flow<'_>> =
                flows.iter().filter(|(at, ..)| *at == index).map(|(_, from, to)| (*from, *to)).collect();
            while let Some(first) = own.first().copied() {
                let mut together = vec![first];
                own.remove(0);
                // What shares a contact shares the conductor.
                while let Some(at) =
                    own.iter().position(|flow| together.iter().any(|one| self.share(one, flow)))
                {
                    together.push(own.remove(at));
                }
                self.conductor(lead, &together);
            }
        }
    }

    fn share(&self, a: &Flow<'_>, b: &Flow<'_>) -> bool {
        let rig = self.input.rig;
        let ends = |flow: &Flow<'_>| {
            [contact(rig, flow.0, false, Some(flow.1)), contact(rig, flow.1, true, Some(flow.0))]
        };
        let (a, b) = (ends(a), ends(b));
        a.iter().any(|end| b.contains(end))
    }

    fn conductor(&mut self, lead: &Lead, flows: &[Flow<'_>]) {
        let rig = self.input.rig;
        for (from, to) in flows {
            self.out.hops.push(Hop {
                from: contact(rig, from, false, Some(to)),
                to: contact(rig, to, true, Some(from)),
                device: None,
                needs: None,
                past: Vec::new(),
            });
        }
        if let [(from, to)] = flows {
            let field = Field::of("lead", &format!("{from} > {to}"), "");
            let (c, r) = self.per_metre(lead.cable.as_ref(), &field);
            let metres = self.metres(from, to);
            let plugs = [self.plug_at(lead, from), self.plug_at(lead, to)];
            let leg = Leg { name: format!("{from} > {to}"), cable: (c * metres, r * metres), plugs };
            let a = self.port(&contact(rig, from, false, Some(to)));
            let b = self.port(&contact(rig, to, true, Some(from)));
            let (a, b) = self.buffered(from, to, a, b);
            self.leg(leg, a, b);
            return;
        }
        self.star(lead, flows);
    }

    /// Several flows on one conductor: a leg from each end to the joint.
    fn star(&mut self, lead: &Lead, flows: &[Flow<'_>]) {
        let rig = self.input.rig;
        let field = Field::of("lead", &lead.name(), "");
        let (c, r) = self.per_metre(lead.cable.as_ref(), &field);
        let joint = self.out.model.node(format!("{} joint", lead.name()));
        let mut done = BTreeSet::new();
        let lengths: Vec<f64> = flows.iter().map(|(from, to)| self.metres(from, to)).collect();
        let shortest = lengths.iter().copied().fold(f64::INFINITY, f64::min);
        for (at, (from, to)) in flows.iter().enumerate() {
            for (port, other, arrives) in [(*from, *to, false), (*to, *from, true)] {
                let place = contact(rig, port, arrives, Some(other));
                if !done.insert(place.clone()) {
                    continue;
                }
                // Without the legs' own lengths the joint is taken to lie half way along the shortest way.
                let shares = |other: &&Flow<'_>| if arrives { other.1 == port } else { other.0 == port };
                let is_trunk = 1 < flows.iter().filter(shares).count();
                let metres = Self::leg_metres(lead, port).unwrap_or_else(|| {
                    self.out.lacks.insert(Field::of("lead", &lead.name(), "legs"));
                    if is_trunk { shortest / 2.0 } else { lengths[at] - shortest / 2.0 }
                });
                let node = self.port(&place);
                let here = |buffer: &&BufferPlace| {
                    buffer.at == if arrives { EndKind::To } else { EndKind::From }
                        && if arrives { buffer.to == *port } else { buffer.from == *port }
                };
                let buffer = self.input.buffers.iter().find(here);
                let plug = self.plug_at(lead, port);
                let node = match buffer {
                    Some(buffer) => self.buffer(buffer, node),
                    None => node,
                };
                let leg =
                    Leg { name: format!("{port} leg"), cable: (c * metres, r * metres), plugs: [plug, 0.0] };
                self.leg(leg, node, joint);
            }
        }
    }

    fn leg(&mut self, leg: Leg, a: Node, b: Node) {
        let Leg { name, cable: (c, r), plugs } = leg;
        let model = &mut self.out.model;
        model.add(format!("{name} near end"), a, EARTH, Part::Capacitor(c / 2.0 + plugs[0]));
        model.add(format!("{name} core"), a, b, Part::Resistor(r.max(LEAST_OHMS)));
        model.add(format!("{name} far end"), b, EARTH, Part::Capacitor(c / 2.0 + plugs[1]));
    }

    /// The length of a leg to its joint, where it is known.
    fn leg_metres(lead: &Lead, port: &PortRef) -> Option<f64> {
        let cut = lead.spec.as_ref()?.legs.iter().find(|(end, _)| end == port)?.1;
        Some(cut.as_mm() / 1000.0)
    }

    /// The length of a way along a lead in metres.
    fn metres(&mut self, from: &PortRef, to: &PortRef) -> f64 {
        let rig = self.input.rig;
        let outside = rig
            .source(&from.device)
            .filter(|_| from.port.is_empty())
            .map(|source| (source.lead, Field::of("source", &source.id, "lead"), self.config.usual_lead))
            .or_else(|| {
                let sink = rig.sink(&to.device).filter(|_| to.port.is_empty())?;
                Some((sink.lead, Field::of("sink", &sink.id, "lead"), self.config.usual_lead))
            });
        let field = Field::of("lead", &format!("{from} > {to}"), "");
        let given = self.input.leads.iter().find(|lead| lead.from == *from && lead.to == *to);
        let (unknown, place, usual) =
            outside.unwrap_or((Known::default(), field.below("cut"), self.config.lead));
        let length = given.map(|lead| lead.length).filter(|length| !length.is_unknown()).unwrap_or(unknown);
        self.take(length, place, |length: Length| length.as_mm() / 1000.0, usual)
    }

    /// Capacitance and resistance of a metre.
    pub(super) fn per_metre(&mut self, cable: Option<&Cable>, field: &Field) -> (f64, f64) {
        let Some(cable) = cable else {
            self.out.assumed.insert(field.below("cable"));
            return (self.config.cable_capacitance, self.config.cable_resistance);
        };
        let place = field.below("cable");
        let usual = (self.config.cable_capacitance, self.config.cable_resistance);
        let c = self.usual(cable.capacitance_per_metre, place.clone(), Farads::get, usual.0);
        let r = self.usual(cable.resistance_per_metre, place, Ohms::get, usual.1);
        (c, r)
    }

    /// Capacitance of the plug at an end; none where it is soldered behind a panel's jack.
    fn plug_at(&self, lead: &Lead, port: &PortRef) -> f64 {
        let end = lead.ends.iter().find(|end| end.port == *port && !end.port.port.is_empty());
        if end.is_some_and(|end| end.inner) {
            return 0.0;
        }
        let plug: Option<&PlugKind> = end.and_then(|end| end.plug.plug.as_ref());
        plug.and_then(|plug| plug.capacitance.value).map_or(self.config.plug, Farads::get)
    }

    /// The ends of a lead once the buffers tried in it are put in.
    pub(super) fn buffered(
        &mut self,
        from: &PortRef,
        to: &PortRef,
        mut a: Node,
        mut b: Node,
    ) -> (Node, Node) {
        let input = self.input;
        for buffer in input.buffers.iter().filter(|place| place.from == *from && place.to == *to) {
            match buffer.at {
                EndKind::From => a = self.buffer(buffer, a),
                EndKind::To => b = self.buffer(buffer, b),
            }
        }
        (a, b)
    }

    /// A buffer at an end of a lead: after `node`, or before it. Gives the node where the lead then ends.
    fn buffer(&mut self, place: &BufferPlace, node: Node) -> Node {
        put_buffer(&mut self.out.model, self.config, place, node)
    }
}

/// A buffer as advice takes it, at its end of a lead: after `node`, or before it. Gives the node where the lead then ends.
pub(crate) fn put_buffer(model: &mut Model, config: &Config, place: &BufferPlace, node: Node) -> Node {
    let name = format!("buffer {place}");
    let (lead, driven) = (model.node(format!("{name} lead")), model.node(format!("{name} drive")));
    let (input, output) = match place.at {
        EndKind::From => (node, lead),
        EndKind::To => (lead, node),
    };
    let across = config.buffer_capacitance(place.at);
    model.add(format!("{name} input"), input, EARTH, Part::Resistor(config.buffer_input));
    model.add(format!("{name} lead and stray"), input, EARTH, Part::Capacitor(across));
    model.add(format!("{name} output"), driven, output, Part::Resistor(config.buffer_output));
    model.fixed.stage(name, vec![input], driven);
    lead
}
