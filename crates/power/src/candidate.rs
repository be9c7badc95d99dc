//! Bricks that could be bought, and what a rig is with one of them.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use quantity::Length;
use rig::{Device, Limits};

use crate::from_rig::{add_brick, add_need, grams};
use crate::inlet::Inlet;
use crate::input::{Bank, Brick, Input, Need, Outlet};
use crate::stand::{Footprint, Stand};
use crate::{plugged, space};

/// A brick or converter that could be bought.
#[derive(Debug, Clone)]
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
    /// Its body, to stand on a deck.
    footprint: Option<Footprint>,
    /// The device itself, without a place.
    device: Arc<Device>,
    /// Its outlets, banks and total, as an input of its own.
    part: Part,
}

/// What it is as a device follows from its kind.
impl PartialEq for Candidate {
    fn eq(&self, other: &Self) -> bool {
        (&self.kind, &self.title, &self.part) == (&other.kind, &other.title, &other.part)
            && (self.price, self.mass_g, self.wants) == (other.price, other.mass_g, other.wants)
    }
}

/// What a brick brings.
#[derive(Debug, Clone, Default)]
struct Part {
    brick: Brick,
    banks: Vec<Bank>,
    outlets: Vec<Outlet>,
    /// What it wants itself, when it hangs on another brick.
    need: Option<Need>,
    /// The plug that a lead is made up with at each of its connectors.
    plugs: BTreeMap<String, String>,
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
            footprint: Footprint::of(device),
            device: Arc::new(device.clone()),
            part: Part {
                brick,
                banks: alone.banks,
                outlets: alone.outlets,
                need: alone.needs.pop(),
                plugs: alone.plugs,
            },
        })
    }

    /// What it is, with its catalogue id.
    pub(crate) fn named(&self) -> String {
        if self.title == self.kind { self.kind.clone() } else { format!("{} ({})", self.title, self.kind) }
    }

    /// Whether it has a port or an outlet of this name.
    pub(crate) fn has_port(&self, name: &str) -> bool {
        let outlet = self.part.outlets.iter().any(|outlet| outlet.name == name);
        outlet || self.device.port(name).is_some()
    }

    /// Whether it may stand where another stands.
    pub(crate) fn stands(&self, stand: &Stand) -> bool {
        self.footprint.as_ref().is_some_and(|footprint| footprint.stands(stand))
    }

    /// How it takes what it runs on.
    pub(crate) fn inlet(&self) -> &Inlet {
        &self.part.brick.inlet
    }

    /// Its outlets.
    pub(crate) fn outlets(&self) -> &[Outlet] {
        &self.part.outlets
    }
}

/// Adds a candidate's outlets under a tag that is free, and plugs it in.
pub(crate) fn add(input: &mut Input, candidate: &Candidate) {
    let taken = |tag: &str| {
        let strip = input.strips.iter().any(|strip| strip.tag == tag);
        strip || input.bricks.iter().any(|brick| brick.tag == tag) || input.need(tag).is_some()
    };
    let most = input.bricks.len() + input.needs.len() + input.strips.len() + 1;
    let tag = (1..=most).map(|number| format!("NEW{number}")).find(|tag| !taken(tag)).unwrap_or_default();
    let brick = add_supply(input, candidate, &tag);
    plugged::plug_in(input, brick);
    if let Some(need) = &candidate.part.need {
        add_own_need(input, Need { tag, supplies: Some(brick), ..need.clone() });
    }
}

/// Adds a brick with its banks and outlets; its index.
fn add_supply(input: &mut Input, candidate: &Candidate, tag: &str) -> usize {
    let brick = input.bricks.len();
    let (banks, groups) = (input.banks.len(), input.outlets.iter().filter_map(|outlet| outlet.joined).max());
    let groups = groups.map_or(0, |last| last + 1);
    input.bricks.push(Brick { tag: tag.to_owned(), ..candidate.part.brick.clone() });
    for (connector, plug) in &candidate.part.plugs {
        input.plugs.entry(connector.clone()).or_insert_with(|| plug.clone());
    }
    input.banks.extend(candidate.part.banks.iter().map(|bank| Bank { brick, ..bank.clone() }));
    for outlet in &candidate.part.outlets {
        input.outlets.push(Outlet {
            brick,
            bank: outlet.bank.map(|bank| bank + banks),
            joined: outlet.joined.map(|group| group + groups),
            ..outlet.clone()
        });
        for row in input.distances.iter_mut().chain(&mut input.loops).chain(&mut input.lengths) {
            row.push(None);
        }
    }
    brick
}

fn add_own_need(input: &mut Input, need: Need) {
    input.needs.push(need);
    let unplaced = vec![None; input.outlets.len()];
    for table in [&mut input.distances, &mut input.loops, &mut input.lengths] {
        table.push(unplaced.clone());
    }
}

