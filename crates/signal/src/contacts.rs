//! Jacks as contacts: what is plugged where, and which normals that leaves closed.
//!
//! A jack is one contact with a lead; where it belongs to an insert, a normal ties it to the other jack of the pair. A
//! plug lifts it: in the send of a full normal, in the return of a full or half one. What is wired behind a panel's
//! wall lifts nothing. The network and every rule ask here, so that they cannot differ.

use std::collections::BTreeSet;

use finding::Field;
use quantity::Ohms;
use rig::geometry::EndKind;
use rig::{Carries, Device, Insert, Known, Lead, LeadClass, Normal, PortRef, Rig, Role};

/// The leads that carry signal, and what is plugged through them.
#[derive(Debug, Clone, Default)]
pub struct Contacts {
    /// The signal leads of the rig.
    pub(crate) leads: Vec<Lead>,
    /// Pieces of wire behind panels, between jacks that a run names one after the other and that no insert ties.
    pub(crate) wires: Vec<(PortRef, PortRef)>,
}

/// An insert with what is plugged into it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Plugged {
    /// Whether a plug is in its send; on one jack, whether that leg of the lead goes anywhere.
    pub sent: bool,
    /// Whether a plug is in its return; on one jack, whether that leg comes from anywhere.
    pub returned: bool,
    /// Whether its normal still leads from the one to the other. One that is unknown counts as full.
    pub closed: bool,
}

impl Contacts {
    /// Of a rig, from its one list of leads.
    pub fn new(rig: &Rig) -> Self {
        let leads = rig::leads(rig).into_iter().filter(|lead| lead.class == LeadClass::Signal).collect();
        Self { leads, wires: wires(rig) }
    }

    /// Pieces of wire behind panels, between jacks that a run names one after the other and that no insert ties.
    pub fn wires(&self) -> &[(PortRef, PortRef)] {
        &self.wires
    }

    /// Every flow of signal along a lead, each once, with the place of its lead.
    pub(crate) fn flows(&self) -> Vec<(usize, &PortRef, &PortRef)> {
        let mut seen = BTreeSet::new();
        let mut out = Vec::new();
        for (index, lead) in self.leads.iter().enumerate() {
            for (from, to) in &lead.flows {
                if seen.insert((from, to)) {
                    out.push((index, from, to));
                }
            }
        }
        out
    }

    /// Whether a jack of a device has a plug in it. What meets a panel's jack from behind is no plug, unless something
    /// else is wired there already: then the second lead is the one that goes round to the front.
    pub fn is_plugged(&self, device: &Device, port: &str) -> bool {
        let ends: Vec<_> = self
            .leads
            .iter()
            .flat_map(|lead| &lead.ends)
            .filter(|end| end.port.port == port && end.port.device == device.tag)
            .collect();
        if ends.iter().any(|end| !end.inner) {
            return true;
        }
        let of = |kind: EndKind| ends.iter().any(|end| end.end == kind);
        device.role == Role::Panel && of(EndKind::From) && of(EndKind::To)
    }

    /// Whether the path goes on behind the wall from each contact of a panel's insert: to its send and from its return.
    /// `None` for an insert that is not on a panel.
    pub fn behind(&self, device: &Device, insert: &Insert) -> Option<(bool, bool)> {
        let (send, back) = (PortRef::new(&device.tag, &insert.send), PortRef::new(&device.tag, &insert.back));
        // On one jack both ways meet; what comes from outside is then no part of the path behind.
        let behind = |lead: &&Lead| {
            !insert.is_on_one_jack() || lead.ends.iter().any(|end| end.inner && end.port == send)
        };
        let flows = || self.leads.iter().filter(behind).flat_map(|lead| &lead.flows);
        let is_wired = |jack: &PortRef| self.wires.iter().any(|(from, to)| [from, to].contains(&jack));
        let reached = || flows().any(|(_, to)| *to == send) || is_wired(&send);
        let left = || flows().any(|(from, _)| *from == back) || is_wired(&back);
        (device.role == Role::Panel).then(|| (reached(), left()))
    }

    /// What is plugged into an insert.
    pub fn insert(&self, device: &Device, insert: &Insert) -> Plugged {
        let (sent, returned) = if insert.is_on_one_jack() {
            let jack = PortRef::new(&device.tag, &insert.send);
            // What is soldered to a panel's jack from behind is no plug in it.
            let plugged = |lead: &&Lead| lead.ends.iter().any(|end| end.port == jack && !end.inner);
            let flows = self.leads.iter().filter(plugged).flat_map(|lead| &lead.flows);
            flows.fold((false, false), |(sent, returned), (from, to)| {
                (sent || *from == jack, returned || *to == jack)
            })
        } else {
            (self.is_plugged(device, &insert.send), self.is_plugged(device, &insert.back))
        };
        let closed = match insert.normal.value.unwrap_or(Normal::Full) {
            // One plug on one jack lifts both contacts.
            Normal::Full | Normal::Half if insert.is_on_one_jack() => !sent && !returned,
            Normal::Full => !sent && !returned,
            Normal::Half => !returned,
            Normal::Open => false,
        };
        Plugged { sent, returned, closed }
    }
}

