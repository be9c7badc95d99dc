//! The cheapest joins to open so that no two earthed ends hang together.
//!
//! Where the screens alone make no ring, this is the complement of a maximum-weight spanning forest of the screens with the
//! earth. Boards do have rings without earth, such as both leads of a loop, and these need no cure; what is asked then is
//! that every end is parted from every other. Exact in three steps: what cannot be opened is one piece; what hangs on one
//! piece only, or stands between two without an end, is taken together; what is left is labelled piece by piece with the
//! end it stays with, the cheapest first, and given up where it costs more than the best known.

use std::collections::{BTreeMap, BTreeSet};

use crate::input::{Config, Input};
use crate::paths::roots;

/// Joins that are opened together or not at all, between two pieces.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Bundle {
    cost: u64,
    joins: BTreeSet<usize>,
}

/// The cheapest joins to open, by place; `None` where two ends are bonded and nothing may be opened between them.
pub(crate) fn cheapest(input: &Input, config: &Config, ends: &[usize]) -> Option<Vec<usize>> {
    // What cannot be opened is one piece.
    let bonds: Vec<bool> = input.joins.iter().map(|join| config.cure(join).is_none()).collect();
    let root = roots(input.pieces.len(), input, &bonds);
    let mut terminals: Vec<usize> = Vec::new();
    for end in ends {
        let piece = root[input.ends[*end].piece];
        if terminals.contains(&piece) {
            return None;
        }
        terminals.push(piece);
    }
    let mut graph: BTreeMap<(usize, usize), Bundle> = BTreeMap::new();
    for (at, join) in input.joins.iter().enumerate() {
        let (a, b) = (root[join.a], root[join.b]);
        if let Some((_, cost)) = config.cure(join).filter(|_| a != b) {
            put(&mut graph, (a, b), Bundle { cost, joins: BTreeSet::from([at]) });
        }
    }
    shrink(&mut graph, &terminals, input);
    Some(label(&graph, &terminals))
}

fn put(graph: &mut BTreeMap<(usize, usize), Bundle>, (a, b): (usize, usize), bundle: Bundle) {
    match graph.entry((a.min(b), a.max(b))) {
        std::collections::btree_map::Entry::Occupied(mut there) => {
            let there = there.get_mut();
            there.cost += bundle.cost;
            there.joins.extend(bundle.joins);
        }
        std::collections::btree_map::Entry::Vacant(place) => {
            place.insert(bundle);
        }
    }
}

/// The names of what is opened, so that ties do not depend on the order of the joins.
fn names<'a>(input: &'a Input, bundle: &Bundle) -> Vec<&'a str> {
    let mut out: Vec<&str> = bundle.joins.iter().map(|at| input.joins[*at].id.as_str()).collect();
    out.sort_unstable();
    out
}

/// Takes away what never needs to be opened: pieces without an end that hang on one other, or stand between two.
fn shrink(graph: &mut BTreeMap<(usize, usize), Bundle>, terminals: &[usize], input: &Input) {
    loop {
        let mut around: BTreeMap<usize, Vec<(usize, usize)>> = BTreeMap::new();
        for key in graph.keys() {
            around.entry(key.0).or_default().push(*key);
            around.entry(key.1).or_default().push(*key);
        }
        let next = around.into_iter().find(|(piece, keys)| keys.len() <= 2 && !terminals.contains(piece));
        let Some((piece, keys)) = next else { return };
        let taken: Vec<Bundle> = keys.iter().filter_map(|key| graph.remove(key)).collect();
        if let ([first, second], [a, b]) = (keys.as_slice(), taken.as_slice()) {
            let other = |key: &(usize, usize)| if key.0 == piece { key.1 } else { key.0 };
            // One of two in a row is enough: the cheaper, of alike the first by name.
            let is_first = (a.cost, names(input, a)) <= (b.cost, names(input, b));
            put(graph, (other(first), other(second)), if is_first { a.clone() } else { b.clone() });
        }
    }
}

/// The cheapest labelling of what is left: every piece stays with one end, and what joins different ones is opened.
fn label(graph: &BTreeMap<(usize, usize), Bundle>, terminals: &[usize]) -> Vec<usize> {
    let mut open: Vec<usize> = Vec::new();
    // Those that hang on what is labelled already come first, so that costs show early.
    let mut pieces: BTreeSet<usize> = graph.keys().flat_map(|(a, b)| [*a, *b]).collect();
    let mut known: BTreeSet<usize> = terminals.iter().copied().collect();
    pieces.retain(|piece| !known.contains(piece));
    while !pieces.is_empty() {
        let tied = |piece: &usize| {
            let near = graph
                .iter()
                .filter(|((a, b), _)| a == piece && known.contains(b) || b == piece && known.contains(a));
            near.map(|(_, bundle)| bundle.cost).sum::<u64>()
        };
        let Some(next) = pieces.iter().copied().max_by_key(|piece| (tied(piece), std::cmp::Reverse(*piece)))
        else {
            break;
        };
        pieces.remove(&next);
        known.insert(next);
        open.push(next);
    }
    let mut labels: BTreeMap<usize, usize> =
        terminals.iter().enumerate().map(|(label, piece)| (*piece, label)).collect();
    let fixed = cost_of(graph, &labels);
    let mut best: Option<(u64, BTreeMap<usize, usize>)> = None;
    search(graph, terminals.len(), &open, &mut labels, fixed, &mut best);
    let labels = best.map(|(_, labels)| labels).unwrap_or_default();
    let parted = |key: &(usize, usize)| labels.get(&key.0) != labels.get(&key.1);
    let mut out: Vec<usize> =
        graph.iter().filter(|(key, _)| parted(key)).flat_map(|(_, bundle)| bundle.joins.clone()).collect();
    out.sort_unstable();
    out
}

fn cost_of(graph: &BTreeMap<(usize, usize), Bundle>, labels: &BTreeMap<usize, usize>) -> u64 {
    let parted = graph.iter().filter(|((a, b), _)| match (labels.get(a), labels.get(b)) {
        (Some(a), Some(b)) => a != b,
        _ => false,
    });
    parted.map(|(_, bundle)| bundle.cost).sum()
}

fn search(
    graph: &BTreeMap<(usize, usize), Bundle>,
    ends: usize,
    open: &[usize],
    labels: &mut BTreeMap<usize, usize>,
    cost: u64,
    best: &mut Option<(u64, BTreeMap<usize, usize>)>,
) {
    if best.as_ref().is_some_and(|(least, _)| *least <= cost) {
        return;
    }
    let Some((piece, rest)) = open.split_first() else {
        *best = Some((cost, labels.clone()));
        return;
    };
    let own: Vec<(usize, u64)> = graph
        .iter()
        .filter_map(|((a, b), bundle)| {
            let other = if a == piece {
                b
            } else if b == piece {
                a
            } else {
                return None;
            };
            Some((*labels.get(other)?, bundle.cost))
        })
        .collect();
    let added =
        |label: usize| -> u64 { own.iter().filter(|(at, _)| *at != label).map(|(_, cost)| cost).sum() };
    let mut order: Vec<usize> = (0..ends).collect();
    order.sort_by_key(|label| (added(*label), *label));
    for label in order {
        labels.insert(*piece, label);
        search(graph, ends, rest, labels, cost + added(label), best);
    }
    labels.remove(piece);
}
