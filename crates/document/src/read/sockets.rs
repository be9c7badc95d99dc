//! A row of sockets written shortly, as the ports it stands for.

use quantity::Length;

use super::node::{Body, Node};
use super::overlay::overlay;

/// A device whose `sockets` stand among its ports as `S1`, `S2` and so on. Ports written by hand are laid over them.
///
/// What is unknown of the row is unknown of each; the place of the first is counted on by the pitch.
pub(super) fn written_out(node: &Node) -> Node {
    let Some(row) = node.get("sockets") else { return node.clone() };
    let count = row.count("count").unwrap_or(0);
    let ports: Vec<(String, Node)> = (0..count).map(|at| (format!("S{}", at + 1), socket(row, at))).collect();
    let ports = Node { at: row.at.clone(), from: row.from, body: Body::Table(ports) };
    let mut out = node.clone();
    if let Body::Table(entries) = &mut out.body {
        match entries.iter_mut().find(|(key, _)| key == "port") {
            Some((_, written)) => *written = in_order(&ports, written),
            None => entries.push(("port".to_owned(), ports)),
        }
    }
    out
}

/// The ports by hand first where they are no sockets of the row, as a builder names the inlet first.
fn in_order(row: &Node, written: &Node) -> Node {
    let mut all = overlay(row, written);
    if let Body::Table(entries) = &mut all.body {
        entries.sort_by_key(|(name, _)| row.get(name).is_some());
    }
    all
}

/// One socket of the row.
fn socket(row: &Node, at: u32) -> Node {
    let mut entries = Vec::new();
    let mut put = |key: &str, node: Node| entries.push((key.to_owned(), node));
    let said = |body: Body| Node { at: row.at.clone(), from: row.from, body };
    put("role", said(Body::Text("mains".to_owned())));
    put("may_stay_empty", said(Body::Switch(true)));
    for (from, to) in [("pattern", "connector"), ("face", "face"), ("height", "height")] {
        if let Some(node) = row.get(from) {
            put(to, node.clone());
        }
    }
    if let Some(offset) = offset(row, at) {
        put("offset", offset);
    }
    said(Body::Table(entries))
}

/// The centre of one socket along its side.
fn offset(row: &Node, at: u32) -> Option<Node> {
    let first = row.get("first")?;
    let pitch = row.get("pitch");
    if at == 0 {
        return Some(first.clone());
    }
    let (from, by) = (row.known::<Length>("first"), row.known::<Length>("pitch"));
    let body = match (from.value, by.value) {
        (Some(from), Some(by)) => {
            let offset = from + Length::from_nm(by.nm().saturating_mul(i64::from(at)));
            Body::Text(offset.to_string())
        }
        _ => Body::Unknown,
    };
    let from = pitch.map_or(first.from, |pitch| pitch.from.max(first.from));
    Some(Node { at: first.at.clone(), from, body })
}
