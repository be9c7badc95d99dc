//! Ways out of a conflict: each is tried on the whole rig before it is told.

use std::collections::BTreeSet;

use finding::{Change as DocumentChange, Edit, Field};
use quantity::Length;
use rig::Device;

use crate::allocate::{Meter, allocate};
use crate::config::{Config, Means};
use crate::conflict::servable;
use crate::from_rig::add_brick;
use crate::input::{Adaptor, Input, Room};
use crate::outcome::{Conflict, Cure, Feed, Price};
use crate::{space, words};

/// A brick that could be bought.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// Its catalogue id.
    pub kind: String,
    /// What it is.
    pub title: String,
    /// Its price in the smallest coin, when known.
    pub price: Option<i64>,
    /// The box it needs under a deck, with bracket and plugs; `None` when its size is not known.
    pub wants: Option<[Length; 3]>,
    /// Its outlets, banks and total, as an input of its own.
    part: Part,
}

/// What a brick brings.
#[derive(Debug, Clone, PartialEq, Default)]
struct Part {
    brick: crate::input::Brick,
    banks: Vec<crate::input::Bank>,
    outlets: Vec<crate::input::Outlet>,
}

impl Candidate {
    /// A catalogue device as a candidate. `None` when it has no outlets.
    pub fn new(device: &Device, price: Option<i64>) -> Option<Self> {
        let mut alone = Input::default();
        add_brick(&mut alone, device);
        let brick = alone.bricks.pop()?;
        (!alone.outlets.is_empty()).then(|| Self {
            kind: device.kind.clone().unwrap_or_else(|| device.tag.clone()),
            title: device.title.clone(),
            price,
            wants: space::wanted(device),
            part: Part { brick, banks: alone.banks, outlets: alone.outlets },
        })
    }
}

/// What a document may say of a brick that holds for its kind only.
const OF_THE_KIND: &[&str] =
    &["title", "from", "size", "corner", "mass", "total", "bracket", "outlet", "bank", "port"];

/// What a cure changes.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// Feeds that were locked may change.
    Unlock(Vec<String>),
    /// More means are allowed.
    Allow(Means),
    /// The maker's leave to join outlets of a brick, asked for and given.
    Leave {
        /// Tag of the brick.
        brick: String,
        /// For more voltage; else for more current.
        series: bool,
    },
    /// A device of unknown class turns out to be analogue.
    Analogue(String),
    /// A device gets an adaptor of its own on a strip.
    OwnAdaptor(String),
    /// Bricks are added.
    Add(Vec<Candidate>),
    /// A brick makes room for another.
    Replace {
        /// Tag of the brick that goes.
        brick: String,
        /// The one that comes.
        by: Box<Candidate>,
    },
}

impl Change {
    /// The input and means with the change made.
    pub fn apply(&self, input: &Input, config: &Config) -> (Input, Config) {
        let (mut input, mut config) = (input.clone(), config.clone());
        match self {
            Self::Unlock(tags) => {
                for need in input.needs.iter_mut().filter(|need| tags.contains(&need.tag)) {
                    if let Some(present) = &mut need.present {
                        present.locked = false;
                    }
                }
            }
            Self::Allow(means) => config.means = *means,
            Self::Leave { brick, series } => {
                let of: Vec<bool> =
                    input.outlets.iter().map(|outlet| input.bricks[outlet.brick].tag == *brick).collect();
                for (outlet, _) in input.outlets.iter_mut().zip(of).filter(|(_, own)| *own) {
                    let leave = if *series { &mut outlet.series } else { &mut outlet.parallel };
                    *leave = leave.or(Some(true));
                }
            }
            Self::Analogue(tag) => {
                for need in input.needs.iter_mut().filter(|need| need.tag == *tag) {
                    need.alone = false;
                }
            }
            Self::OwnAdaptor(tag) => {
                let socket = empty_socket(&input);
                for need in input.needs.iter_mut().filter(|need| need.tag == *tag) {
                    let room = socket.iter().cloned().collect();
                    need.adaptor = Some(Adaptor { socket: socket.clone(), takes: 1, room });
                    need.present = None;
                }
            }
            Self::Add(candidates) => candidates.iter().for_each(|candidate| add(&mut input, candidate, None)),
            Self::Replace { brick, by } => replace(&mut input, brick, by),
        }
        (input, config)
    }

