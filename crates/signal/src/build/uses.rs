//! How the runs use each device: the contacts that leads reach, and the ways inside that follow from them.

use std::collections::BTreeMap;

use rig::{Carries, Device, PortRef, PortRole, Rig, Run};

use crate::contacts::{Contacts, contact, steps};

/// A way inside a device, from a contact that takes signal to one that gives it.
pub(super) type Link = (PortRef, PortRef);

/// One visit of a run to a device, stops at one device drawn together.
#[derive(Debug, Clone)]
pub(super) struct Visit {
    pub(super) name: String,
    pub(super) arrives: Option<PortRef>,
    pub(super) leaves: Option<PortRef>,
}

/// How a device is used.
#[derive(Debug, Clone, Default)]
pub(super) struct Use {
    /// Contacts that leads arrive at, in document order.
    pub(super) ins: Vec<PortRef>,
    /// Contacts that leads leave by.
    pub(super) outs: Vec<PortRef>,
    /// Ways from where a run enters the device to where it leaves it.
    pub(super) visits: Vec<Link>,
    /// Jacks that follow each other within the device in some run.
    pub(super) steps: Vec<Link>,
}

/// How every device is used, by tag.
pub(super) fn uses(rig: &Rig, contacts: &Contacts) -> BTreeMap<String, Use> {
    let mut out: BTreeMap<String, Use> = BTreeMap::new();
    for (_, from, to) in contacts.flows() {
        if rig.device(&from.device).is_some() {
            once(&mut out.entry(from.device.clone()).or_default().outs, &contact(rig, from, false, Some(to)));
        }
        if rig.device(&to.device).is_some() {
            once(&mut out.entry(to.device.clone()).or_default().ins, &contact(rig, to, true, Some(from)));
        }
    }
    for run in rig.runs.iter().filter(|run| run.carries == Carries::Signal) {
        for visit in visits(rig, run) {
            if let (Some(from), Some(to)) = (visit.arrives, visit.leaves)
                && from != to
                && rig.device(&visit.name).is_some()
            {
                once(&mut out.entry(visit.name).or_default().visits, &(from, to));
            }
        }
    }
    for step in steps(rig) {
        once(&mut out.entry(step.0.device.clone()).or_default().steps, &step);
    }
    out
}

/// What a run passes, stops at one device drawn together.
pub(super) fn visits(rig: &Rig, run: &Run) -> Vec<Visit> {
    let mut out: Vec<Visit> = Vec::new();
    for (index, stop) in run.stops.iter().enumerate() {
        let Some(port) = stop.arrives.as_ref().or(stop.leaves.as_ref()) else { continue };
        let before = index.checked_sub(1).and_then(|before| run.stops[before].leaves.as_ref());
        let after = run.stops.get(index + 1).and_then(|after| after.arrives.as_ref());
        let arrives = stop.arrives.as_ref().map(|port| contact(rig, port, true, before));
        let leaves = stop.leaves.as_ref().map(|port| contact(rig, port, false, after));
        match out.last_mut() {
            Some(last) if last.name == port.device => last.leaves = leaves,
            _ => out.push(Visit { name: port.device.clone(), arrives, leaves }),
        }
    }
    out
}

/// Whether a jack stands in an insert or a loop of its device, which say what it does.
fn is_named(device: &Device, port: &PortRef) -> bool {
    let name = crate::contacts::port_of(port).port;
    device.inserts.iter().any(|insert| insert.send == name || insert.back == name)
        || device.loops.iter().any(|one| one.send == name || one.back == name)
}

/// Whether a jack is one for a loop beside the sound: a send or return by its role, which no insert or loop names.
pub(super) fn is_beside(device: &Device, port: &PortRef) -> bool {
    let name = crate::contacts::port_of(port).port;
    let role = device.ports.iter().find(|own| own.name == name).and_then(|own| own.role.value);
    !is_named(device, port) && matches!(role, Some(PortRole::Send | PortRole::Return))
}

/// The ways of a loop beside the sound, which are mixed with what goes straight through: from the inputs to each send, from
/// each return to the outputs. A return never drives its own send. Common practice, no source.
pub(super) fn beside(device: &Device, used: &Use) -> Vec<Link> {
    let mut out: Vec<Link> = Vec::new();
    let straight = |ports: &[PortRef]| -> Vec<PortRef> {
        let plain = |port: &&PortRef| !is_named(device, port) && !is_beside(device, port);
        ports.iter().filter(plain).cloned().collect()
    };
    let (ins, outs) = (straight(&used.ins), straight(&used.outs));
    for send in used.outs.iter().filter(|port| is_beside(device, port)) {
        for input in of_channel(send, &ins) {
            once(&mut out, &(input, send.clone()));
        }
    }
    for back in used.ins.iter().filter(|port| is_beside(device, port)) {
        for output in of_channel(back, &outs) {
            once(&mut out, &(back.clone(), output));
        }
    }
    out
}

/// The ports of the same suffix, or all of them where none has it.
fn of_channel(port: &PortRef, others: &[PortRef]) -> Vec<PortRef> {
    let mine = suffix(port);
    let same: Vec<PortRef> =
        others.iter().filter(|other| mine.is_some() && suffix(other) == mine).cloned().collect();
    if same.is_empty() { others.to_vec() } else { same }
}

/// What follows the last underscore of a jack's name: `L` of `IN_L`.
fn suffix(port: &PortRef) -> Option<&str> {
    port.port.rsplit_once('_').map(|(_, suffix)| suffix)
}

/// The ways straight through a device from its inputs to its outputs, inserts and loops left out: those that runs state,
/// and those to where runs begin or from where they end.
pub(super) fn ways(device: &Device, used: &Use) -> Vec<Link> {
    let plain = |port: &&PortRef| !is_named(device, port) && !is_beside(device, port);
    let ins: Vec<PortRef> = used.ins.iter().filter(plain).cloned().collect();
    let outs: Vec<PortRef> = used.outs.iter().filter(plain).cloned().collect();
    let mut out: Vec<Link> = Vec::new();
    for link in &used.visits {
        if ins.contains(&link.0) && outs.contains(&link.1) {
            once(&mut out, link);
        }
    }
    for port in &outs {
        // A run that begins where another arrives goes on from there.
        if !out.iter().any(|(_, to)| to == port)
            && !ins.contains(port)
            && let Some(input) = partner(port, &ins, &outs)
        {
            once(&mut out, &(input, port.clone()));
        }
    }
    for port in &ins {
        if !out.iter().any(|(from, _)| from == port)
            && !outs.contains(port)
            && let Some(output) = partner(port, &outs, &ins)
        {
            once(&mut out, &(port.clone(), output));
        }
    }
    out
}

/// The port of the other side that belongs to this one: of the same suffix, the only one, or the one at its place.
fn partner(port: &PortRef, others: &[PortRef], own: &[PortRef]) -> Option<PortRef> {
    let mine = suffix(port);
    let same = others.iter().find(|other| mine.is_some() && suffix(other) == mine);
    let place = own.iter().position(|mine| mine == port).unwrap_or(0);
    same.or_else(|| others.get(place)).or_else(|| others.first()).cloned()
}

/// Adds what is not there yet.
pub(super) fn once<T: Clone + PartialEq>(list: &mut Vec<T>, one: &T) {
    if !list.contains(one) {
        list.push(one.clone());
    }
}
