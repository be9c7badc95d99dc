//! The ends of all leads, with the plugs the document states for them.

use crate::{LeadClass, LeadSpec, PlugSpec, PortRef, Rig};

/// Which of the two ends of a lead.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EndKind {
    /// Where it comes from.
    From,
    /// Where it goes to.
    To,
}

/// One end of a lead at a port of a device, with its plug.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeadEnd {
    /// The port it is plugged into.
    pub port: PortRef,
    /// The other end.
    pub other: PortRef,
    /// Which end of the lead it is.
    pub end: EndKind,
    /// What the lead carries.
    pub class: LeadClass,
    /// The plug, perhaps open.
    pub plug: PlugSpec,
    /// Whether it is on the inner side of a panel jack.
    pub inner: bool,
}

/// Every lead end that sits in a port of a device, in document order: runs first, then feeds.
///
/// The plug comes from the lead's own entry, else from the run, else from the source or sink that brings
/// its own lead. What the document leaves open stays open.
pub fn lead_ends(rig: &Rig) -> Vec<LeadEnd> {
    let mut ends = Vec::new();
    for run in &rig.runs {
        for (from, to) in run.steps() {
            let spec = spec(rig, from, to);
            let outside = [from, to].into_iter().find(|end| is_outside(rig, end));
            for (end, port, other) in [(EndKind::From, from, to), (EndKind::To, to, from)] {
                if port.port.is_empty() {
                    continue;
                }
                let stated = spec.map(|spec| match end {
                    EndKind::From => &spec.from_plug,
                    EndKind::To => &spec.to_plug,
                });
                let mut plug = stated.cloned().unwrap_or_default();
                if plug.plug.is_none() {
                    // The client's own lead brings its own plug; the run's plug is for leads we make.
                    plug.plug = match outside {
                        Some(end) => outside_plug(rig, end),
                        None => run.plug.clone(),
                    };
                }
                ends.push(LeadEnd {
                    port: port.clone(),
                    other: other.clone(),
                    end,
                    class: run.carries.class(),
                    plug,
                    inner: is_inner(rig, port, other),
                });
            }
        }
    }
    for device in &rig.devices {
        let Some(feed) = &device.feed else { continue };
        let Some(inlet) = device.ports.iter().find(|p| p.role.value == Some(crate::PortRole::Power)) else {
            continue;
        };
        let inlet = PortRef::new(&device.tag, &inlet.name);
        for outlet in &feed.outlets {
            let class = match rig.device(&outlet.device).and_then(|brick| brick.outlet(&outlet.port)) {
                Some(o) if o.nature.value == Some(crate::Nature::Ac) => LeadClass::Mains,
                _ => LeadClass::Dc,
            };
            ends.push(LeadEnd {
                port: outlet.clone(),
                other: inlet.clone(),
                end: EndKind::From,
                class,
                plug: feed.outlet_plug.clone(),
                inner: false,
            });
            ends.push(LeadEnd {
                port: inlet.clone(),
                other: outlet.clone(),
                end: EndKind::To,
                class,
                plug: feed.device_plug.clone(),
                inner: false,
            });
        }
    }
    ends
}

/// What the document says of the lead between two ports, whichever way round it is written.
fn spec<'a>(rig: &'a Rig, from: &PortRef, to: &PortRef) -> Option<&'a LeadSpec> {
    rig.leads.iter().find(|lead| lead.from == *from && lead.to == *to)
}

/// Whether this is a source or sink, which brings its own lead.
fn is_outside(rig: &Rig, end: &PortRef) -> bool {
    end.port.is_empty() && (rig.source(&end.device).is_some() || rig.sink(&end.device).is_some())
}

/// The plug of the lead that a source or sink brings; `None` when it is open.
fn outside_plug(rig: &Rig, end: &PortRef) -> Option<crate::PlugKind> {
    match rig.source(&end.device) {
        Some(source) => source.plug.clone(),
        None => rig.sink(&end.device).and_then(|sink| sink.plug.clone()),
    }
}

/// Whether a lead meets a panel jack from behind: its other end is not outside the board.
fn is_inner(rig: &Rig, port: &PortRef, other: &PortRef) -> bool {
    // Every jack of a panel looks out of the board, whatever it is for.
    let through = rig.port(port).is_some_and(|p| p.role.value == Some(crate::PortRole::Through))
        || rig.device(&port.device).is_some_and(|device| device.role == crate::Role::Panel);
    let other_outside = other.port.is_empty()
        || rig.device(&other.device).is_some_and(|device| {
            device.outside || device.place.as_ref().is_some_and(|place| place.deck == crate::FLOOR)
        });
    through && !other_outside
}
