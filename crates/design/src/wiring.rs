//! Which contact goes to which, for leads that are more than a straight wire.

use rig::geometry::EndKind;
use rig::{ConnectorFamily, LeadClass, LeadShape, PortRef, Rig, Sign};

use crate::Lead;

/// A contact of a plug.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Contact {
    /// The tip of a jack plug.
    Tip,
    /// The ring of a jack plug.
    Ring,
    /// The sleeve of a jack plug or barrel.
    Sleeve,
    /// The centre of a barrel.
    Centre,
    /// The positive contact, where which one that is is unknown.
    Plus,
    /// The negative contact, where which one that is is unknown.
    Minus,
}

impl Contact {
    /// The word used on papers.
    pub fn word(self) -> &'static str {
        match self {
            Self::Tip => "tip",
            Self::Ring => "ring",
            Self::Sleeve => "sleeve",
            Self::Centre => "centre",
            Self::Plus => "+",
            Self::Minus => "−",
        }
    }
}

/// One wire of a lead: from a contact at one end to a contact at another, ends as places in [`Lead::ends`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Wire {
    /// Where it begins.
    pub from: (usize, Contact),
    /// Where it ends.
    pub to: (usize, Contact),
}

/// The wires of a lead that is not simply through: crossed ones, and all with a joint. Empty for every other lead.
///
/// A series pair joins + of the first outlet to − of the second; all else that has a joint joins like to like, an insert
/// lead tip and ring to the tips of its two plugs.
pub fn wiring(rig: &Rig, lead: &Lead) -> Vec<Wire> {
    let wire = |from: (usize, Contact), to: (usize, Contact)| Wire { from, to };
    match lead.shape {
        LeadShape::Plain if lead.class.is_supply() && is_crossed(rig, lead) => {
            let mut out = Vec::new();
            for plus in [true, false] {
                out.push(wire((0, at_outlet(rig, lead, 0, plus)), (1, at_device(rig, lead, 1, plus))));
            }
            out
        }
        LeadShape::Plain => Vec::new(),
        LeadShape::SeriesPair => {
            let sink = lead.trunk;
            let outlets: Vec<usize> = (0..lead.ends.len()).filter(|end| *end != sink).collect();
            let mut out = Vec::new();
            if let (Some(first), Some(last)) = (outlets.first(), outlets.last()) {
                out.push(wire(
                    (*first, at_outlet(rig, lead, *first, false)),
                    (sink, at_device(rig, lead, sink, false)),
                ));
                for pair in outlets.windows(2) {
                    let (a, b) = (pair[0], pair[1]);
                    out.push(wire((a, at_outlet(rig, lead, a, true)), (b, at_outlet(rig, lead, b, false))));
                }
                out.push(wire(
                    (*last, at_outlet(rig, lead, *last, true)),
                    (sink, at_device(rig, lead, sink, true)),
                ));
            }
            out
        }
        LeadShape::ParallelPair | LeadShape::Splitter => {
            let mut out = Vec::new();
            for end in (0..lead.ends.len()).filter(|end| *end != lead.trunk) {
                for plus in [true, false] {
                    let (outlet, device) = if lead.ends[end].kind == EndKind::From {
                        (end, lead.trunk)
                    } else {
                        (lead.trunk, end)
                    };
                    out.push(wire(
                        (outlet, at_outlet(rig, lead, outlet, plus)),
                        (device, at_device(rig, lead, device, plus)),
                    ));
                }
            }
            out
        }
        LeadShape::Insert => {
            let jack = &lead.ends[lead.trunk].port;
            let ring_sends = rig.device(&jack.device).is_some_and(|device| {
                device.inserts.iter().any(|insert| insert.send == jack.port && ring_sends(insert))
            });
            let mut out = Vec::new();
            for end in (0..lead.ends.len()).filter(|end| *end != lead.trunk) {
                // What the signal goes out to is a taker.
                let sends = lead.ends[end].kind == EndKind::To;
                let contact = if sends == ring_sends { Contact::Ring } else { Contact::Tip };
                out.push(wire((lead.trunk, contact), (end, Contact::Tip)));
            }
            for end in (0..lead.ends.len()).filter(|end| *end != lead.trunk) {
                out.push(wire((lead.trunk, Contact::Sleeve), (end, Contact::Sleeve)));
            }
            out
        }
        LeadShape::Joined => joined(rig, lead),
    }
}

/// A conductor of a lead with a joint: contacts that are one and the same wire.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conductor {
    /// What it is called: the contact at the end that the others branch from, else the first.
    pub contact: Contact,
    /// The ends that it comes to, as places in [`Lead::ends`].
    pub ends: Vec<usize>,
}

