//! Panels: jacks, the normals of their inserts, and wires between jacks that a run names one after the other.

use finding::Field;
use rig::{Device, Normal, PortRef};

use super::uses::{Use, once};
use super::{Builder, Hop};
use crate::contacts::contact;
use crate::model::Part;

impl Builder<'_> {
    pub(super) fn panel(&mut self, device: &Device, used: &Use) {
        let tag = &device.tag;
        let mut reached: Vec<PortRef> = Vec::new();
        for port in used.ins.iter().chain(&used.outs) {
            once(&mut reached, port);
        }
        for (from, to) in &used.steps {
            once(&mut reached, from);
            once(&mut reached, to);
        }
        for insert in &device.inserts {
            let send = PortRef::new(tag, &insert.send);
            // Of an insert on one jack the contact that takes from outside.
            let back = if insert.is_on_one_jack() {
                contact(self.input.rig, &send, true, Some(&PortRef::new("", "")))
            } else {
                PortRef::new(tag, &insert.back)
            };
            if !(reached.contains(&send) && reached.contains(&back)) {
                continue;
            }
            if insert.normal.is_unknown() {
                self.out.lacks.insert(Field::device(tag, "insert").below(&insert.name).below("normal"));
            }
            let plugged = self.contacts.insert(device, insert);
            if plugged.closed {
                let backwards = used.steps.contains(&(back.clone(), send.clone()));
                let (from, to) = if backwards { (back, send) } else { (send, back) };
                self.wire(device, "normal", &from, &to);
            } else if insert.normal.value == Some(Normal::Open) && !plugged.sent && !plugged.returned {
                self.out.notes.insert(format!("{send} is open with nothing plugged: nothing passes"));
            }
        }
        for (from, to) in self.contacts.wires.clone().iter().filter(|(from, _)| from.device == *tag) {
            self.wire(device, "wire", from, to);
        }
    }

    /// A piece of wire between two jacks.
    fn wire(&mut self, device: &Device, what: &str, from: &PortRef, to: &PortRef) {
        let (a, b) = (self.port(from), self.port(to));
        let (a, b) = self.buffered(from, to, a, b);
        self.out.model.add(format!("{from} > {to} {what}"), a, b, Part::Resistor(self.config.contact));
        self.hop(device, from, to);
    }

    /// A way inside a device.
    pub(super) fn hop(&mut self, device: &Device, from: &PortRef, to: &PortRef) {
        self.out.hops.push(Hop::within(device, from, to));
    }
}