    fn name(&self, input: &Input) -> String {
        // Without a clear height nobody can tell whether a brick fits.
        let room = if input.rooms.is_empty() {
            "; whether it fits is not known"
        } else if fits(input, self) {
            ""
        } else {
            "; under the deck there is no room for it, so it needs a place on the deck or beside the board"
        };
        match self {
            Self::Unlock(tags) => format!("unlock the feed of {}", words::list(tags)),
            Self::Allow(_) => "allow every kind of feed: other settings, sharing, pairs, adaptors".to_owned(),
            Self::Leave { brick, series } => {
                let more = if *series { "in series" } else { "in parallel" };
                format!(
                    "ask the maker of {brick} whether its outlets may be joined {more}; with leave it works"
                )
            }
            Self::Analogue(tag) => format!("find out whether {tag} is analogue; then it may share an outlet"),
            Self::OwnAdaptor(tag) => match empty_socket(input) {
                Some((strip, socket)) => {
                    format!("give {tag} an adaptor of its own on {}.{socket}", input.strips[strip].tag)
                }
                None => format!("give {tag} an adaptor of its own"),
            },
            Self::Add(candidates) => {
                let titles: Vec<&str> = candidates.iter().map(|candidate| candidate.title.as_str()).collect();
                format!("add {}{room}", words::list(&titles))
            }
            Self::Replace { brick, by } => format!("put {} in place of {brick}{room}", by.title),
        }
    }

    /// The edit that applies it with the feeds that then serve every device. `None` where somebody must be asked
    /// first, or an adaptor has no socket to sit in.
    fn edit(&self, input: &Input, changed: &Input, feeds: &[Feed], name: &str) -> Option<Edit> {
        let set = |tag: &str, keys: &str, to: &String| DocumentChange::set(Field::device(tag, keys), to);
        let remove = |tag: &str, keys: &str| DocumentChange::remove(Field::device(tag, keys));
        let mut changes: Vec<DocumentChange> = match self {
            Self::Unlock(tags) => tags.iter().map(|tag| remove(tag, "feed.locked")).collect(),
            Self::OwnAdaptor(_) => {
                empty_socket(input)?;
                Vec::new()
            }
            // What the document says of the old brick is not true of the new one.
            Self::Replace { brick, by } => OF_THE_KIND
                .iter()
                .map(|key| remove(brick, key))
                .chain([set(brick, "kind", &by.kind)])
                .collect(),
            Self::Add(candidates) => {
                let new = changed.bricks.iter().skip(input.bricks.len());
                new.zip(candidates)
                    .map(|(brick, candidate)| set(&brick.tag, "kind", &candidate.kind))
                    .collect()
            }
            Self::Allow(_) => Vec::new(),
            Self::Leave { .. } | Self::Analogue(_) => return None,
        };
        changes.extend(crate::edits::edit(changed, feeds).changes);
        Some(Edit::new(name, changes))
    }

    fn price(&self) -> Price {
        let area =
            |candidate: &Candidate| candidate.wants.map_or(0, |[width, depth, _]| space::area(width, depth));
        match self {
            Self::Unlock(tags) => Price { work: tags.len(), ..Price::default() },
            Self::Allow(_) => Price { work: 1, ..Price::default() },
            Self::Leave { .. } | Self::Analogue(_) => Price { work: 2, ..Price::default() },
            Self::OwnAdaptor(_) => Price { buys: 1, work: 1, ..Price::default() },
            Self::Add(candidates) => Price {
                buys: candidates.len(),
                money: candidates.iter().filter_map(|candidate| candidate.price).sum(),
                space_mm2: candidates.iter().map(area).sum(),
                work: 2 * candidates.len(),
            },
            Self::Replace { by, .. } => {
                Price { buys: 1, money: by.price.unwrap_or(0), space_mm2: area(by), work: 3 }
            }
        }
    }
}

/// The first socket that nobody sits in: strip and name.
fn empty_socket(input: &Input) -> Option<(usize, String)> {
    let taken: Vec<&(usize, String)> =
        input.needs.iter().filter_map(|need| need.adaptor.as_ref()?.socket.as_ref()).collect();
    input.strips.iter().enumerate().find_map(|(index, strip)| {
        let empty =
            strip.free.iter().find(|name| !taken.iter().any(|(at, other)| *at == index && other == *name))?;
        Some((index, empty.clone()))
    })
}

