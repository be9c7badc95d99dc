//! Proofs that nothing fits: a device with no place by itself, or bodies alone that cannot be packed.

use std::collections::BTreeSet;

use quantity::Length;
use rig::geometry::BoxClass;

use crate::model::{Cell, Choice, Flat, Item, Model};

/// More bodies than this are not packed exhaustively.
const FEW: usize = 7;
/// Relations tried at most.
const TRIES: u64 = 300_000;

/// A device that has no place even on an empty board, whatever plugs are chosen for it: tried by sizes, heights and plugs
/// alone, each way it may stand.
pub(crate) fn too_large(model: &Model) -> Option<Hopeless> {
    for item in model.items.iter().filter(|item| item.movable) {
        let mut whys: Vec<String> = Vec::new();
        let mut ends: BTreeSet<usize> = BTreeSet::new();
        let mut fits = item.ways.is_empty();
        for way in &item.ways {
            let Some((why, at)) = barred(model, item, *way) else {
                fits = true;
                break;
            };
            if !whys.contains(&why) {
                whys.push(why);
            }
            ends.extend(at);
        }
        if !fits {
            let why = format!("{} has no place, even alone on the board: {}", item.tag, whys.join("; "));
            return Some(Hopeless { why, device: Some(item.tag.clone()), ends: ends.into_iter().collect() });
        }
    }
    None
}

/// Why nothing fits, with what it hangs on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Hopeless {
    pub(crate) why: String,
    /// The device that has no place by itself.
    pub(crate) device: Option<String>,
    /// The lead ends whose plugs are in the way.
    pub(crate) ends: Vec<usize>,
}

impl Hopeless {
    fn of(why: String) -> Self {
        Self { why, device: None, ends: Vec::new() }
    }
}

/// Why an item cannot stand this way wherever it stands, and the lead ends it hangs on.
fn barred(model: &Model, item: &Item, (surface, turn): (usize, u8)) -> Option<(String, Vec<usize>)> {
    let surface = &model.surfaces[surface];
    let side = if surface.under { "under" } else { "on" };
    let deck = format!("{side} {}", surface.deck);
    let plan = item.plan(turn);
    let wide = |extent: &Flat, axis: usize| extent.high[axis] - extent.low[axis];
    if (0..2).any(|axis| wide(&surface.extent, axis) < plan[axis]) {
        return Some((format!("its body is larger than the room {deck}"), Vec::new()));
    }
    // Without a riser a body stands lowest; what hangs, hangs always at one height.
    let base = surface.base(&Flat { low: [i64::MIN / 4; 2], high: [i64::MAX / 4; 2] }, item.size[2]);
    let own = &item.cells[usize::from(turn)];
    if let Some(lid) = model.lid
        && own.iter().filter(|cell| cell.lidded).any(|cell| lid - model.rules.lid_stop < cell.high[2] + base)
    {
        return Some((format!("it is too high {deck} below the lid"), Vec::new()));
    }
    if let Some(ground) = surface.ground
        && base - ground < model.rules.clear_stop
    {
        let lacks = Length::from_nm(ground + model.rules.clear_stop - base);
        return Some((format!("{lacks} too little clear height {deck}"), Vec::new()));
    }
    let bounded: Vec<Flat> = own.iter().filter(|cell| cell.bounded).map(Cell::plan).collect();
    let most = |axis: usize| wide(&model.extent, axis) - 2 * model.edge;
    let name = |lead: usize| model.lead_ends[lead].port.to_string();
    for end in &item.ends {
        let short = |choice: &Choice| {
            let cells = &choice.cells[usize::from(turn)];
            let mut flats = bounded.clone();
            flats.extend(cells.iter().filter(|cell| cell.bounded).map(Cell::plan));
            let around = Flat::around(&flats);
            (0..2).map(|axis| wide(&around, axis) - most(axis)).max().filter(|short| 0 < *short)
        };
        let least = end.choices.iter().map(short).min().flatten();
        if let Some(least) = least {
            let (port, lacks) = (name(end.leads[0]), Length::from_nm(least));
            return Some((
                format!("with the plug at {port} it is {lacks} too long {deck}"),
                end.leads.clone(),
            ));
        }
    }
    for (index, end) in item.ends.iter().enumerate() {
        for other in &item.ends[index + 1..] {
            let meets = |a: &Choice, b: &Choice| {
                let plugs = |choice: &'_ Choice| {
                    let cells = choice.cells[usize::from(turn)].clone();
                    cells.into_iter().filter(|cell| cell.is(BoxClass::Plug))
                };
                plugs(a).any(|a| plugs(b).any(|b| a.owner != b.owner && model.gaps.short(&a, &b).is_some()))
            };
            if end.choices.iter().all(|a| other.choices.iter().all(|b| meets(a, b))) {
                let (a, b) = (name(end.leads[0]), name(other.leads[0]));
                let leads = end.leads.iter().chain(&other.leads).copied().collect();
                return Some((format!("the plugs at {a} and {b} meet"), leads));
            }
        }
    }
    None
}

