//! One axis by itself, exactly: things slide between their neighbours to where the leads are shortest.
//!
//! With the order of neighbours fixed this is a linear program over differences, the dual of a flow of least cost. It is
//! solved by descent: the set of things whose common shift shortens most is a closure of greatest gain, found as a
//! smallest cut (Picard, Management Science 22, 1976); it is shifted until something new is in the way; when no set
//! gains in either direction the places are the best.

/// Pins that a lead joins along the axis.
#[derive(Debug, Clone, Default)]
pub struct Lead {
    /// The things and where on them.
    pub pins: Vec<(usize, i64)>,
    /// The range of what does not move.
    pub fixed: Option<(i64, i64)>,
    /// What a unit of its span counts.
    pub weight: i64,
}

/// Things on an axis.
#[derive(Debug, Clone, Default)]
pub struct Axis {
    /// Where each thing is.
    pub at: Vec<i64>,
    /// How far each may go.
    pub low: Vec<i64>,
    /// The other end of it.
    pub high: Vec<i64>,
    /// The second stands at least so far beyond the first.
    pub beyond: Vec<(usize, usize, i64)>,
    /// What pulls them.
    pub leads: Vec<Lead>,
    /// Shifts are whole multiples of it.
    pub step: i64,
}

/// No more shifts than this; each is an improvement.
const MOST_SHIFTS: usize = 2000;

impl Axis {
    /// The weighted spans of all leads.
    #[cfg(test)]
    fn length(&self) -> i64 {
        self.leads.iter().map(|lead| (self.span(lead).1 - self.span(lead).0) * lead.weight).sum()
    }

    fn span(&self, lead: &Lead) -> (i64, i64) {
        let pins = || lead.pins.iter().map(|(thing, offset)| self.at[*thing] + offset);
        let (mut low, mut high) = lead.fixed.unwrap_or((i64::MAX, i64::MIN));
        low = pins().min().map_or(low, |at| at.min(low));
        high = pins().max().map_or(high, |at| at.max(high));
        (low, high)
    }

    /// Slides to the best places; hands back whether anything moved.
    pub fn slide(&mut self) -> bool {
        let mut moved = false;
        let mut idle = 0;
        let mut up = true;
        for _ in 0..MOST_SHIFTS {
            if self.shift(up) {
                (moved, idle) = (true, 0);
            } else {
                idle += 1;
                up = !up;
                if idle == 2 {
                    break;
                }
            }
        }
        moved
    }

    /// Shifts the set that gains most, up or down.
    fn shift(&mut self, up: bool) -> bool {
        let sign = if up { 1 } else { -1 };
        let (things, leads) = (self.at.len(), self.leads.len());
        // Nodes: things, then the far end and the near end of each lead, seen in the direction of the shift.
        let (far, near) = (|lead: usize| things + 2 * lead, |lead: usize| things + 2 * lead + 1);
        let (source, sink) = (things + 2 * leads, things + 2 * leads + 1);
        let mut graph = Graph::new(sink + 1);
        let spans: Vec<(i64, i64)> = self.leads.iter().map(|lead| self.span(lead)).collect();
        for thing in 0..things {
            let room = if up { self.high[thing] - self.at[thing] } else { self.at[thing] - self.low[thing] };
            if room < self.step {
                graph.edge(thing, sink, WALL);
            }
        }
        for &(first, second, least) in &self.beyond {
            if self.at[second] - self.at[first] - least < self.step {
                // Who pushes whom depends on the direction.
                if up { graph.edge(first, second, WALL) } else { graph.edge(second, first, WALL) }
            }
        }
        for (index, lead) in self.leads.iter().enumerate() {
            let (low, high) = spans[index];
            let (ahead, behind) = if up { (high, low) } else { (low, high) };
            graph.edge(source, near(index), lead.weight);
            graph.edge(far(index), sink, lead.weight);
            for (thing, offset) in &lead.pins {
                let at = self.at[*thing] + offset;
                if sign * (ahead - at) < self.step {
                    graph.edge(*thing, far(index), WALL);
                }
                if sign * (at - behind) < self.step {
                    graph.edge(near(index), *thing, WALL);
                }
            }
            if let Some((fixed_low, fixed_high)) = lead.fixed {
                let last = if up { fixed_low } else { fixed_high };
                if sign * (last - behind) < self.step {
                    graph.edge(near(index), sink, WALL);
                }
            }
        }
        let total: i64 = self.leads.iter().map(|lead| lead.weight).sum();
        if graph.flow(source, sink) == total {
            return false;
        }
        let chosen = graph.reached(source);
        let mut by = i64::MAX;
        for thing in (0..things).filter(|thing| chosen[*thing]) {
            by =
                by.min(if up { self.high[thing] - self.at[thing] } else { self.at[thing] - self.low[thing] });
        }
        for &(first, second, least) in &self.beyond {
            let (pusher, pushed) = if up { (first, second) } else { (second, first) };
            if chosen[pusher] && !chosen[pushed] {
                by = by.min(self.at[second] - self.at[first] - least);
            }
        }
        for (index, lead) in self.leads.iter().enumerate() {
            let (low, high) = spans[index];
            let (ahead, behind) = if up { (high, low) } else { (low, high) };
            for (thing, offset) in &lead.pins {
                let at = self.at[*thing] + offset;
                if chosen[*thing] && !chosen[far(index)] {
                    by = by.min(sign * (ahead - at));
                }
                if chosen[near(index)] && !chosen[*thing] {
                    by = by.min(sign * (at - behind));
                }
            }
            if let (true, Some((fixed_low, fixed_high))) = (chosen[near(index)], lead.fixed) {
                let last = if up { fixed_low } else { fixed_high };
                by = by.min(sign * (last - behind));
            }
        }
        let by = by / self.step * self.step;
        if by <= 0 || by == i64::MAX / self.step * self.step {
            return false;
        }
        for thing in (0..things).filter(|thing| chosen[*thing]) {
            self.at[thing] += sign * by;
        }
        true
    }
}

