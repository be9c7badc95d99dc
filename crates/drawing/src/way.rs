//! A tidy way for each lead on the drawing: along the axes, around bodies where that is short.
//!
//! It is drawn so that a reader can follow it; nobody measures it. Cut lengths come from the design. The
//! search is Dijkstra's over a grid of channels between bodies: a way that crosses a body, lies on another
//! lead or turns often costs more, none is forbidden, so that there is always one.
//! Source: Dijkstra, Numerische Mathematik 1 (1959) 269, DOI 10.1007/BF01386390.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use rig::Face;

/// A point in the board's frame, in millimetres, y to the back.
pub(crate) type Spot = (f64, f64);

/// A rectangle in the board's frame: left, front, right, back.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Block {
    pub(crate) left: f64,
    pub(crate) front: f64,
    pub(crate) right: f64,
    pub(crate) back: f64,
}

impl Block {
    fn holds(&self, (x, y): Spot, grown: f64) -> bool {
        self.left - grown < x && x < self.right + grown && self.front - grown < y && y < self.back + grown
    }
}

/// An end of a lead: where the plug has been left, and which way.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Exit {
    /// The point at which the cable is free of the plug.
    pub(crate) at: Spot,
    /// The side it leaves to, if it is not up or down.
    pub(crate) to: Option<Face>,
}

/// What a turn costs, in millimetres of way.
const TURN: f64 = 18.0;
/// What crossing another lead costs.
const CROSSING: f64 = 7.0;
/// How many times longer a way counts on a body, close to one, on a plug, on another lead, off the board.
const ON_BODY: f64 = 9.0;
const BESIDE_BODY: f64 = 1.6;
const ON_PLUG: f64 = 3.0;
const ON_LEAD: f64 = 6.0;
const OFF_BOARD: f64 = 3.0;
/// How near two parallel leads count as on each other, and how near a body is close.
const NEAR: f64 = 4.5;
const CLOSE: f64 = 4.0;
/// Channels beside a body, and the least distance of two lines of the grid.
const CHANNELS: [f64; 3] = [7.0, 13.0, 19.0];
const LEAST_PITCH: f64 = 2.5;
/// More lines than this on an axis are not used: the outermost channels go first.
const MOST_LINES: usize = 84;

/// The board as leads see it.
pub(crate) struct Ways {
    bodies: Vec<Block>,
    plugs: Vec<Block>,
    decks: Vec<Block>,
    /// Pieces already drawn: for each height of a level piece its ends, and for each place of an upright one.
    level: BTreeMap<i64, Vec<(f64, f64)>>,
    upright: BTreeMap<i64, Vec<(f64, f64)>>,
}

impl Ways {
    pub(crate) fn new(bodies: Vec<Block>, plugs: Vec<Block>, decks: Vec<Block>) -> Self {
        Self { bodies, plugs, decks, level: BTreeMap::new(), upright: BTreeMap::new() }
    }

    /// The corners of a way between two exits, both included. Remembers it, so that later leads keep off.
    pub(crate) fn find(&mut self, from: Exit, to: Exit) -> Vec<Spot> {
        let xs = self.lines(from.at.0, to.at.0, |block| (block.left, block.right));
        let ys = self.lines(from.at.1, to.at.1, |block| (block.front, block.back));
        let way =
            self.search(&xs, &ys, from, to).unwrap_or_else(|| vec![from.at, (from.at.0, to.at.1), to.at]);
        self.remember(&way);
        way
    }

    /// Notes a piece that is drawn without a search.
    pub(crate) fn remember(&mut self, way: &[Spot]) {
        for pair in way.windows(2) {
            let ((ax, ay), (bx, by)) = (pair[0], pair[1]);
            if (ay - by).abs() < 0.01 {
                self.level.entry(whole(ay)).or_default().push((ax.min(bx), ax.max(bx)));
            } else if (ax - bx).abs() < 0.01 {
                self.upright.entry(whole(ax)).or_default().push((ay.min(by), ay.max(by)));
            }
        }
    }

    /// The lines of the grid on one axis, ascending; those of the two ends always among them.
    fn lines(&self, from: f64, to: f64, sides: impl Fn(&Block) -> (f64, f64)) -> Vec<f64> {
        let mut lines = vec![from];
        let add = |value: f64, lines: &mut Vec<f64>| {
            if lines.iter().all(|line| (line - value).abs() >= LEAST_PITCH) {
                lines.push(value);
            }
        };
        if (from - to).abs() > 1e-9 {
            lines.push(to);
        }
        for channel in CHANNELS {
            for block in &self.bodies {
                if lines.len() >= MOST_LINES {
                    break;
                }
                let (low, high) = sides(block);
                add(low - channel, &mut lines);
                add(high + channel, &mut lines);
            }
        }
        lines.sort_by(f64::total_cmp);
        lines
    }