/// Bodies that share one deck and cannot be packed on it, the fewest that tell: area first, then every relation.
pub(crate) fn no_room(model: &Model) -> Option<Hopeless> {
    let tops: Vec<usize> = (0..model.surfaces.len())
        .filter(|index| !model.surfaces[*index].under && !model.surfaces[*index].is_floor)
        .collect();
    // With one deck everything that cannot hang stands on it.
    let [top] = tops.as_slice() else { return None };
    let extent = model.surfaces[*top].extent;
    let room = [extent.high[0] - extent.low[0], extent.high[1] - extent.low[1]];
    let bound = |item: &&crate::model::Item| {
        item.ways.iter().all(|(surface, _)| surface == top) && !item.ways.is_empty()
    };
    let mut bodies: Vec<(&str, Vec<[i64; 2]>)> = model
        .items
        .iter()
        .filter(bound)
        .map(|item| {
            let mut plans: Vec<[i64; 2]> = item.ways.iter().map(|(_, turn)| item.plan(*turn)).collect();
            plans.sort_unstable();
            plans.dedup();
            (item.tag.as_str(), plans)
        })
        .collect();
    let square = |plan: &[i64; 2]| i128::from(plan[0]) * i128::from(plan[1]);
    let area: i128 = bodies.iter().map(|(_, plans)| plans.first().map_or(0, square)).sum();
    if square(&room) < area {
        return Some(Hopeless::of(format!(
            "the bodies of {} take {} cm², the deck has {} cm²",
            bodies.iter().map(|(tag, _)| *tag).collect::<Vec<_>>().join(", "),
            area / 100_000_000_000_000,
            square(&room) / 100_000_000_000_000
        )));
    }
    // The largest few, one more at a time: the first set that cannot be packed is told.
    bodies.sort_by_key(|(tag, plans)| (std::cmp::Reverse(plans.first().map_or(0, square)), *tag));
    for count in 2..=bodies.len().min(FEW) {
        let chosen = &bodies[..count];
        let mut search =
            Search { room, sizes: chosen.iter().map(|(_, plans)| plans.clone()).collect(), left: TRIES };
        match search.packs() {
            Some(true) => {}
            Some(false) => {
                let tags: Vec<&str> = chosen.iter().map(|(tag, _)| *tag).collect();
                return Some(Hopeless::of(format!(
                    "the bodies of {} alone do not go side by side or behind each other on the deck, in whatever order",
                    tags.join(", ")
                )));
            }
            None => return None,
        }
    }
    None
}

/// A search over who stands left of and before whom.
struct Search {
    room: [i64; 2],
    sizes: Vec<Vec<[i64; 2]>>,
    left: u64,
}

impl Search {
    /// Whether the bodies can be packed; `None` when it was not decided.
    fn packs(&mut self) -> Option<bool> {
        self.turns(&mut Vec::new())
    }

    fn turns(&mut self, sizes: &mut Vec<[i64; 2]>) -> Option<bool> {
        if sizes.len() == self.sizes.len() {
            let count = sizes.len();
            return self.relate(sizes, &mut [Vec::new(), Vec::new()], 0, 1, count);
        }
        let mut decided = true;
        let room = self.room;
        let fits = |plan: &[i64; 2]| (0..2).all(|axis| plan[axis] <= room[axis]);
        for plan in self.sizes[sizes.len()].clone().into_iter().filter(fits) {
            sizes.push(plan);
            match self.turns(sizes) {
                Some(true) => return Some(true),
                Some(false) => {}
                None => decided = false,
            }
            sizes.pop();
        }
        decided.then_some(false)
    }

    fn relate(
        &mut self,
        sizes: &[[i64; 2]],
        before: &mut [Vec<(usize, usize)>; 2],
        i: usize,
        j: usize,
        count: usize,
    ) -> Option<bool> {
        if self.left == 0 {
            return None;
        }
        self.left -= 1;
        if count <= j {
            return Some(true);
        }
        let next = if i + 1 == j { (0, j + 1) } else { (i + 1, j) };
        let mut decided = true;
        for axis in 0..2 {
            for pair in [(i, j), (j, i)] {
                before[axis].push(pair);
                if reach(sizes, &before[axis], axis).is_some_and(|reach| reach <= self.room[axis]) {
                    match self.relate(sizes, before, next.0, next.1, count) {
                        Some(true) => return Some(true),
                        Some(false) => {}
                        None => decided = false,
                    }
                }
                before[axis].pop();
            }
        }
        decided.then_some(false)
    }
}

/// How far the last body reaches along an axis; `None` when the relations run in a ring.
fn reach(sizes: &[[i64; 2]], before: &[(usize, usize)], axis: usize) -> Option<i64> {
    let mut at = vec![0; sizes.len()];
    for round in 0..=sizes.len() {
        let mut changed = false;
        for &(first, second) in before {
            let least = at[first] + sizes[first][axis];
            if at[second] < least {
                at[second] = least;
                changed = true;
            }
        }
        if !changed {
            return (0..sizes.len()).map(|body| at[body] + sizes[body][axis]).max();
        }
        if round == sizes.len() {
            return None;
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn packs(room: [i64; 2], sizes: &[[i64; 2]]) -> Option<bool> {
        let sizes = sizes.iter().map(|size| vec![*size, [size[1], size[0]]]).collect();
        Search { room, sizes, left: TRIES }.packs()
    }

    #[test]
    fn what_goes_together_and_what_does_not() {
        // Five dominoes of a pinwheel fill a square of three with the middle.
        let pinwheel = [[2, 1], [2, 1], [2, 1], [2, 1], [1, 1]];
        assert_eq!(packs([3, 3], &pinwheel), Some(true));
        assert_eq!(packs([3, 2], &[[2, 1], [2, 1], [2, 1], [1, 1]]), Some(false));
        assert_eq!(packs([5, 1], &[[3, 1], [2, 1]]), Some(true));
        assert_eq!(packs([4, 1], &[[3, 1], [2, 1]]), Some(false));
    }
}
