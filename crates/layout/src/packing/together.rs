//! Bodies that share one deck and cannot be packed on it.

use super::alone::mm;
use super::order::Search;
use super::why::Hopeless;
use crate::model::Model;

/// More bodies than this are not packed exhaustively.
const FEW: usize = 7;
/// Relations tried at most.
const TRIES: u64 = 60_000;

/// A body that can stand on the one deck only, with the plans it may have there.
struct Bound<'a> {
    tag: &'a str,
    plans: Vec<[i64; 2]>,
}

impl Bound<'_> {
    fn area(&self) -> i128 {
        self.plans.first().map_or(0, square)
    }
}

fn square(plan: &[i64; 2]) -> i128 {
    i128::from(plan[0]) * i128::from(plan[1])
}

/// The fewest bodies that tell: by area, by those that stand side by side only, then by every relation.
pub(super) fn no_room(model: &Model) -> Option<Hopeless> {
    let tops: Vec<usize> = (0..model.surfaces.len())
        .filter(|index| !model.surfaces[*index].under && !model.surfaces[*index].is_floor)
        .collect();
    // With one deck everything that cannot hang stands on it.
    let [top] = tops.as_slice() else { return None };
    let surface = &model.surfaces[*top];
    let room = [0, 1].map(|axis| surface.extent.high[axis] - surface.extent.low[axis]);
    let is_bound = |item: &&crate::model::Item| {
        item.ways.iter().all(|(surface, _)| surface == top) && !item.ways.is_empty()
    };
    let bodies = model.items.iter().filter(is_bound).map(|item| {
        let mut plans: Vec<[i64; 2]> = item.ways.iter().map(|(_, turn)| item.plan(*turn)).collect();
        plans.sort_unstable();
        plans.dedup();
        Bound { tag: &item.tag, plans }
    });
    let mut bodies: Vec<Bound<'_>> = bodies.collect();
    // The largest first.
    bodies.sort_by_key(|body| (std::cmp::Reverse(body.area()), body.tag));
    by_area(&bodies, room)
        .or_else(|| in_one_row(&bodies, room, &surface.deck))
        .or_else(|| by_relations(&bodies, room))
}

fn hopeless(bodies: &[&Bound<'_>], why: impl Fn(&str) -> String) -> Hopeless {
    let mut together: Vec<String> = bodies.iter().map(|body| body.tag.to_owned()).collect();
    together.sort();
    let why = why(&together.join(", "));
    Hopeless { why, alone: Vec::new(), together, ends: Vec::new() }
}

fn by_area(bodies: &[Bound<'_>], room: [i64; 2]) -> Option<Hopeless> {
    let area: i128 = bodies.iter().map(Bound::area).sum();
    let all: Vec<&Bound<'_>> = bodies.iter().collect();
    (square(&room) < area).then(|| {
        hopeless(&all, |tags| {
            format!(
                "the bodies of {tags} take {} cm², the deck has {} cm²",
                area / 100_000_000_000_000,
                square(&room) / 100_000_000_000_000
            )
        })
    })
}

/// Of bodies more than half as deep as the deck none goes before another, so that they stand side by side; and the same
/// with width and depth exchanged.
fn in_one_row(bodies: &[Bound<'_>], room: [i64; 2], deck: &str) -> Option<Hopeless> {
    for (axis, half, way) in [(0, "deep", "side by side"), (1, "wide", "behind each other")] {
        let other = 1 - axis;
        // What a body takes of the row at least; `None` where it may stand before or behind another.
        let takes = |body: &Bound<'_>| {
            let plans = body.plans.iter().filter(|plan| (0..2).all(|axis| plan[axis] <= room[axis]));
            let mut least = None;
            for plan in plans {
                if plan[other] * 2 <= room[other] {
                    return None;
                }
                least = Some(least.map_or(plan[axis], |least: i64| least.min(plan[axis])));
            }
            least
        };
        let mut row: Vec<(i64, &Bound<'_>)> =
            bodies.iter().filter_map(|body| Some((takes(body)?, body))).collect();
        // The fewest that are too much.
        row.sort_by_key(|(takes, body)| (std::cmp::Reverse(*takes), body.tag));
        let mut sum = 0;
        let many = row.iter().position(|(takes, _)| {
            sum += takes;
            room[axis] < sum
        });
        if let Some(last) = many {
            let chosen: Vec<&Bound<'_>> = row[..=last].iter().map(|(_, body)| *body).collect();
            return Some(hopeless(&chosen, |tags| {
                format!(
                    "the bodies of {tags} are each more than half as {half} as the deck, so that they stand {way}: \
                     that takes {}, and {deck} has {}",
                    mm(sum),
                    mm(room[axis])
                )
            }));
        }
    }
    None
}

/// The largest few, one more at a time: the first set that cannot be packed is told.
fn by_relations(bodies: &[Bound<'_>], room: [i64; 2]) -> Option<Hopeless> {
    for count in 2..=bodies.len().min(FEW) {
        let chosen: Vec<&Bound<'_>> = bodies[..count].iter().collect();
        let sizes = chosen.iter().map(|body| body.plans.clone()).collect();
        match (Search { room, sizes, left: TRIES }).packs() {
            Some(true) => {}
            Some(false) => {
                return Some(hopeless(&chosen, |tags| {
                    format!(
                        "the bodies of {tags} alone do not go side by side or behind each other on the deck, in \
                         whatever order"
                    )
                }));
            }
            None => return None,
        }
    }
    None
}
