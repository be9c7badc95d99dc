//! The cheapest way over a mesh from plug to plug: length, bends, and what the others make dear (Hart, Nilsson and
//! Raphael, IEEE Transactions SSC 4, 1968, on crossings with a direction).
//!
//! Costs are whole; equal ones are settled by the crossing, so that the answer is one.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::left::Left;
use super::mesh::Mesh;
use super::seek::{BENT, Label, NONE, Seeking, tip};
use crate::input::{Point, Wanted};
use crate::route::space::Space;

/// What is left to the end counts so many times, in fifths, until so many crossings were looked at: a way hardly longer is
/// found much sooner, and any way at all is found where bends that cannot but be sharp make all of them dear. Behind the
/// last the search is given up.
type Eager = [(usize, u32); 3];
const PATIENT: Eager = [(4_000, 6), (8_000, 9), (25_000, 15)];
const HASTY: Eager = [(1_000, 6), (3_000, 9), (8_000, 20)];

/// Room for searches, used again and again.
#[derive(Debug, Default)]
pub(crate) struct Search {
    pub(crate) mesh: Mesh,
    left: Left,
    labels: Vec<Label>,
    now: u32,
    heap: BinaryHeap<Reverse<(u32, u32)>>,
    /// Whether a quick look is enough.
    pub(crate) is_hasty: bool,
}

impl Search {
    /// The corners of the cheapest way, its ends included, with its cost; `None` where there is none below the most that it
    /// may cost.
    pub(crate) fn way(&mut self, space: &Space, lead: &Wanted, most: u32) -> Option<(Vec<Point>, u32)> {
        // The mesh is lent to what asks it.
        let mesh = std::mem::take(&mut self.mesh);
        let mut left = std::mem::take(&mut self.left);
        let found = Seeking::new(&mesh, space, lead).and_then(|mut seeking| {
            let starts = seeking.starts();
            let nodes: Vec<usize> = starts.iter().map(|(key, _)| *key as usize / 6).collect();
            left.find(&mesh, &seeking.ends(), &nodes, lead.from.at, most);
            seeking.left_from = Some(&left);
            self.begin(&seeking, &starts, mesh.count());
            self.found(&mut seeking, most)
        });
        let way = found.map(|(cost, key, is_bent)| (self.corners(&mesh, lead, key, is_bent), cost));
        self.mesh = mesh;
        self.left = left;
        way
    }

    /// A new search with its starts.
    fn begin(&mut self, seeking: &Seeking<'_>, starts: &[(u32, Label)], count: usize) {
        self.now += 1;
        if self.labels.len() < count * 6 {
            self.labels.resize(count * 6, Label::default());
        }
        self.heap.clear();
        for &(key, mut label) in starts {
            label.stamp = self.now;
            let Some(left) = seeking.left(key) else { continue };
            let known = &mut self.labels[key as usize];
            if known.stamp != self.now || label.cost < known.cost {
                *known = label;
                self.heap.push(Reverse((label.cost + left, key)));
            }
        }
    }

    /// Where the cheapest way comes to its end, with its cost and whether it ends in a bend at the plug.
    fn found(&mut self, seeking: &mut Seeking<'_>, most: u32) -> Option<(u32, u32, bool)> {
        let mut best: Option<(u32, u32, bool)> = None;
        let mut looked = 0;
        while let Some(Reverse((estimate, key))) = self.heap.pop() {
            if best.is_some_and(|(cost, ..)| cost <= estimate) {
                break;
            }
            let label = &mut self.labels[key as usize];
            if label.is_done {
                continue;
            }
            looked += 1;
            let eager = if self.is_hasty { HASTY } else { PATIENT };
            let Some((_, eager)) = eager.iter().find(|(until, _)| looked <= *until) else { break };
            seeking.eager = *eager;
            if !label.is_checked {
                label.is_checked = true;
                if let Some(more) = seeking.blocked(label.from, key) {
                    label.cost += more;
                    if let Some(left) = seeking.left(key) {
                        self.heap.push(Reverse((label.cost + left, key)));
                    }
                    continue;
                }
            }
            label.is_done = true;
            let label = *label;
            for (cost, is_bent) in seeking.ended(&label, key).into_iter().flatten() {
                if best.is_none_or(|known| (cost, key, is_bent) < known) {
                    best = Some((cost, key, is_bent));
                }
            }
            let (now, labels, heap) = (self.now, &mut self.labels, &mut self.heap);
            seeking.steps(&label, key, |next, label| {
                let known = &mut labels[next as usize];
                if known.stamp == now && (known.is_done || known.cost <= label.cost) {
                    return;
                }
                let Some(left) = seeking.left(next) else { return };
                let estimate = label.cost + left;
                if estimate < most {
                    *known = label;
                    heap.push(Reverse((estimate, next)));
                }
            });
        }
        best
    }

    /// The corners of the way that came to a crossing.
    fn corners(&self, mesh: &Mesh, lead: &Wanted, last: u32, is_bent: bool) -> Vec<Point> {
        let mut path = vec![lead.to.at];
        if is_bent {
            path.push(tip(&lead.to, lead.radius_mm));
        }
        let mut key = last;
        loop {
            path.push(mesh.point(key as usize / 6));
            let before = self.labels[key as usize].from;
            if before == BENT {
                path.push(tip(&lead.from, lead.radius_mm));
            }
            if before == NONE || before == BENT {
                break;
            }
            key = before;
        }
        path.push(lead.from.at);
        path.reverse();
        path
    }
}