/// Jacks that follow each other within one device in some run, each pair once.
pub(crate) fn steps(rig: &Rig) -> Vec<(PortRef, PortRef)> {
    let mut out = Vec::new();
    for run in rig.runs.iter().filter(|run| run.carries == Carries::Signal) {
        for pair in run.stops.windows(2) {
            // The lone end of a run on a panel stands for its jack as well.
            let (before, after) = (&pair[0], &pair[1]);
            let from = before.leaves.as_ref().or(before.arrives.as_ref());
            let to = after.arrives.as_ref().or(after.leaves.as_ref());
            if let (Some(from), Some(to)) = (from, to)
                && from.device == to.device
                && from != to
            {
                let step = (from.clone(), to.clone());
                if !out.contains(&step) {
                    out.push(step);
                }
            }
        }
    }
    out
}

fn wires(rig: &Rig) -> Vec<(PortRef, PortRef)> {
    let mut out: Vec<(PortRef, PortRef)> = Vec::new();
    for (from, to) in steps(rig) {
        let Some(device) = rig.device(&from.device).filter(|device| device.role == Role::Panel) else {
            continue;
        };
        let is_pair = device.inserts.iter().any(|insert| {
            let pair = [insert.send.as_str(), insert.back.as_str()];
            pair.contains(&from.port.as_str()) && pair.contains(&to.port.as_str())
        });
        if !is_pair && !out.iter().any(|(a, b)| *a == to && *b == from) {
            out.push((from, to));
        }
    }
    out
}

/// The return contact of an insert on one jack, which is a place of its own in the network.
const RING: &str = " return";

/// The contact where a flow between a port and something else meets the port: the port itself; of an insert on one
/// jack, the contact that takes or gives. Behind a panel's wall they change sides: what arrives there goes on by the
/// contact that sends.
pub(crate) fn contact(rig: &Rig, port: &PortRef, arrives: bool, other: Option<&PortRef>) -> PortRef {
    let Some(device) = rig.device(&port.device) else { return port.clone() };
    if device.insert_on_jack(&port.port).is_none() {
        return match other {
            Some(other) if is_on_ring(rig, port, other) => {
                PortRef::new(&port.device, format!("{}{SECOND}", port.port))
            }
            _ => port.clone(),
        };
    }
    let outside = other.is_some_and(|other| {
        other.port.is_empty() || rig.device(&other.device).is_some_and(Device::is_beside_board)
    });
    let behind = device.role == Role::Panel && !outside;
    if arrives == behind { port.clone() } else { PortRef::new(&port.device, format!("{}{RING}", port.port)) }
}

/// The ring of a jack with two signals.
const SECOND: &str = " ring";

/// Whether a builder's Y lead takes what flows between a jack of three contacts and something else by the ring: the first
/// branch gets the tip, the second the ring.
fn is_on_ring(rig: &Rig, port: &PortRef, other: &PortRef) -> bool {
    let Some(spec) = rig.leads.iter().find(|spec| spec.is_joined() && spec.ends().any(|end| end == port))
    else {
        return false;
    };
    let branches: Vec<&PortRef> = spec.ends().filter(|end| *end != port).collect();
    let contacts = |at: &PortRef| {
        rig.port(at).and_then(|port| port.connector.as_ref()).map_or(2, |connector| connector.contacts)
    };
    let meets = |end: &PortRef| {
        rig.runs
            .iter()
            .flat_map(rig::Run::steps)
            .any(|(from, to)| (from == port && to == end) || (to == port && from == end))
    };
    branches.len() == 2
        && branches[1] == other
        && contacts(port) == 3
        && branches.iter().all(|end| contacts(end) == 2 && meets(end))
}

/// What the place behind the coupling capacitor of an input is called.
const COUPLED: &str = " coupled";

/// The place behind the coupling capacitor of an input.
pub(crate) fn coupled(contact: &PortRef) -> PortRef {
    PortRef::new(&contact.device, format!("{}{COUPLED}", contact.port))
}

/// The contact that a place of the network belongs to, by name: what listens behind a coupling capacitor belongs to the
/// jack before it.
pub(crate) fn contact_of(name: &str) -> &str {
    name.strip_suffix(COUPLED).unwrap_or(name)
}

/// The port whose coupling and capacitance a contact has: those of a jack that sends and returns are its send's.
pub(crate) fn own_port<'r>(rig: &'r Rig, contact: &PortRef) -> Option<&'r rig::Port> {
    if contact_of(&contact.port).ends_with(RING) { None } else { rig.port(&port_of(contact)) }
}

/// The impedance that a contact states, and where that is written down. What a jack that sends and returns states is
/// the impedance of its sending contact; that of the other stands with the insert.
pub fn contact_z(rig: &Rig, contact: &PortRef) -> (Known<Ohms>, Field) {
    let port = port_of(contact);
    let insert = rig.device(&port.device).and_then(|device| device.insert_on_jack(&port.port));
    if let Some(insert) = insert.filter(|_| contact_of(&contact.port).ends_with(RING)) {
        return (
            insert.return_z,
            Field::device(&port.device, "insert").below(&insert.name).below("return_z"),
        );
    }
    let z = rig.port(&port).map(|port| port.z).unwrap_or_default();
    (z, Field::device(&port.device, "port").below(&port.port).below("z"))
}

/// The port that a contact belongs to.
pub(crate) fn port_of(contact: &PortRef) -> PortRef {
    let name = contact_of(&contact.port);
    let name = name.strip_suffix(RING).or_else(|| name.strip_suffix(SECOND)).unwrap_or(name);
    PortRef::new(&contact.device, name)
}
