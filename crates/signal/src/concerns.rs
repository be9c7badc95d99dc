//! Which of the values that nobody knows a way rests on: those of what lies on it, or hangs there.

use std::collections::BTreeSet;

use finding::Field;

use crate::graph::Graph;
use crate::model::{EARTH, Element, Model, Node};

/// Of some values that are not known, those that may change what comes from a source to a sink; all of them where what
/// lies on the way is not known itself.
pub(crate) fn concerning<'f>(
    model: &Model,
    graph: &Graph<'_>,
    lacks: impl IntoIterator<Item = &'f Field>,
) -> BTreeSet<Field> {
    let mut lacks = lacks.into_iter().peekable();
    if lacks.peek().is_none() {
        return BTreeSet::new();
    }
    let named = (!graph.is_blind()).then(|| names(model, graph));
    let is_there = |name: &str| named.as_ref().is_none_or(|named| named.contains(name));
    let concerns = |field: &&Field| match field.parts() {
        [kind, id, ..] if kind == "lead" => id.split(" > ").all(|end| is_there(tag(end))),
        [_, id, ..] => is_there(id),
        _ => true,
    };
    lacks.filter(concerns).cloned().collect()
}

/// The device, source or sink of a place.
fn tag(place: &str) -> &str {
    place.split_once('.').map_or(place, |(tag, _)| tag)
}

/// What the elements between the drivers of a way belong to, whatever the switches do.
fn names<'m>(model: &'m Model, graph: &Graph<'_>) -> BTreeSet<&'m str> {
    let variants =
        || std::iter::once(&model.fixed).chain(model.blocks.iter().flat_map(|block| &block.variants));
    let elements: Vec<&Element> = variants().flat_map(|variant| &variant.elements).collect();
    let mut at: Vec<Vec<usize>> = vec![Vec::new(); model.nodes.len()];
    for (index, element) in elements.iter().enumerate() {
        at[element.a].push(index);
        at[element.b].push(index);
    }
    let mut driven = vec![false; model.nodes.len()];
    let stages = variants().flat_map(|variant| &variant.stages).map(|stage| stage.output);
    for node in model.sources.iter().map(|source| source.node).chain(stages) {
        driven[node] = true;
    }
    let mut open: Vec<Node> = graph.drivers.iter().map(|driver| graph.node_of(*driver)).collect();
    let mut seen: BTreeSet<Node> = open.iter().copied().collect();
    let mut used: BTreeSet<usize> = BTreeSet::new();
    while let Some(node) = open.pop() {
        for index in &at[node] {
            used.insert(*index);
            for next in [elements[*index].a, elements[*index].b] {
                if next != EARTH && !driven[next] && seen.insert(next) {
                    open.push(next);
                }
            }
        }
    }
    used.into_iter().flat_map(|index| elements[index].name.split_whitespace()).map(tag).collect()
}
