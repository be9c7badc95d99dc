//! Bricks that could be bought, and what a rig is with one of them.

use std::collections::BTreeSet;

use quantity::Length;
use rig::{Device, Limits};

use crate::from_rig::{add_brick, add_need, grams};
use crate::input::{Bank, Brick, Input, Need, Outlet};
use crate::space;

/// A brick or converter that could be bought.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// Its catalogue id.
    pub kind: String,
    /// What it is.
    pub title: String,
    /// Its price in the smallest coin, when known.
    pub price: Option<i64>,
    /// Its mass in whole grams, when known.
    pub mass_g: Option<i64>,
    /// The box it needs under a deck, with bracket and plugs; `None` when its size is not known.
    pub wants: Option<[Length; 3]>,
    /// Its outlets, banks and total, as an input of its own.
    part: Part,
}

/// What a brick brings.
#[derive(Debug, Clone, Default)]
struct Part {
    brick: Brick,
    banks: Vec<Bank>,
    outlets: Vec<Outlet>,
    /// What it wants itself, when it hangs on another brick.
    need: Option<Need>,
}

/// What it wants itself follows from its kind.
impl PartialEq for Part {
    fn eq(&self, other: &Self) -> bool {
        (&self.brick, &self.banks, &self.outlets) == (&other.brick, &other.banks, &other.outlets)
            && self.need.is_some() == other.need.is_some()
    }
}

impl Candidate {
    /// A catalogue device as a candidate. `None` when it has no outlets, or nobody knows what it runs on.
    pub fn new(device: &Device, price: Option<i64>) -> Option<Self> {
        let mut alone = Input::default();
        add_brick(&mut alone, device);
        add_need(&mut alone, &rig::Rig::default(), device, &Limits::default(), &BTreeSet::new());
        let brick = alone.bricks.pop()?;
        (!alone.outlets.is_empty() && alone.lacks.iter().all(|lack| !lack.unserved)).then(|| Self {
            kind: device.kind.clone().unwrap_or_else(|| device.tag.clone()),
            title: device.title.clone(),
            price,
            mass_g: device.mass.value.map(grams),
            wants: space::wanted(device),
            part: Part { brick, banks: alone.banks, outlets: alone.outlets, need: alone.needs.pop() },
        })
    }

    /// What it is, with its catalogue id.
    pub(crate) fn named(&self) -> String {
        if self.title == self.kind { self.kind.clone() } else { format!("{} ({})", self.title, self.kind) }
    }

    /// Its outlets.
    pub(crate) fn outlets(&self) -> &[Outlet] {
        &self.part.outlets
    }
}

/// Adds a candidate's outlets under a tag that is free, or under one that is given.
pub(crate) fn add(input: &mut Input, candidate: &Candidate, tag: Option<String>) {
    let brick = input.bricks.len();
    let taken = |tag: &str| {
        let strip = input.strips.iter().any(|strip| strip.tag == tag);
        strip || input.bricks.iter().any(|brick| brick.tag == tag) || input.need(tag).is_some()
    };
    let tag = tag.unwrap_or_else(|| {
        let most = input.bricks.len() + input.needs.len() + input.strips.len() + 1;
        (1..=most).map(|number| format!("NEW{number}")).find(|tag| !taken(tag)).unwrap_or_default()
    });
    let (banks, groups) = (input.banks.len(), input.outlets.iter().filter_map(|outlet| outlet.joined).max());
    let groups = groups.map_or(0, |last| last + 1);
    input.bricks.push(Brick { tag: tag.clone(), ..candidate.part.brick.clone() });
    input.banks.extend(candidate.part.banks.iter().map(|bank| Bank { brick, ..bank.clone() }));
    for outlet in &candidate.part.outlets {
        input.outlets.push(Outlet {
            brick,
            bank: outlet.bank.map(|bank| bank + banks),
            joined: outlet.joined.map(|group| group + groups),
            ..outlet.clone()
        });
        for row in input.distances.iter_mut().chain(&mut input.loops) {
            row.push(None);
        }
    }
    if let Some(need) = &candidate.part.need {
        input.needs.push(Need { tag, supplies: Some(brick), ..need.clone() });
        let unplaced = vec![None; input.outlets.len()];
        input.distances.push(unplaced.clone());
        input.loops.push(unplaced);
    }
}

/// Puts a candidate where a brick was, under the same tag. What was locked to it is free.
pub(crate) fn replace(input: &mut Input, tag: &str, by: &Candidate) {
    let Some(brick) = input.bricks.iter().position(|brick| brick.tag == tag) else { return };
    let gone: Vec<bool> = input.outlets.iter().map(|outlet| outlet.brick == brick).collect();
    for need in &mut input.needs {
        if let Some(present) = &mut need.present
            && present.outlets.iter().any(|&outlet| gone[outlet])
        {
            present.locked = false;
        }
    }
    // A brick that hung on another wants nothing any more.
    if let Some(place) = input.needs.iter().position(|need| need.supplies == Some(brick)) {
        input.needs.remove(place);
        for table in [&mut input.distances, &mut input.loops] {
            if place < table.len() {
                table.remove(place);
            }
        }
    }
    // The outlets stay as numbers, so that feeds still mean the same, but give nothing any more.
    for (outlet, _) in input.outlets.iter_mut().zip(&gone).filter(|(_, gone)| **gone) {
        outlet.settings.clear();
        outlet.reserved = true;
    }
    format!("{tag} (before)").clone_into(&mut input.bricks[brick].tag);
    add(input, by, Some(tag.to_owned()));
}
