//! Leads that run together, and what passes the holes.

use std::collections::BTreeMap;

use crate::apart::{MOST_PIECES, PIECE, around, holds, meets, pieces, widened};
use crate::input::{Input, Point};
use crate::outcome::{Laid, Loom, LoomLead, Passing};
use crate::route::space::{figure, place};
use crate::route::vector::{dot, length, minus, towards};

/// Nearer than this, along for as long as that, two leads of a class are tied together. *Common practice, no source.*
const TOGETHER: f64 = 15.0;
const TRUNK: f64 = 80.0;
/// Directions that differ by less than about 37° run along each other.
const ALONG: f64 = 0.8;

/// Pieces of one lead's way: middle, direction, and how far along the way the middle lies.
struct Way {
    pieces: Vec<(Point, Point)>,
    alongs: Vec<f64>,
    total: f64,
    legs: Vec<Leg>,
}

/// A leg of a way: its first piece, and how many there are.
struct Leg {
    from: Point,
    way: Point,
    first: usize,
    count: usize,
}

impl Way {
    fn new(path: &[Point]) -> Self {
        let (mut alongs, mut legs) = (Vec::new(), Vec::new());
        let mut total = 0.0;
        for leg in path.windows(2) {
            let long = length(minus(leg[1], leg[0]));
            let count = place(long / PIECE).min(MOST_PIECES);
            if 0 < count {
                let way = towards(leg[0], leg[1]);
                legs.push(Leg { from: leg[0], way, first: alongs.len(), count });
            }
            alongs.extend((0..count).map(|step| total + (figure(step) + 0.5) * PIECE));
            total += long;
        }
        Self { pieces: pieces(path), alongs, total, legs }
    }

    /// Whether a piece runs beside this way: of each leg the piece nearest to it tells.
    fn is_beside(&self, (here, way): &(Point, Point)) -> bool {
        self.legs.iter().filter(|leg| ALONG < dot(*way, leg.way).abs()).any(|leg| {
            let nearest = place(dot(minus(*here, leg.from), leg.way) / PIECE).min(leg.count - 1);
            let off = minus(*here, self.pieces[leg.first + nearest].0);
            dot(off, off) < TOGETHER * TOGETHER
        })
    }

    /// How far along this way the nearest piece to a place lies.
    fn nearest(&self, here: Point) -> f64 {
        self.pieces
            .iter()
            .zip(&self.alongs)
            .map(|((there, _), along)| (length(minus(here, *there)), *along))
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map_or(0.0, |(_, along)| along)
    }
}

/// Gathers leads of one class into looms and numbers them.
///
/// The lead that runs with others farthest is the spine of the first loom; whoever runs beside it far enough belongs to
/// it. Then the same among the leads that are left.
pub(crate) fn looms(input: &Input, leads: &mut [Laid]) -> Vec<Loom> {
    let ways: Vec<Way> = leads.iter().map(|laid| Way::new(&laid.path)).collect();
    let boxes: Vec<(Point, Point)> = leads.iter().map(|laid| around(&laid.path, 0.0)).collect();
    // How far each lead runs beside each other one, and its first and last piece there.
    let mut shared: BTreeMap<(usize, usize), (f64, usize, usize)> = BTreeMap::new();
    for one in 0..leads.len() {
        for other in 0..leads.len() {
            if one == other || input.leads[leads[one].lead].class != input.leads[leads[other].lead].class {
                continue;
            }
            let near = widened(&boxes[other], TOGETHER);
            if !meets(&near, &boxes[one]) {
                continue;
            }
            let mut beside = ways[one]
                .pieces
                .iter()
                .enumerate()
                .filter(|(_, piece)| holds(&near, piece.0) && ways[other].is_beside(piece))
                .map(|(at, _)| at);
            let Some(first) = beside.next() else { continue };
            let (mut last, mut count) = (first, 1);
            for at in beside {
                last = at;
                count += 1;
            }
            if TRUNK <= figure(count) * PIECE {
                shared.insert((one, other), (figure(count) * PIECE, first, last));
            }
        }
    }
    let mut out: Vec<Loom> = Vec::new();
    let mut free = vec![true; leads.len()];
    loop {
        let sum = |one: usize| {
            shared
                .range((one, 0)..(one + 1, 0))
                .filter(|((_, other), _)| free[*other])
                .map(|(_, (along, ..))| *along)
                .sum::<f64>()
        };
        let mut spine = None;
        for one in (0..leads.len()).filter(|&one| free[one]) {
            let sum = sum(one);
            if 0.0 < sum && spine.is_none_or(|(_, best)| best < sum) {
                spine = Some((one, sum));
            }
        }
        let Some((spine, _)) = spine else { break };
        let mut members: Vec<usize> = (0..leads.len())
            .filter(|&at| free[at] && (at == spine || shared.contains_key(&(at, spine))))
            .collect();
        members.sort_unstable();
        // A lead may run beside the spine farther than the spine beside it, by a piece: then it is alone.
        if members.len() < 2 {
            free[spine] = false;
            continue;
        }
        let loom = loom(input, leads, &ways, &shared, out.len() + 1, spine, &members);
        for &at in &members {
            free[at] = false;
            leads[at].loom = Some(loom.number);
        }
        out.push(loom);
    }
    out
}

