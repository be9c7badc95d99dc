//! Which cables and plugs suit what a lead carries: those that are made for it.

use std::collections::BTreeSet;

use document::Job;
use finding::Field;
use rig::{ConnectorFamily, LeadClass, Port, PortRole};

/// What a field is about that names a cable or a plug.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    Cable,
    Plug,
}

/// The part that a field names, and what its lead carries; nothing where it may be any.
fn part_of(field: &Field) -> Option<(Part, LeadClass)> {
    let parts: Vec<&str> = field.parts().iter().map(String::as_str).collect();
    let part = match *parts.last()? {
        "cable" => Part::Cable,
        "plug" => Part::Plug,
        _ => return None,
    };
    let class = match parts[..] {
        ["leads", class, _] => class_of(class)?,
        ["source" | "sink", _, _] => LeadClass::Signal,
        _ => return None,
    };
    Some((part, class))
}

/// The class of leads by its key in the document.
fn class_of(key: &str) -> Option<LeadClass> {
    Some(match key {
        "signal" => LeadClass::Signal,
        "dc" => LeadClass::Dc,
        "control" => LeadClass::Control,
        "ac" => LeadClass::Ac,
        "mains" => LeadClass::Mains,
        _ => return None,
    })
}

/// Whether leads of a class end at a port. What goes through a panel's wall is told by its connector.
fn meets(class: LeadClass, port: &Port) -> bool {
    use PortRole as Of;
    let Some(role) = port.role.value else { return false };
    let is_through = |families: &[ConnectorFamily]| {
        role == Of::Through && port.connector.as_ref().is_some_and(|own| families.contains(&own.family))
    };
    match class {
        LeadClass::Signal => {
            matches!(role, Of::In | Of::Out | Of::Send | Of::Return)
                || is_through(&[ConnectorFamily::Jack, ConnectorFamily::Xlr])
        }
        LeadClass::Dc | LeadClass::Ac => {
            matches!(role, Of::Power | Of::Outlet) || is_through(&[ConnectorFamily::Barrel])
        }
        LeadClass::Control => {
            matches!(role, Of::Expression | Of::Control | Of::MidiIn | Of::MidiOut | Of::MidiThru | Of::Usb)
                || is_through(&[ConnectorFamily::Din, ConnectorFamily::Usb])
        }
        LeadClass::Mains => role == Of::Mains || is_through(&[ConnectorFamily::Mains]),
    }
}

/// The catalogue ids that may stand in a field; nothing where any may.
pub(crate) fn suiting(job: &Job, field: &Field) -> Option<BTreeSet<String>> {
    let (part, class) = part_of(field)?;
    if part == Part::Cable {
        let suits = |cable: &rig::Cable| cable.carries.is_empty() || cable.carries.contains(&class);
        return Some(job.catalogue.cables().into_iter().filter(suits).map(|cable| cable.id).collect());
    }
    let devices = job.catalogue.devices();
    let ports = || devices.iter().chain(&job.rig.devices).flat_map(|device| &device.ports);
    let ids = |is: &dyn Fn(&Port) -> bool| -> BTreeSet<&str> {
        let own = ports().filter(|port| is(port)).filter_map(|port| port.connector.as_ref());
        own.map(|connector| connector.id.as_str()).collect()
    };
    let (own, all) = (ids(&|port| meets(class, port)), ids(&|_| true));
    // A wall has no port in any rig: what fits no device goes into one.
    let is_wall = |plug: &rig::PlugKind| {
        class == LeadClass::Mains && plug.fits.iter().all(|fits| !all.contains(fits.as_str()))
    };
    let suits =
        |plug: &rig::PlugKind| is_wall(plug) || plug.fits.iter().any(|fits| own.contains(fits.as_str()));
    Some(job.catalogue.plugs().into_iter().filter(suits).map(|plug| plug.id).collect())
}

/// Why a catalogue id does not suit its field; nothing where it does, or where nobody can say.
pub(crate) fn refused(job: &Job, field: &Field, id: &str) -> Option<String> {
    let (part, class) = part_of(field)?;
    let entry = job.catalogue.entries().into_iter().find(|entry| entry.id == id)?;
    if suiting(job, field)?.contains(id) {
        return None;
    }
    let part = if part == Part::Cable { "cable" } else { "plug" };
    Some(format!("{} is no {part} for {} leads", entry.title, class.word()))
}