    fn search(&self, xs: &[f64], ys: &[f64], from: Exit, to: Exit) -> Option<Vec<Spot>> {
        let find = |lines: &[f64], value: f64| lines.iter().position(|line| (line - value).abs() < 1e-9);
        let start = (find(xs, from.at.0)?, find(ys, from.at.1)?);
        let goal = (find(xs, to.at.0)?, find(ys, to.at.1)?);
        let index = |(x, y): (usize, usize), side: usize| (y * xs.len() + x) * 4 + side;
        let mut cost = vec![f64::INFINITY; xs.len() * ys.len() * 4];
        let mut before = vec![usize::MAX; cost.len()];
        let mut queue: BinaryHeap<Reverse<(Key, usize)>> = BinaryHeap::new();
        for side in 0..4 {
            // Leaving straight on is free, to the side is a turn, back into the plug is two.
            let turns = turns(from.to.map(side_of), side);
            let at = index(start, side);
            cost[at] = turns * TURN;
            queue.push(Reverse((Key(cost[at]), at)));
        }
        let mut end = None;
        while let Some(Reverse((Key(here), at))) = queue.pop() {
            if here > cost[at] {
                continue;
            }
            let side = at % 4;
            let place = (at / 4 % xs.len(), at / 4 / xs.len());
            if place == goal {
                end = Some(at);
                break;
            }
            for next_side in 0..4 {
                if next_side == opposite(side) {
                    continue;
                }
                let Some(next) = step(place, next_side, xs.len(), ys.len()) else { continue };
                let a = (xs[place.0], ys[place.1]);
                let b = (xs[next.0], ys[next.1]);
                let mut sum = here + self.price(a, b);
                if next_side != side {
                    sum += TURN;
                }
                if next == goal {
                    // It arrives against the direction in which the other end is left.
                    sum += turns(to.to.map(|face| opposite(side_of(face))), next_side) * TURN;
                }
                let target = index(next, next_side);
                if sum < cost[target] {
                    cost[target] = sum;
                    before[target] = at;
                    queue.push(Reverse((Key(sum), target)));
                }
            }
        }
        let mut way = Vec::new();
        let mut at = end?;
        loop {
            let place = (at / 4 % xs.len(), at / 4 / xs.len());
            way.push((xs[place.0], ys[place.1]));
            if before[at] == usize::MAX {
                break;
            }
            at = before[at];
        }
        way.reverse();
        Some(straighten(way))
    }

    /// What one piece between neighbouring lines of the grid costs.
    fn price(&self, a: Spot, b: Spot) -> f64 {
        let long = (a.0 - b.0).abs() + (a.1 - b.1).abs();
        let middle = (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1));
        let mut factor: f64 = 1.0;
        if self.bodies.iter().any(|block| block.holds(middle, 0.0)) {
            factor = ON_BODY;
        } else if self.plugs.iter().any(|block| block.holds(middle, 1.0)) {
            factor = ON_PLUG;
        } else if self.bodies.iter().any(|block| block.holds(middle, CLOSE)) {
            factor = BESIDE_BODY;
        }
        // The very edge still counts as the board: decks meet there.
        if factor < OFF_BOARD && !self.decks.iter().any(|block| block.holds(middle, 0.5)) {
            factor = OFF_BOARD;
        }
        let level = (a.1 - b.1).abs() < 1e-9;
        let (along, across) = if level { (&self.level, &self.upright) } else { (&self.upright, &self.level) };
        let (fixed, low, high) =
            if level { (a.1, a.0.min(b.0), a.0.max(b.0)) } else { (a.0, a.1.min(b.1), a.1.max(b.1)) };
        let shared = along
            .range(whole(fixed - NEAR)..=whole(fixed + NEAR))
            .flat_map(|(_, pieces)| pieces)
            .any(|(start, stop)| start.max(low) < stop.min(high));
        if shared {
            factor *= ON_LEAD;
        }
        let crossed = across
            .range(whole(low)..=whole(high))
            .flat_map(|(_, pieces)| pieces)
            .filter(|(start, stop)| *start < fixed && fixed < *stop)
            .count();
        #[expect(clippy::cast_precision_loss, reason = "a few crossings")]
        let crossings = crossed as f64 * CROSSING;
        long * factor + crossings
    }
}

/// A cost that can be ordered; costs are never NaN.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Key(f64);

impl Eq for Key {}

impl PartialOrd for Key {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Key {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a float to integer cast saturates, which is wanted")]
fn whole(value: f64) -> i64 {
    value.round() as i64
}

/// Sides as numbers: right, back, left, front.
fn side_of(face: Face) -> usize {
    match face {
        Face::Right => 0,
        Face::Back => 1,
        Face::Left => 2,
        Face::Front => 3,
    }
}

fn opposite(side: usize) -> usize {
    (side + 2) % 4
}

fn turns(wanted: Option<usize>, side: usize) -> f64 {
    match wanted {
        Some(wanted) if side == opposite(wanted) => 6.0,
        Some(wanted) if side != wanted => 1.0,
        _ => 0.0,
    }
}

fn step((x, y): (usize, usize), side: usize, wide: usize, deep: usize) -> Option<(usize, usize)> {
    match side {
        0 => (x + 1 < wide).then_some((x + 1, y)),
        1 => (y + 1 < deep).then_some((x, y + 1)),
        2 => x.checked_sub(1).map(|x| (x, y)),
        _ => y.checked_sub(1).map(|y| (x, y)),
    }
}

/// Leaves out corners on a straight piece.
fn straighten(way: Vec<Spot>) -> Vec<Spot> {
    let mut out: Vec<Spot> = Vec::new();
    for spot in way {
        while let [.., a, b] = out.as_slice() {
            let (a, b) = (*a, *b);
            let level = (a.1 - b.1).abs() < 1e-9 && (b.1 - spot.1).abs() < 1e-9;
            let upright = (a.0 - b.0).abs() < 1e-9 && (b.0 - spot.0).abs() < 1e-9;
            if !level && !upright {
                break;
            }
            out.pop();
        }
        if out.last() != Some(&spot) {
            out.push(spot);
        }
    }
    out
}