/// More than any sum of weights.
const WALL: i64 = i64::MAX / 8;

/// A network with capacities (Dinic, Soviet Math. Doklady 11, 1970).
struct Graph {
    heads: Vec<Vec<usize>>,
    to: Vec<usize>,
    room: Vec<i64>,
    level: Vec<u32>,
    next: Vec<usize>,
}

impl Graph {
    fn new(nodes: usize) -> Self {
        Self {
            heads: vec![Vec::new(); nodes],
            to: Vec::new(),
            room: Vec::new(),
            level: Vec::new(),
            next: Vec::new(),
        }
    }

    fn edge(&mut self, from: usize, to: usize, room: i64) {
        self.heads[from].push(self.to.len());
        self.to.push(to);
        self.room.push(room);
        self.heads[to].push(self.to.len());
        self.to.push(from);
        self.room.push(0);
    }

    fn levels(&mut self, source: usize) {
        self.level = vec![u32::MAX; self.heads.len()];
        self.level[source] = 0;
        let mut queue = std::collections::VecDeque::from([source]);
        while let Some(node) = queue.pop_front() {
            for edge in &self.heads[node] {
                let to = self.to[*edge];
                if 0 < self.room[*edge] && self.level[to] == u32::MAX {
                    self.level[to] = self.level[node] + 1;
                    queue.push_back(to);
                }
            }
        }
    }

    fn flow(&mut self, source: usize, sink: usize) -> i64 {
        let mut total = 0;
        loop {
            self.levels(source);
            if self.level[sink] == u32::MAX {
                return total;
            }
            self.next = vec![0; self.heads.len()];
            loop {
                let pushed = self.push(source, sink);
                if pushed == 0 {
                    break;
                }
                total += pushed;
            }
        }
    }

    /// One way from source to sink along rising levels, without recursion.
    fn push(&mut self, source: usize, sink: usize) -> i64 {
        let mut way: Vec<usize> = Vec::new();
        let mut node = source;
        while node != sink {
            let edge = self.heads[node].get(self.next[node]).copied();
            match edge {
                Some(edge) => {
                    let to = self.to[edge];
                    if 0 < self.room[edge] && self.level[to] == self.level[node] + 1 {
                        way.push(edge);
                        node = to;
                    } else {
                        self.next[node] += 1;
                    }
                }
                None => {
                    let Some(back) = way.pop() else { return 0 };
                    node = self.to[back ^ 1];
                    self.next[node] += 1;
                }
            }
        }
        let least = way.iter().map(|edge| self.room[*edge]).min().unwrap_or(0);
        for edge in way {
            self.room[edge] -= least;
            self.room[edge ^ 1] += least;
        }
        least
    }

    /// The nodes that can still be reached from the source: the side of the cut that is shifted.
    fn reached(&mut self, source: usize) -> Vec<bool> {
        self.levels(source);
        self.level.iter().map(|level| *level != u32::MAX).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::random::Random;

    #[test]
    fn a_thing_goes_to_the_middle_of_what_pulls() {
        let lead = |fixed| Lead { pins: vec![(0, 0)], fixed: Some((fixed, fixed)), weight: 1 };
        let leads = vec![lead(3), lead(8), lead(40)];
        let mut axis = Axis { at: vec![0], low: vec![0], high: vec![20], beyond: vec![], leads, step: 1 };
        assert!(axis.slide());
        assert_eq!(axis.at, [8]);
    }

    #[test]
    fn no_places_on_a_small_axis_are_better() {
        let mut random = Random::new(3, 0);
        for _ in 0..200 {
            let count = 3;
            let sizes: Vec<i64> = (0..count).map(|_| random.between(1, 3)).collect();
            let limit = 9;
            let mut at = Vec::new();
            let mut from = 0;
            for size in &sizes {
                at.push(from);
                from += size;
            }
            let leads: Vec<Lead> = (0..4)
                .map(|_| Lead {
                    pins: (0..=random.below(2))
                        .map(|_| (random.below(count), random.between(0, 2)))
                        .collect(),
                    fixed: random.chance(0.6).then(|| {
                        let at = random.between(0, limit);
                        (at, at + 1)
                    }),
                    weight: random.between(1, 3),
                })
                .collect();
            let beyond: Vec<_> = (1..count).map(|next| (next - 1, next, sizes[next - 1])).collect();
            let high: Vec<i64> = sizes.iter().map(|size| limit - size).collect();
            let mut axis = Axis { at, low: vec![0; count], high, beyond, leads, step: 1 };
            axis.slide();
            let found = axis.length();
            let mut least = i64::MAX;
            for code in 0..10_i64.pow(3) {
                let try_at: Vec<i64> = (0..3).map(|place| code / 10_i64.pow(place) % 10).collect();
                let fits = (0..count).all(|thing| try_at[thing] <= axis.high[thing])
                    && axis.beyond.iter().all(|(a, b, by)| try_at[*a] + by <= try_at[*b]);
                if fits {
                    least = least.min(Axis { at: try_at, ..axis.clone() }.length());
                }
            }
            assert_eq!(found, least);
        }
    }
}