/// The conductors of a lead with a joint, in the order of its wires; none for every other lead.
pub fn conductors(rig: &Rig, lead: &Lead) -> Vec<Conductor> {
    if !lead.is_joined() {
        return Vec::new();
    }
    let mut nets: Vec<Vec<(usize, Contact)>> = Vec::new();
    for wire in wiring(rig, lead) {
        let mut net = vec![wire.from, wire.to];
        // All that a new wire touches is one.
        nets.retain(|other| {
            let meets = other.contains(&wire.from) || other.contains(&wire.to);
            if meets {
                net.splice(0..0, other.iter().copied());
            }
            !meets
        });
        nets.push(net);
    }
    let conductor = |net: Vec<(usize, Contact)>| {
        let at_trunk = net.iter().find(|(end, _)| *end == lead.trunk).or(net.first());
        let contact = at_trunk.map_or(Contact::Tip, |(_, contact)| *contact);
        let mut ends: Vec<usize> = net.into_iter().map(|(end, _)| end).collect();
        ends.sort_unstable();
        ends.dedup();
        Conductor { contact, ends }
    };
    nets.into_iter().map(conductor).collect()
}

/// A lead drawn by the builder: from a jack of three contacts tip and ring go to two plugs of two; else like to like.
fn joined(rig: &Rig, lead: &Lead) -> Vec<Wire> {
    let contacts = |end: usize| {
        let port = rig.port(&lead.ends[end].port);
        port.and_then(|port| port.connector.as_ref()).map_or(2, |connector| connector.contacts)
    };
    let branches: Vec<usize> = (0..lead.ends.len()).filter(|end| *end != lead.trunk).collect();
    let split = lead.class == LeadClass::Signal
        && contacts(lead.trunk) == 3
        && branches.len() == 2
        && branches.iter().all(|end| contacts(*end) == 2);
    let mut out = Vec::new();
    for (index, end) in branches.iter().enumerate() {
        let contact = if split && index == 1 { Contact::Ring } else { Contact::Tip };
        out.push(Wire { from: (lead.trunk, contact), to: (*end, Contact::Tip) });
        if !split && contacts(lead.trunk) == 3 && contacts(*end) == 3 {
            out.push(Wire { from: (lead.trunk, Contact::Ring), to: (*end, Contact::Ring) });
        }
        out.push(Wire { from: (lead.trunk, Contact::Sleeve), to: (*end, Contact::Sleeve) });
    }
    out
}

/// Whether the jack sends on its ring and returns on its tip.
fn ring_sends(insert: &rig::Insert) -> bool {
    insert.wiring.value == Some(rig::InsertWiring::RingSend)
}

/// Whether the feed that a lead serves swaps the polarity.
fn is_crossed(rig: &Rig, lead: &Lead) -> bool {
    lead.ends.iter().any(|end| crossing(rig, &end.port))
}

fn crossing(rig: &Rig, port: &PortRef) -> bool {
    let inlet = rig.port(port).is_some_and(|port| port.role.value == Some(rig::PortRole::Power));
    inlet
        && rig.device(&port.device).and_then(|device| device.feed.as_ref()).is_some_and(|feed| feed.crossing)
}

/// The contact with + or − at an outlet.
fn at_outlet(rig: &Rig, lead: &Lead, end: usize, plus: bool) -> Contact {
    let port = &lead.ends[end].port;
    let sign = rig.device(&port.device).and_then(|brick| brick.outlet(&port.port)).and_then(|o| o.sign.value);
    of_barrel(rig, port, sign, plus)
}

/// The contact with + or − at a device's inlet: as its lead brings it.
fn at_device(rig: &Rig, lead: &Lead, end: usize, plus: bool) -> Contact {
    let port = &lead.ends[end].port;
    let from = lead.ends.iter().find(|other| other.kind == EndKind::From);
    let sign = from
        .and_then(|from| rig.device(&from.port.device).and_then(|brick| brick.outlet(&from.port.port)))
        .and_then(|outlet| outlet.sign.value)
        .map(|sign| if crossing(rig, port) { sign.crossed() } else { sign });
    of_barrel(rig, port, sign, plus)
}

fn of_barrel(rig: &Rig, port: &PortRef, sign: Option<Sign>, plus: bool) -> Contact {
    let family = rig.port(port).and_then(|port| port.connector.as_ref()).map(|connector| connector.family);
    match (sign, family) {
        (Some(sign), None | Some(ConnectorFamily::Barrel)) => {
            if (sign == Sign::CentrePositive) == plus {
                Contact::Centre
            } else {
                Contact::Sleeve
            }
        }
        _ if plus => Contact::Plus,
        _ => Contact::Minus,
    }
}
