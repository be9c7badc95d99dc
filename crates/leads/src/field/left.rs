//! How far it is from each crossing of a mesh to the end, bends left out: what a search is led by.
//!
//! From the end backwards (Dijkstra, Numerische Mathematik 1, 1959), with crossings in buckets by their distance
//! (Dial, Communications of the ACM 12, 1969); one that is found nearer later is looked at again.

use super::mesh::{Mesh, UNIT, units};
use super::traffic::LEAST;
use crate::input::Point;

/// Crossings whose distances differ by less lie in one bucket, in hundredths of a millimetre; so many buckets at most.
const WIDTH: u32 = 128;
const BUCKETS: usize = 8_000;
/// Once the beginning is reached at a distance, what lies farther than so many times that, and so much more, is as far as
/// that at least.
const ROUND: f64 = 1.3;
const MORE_MM: f64 = 250.0;
/// Not reached.
const NEVER: u32 = u32::MAX;

/// Distances to the end, with room to find them.
#[derive(Debug, Default)]
pub(crate) struct Left {
    far: Vec<u32>,
    /// Along each axis, how far each line is from the beginning at least.
    from: [Vec<u32>; 3],
    /// Crossings by how long a way over them is at least.
    buckets: Vec<Vec<u32>>,
    /// A way over what was not reached is at least so long.
    least: u32,
}

impl Left {
    /// Finds the distances from some crossings near the end, each with its own. `from` is where the way begins, near
    /// `starts`; no way is asked for that costs more than the most.
    pub(crate) fn find(
        &mut self,
        mesh: &Mesh,
        ends: &[(usize, u32)],
        starts: &[usize],
        from: Point,
        most: u32,
    ) {
        self.far.clear();
        self.far.resize(mesh.count(), NEVER);
        self.least = NEVER;
        for (axis, lines) in self.from.iter_mut().enumerate() {
            lines.clear();
            // Rounded down, so that no step comes nearer by more than it costs.
            lines.extend(mesh.at[axis].iter().map(|at| units((at - from[axis]).abs() * LEAST - 0.01)));
        }
        for (node, far) in ends {
            self.reach(mesh, *node, *far);
        }
        let mut bound = most;
        let mut at = 0;
        while at < self.buckets.len() {
            let floor = u32::try_from(at).unwrap_or(NEVER).saturating_mul(WIDTH);
            if bound <= floor {
                self.least = bound;
                break;
            }
            while let Some(node) = self.buckets[at].pop() {
                let node = node as usize;
                let far = self.far[node];
                // Most were found nearer since, and looked at there.
                if bucket(far.saturating_add(self.gone(mesh, node))) < at {
                    continue;
                }
                mesh.around(node, |next, cost| {
                    let next_far = far.saturating_add(cost);
                    if next_far < self.far[next] {
                        self.reach(mesh, next, next_far);
                    }
                });
            }
            if bound == most {
                let reached = starts.iter().map(|start| self.far[*start]).min().unwrap_or(NEVER);
                if reached < floor {
                    bound = most.min(units(f64::from(reached) / UNIT * ROUND + MORE_MM));
                }
            }
            at += 1;
        }
        self.buckets.iter_mut().for_each(Vec::clear);
    }

    /// How far a crossing is from the beginning at least.
    fn gone(&self, mesh: &Mesh, node: usize) -> u32 {
        let places = mesh.places(node);
        self.from[0][places[0]] + self.from[1][places[1]] + self.from[2][places[2]]
    }

    fn reach(&mut self, mesh: &Mesh, node: usize, far: u32) {
        if self.far[node] <= far {
            return;
        }
        self.far[node] = far;
        let bucket = bucket(far.saturating_add(self.gone(mesh, node)));
        if self.buckets.len() <= bucket {
            self.buckets.resize(bucket + 1, Vec::new());
        }
        self.buckets[bucket].push(u32::try_from(node).unwrap_or(NEVER));
    }

    /// What is left from a crossing, at least; `None` where no way leads on.
    pub(crate) fn at(&self, mesh: &Mesh, node: usize) -> Option<u32> {
        let far = self.far[node];
        if far == NEVER && self.least == NEVER {
            return None;
        }
        Some(far.min(self.least.saturating_sub(self.gone(mesh, node))))
    }
}

fn bucket(far: u32) -> usize {
    ((far / WIDTH) as usize).min(BUCKETS - 1)
}
