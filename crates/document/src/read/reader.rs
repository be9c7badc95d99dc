//! What every part of the reading needs, and how a name in the document finds its entry in the catalogue.

use std::collections::BTreeMap;

use rig::{Cable, Connector, ConnectorFamily, LeadClass, PlugKind};

use super::node::Node;
use super::parts::{cable_of, plug_kind};
use crate::catalogue::{Catalogue, Family};
use crate::problem::{At, Problem};

/// What every part of the reading needs.
pub(crate) struct Reader<'a> {
    pub(crate) catalogue: &'a Catalogue,
    pub(crate) problems: Vec<Problem>,
    /// Where the document was refused before it was resolved.
    pub(crate) refused: Vec<At>,
    /// Cable and plug by class, from `[leads]`.
    pub(crate) defaults: BTreeMap<LeadClass, (Option<Cable>, Option<PlugKind>)>,
    /// The first plug of the catalogue that is made for each connector, by ids.
    pub(crate) made_for: BTreeMap<String, String>,
    /// What holds a device in this shop, unless it says otherwise.
    pub(crate) fasten: Option<Node>,
    /// Ports and outlets that the document takes away from a kind, by device and name.
    pub(crate) gone: BTreeMap<(String, String), Gone>,
}

/// Something that a document takes away from a kind.
pub(crate) struct Gone {
    /// `port` or `outlet`.
    pub(crate) key: &'static str,
    /// Where it is taken away.
    pub(crate) at: At,
    /// Whether it was a power inlet.
    pub(crate) is_inlet: bool,
}

impl Reader<'_> {
    pub(crate) fn say(&mut self, at: &At, message: impl Into<String>) {
        self.problems.push(Problem::new(at.clone(), message));
    }

    pub(crate) fn default_cable(&self, class: LeadClass) -> Option<Cable> {
        self.defaults.get(&class).and_then(|(cable, _)| cable.clone())
    }

    pub(crate) fn default_plug(&self, class: LeadClass) -> Option<PlugKind> {
        self.defaults.get(&class).and_then(|(_, plug)| plug.clone())
    }

    /// The catalogue entry a key names.
    pub(crate) fn entry(&mut self, family: Family, node: Option<&Node>) -> Option<(String, Node)> {
        let node = node?;
        let id = node.as_text()?;
        if let Some(entry) = self.catalogue.get(family, id) {
            return Some((id.to_owned(), entry.clone()));
        }
        self.problems.push(self.catalogue.missing(family, id, node.at.clone()));
        None
    }

    pub(crate) fn cable(&mut self, node: Option<&Node>) -> Option<Cable> {
        let (id, entry) = self.entry(Family::Cable, node)?;
        Some(cable_of(id, &entry))
    }

    pub(crate) fn plug(&mut self, node: Option<&Node>) -> Option<PlugKind> {
        let (id, entry) = self.entry(Family::Plug, node)?;
        Some(plug_kind(id, &entry))
    }

    pub(crate) fn connector(&mut self, node: Option<&Node>) -> Option<Connector> {
        let (id, entry) = self.entry(Family::Connector, node)?;
        let usual = self.plug(entry.get("usual_plug")).map(Box::new);
        Some(Connector {
            made_for: self.made_for.get(&id).cloned(),
            usual,
            title: entry.text("title").unwrap_or_default(),
            family: entry.word("family").unwrap_or(ConnectorFamily::Fixed),
            contacts: entry.count("contacts").unwrap_or(0),
            nut: entry.known("nut"),
            hole: entry.known("hole"),
            hole_height: entry.known("hole_height"),
            room: entry.known("room"),
            id,
        })
    }
}
