//! Whether sound gets from here to there, and through what.

use crate::input::Link;

/// A graph to walk: links as they stand, some of them taken away, and one more.
pub(crate) struct Ways<'a> {
    nodes: usize,
    links: Vec<&'a Link>,
    /// Links by the node that they can be entered at: (link, leads to).
    at: Vec<Vec<(usize, usize)>>,
}

impl<'a> Ways<'a> {
    pub(crate) fn new(nodes: usize, links: impl IntoIterator<Item = &'a Link>) -> Self {
        let links: Vec<&Link> = links.into_iter().collect();
        let mut at = vec![Vec::new(); nodes];
        for (index, link) in links.iter().enumerate() {
            if link.from < nodes && link.to < nodes {
                at[link.from].push((index, link.to));
                if link.both {
                    at[link.to].push((index, link.from));
                }
            }
        }
        Self { nodes, links, at }
    }

    /// The nodes that are reached, with the links in `without` taken away.
    fn reached(&self, from: usize, without: &[bool]) -> Vec<bool> {
        let mut seen = vec![false; self.nodes];
        let mut stack = vec![from];
        if let Some(first) = seen.get_mut(from) {
            *first = true;
        }
        while let Some(node) = stack.pop() {
            let Some(next) = self.at.get(node) else { continue };
            for (link, to) in next {
                if !without[*link] && !seen[*to] {
                    seen[*to] = true;
                    stack.push(*to);
                }
            }
        }
        seen
    }

    /// Where sound goes between two nodes with everything sound: which parts it touches, and without which it does not
    /// arrive. `None` where it never does.
    pub(crate) fn between(&self, from: usize, to: usize, parts: usize) -> Option<Passed> {
        let (touches, by_part) = self.touched(from, to, parts)?;
        // What one way does without, nothing needs.
        let way = self.way(from, to);
        let mut cuts = vec![false; parts];
        let mut without = vec![false; self.links.len()];
        // Parts of the same links cut alike.
        let mut known: std::collections::BTreeMap<&[usize], bool> = std::collections::BTreeMap::new();
        for part in 0..parts {
            let own = by_part[part].as_slice();
            if !own.iter().any(|link| way[*link]) {
                continue;
            }
            cuts[part] = *known.entry(own).or_insert_with(|| {
                for link in own {
                    without[*link] = true;
                }
                let arrives = self.reached(from, &without)[to];
                for link in own {
                    without[*link] = false;
                }
                !arrives
            });
        }
        Some(Passed { touches, cuts, shorted: Vec::new() })
    }

    /// Which parts sound touches on some way between two nodes, and the links that each of them is in there. `None` where it
    /// never arrives.
    ///
    /// A wire that hangs on such a way and leads nowhere is touched too: what is wrong with it is heard.
    pub(crate) fn touched(
        &self,
        from: usize,
        to: usize,
        parts: usize,
    ) -> Option<(Vec<bool>, Vec<Vec<usize>>)> {
        let ahead = self.reached(from, &vec![false; self.links.len()]);
        if !ahead.get(to).copied().unwrap_or(false) {
            return None;
        }
        let back = self.back(to);
        let mut touches = vec![false; parts];
        let mut by_part: Vec<Vec<usize>> = vec![Vec::new(); parts];
        for (index, link) in self.links.iter().enumerate() {
            let forwards = ahead[link.from] && back[link.to];
            let backwards = link.both && ahead[link.to] && back[link.from];
            if forwards || backwards {
                for part in link.parts.iter().filter(|part| **part < parts) {
                    touches[*part] = true;
                    by_part[*part].push(index);
                }
            }
        }
        Some((touches, by_part))
    }

    /// Whether a short at these nodes keeps sound from arriving: all that wires join to them is silent.
    pub(crate) fn is_shorted(&self, from: usize, to: usize, nodes: &[usize]) -> bool {
        let mut silent = vec![false; self.nodes];
        let mut stack: Vec<usize> = nodes.to_vec();
        while let Some(node) = stack.pop() {
            if node >= self.nodes || std::mem::replace(&mut silent[node], true) {
                continue;
            }
            for (link, to) in &self.at[node] {
                if self.links[*link].wire {
                    stack.push(*to);
                }
            }
        }
        if silent[from] || silent[to] {
            return true;
        }
        let without: Vec<bool> = self.links.iter().map(|link| silent[link.from] || silent[link.to]).collect();
        !self.reached(from, &without)[to]
    }

    /// The nodes from which this one is reached.
    fn back(&self, to: usize) -> Vec<bool> {
        let mut into: Vec<Vec<usize>> = vec![Vec::new(); self.nodes];
        for (node, next) in self.at.iter().enumerate() {
            for (_, other) in next {
                into[*other].push(node);
            }
        }
        let mut seen = vec![false; self.nodes];
        seen[to] = true;
        let mut stack = vec![to];
        while let Some(node) = stack.pop() {
            for other in &into[node] {
                if !seen[*other] {
                    seen[*other] = true;
                    stack.push(*other);
                }
            }
        }
        seen
    }

    /// The links of one way between two nodes.
    fn way(&self, from: usize, to: usize) -> Vec<bool> {
        let mut came: Vec<Option<(usize, usize)>> = vec![None; self.nodes];
        let mut queue = std::collections::VecDeque::from([from]);
        while let Some(node) = queue.pop_front() {
            for (link, next) in &self.at[node] {
                if *next != from && came[*next].is_none() {
                    came[*next] = Some((*link, node));
                    queue.push_back(*next);
                }
            }
        }
        let mut out = vec![false; self.links.len()];
        let mut node = to;
        while let Some((link, before)) = came[node] {
            out[link] = true;
            node = before;
        }
        out
    }
}

/// What sound passes between two nodes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Passed {
    /// Parts that it passes on some way.
    pub(crate) touches: Vec<bool>,
    /// Parts without which it does not arrive.
    pub(crate) cuts: Vec<bool>,
    /// Leads whose short alone silences it, of those that were asked about.
    pub(crate) shorted: Vec<usize>,
}

/// Whether anything is heard at a sink, by its place, from a node, by these links.
pub fn reaches(input: &crate::input::Input, links: &[Link], from: usize, sink: usize) -> bool {
    let Some(to) = input.sinks.get(sink) else { return false };
    Ways::new(input.nodes, links).touched(from, to.node, input.parts.len()).is_some()
}

/// The source that is heard at a sink, by its place: the first of several.
pub fn source_of(input: &crate::input::Input, sink: usize) -> Option<usize> {
    let is_heard = |at: &usize| reaches(input, &input.links, input.sources[*at].node, sink);
    (0..input.sources.len()).find(is_heard)
}