/// Adds a candidate's outlets under a tag that is free, or under one that is given.
fn add(input: &mut Input, candidate: &Candidate, tag: Option<String>) {
    let brick = input.bricks.len();
    let taken = |tag: &str| {
        let strip = input.strips.iter().any(|strip| strip.tag == tag);
        strip || input.bricks.iter().any(|brick| brick.tag == tag) || input.need(tag).is_some()
    };
    let tag = tag.unwrap_or_else(|| {
        let most = input.bricks.len() + input.needs.len() + 1;
        (1..=most).map(|number| format!("NEW{number}")).find(|tag| !taken(tag)).unwrap_or_default()
    });
    let (banks, groups) = (input.banks.len(), input.outlets.iter().filter_map(|outlet| outlet.joined).max());
    let groups = groups.map_or(0, |last| last + 1);
    input.bricks.push(crate::input::Brick { tag, ..candidate.part.brick.clone() });
    input.banks.extend(candidate.part.banks.iter().map(|bank| crate::input::Bank { brick, ..bank.clone() }));
    for outlet in &candidate.part.outlets {
        input.outlets.push(crate::input::Outlet {
            brick,
            bank: outlet.bank.map(|bank| bank + banks),
            joined: outlet.joined.map(|group| group + groups),
            ..outlet.clone()
        });
        for row in &mut input.distances {
            row.push(None);
        }
    }
}

