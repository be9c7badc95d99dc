//! From a checked tree and a catalogue to a rig.

use std::collections::BTreeMap;

use rig::{LeadClass, Provenance, Rig};

use super::device::is_absent;
use super::node::{Body, Node};
use super::overlay::overlay;
use super::reader::Reader;
use crate::catalogue::{Catalogue, Family};
use crate::problem::{At, Problem, shown};

/// A rig, the tree it came from with kinds laid beneath, and what is wrong.
pub(crate) struct Resolved {
    pub(crate) rig: Rig,
    pub(crate) tree: Node,
    pub(crate) problems: Vec<Problem>,
}

pub(crate) fn resolve(
    tree: &Node,
    refused: Vec<At>,
    catalogue: &Catalogue,
    fasten: Option<Node>,
) -> Resolved {
    let mut reader = Reader {
        catalogue,
        problems: Vec::new(),
        refused,
        defaults: BTreeMap::new(),
        made_for: catalogue.made_for(),
        fasten,
        gone: BTreeMap::new(),
    };
    let tree = reader.with_kinds(tree);
    reader.lead_defaults(&tree);
    let cables =
        reader.defaults.iter().filter_map(|(class, (cable, _))| Some((*class, cable.clone()?))).collect();
    let plugs =
        reader.defaults.iter().filter_map(|(class, (_, plug))| Some((*class, plug.clone()?))).collect();
    let mut rig = Rig {
        cables,
        plugs,
        job: super::head::job(&tree),
        brief: super::head::brief(&tree),
        board: super::board::board(&tree),
        extra_mass: tree
            .named("mass")
            .iter()
            .map(|(name, _)| {
                (name.clone(), tree.get("mass").map_or_else(Default::default, |mass| mass.known(name)))
            })
            .collect(),
        states: super::head::states(&tree),
        switching: super::head::switching(&tree),
        moments: super::head::moments(&tree),
        uses: super::head::uses(&tree),
        acceptances: super::head::acceptances(&tree),
        quote: super::head::quote(&tree),
        ..Rig::default()
    };
    rig.sources = reader.sources(&tree);
    rig.sinks = reader.sinks(&tree);
    rig.devices = tree.named("device").iter().map(|(tag, node)| reader.device(tag, node)).collect();
    // A place without a deck is on the first one.
    if let Some(first) = rig.board.decks.first() {
        for place in rig.devices.iter_mut().filter_map(|device| device.place.as_mut()) {
            if place.deck.is_empty() {
                place.deck.clone_from(&first.name);
            }
        }
    }
    reader.feeds(&tree, &mut rig);
    reader.runs(&tree, &mut rig);
    reader.leads(&tree, &mut rig);
    reader.places(&tree, &rig);
    reader.names(&tree, &rig);
    reader.state_names(&tree, &rig);
    reader.switching(&tree, &rig);
    reader.wishes(&tree, &rig);
    Resolved { rig, tree, problems: reader.problems }
}

impl Reader<'_> {
    /// The tree with lists of tables as tables by id, and kinds laid beneath devices and board.
    fn with_kinds(&mut self, tree: &Node) -> Node {
        let mut entries = Vec::new();
        for (key, node) in tree.entries() {
            let node = match key.as_str() {
                "device" => {
                    let mut devices = Vec::new();
                    for (tag, device) in by_id(node, "tag") {
                        devices.push((tag, self.on_kind(&device, Family::Device)));
                    }
                    table(node, devices)
                }
                "run" | "state" | "switching" | "moment" | "use" => table(node, by_id(node, "name")),
                "lead" => {
                    let rows = items(node).iter().map(|lead| (super::leads::id(lead), lead.clone()));
                    table(node, rows.collect())
                }
                "accept" => table(
                    node,
                    items(node).iter().enumerate().map(|(i, n)| (i.to_string(), n.clone())).collect(),
                ),
                "board" => self.on_kind(node, Family::Board),
                _ => node.clone(),
            };
            entries.push((key.clone(), node));
        }
        Node { at: tree.at.clone(), from: tree.from, body: Body::Table(entries) }
    }

    fn on_kind(&mut self, node: &Node, family: Family) -> Node {
        let named = node.get("kind").and_then(|kind| Some((kind, kind.as_text()?)));
        let base = named.and_then(|(_, id)| self.catalogue.get(family, id));
        if let (Some((kind, id)), None) = (named, base) {
            self.problems.push(self.catalogue.missing(family, id, kind.at.clone()));
            return node.clone();
        }
        self.nothing_to_take_away(node, base);
        base.map_or_else(|| node.clone(), |base| overlay(base, node))
    }

    /// What a document takes away must be there to be taken.
    fn nothing_to_take_away(&mut self, node: &Node, base: Option<&Node>) {
        for key in ["port", "outlet", "switch", "insert", "loop"] {
            let there = base.map_or(&[][..], |base| base.named(key));
            for (name, absent) in node.named(key).iter().filter(|(_, node)| is_absent(node)) {
                if there.iter().any(|(known, _)| known == name) {
                    continue;
                }
                let problem = Problem::new(
                    absent.at.clone(),
                    format!("there is no {key} `{}` to take away", shown(name)),
                );
                let names: Vec<&str> = there.iter().map(|(name, _)| name.as_str()).collect();
                self.problems.push(match base {
                    None => problem.help("only what a kind brings can be taken away"),
                    Some(_) if names.is_empty() => problem.help(format!("the kind has no {key}")),
                    Some(_) => problem.help(format!("the kind has {}", names.join(", "))),
                });
            }
        }
    }

    fn lead_defaults(&mut self, tree: &Node) {
        for class in LeadClass::ALL {
            let Some(node) = tree.get("leads").and_then(|leads| leads.get(class.key())) else { continue };
            let cable = self.cable(node.get("cable"));
            let plug = self.plug(node.get("plug"));
            self.defaults.insert(class, (cable, plug));
        }
        // Low-voltage AC goes by the same cable and plugs as DC unless the document says otherwise.
        if let Some(dc) = self.defaults.get(&LeadClass::Dc).cloned() {
            self.defaults.entry(LeadClass::Ac).or_insert(dc);
        }
    }
}

fn items(node: &Node) -> &[Node] {
    match &node.body {
        Body::List(items) => items,
        _ => &[],
    }
}

fn by_id(node: &Node, id: &str) -> Vec<(String, Node)> {
    items(node).iter().filter_map(|item| Some((item.text(id)?, item.clone()))).collect()
}

fn table(of: &Node, entries: Vec<(String, Node)>) -> Node {
    Node { at: of.at.clone(), from: Provenance::Assumed, body: Body::Table(entries) }
}
