//! The ends of all leads, with the plugs the document states for them.

use crate::{Connector, ConnectorFamily, Fitting, LeadClass, PlugSpec, PortRef, Rig};

/// Which way things flow at an end of a lead.
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
    /// The port it is plugged into; a source or sink outside has no port.
    pub port: PortRef,
    /// The other end; with a joint the end that this one branches from, and for that end the first branch.
    pub other: PortRef,
    /// Which end of the lead it is.
    pub end: EndKind,
    /// What the lead carries.
    pub class: LeadClass,
    /// The plug, perhaps open.
    pub plug: PlugSpec,
    /// Whether it is on the inner side of a panel jack.
    pub inner: bool,
    /// How it is held there.
    pub fitting: Fitting,
    /// Its lead, as a place in [`leads`](crate::leads).
    pub lead: usize,
    /// Its place among the ends of its lead.
    pub leg: usize,
    /// The place of its leg's letter, `A` for 0: as the ends were written when the number was issued.
    pub letter: usize,
}

impl LeadEnd {
    /// Whether it is wired to a jack or terminals and cannot be pulled.
    pub fn is_wired(&self) -> bool {
        matches!(self.fitting, Fitting::Soldered | Fitting::Terminals)
    }

    /// Whether a lead is fixed to its device here, so that there is no plug to ask for.
    pub fn is_captive_without_plug(&self, rig: &Rig) -> bool {
        let connector = rig.port(&self.port).and_then(|port| port.connector.as_ref());
        let fixed = connector.is_some_and(|connector| connector.family == ConnectorFamily::Fixed);
        self.fitting == Fitting::Captive && self.plug.plug.is_none() && fixed
    }

    /// Whether it sits in a mains socket.
    pub fn is_in_socket(&self, rig: &Rig) -> bool {
        let connector = rig.port(&self.port).and_then(|port| port.connector.as_ref());
        connector.is_some_and(Connector::is_socket)
    }
}

/// Every lead end that sits in a port of a device, in document order: runs first, then feeds.
pub fn lead_ends(rig: &Rig) -> Vec<LeadEnd> {
    ends_of(&crate::leads(rig)).cloned().collect()
}

/// The same of leads that are known already.
pub fn ends_of(leads: &[crate::Lead]) -> impl Iterator<Item = &LeadEnd> {
    leads.iter().flat_map(|lead| &lead.ends).filter(|end| !end.port.port.is_empty())
}