/// One loom: how its leads lie on the spine.
fn loom(
    input: &Input,
    leads: &[Laid],
    ways: &[Way],
    shared: &BTreeMap<(usize, usize), (f64, usize, usize)>,
    number: usize,
    spine: usize,
    members: &[usize],
) -> Loom {
    // The spine is in the trunk from where the first of the others joins to where the last leaves.
    let of_spine = || members.iter().filter_map(|&at| shared.get(&(spine, at)));
    let first = of_spine().map(|(_, first, _)| *first).min().unwrap_or(0);
    let last = of_spine().map(|(_, _, last)| *last).max().unwrap_or(first);
    let own = &ways[spine];
    let begin = own.alongs[first] - PIECE / 2.0;
    let trunk_mm = own.alongs[last] - own.alongs[first] + PIECE;
    let span = |at: usize| {
        if at == spine {
            return Some((first, last));
        }
        shared.get(&(at, spine)).map(|(_, first, last)| (*first, *last))
    };
    let mut lies = Vec::new();
    let mut breakouts = Vec::new();
    for &at in members {
        let Some((first, last)) = span(at) else { continue };
        let way = &ways[at];
        let on = |piece: usize| (own.nearest(way.pieces[piece].0) - begin).clamp(0.0, trunk_mm);
        lies.push(LoomLead {
            id: leads[at].id.clone(),
            on_trunk_mm: [on(first), on(last)],
            tails_mm: [
                (way.alongs[first] - PIECE / 2.0).max(0.0),
                (way.total - way.alongs[last] - PIECE / 2.0).max(0.0),
            ],
        });
        breakouts.push((leads[at].id.clone(), way.pieces[last].0));
    }
    Loom {
        number,
        class: input.leads[leads[spine].lead].class,
        leads: members.iter().map(|&at| leads[at].id.clone()).collect(),
        trunk_mm,
        members: lies,
        breakouts,
    }
}

/// Which leads pass which hole, and how full it is.
pub(crate) fn passing(input: &Input, leads: &[Laid]) -> Vec<Passing> {
    let mut out = Vec::new();
    for hole in &input.holes {
        let middle = f64::midpoint(hole.low[2], hole.high[2]);
        let through = |laid: &&Laid| {
            laid.path.windows(2).any(|leg| {
                let (a, b) = (leg[0], leg[1]);
                if (a[2] - middle) * (b[2] - middle) >= 0.0 {
                    return false;
                }
                let t = (middle - a[2]) / (b[2] - a[2]);
                (0..2).all(|axis| {
                    let at = a[axis] + (b[axis] - a[axis]) * t;
                    hole.low[axis] <= at && at <= hole.high[axis]
                })
            })
        };
        let inside: Vec<&Laid> = leads.iter().filter(through).collect();
        let area = (hole.high[0] - hole.low[0]) * (hole.high[1] - hole.low[1]);
        let taken: f64 = inside
            .iter()
            .map(|laid| input.leads[laid.lead].diameter_mm)
            .map(|diameter| std::f64::consts::PI / 4.0 * diameter * diameter)
            .sum();
        if !inside.is_empty() && 0.0 < area {
            out.push(Passing {
                hole: hole.name.clone(),
                leads: inside.iter().map(|laid| laid.id.clone()).collect(),
                fill: taken / area,
                too_wide: inside
                    .iter()
                    .map(|laid| &input.leads[laid.lead])
                    .filter(|wanted| {
                        let side = (hole.high[0] - hole.low[0]).min(hole.high[1] - hole.low[1]);
                        [&wanted.from, &wanted.to].iter().all(|end| side < end.plug_width_mm)
                    })
                    .map(|wanted| wanted.id.clone())
                    .collect(),
            });
        }
    }
    out
}
