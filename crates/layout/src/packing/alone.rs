//! A device by itself on an empty board, by sizes, heights and plugs, each way it may stand.

use std::collections::BTreeSet;

use quantity::Length;
use rig::geometry::BoxClass;

use super::position::{Nowhere, nowhere};
use super::why::Hopeless;
use crate::model::{Cell, Choice, Flat, Item, Model, Surface};
use crate::verify::tape;

/// Takes from each movable device the ways it cannot stand in wherever it is put; says which have none left, whatever plugs
/// are chosen for them. These keep all, so that a search has something to show.
pub(super) fn prune(model: &mut Model) -> Option<Hopeless> {
    let mut found: Vec<(String, Vec<String>)> = Vec::new();
    let mut ends: BTreeSet<usize> = BTreeSet::new();
    let mut left: Vec<Option<Vec<(usize, u8)>>> = vec![None; model.items.len()];
    for (index, item) in model.items.iter().enumerate().filter(|(_, item)| item.movable) {
        let mut whys: Vec<String> = Vec::new();
        let mut hang: BTreeSet<usize> = BTreeSet::new();
        let mut ways = Vec::new();
        for way in &item.ways {
            match barred(model, index, *way) {
                None => ways.push(*way),
                Some((why, at)) => {
                    if !whys.contains(&why) {
                        whys.push(why);
                    }
                    hang.extend(at);
                }
            }
        }
        if ways.is_empty() && !item.ways.is_empty() {
            found.push((item.tag.clone(), whys));
            ends.extend(hang);
        } else if ways.len() < item.ways.len() {
            left[index] = Some(ways);
        }
    }
    for (item, ways) in model.items.iter_mut().zip(left) {
        if let Some(ways) = ways {
            item.ways = ways;
        }
    }
    if found.is_empty() {
        return None;
    }
    let each = |(tag, whys): &(String, Vec<String>)| {
        format!("{tag} has no place on the empty board: {}", whys.join("; "))
    };
    let why = found.iter().map(each).collect::<Vec<_>>().join(". ");
    let alone = found.into_iter().map(|(tag, _)| tag).collect();
    Some(Hopeless { why, alone, together: Vec::new(), ends: ends.into_iter().collect() })
}

/// A reason with the lead ends it hangs on.
type Why = (String, Vec<usize>);

/// Why an item cannot stand this way wherever it stands.
fn barred(model: &Model, index: usize, (at, turn): (usize, u8)) -> Option<Why> {
    let (item, surface) = (&model.items[index], &model.surfaces[at]);
    let side = if surface.under { "under" } else { "on" };
    let deck = format!("{side} {}", surface.deck);
    by_size(item, surface, turn, &deck)
        .or_else(|| by_height(model, item, surface, turn, &deck))
        .map(|why| (why, Vec::new()))
        .or_else(|| by_board(model, index, (at, turn), &deck))
        .or_else(|| by_plugs(model, item, turn, &deck))
}

fn wide(extent: &Flat, axis: usize) -> i64 {
    extent.high[axis] - extent.low[axis]
}

/// What the two axes are called, with how far things go along them.
const ALONG: [&str; 2] = ["wide", "deep"];

pub(super) fn mm(nm: i64) -> String {
    tape(Length::from_nm(nm))
}

/// It, as it is turned.
fn it(turn: u8) -> &'static str {
    if turn.is_multiple_of(2) { "it" } else { "turned by 90° it" }
}

fn by_size(item: &Item, surface: &Surface, turn: u8, deck: &str) -> Option<String> {
    let plan = item.plan(turn);
    let axis = (0..2).find(|axis| wide(&surface.extent, *axis) < plan[*axis])?;
    let (has, room) = (mm(plan[axis]), mm(wide(&surface.extent, axis)));
    Some(format!("{} is {has} {}, and {deck} there are {room}", it(turn), ALONG[axis]))
}

fn by_height(model: &Model, item: &Item, surface: &Surface, turn: u8, deck: &str) -> Option<String> {
    // Without a riser a body stands lowest; what hangs, hangs always at one height.
    let base = surface.base(&Flat { low: [i64::MIN / 4; 2], high: [i64::MAX / 4; 2] }, item.size[2]);
    let own = &item.cells[usize::from(turn)];
    let top = own.iter().filter(|cell| cell.lidded).map(|cell| cell.high[2] + base).max();
    if let (Some(lid), Some(top)) = (model.lid, top)
        && lid - model.rules.lid_stop < top
    {
        return Some(format!("it is {} too high for the lid {deck}", mm(top - lid + model.rules.lid_stop)));
    }
    let ground = surface.ground?;
    let lacks = ground + model.rules.clear_stop - base;
    (0 < lacks).then(|| format!("it has {} too little clear height {deck}", mm(lacks)))
}

/// What stands of the board itself in the way: risers, rails and sheets, the outline, an upper deck over the foot.
fn by_board(model: &Model, index: usize, way: (usize, u8), deck: &str) -> Option<Why> {
    let item = &model.items[index];
    let turn = usize::from(way.1);
    if let Some(nowhere) = nowhere(model, index, way, &item.cells[turn]) {
        return Some((of_body(model, item, way, deck, nowhere), Vec::new()));
    }
    for end in &item.ends {
        let with = |choice: &Choice| {
            let mut cells = item.cells[turn].clone();
            cells.extend(choice.cells[turn].iter().cloned());
            nowhere(model, index, way, &cells).is_some()
        };
        // What does not depend on the board is told by its own words.
        if end.choices.iter().all(with) && by_plugs(model, item, way.1, deck).is_none() {
            let port = model.lead_ends[end.leads[0]].port.to_string();
            return Some((format!("it has no room {deck} for the plug at {port}"), end.leads.clone()));
        }
    }
    None
}

/// Why a body alone stands nowhere on a surface.
fn of_body(model: &Model, item: &Item, (at, turn): (usize, u8), deck: &str, nowhere: Nowhere) -> String {
    let (plan, surface) = (item.plan(turn), &model.surfaces[at]);
    let it = it(turn);
    if nowhere == Nowhere::Roofed {
        return format!("{it} has no place {deck} that leaves room for the foot");
    }
    for axis in [1, 0] {
        let free = surface.free_runs(axis);
        let longest = free.iter().map(|run| run.length).max().unwrap_or(0);
        if longest < plan[axis] && 1 < free.len() {
            let rooms: Vec<String> =
                free.iter().map(|run| format!("{} {}", mm(run.length), run.words)).collect();
            let along = ALONG[axis];
            return format!(
                "{it} is {} {along}, and {deck} there are {}",
                mm(plan[axis]),
                rooms.join(" and ")
            );
        }
    }
    let [width, depth] = plan.map(mm);
    format!("{it} is {width} wide and {depth} deep, and {deck} no free part holds that")
}

/// Plugs that make the device too long for the board, or that meet each other.
fn by_plugs(model: &Model, item: &Item, turn: u8, deck: &str) -> Option<Why> {
    let own = &item.cells[usize::from(turn)];
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
            let port = name(end.leads[0]);
            return Some((
                format!("it is {} too long {deck} with the plug at {port}", mm(least)),
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
                plugs(a)
                    .any(|a| plugs(b).any(|b| a.owner != b.owner && 0 < model.gaps.judge_own(&a, &b).pairs))
            };
            if end.choices.iter().all(|a| other.choices.iter().all(|b| meets(a, b))) {
                let (a, b) = (name(end.leads[0]), name(other.leads[0]));
                let leads = end.leads.iter().chain(&other.leads).copied().collect();
                return Some((format!("it has plugs at {a} and {b} that meet"), leads));
            }
        }
    }
    None
}