/// Puts a candidate where a brick was, under the same tag. What was locked to it is free.
fn replace(input: &mut Input, tag: &str, by: &Candidate) {
    let Some(brick) = input.bricks.iter().position(|brick| brick.tag == tag) else { return };
    let gone: Vec<bool> = input.outlets.iter().map(|outlet| outlet.brick == brick).collect();
    for need in &mut input.needs {
        if let Some(present) = &mut need.present
            && present.outlets.iter().any(|&outlet| gone[outlet])
        {
            present.locked = false;
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

/// Cures that work, the cheapest first.
pub(crate) fn cures(input: &Input, config: &Config, conflicts: &[Conflict], meter: &Meter<'_>) -> Vec<Cure> {
    let mut found: Vec<Cure> = Vec::new();
    let mut worked: Vec<Change> = Vec::new();
    let first = changes(input, config, conflicts);
    let last = bricks(input, config).into_iter().filter(|change| !fits(input, change));
    for change in first.into_iter().map(|change| (change, false)).chain(last.map(|change| (change, true))) {
        let (change, is_last) = change;
        // What does not fit is told only where nothing else can be pressed.
        if is_last && found.iter().any(|cure| cure.edit.is_some() && fits(input, &cure.change)) {
            break;
        }
        // What needs two bricks is not told where one of them does it.
        let more = |cure: &Change| matches!((cure, &change), (Change::Add(few), Change::Add(many)) if few.iter().all(|one| many.contains(one)));
        if worked.iter().any(more) {
            continue;
        }
        let (changed, means) = change.apply(input, config);
        let all: Vec<usize> = (0..changed.needs.len()).collect();
        if servable(&changed, &all, &means, meter) != Some(true) {
            continue;
        }
        let name = change.name(input);
        let allocated = allocate(&changed, &quick(&means), meter);
        if !allocated.unserved.is_empty() {
            continue;
        }
        let refed = refed(&changed, &allocated.feeds);
        let mut price = change.price();
        price.work += refed.len();
        found.push(Cure {
            edit: change.edit(input, &changed, &allocated.feeds, &name),
            name,
            price,
            refed,
            change: change.clone(),
        });
        worked.push(change);
        if meter.stopped() {
            break;
        }
    }
    found.sort_by(|a, b| a.price.cmp(&b.price).then(a.name.cmp(&b.name)));
    found.truncate(config.cures);
    found
}

/// Enough to see that a cure works and what it moves; the best allocation is found once it is taken.
fn quick(config: &Config) -> Config {
    Config { nodes_each: config.nodes_each.min(50), nodes_length: 0, ..config.clone() }
}

/// The devices that are fed otherwise than the document has it.
fn refed(input: &Input, feeds: &[Feed]) -> Vec<String> {
    feeds
        .iter()
        .filter(|feed| {
            let present = input.needs[feed.need].present.as_ref();
            present.is_none_or(|present| {
                present.kind != feed.kind || (present.outlets != feed.outlets && !feed.outlets.is_empty())
            })
        })
        .map(|feed| input.needs[feed.need].tag.clone())
        .collect()
}

/// What is worth trying, single changes before double ones.
fn changes(input: &Input, config: &Config, conflicts: &[Conflict]) -> Vec<Change> {
    let mut changes = Vec::new();
    let within: BTreeSet<&str> =
        conflicts.iter().flat_map(|conflict| &conflict.devices).map(String::as_str).collect();
    let locked: Vec<String> =
        input.needs.iter().filter(|need| need.lock().is_some()).map(|need| need.tag.clone()).collect();
    changes.extend(locked.iter().map(|tag| Change::Unlock(vec![tag.clone()])));
    if 1 < locked.len() {
        changes.push(Change::Unlock(locked));
    }
    if config.means != Means::ALL {
        let single = [
            Means { settings: true, ..config.means },
            Means { share: true, ..config.means },
            Means { series: true, ..config.means },
            Means { parallel: true, ..config.means },
            Means::ALL,
        ];
        changes.extend(single.into_iter().filter(|means| *means != config.means).map(Change::Allow));
    }
    for (index, brick) in input.bricks.iter().enumerate() {
        let own = || input.outlets.iter().filter(move |outlet| outlet.brick == index);
        for series in [true, false] {
            let asked = |outlet: &crate::input::Outlet| {
                if series { outlet.series } else { outlet.parallel }.is_none()
            };
            if own().filter(|outlet| asked(outlet) && outlet.joined.is_none()).count() >= 2 {
                changes.push(Change::Leave { brick: brick.tag.clone(), series });
            }
        }
    }
    for need in &input.needs {
        if need.alone && need.stated.class.is_unknown() && within.contains(need.tag.as_str()) {
            changes.push(Change::Analogue(need.tag.clone()));
        }
    }
    if empty_socket(input).is_some() {
        let without =
            input.needs.iter().filter(|need| need.adaptor.is_none() && within.contains(need.tag.as_str()));
        changes.extend(without.map(|need| Change::OwnAdaptor(need.tag.clone())));
    }
    changes.extend(bricks(input, config).into_iter().filter(|change| fits(input, change)));
    changes
}

/// Whether the bricks of a change fit under the decks, or into the place of the one that goes; where no room at all is
/// known, all do. What adds no brick fits.
fn fits(input: &Input, change: &Change) -> bool {
    let fits_in = |candidates: &[Candidate], rooms: &[Room]| {
        let wanted: Option<Vec<[Length; 3]>> = candidates.iter().map(|candidate| candidate.wants).collect();
        input.rooms.is_empty() || wanted.is_some_and(|wanted| space::fits(&wanted, rooms))
    };
    match change {
        Change::Add(candidates) => fits_in(candidates, &input.rooms),
        Change::Replace { brick, by } => {
            let old = input.bricks.iter().find(|old| old.tag == *brick);
            // What is no larger than the old one fits where that is, whatever is thought of its place.
            let no_larger = old
                .and_then(|old| old.wants)
                .zip(by.wants)
                .is_some_and(|(old, new)| old.into_iter().zip(new).all(|(old, new)| new <= old));
            no_larger || old.is_some_and(|old| fits_in(std::slice::from_ref(by.as_ref()), &old.rooms_without))
        }
        _ => true,
    }
}

/// Every brick to add or to exchange, and every two to add.
fn bricks(input: &Input, config: &Config) -> Vec<Change> {
    let mut changes = Vec::new();
    for candidate in config.candidates.iter().filter(|_| 0 < config.bricks) {
        changes.push(Change::Add(vec![candidate.clone()]));
    }
    for brick in &input.bricks {
        for by in &config.candidates {
            changes.push(Change::Replace { brick: brick.tag.clone(), by: Box::new(by.clone()) });
        }
    }
    if 1 < config.bricks {
        for (index, first) in config.candidates.iter().enumerate() {
            for second in &config.candidates[index..] {
                changes.push(Change::Add(vec![first.clone(), second.clone()]));
            }
        }
    }
    changes
}
