//! Laying one table over another, key by key.

use super::node::{Body, Node};

/// `over` laid over `base`: tables join key by key, every other value of `over` wins.
pub(crate) fn overlay(base: &Node, over: &Node) -> Node {
    let (Body::Table(below), Body::Table(above)) = (&base.body, &over.body) else { return over.clone() };
    let mut entries: Vec<(String, Node)> = below.clone();
    for (key, node) in above {
        match entries.iter_mut().find(|(name, _)| name == key) {
            Some((_, existing)) => *existing = overlay(existing, node),
            None => entries.push((key.clone(), node.clone())),
        }
    }
    Node { at: over.at.clone(), from: over.from, body: Body::Table(entries) }
}
