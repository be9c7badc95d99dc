//! What signal may reach, and by which devices.

use std::collections::BTreeSet;

use rig::PortRef;

use crate::build::{self, Built};
use crate::input::BufferPlace;

/// Every port that signal may reach from here.
pub(crate) fn downstream(built: &Built, from: &PortRef) -> BTreeSet<PortRef> {
    let mut seen = BTreeSet::from([from.clone()]);
    let mut open = vec![from.clone()];
    while let Some(port) = open.pop() {
        for hop in built.hops.iter().filter(|hop| hop.from == port) {
            if seen.insert(hop.to.clone()) {
                open.push(hop.to.clone());
            }
        }
    }
    seen
}

/// Whether signal of a source passes a place on its way to a sink.
pub(crate) fn is_on_way(built: &Built, place: &BufferPlace, source: &str, sink: &str) -> bool {
    let from = |port: &PortRef, id: &str| downstream(built, port).iter().any(|port| port.device == id);
    let comes =
        |hop: &build::Hop| hop.from.device == source && downstream(built, &hop.from).contains(&place.to);
    from(&place.to, sink) && built.hops.iter().any(comes)
}

/// Whether signal of a source passes through a device on its way to a sink.
pub(crate) fn is_passed(built: &Built, tag: &str, source: &str, sink: &str) -> bool {
    let comes: BTreeSet<PortRef> = built
        .hops
        .iter()
        .filter(|hop| hop.from.device == source)
        .flat_map(|hop| downstream(built, &hop.from))
        .collect();
    built.hops.iter().filter(|hop| hop.device.as_deref() == Some(tag)).any(|hop| {
        comes.contains(&hop.from) && downstream(built, &hop.to).iter().any(|port| port.device == sink)
    })
}
