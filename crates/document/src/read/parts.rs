//! Cables and plugs.

use rig::{Cable, LeadClass, PlugAngle, PlugKind};

use super::node::Node;

/// A cable from its catalogue entry.
pub(crate) fn cable_of(id: String, entry: &Node) -> Cable {
    Cable {
        title: entry.text("title").unwrap_or_default(),
        diameter: entry.known("diameter"),
        capacitance_per_metre: entry.known("capacitance_per_metre"),
        cores: entry.count("cores"),
        carries: {
            let words = entry.items("carries").iter().filter_map(Node::as_text);
            let class = |word: &str| LeadClass::ALL.into_iter().find(|class| class.key() == word);
            words.filter_map(class).collect()
        },
        resistance_per_metre: entry.known("resistance_per_metre"),
        id,
    }
}

/// A plug from its catalogue entry.
pub(crate) fn plug_kind(id: String, entry: &Node) -> PlugKind {
    let list = |key: &str| entry.items(key).iter().filter_map(|n| n.as_text().map(str::to_owned)).collect();
    PlugKind {
        title: entry.text("title").unwrap_or_default(),
        angle: entry.word("angle").unwrap_or(PlugAngle::Straight),
        fits: list("fits"),
        loose_in: list("loose_in"),
        contacts: entry.count("contacts"),
        unearthed_in: list("unearthed_in"),
        depth: entry.known("depth"),
        width: entry.known("width"),
        tail: entry.known("tail"),
        tail_width: entry.known("tail_width"),
        bend: entry.known("bend"),
        allowance: entry.known("allowance"),
        strip: entry.known("strip"),
        strip_core: entry.known("strip_core"),
        capacitance: entry.known("capacitance"),
        id,
    }
}