/// The devices whose locked feed cannot stay when a candidate comes in the place of a brick: one of their outlets is gone, or the
/// brick itself is not fed any more.
pub(crate) fn broken_locks(input: &Input, tag: &str, by: &Candidate) -> Vec<String> {
    let has = |name: &str| by.part.outlets.iter().any(|outlet| outlet.name == name);
    let stays = |outlet: usize| {
        let of = &input.outlets[outlet];
        input.bricks[of.brick].tag != tag || has(&of.name)
    };
    let is_broken = |need: &&Need| {
        let locked = need.lock();
        let unfed = need.tag == tag && by.part.need.is_none();
        locked.is_some_and(|lock| unfed || !lock.outlets.iter().all(|&outlet| stays(outlet)))
    };
    // Its own adaptor goes where the new one takes another.
    let old = input.bricks.iter().find(|brick| brick.tag == tag);
    let own = old.filter(|old| old.own_locked && old.inlet != *by.inlet());
    let own = own.map(|old| old.tag.clone());
    input.needs.iter().filter(is_broken).map(|need| need.tag.clone()).chain(own).collect()
}

/// Puts a candidate where a brick was, under the same tag: feeds mean the outlets of the same names from then on, and what is
/// locked stays locked. Where there is no such outlet any more, a lock names one that gives nothing.
pub(crate) fn replace(input: &mut Input, tag: &str, by: &Candidate) {
    let Some(brick) = input.bricks.iter().position(|brick| brick.tag == tag) else { return };
    let old = input.bricks[brick].clone();
    let gone: Vec<bool> = input.outlets.iter().map(|outlet| outlet.brick == brick).collect();
    let keeps_own = old.own_locked && old.inlet == *by.inlet();
    format!("{tag} (before)").clone_into(&mut input.bricks[brick].tag);
    let new = add_supply(input, by, tag);
    (input.bricks[new].own_feed, input.bricks[new].own_locked) = (keeps_own, keeps_own);
    plugged::plug_instead(input, new, &old);
    let named =
        |name: &str| (gone.len()..input.outlets.len()).find(|&outlet| input.outlets[outlet].name == name);
    let heirs: Vec<Option<usize>> = (0..gone.len())
        .map(|outlet| if gone[outlet] { named(&input.outlets[outlet].name) } else { Some(outlet) })
        .collect();
    for present in input.needs.iter_mut().filter_map(|need| need.present.as_mut()) {
        let inherits = present.outlets.iter().all(|&outlet| heirs[outlet].is_some());
        for outlet in present.outlets.iter_mut().filter(|_| inherits) {
            let heir = heirs[*outlet].unwrap_or(*outlet);
            // What is locked keeps the voltage that its outlet is set to.
            if let (true, true, Some(mv)) = (present.locked, gone[*outlet], input.outlets[*outlet].set_mv) {
                input.outlets[heir].settings.retain(|setting| setting.mv == mv);
            }
            *outlet = heir;
        }
    }
    stands_there(input, tag, gone.len(), by);
    own_need(input, brick, new, by);
    // The outlets stay as numbers, so that feeds still mean the same, but give nothing any more.
    for (outlet, _) in input.outlets.iter_mut().zip(&gone).filter(|(_, gone)| **gone) {
        outlet.settings.clear();
        outlet.reserved = true;
    }
}

/// The leads from a brick that comes in the place of another, whose outlets begin at `first`: it stands where that stood.
fn stands_there(input: &mut Input, tag: &str, first: usize, by: &Candidate) {
    let Some(placed) = input.placed.clone() else { return };
    let Some(place) = placed.place_of(tag) else { return };
    let device = Device { tag: tag.to_owned(), place: Some(place.clone()), ..Device::clone(&by.device) };
    let tags: Vec<String> = input.needs.iter().map(|need| need.tag.clone()).collect();
    let tags: Vec<&str> = tags.iter().map(String::as_str).collect();
    for outlet in first..input.outlets.len() {
        let ways = placed.ways(&device, &input.outlets[outlet].name, &tags);
        for (need, way) in ways.into_iter().enumerate() {
            let put = |table: &mut Vec<Vec<Option<i64>>>, value: Option<i64>| {
                if let Some(at) = table.get_mut(need).and_then(|row| row.get_mut(outlet)) {
                    *at = value;
                }
            };
            put(&mut input.distances, way.map(|way| way.distance_mm));
            put(&mut input.loops, way.and_then(|way| way.uohm));
            put(&mut input.lengths, way.filter(|way| way.uohm.is_some()).map(|way| way.length_nm));
        }
    }
}

/// What a brick wants that comes in the place of another: the feed of the old one is its feed.
fn own_need(input: &mut Input, old: usize, new: usize, by: &Candidate) {
    let tag = input.bricks[new].tag.clone();
    let place = input.needs.iter().position(|need| need.supplies == Some(old));
    match (place, &by.part.need) {
        (Some(place), Some(need)) => {
            let (present, adaptor) = (input.needs[place].present.take(), input.needs[place].adaptor.take());
            input.needs[place] = Need { tag, supplies: Some(new), present, adaptor, ..need.clone() };
        }
        (Some(place), None) => {
            input.needs.remove(place);
            for table in [&mut input.distances, &mut input.loops, &mut input.lengths] {
                if place < table.len() {
                    table.remove(place);
                }
            }
        }
        (None, Some(need)) => add_own_need(input, Need { tag, supplies: Some(new), ..need.clone() }),
        (None, None) => {}
    }
}
