//! What the engine that orders is given: the boxes of everything, in the order in which one would like to set it down.

use std::collections::BTreeMap;

use ::build::{Bulk, Course, End, Fact, Mode, Reach, Thing, What, reach};
use quantity::Length;
use rig::geometry::{BoxClass, EndKind, Owner, Solid, port_direction};
use rig::{Device, Face, LeadClass, PortRef, Role};

use super::stage::end_key;
use super::supply::is_apart;
use crate::{Design, Lead, LeadEndAt, Making};

/// How far a plug is pushed in before it sits: jacks about as long as their shank. *Common practice, no source.*
const STROKE: Length = Length::from_mm(30);
/// The same for barrels.
const STROKE_DC: Length = Length::from_mm(12);

/// The world of a design, and what the engine says of its plugs.
pub(super) struct World {
    pub(super) input: ::build::World,
    /// When each plug goes in, by the name of its end.
    reaches: BTreeMap<String, Reach>,
    /// Leads that are pulled through a hole before their second end is made, each with hole and deck.
    pulled: BTreeMap<String, (String, String)>,
}

impl World {
    pub(super) fn new(design: &Design) -> Self {
        let mut world = ::build::World { things: things(design), ..::build::World::default() };
        for lead in design.leads.iter().filter(|lead| lead.making != Making::Theirs) {
            for end in lead.ends.iter().filter(|end| is_plugged(lead, end)) {
                world.ends.extend(self::end(design, &world.things, lead, end));
            }
        }
        world.courses = courses(design);
        let found = reach(&world);
        let reaches = world.ends.iter().map(|end| end.key.clone()).zip(found).collect();
        Self { input: world, reaches, pulled: pulled(design) }
    }

    /// When an end goes in; `None` for one that goes into nothing on the board.
    pub(super) fn mode(&self, lead: &str, port: &PortRef) -> Option<&Mode> {
        self.reaches.get(&end_key(lead, port)).map(|reach| &reach.mode)
    }

    /// What is in the way of an end that goes in while its device is in the hand; nothing where it goes in otherwise.
    pub(super) fn in_hand(&self, lead: &str, port: &PortRef) -> Option<&str> {
        let reach = self.reaches.get(&end_key(lead, port)).filter(|reach| reach.mode == Mode::InHand)?;
        Some(reach.blockers.first().map_or("", |by| by.tag.as_str()))
    }

    /// Whether its lead has to lie there before something comes to stand above it.
    pub(super) fn lies_under(&self, lead: &str, port: &PortRef) -> bool {
        self.reaches.get(&end_key(lead, port)).is_some_and(|reach| reach.lies_under)
    }

    /// Whether a lead is pulled through a hole before its second end is made.
    pub(super) fn is_pulled(&self, lead: &str) -> bool {
        self.pulled.contains_key(lead)
    }

    /// The hole that a lead is pulled through, and its deck.
    pub(super) fn hole(&self, lead: &str) -> Option<(&str, &str)> {
        self.pulled.get(lead).map(|(hole, deck)| (hole.as_str(), deck.as_str()))
    }

    /// The places of devices in the order in which they are set down.
    pub(super) fn devices(&self) -> impl Iterator<Item = &Thing> {
        self.input.things.iter().filter(|thing| !thing.is_deck)
    }
}

/// Whether an end is a plug in a port that somebody puts in.
fn is_plugged(lead: &Lead, end: &LeadEndAt) -> bool {
    end.has_plug() && !end.port.port.is_empty() && lead.making != Making::Theirs
}

/// Decks from below.
pub(super) fn decks(design: &Design) -> Vec<&rig::Deck> {
    let mut decks: Vec<&rig::Deck> = design.rig.board.decks.iter().collect();
    decks.sort_by_key(|deck| deck.z);
    decks
}

/// Whether a device is on the board before the devices of the runs are set down.
pub(super) fn is_fixed_early(device: &Device) -> bool {
    matches!(device.role, Role::Panel | Role::Strip | Role::Brick)
}

/// The parts of a deck, as they are told.
const PARTS: [(BoxClass, &str); 3] =
    [(BoxClass::Sheet, "sheet"), (BoxClass::Rail, "rail"), (BoxClass::Riser, "riser")];

/// What stands on the board, in the order in which it comes: what is fixed with panel, mains and supplies; then deck by deck,
/// each but the first put on the board before its devices, what hangs under it first, then along the signal.
fn things(design: &Design) -> Vec<Thing> {
    let rig = &design.rig;
    let decks = decks(design);
    let deck_of = |device: &Device| {
        let place = device.place.as_ref()?;
        decks.iter().position(|deck| deck.name == place.deck)
    };
    let along = |device: &Device| {
        rig.runs
            .iter()
            .flat_map(|run| &run.stops)
            .position(|stop| {
                [&stop.arrives, &stop.leaves].into_iter().flatten().any(|port| port.device == device.tag)
            })
            .unwrap_or(usize::MAX)
    };
    let mut out: Vec<((usize, usize, bool, usize), Thing)> = Vec::new();
    for (at, deck) in decks.iter().enumerate() {
        let group = if at == 0 { 0 } else { at + 1 };
        for (class, part) in PARTS {
            let own = design.solids.boxes.iter().filter(|solid| {
                solid.class == class
                    && matches!(&solid.owner, Owner::Board { deck: of, .. } if *of == deck.name)
            });
            let boxes: Vec<Bulk> = own.map(bulk).collect();
            // The sheet stands for the deck itself, even where that is of rails.
            if boxes.is_empty() && class != BoxClass::Sheet {
                continue;
            }
            let thing = Thing {
                tag: if at == 0 {
                    format!("the {part}")
                } else {
                    format!("the {part} of deck {}", deck.name)
                },
                boxes,
                deck: at,
                surface: deck.z,
                under: false,
                is_deck: true,
                swings: deck.hinge.is_some(),
                stands: (0 < at).then(|| Fact::new(What::Raised, &deck.name)),
            };
            out.push(((group, 0, false, 0), thing));
        }
    }
    for device in &rig.devices {
        let Some(at) = deck_of(device) else { continue };
        let under = device.place.as_ref().is_some_and(|place| place.under);
        let (group, role) = match device.role {
            Role::Panel => (0, 1),
            Role::Strip => (0, 2),
            Role::Brick => (0, 3),
            _ => (at + 1, 1),
        };
        let owner = Owner::Device(device.tag.clone());
        let is_own =
            |solid: &&Solid| solid.owner == owner && matches!(solid.class, BoxClass::Body | BoxClass::Knobs);
        let thing = Thing {
            tag: device.tag.clone(),
            boxes: design.solids.boxes.iter().filter(is_own).map(bulk).collect(),
            deck: at,
            surface: decks[at].z,
            under,
            is_deck: false,
            swings: decks[at].hinge.is_some(),
            stands: Some(Fact::new(What::Stands, &device.tag)),
        };
        out.push(((group, role, !under, along(device)), thing));
    }
    out.sort_by_key(|(key, _)| *key);
    out.into_iter().map(|(_, thing)| thing).collect()
}

fn bulk(solid: &Solid) -> Bulk {
    Bulk { low: solid.low, high: solid.high }
}

/// A plug as the engine takes it; `None` where its device is not on the board, or the side that it looks to is unknown.
fn end(design: &Design, things: &[Thing], lead: &Lead, end: &LeadEndAt) -> Option<End> {
    let thing = things.iter().position(|thing| !thing.is_deck && thing.tag == end.port.device)?;
    let device = design.rig.device(&end.port.device)?;
    let owner = Owner::Port { port: end.port.clone(), inner: end.inner };
    let of_plug = |solid: &&Solid| solid.owner == owner && solid.class == BoxClass::Plug;
    let looks = port_direction(device, &end.port.port);
    // Without a side nothing can be said of its way.
    let plug =
        looks.map_or_else(Vec::new, |_| design.solids.boxes.iter().filter(of_plug).map(bulk).collect());
    let face = looks.unwrap_or(Face::Back);
    let (axis, out) = match face {
        Face::Right => (0, true),
        Face::Left => (0, false),
        Face::Back => (1, true),
        Face::Front => (1, false),
    };
    // What has to be metered first goes in where it stands; what leaves a supply is metered at its loose end, too.
    let leaves = end.kind == EndKind::From;
    let waits = lead.class == LeadClass::Mains || (is_apart(design, lead, end) && !leaves);
    Some(End {
        key: end_key(&lead.tag, &end.port),
        lead: lead.tag.clone(),
        thing,
        plug,
        axis,
        forward: out != end.inner,
        stroke: if lead.class.is_supply() { STROKE_DC } else { STROKE },
        in_hand: !waits,
    })
}

/// The ways of leads, where they are laid.
fn courses(design: &Design) -> Vec<Course> {
    if !design.is_laid() {
        return Vec::new();
    }
    let routes = design.routes();
    let of_lead = |lead: &Lead| {
        let ways: Vec<Course> = routes
            .ways(lead)
            .map(|(_, laid)| Course {
                lead: lead.tag.clone(),
                corners: laid.path.iter().map(|at| at.map(Length::from_mm_rounded)).collect(),
            })
            .collect();
        ways
    };
    design.leads.iter().filter(|lead| lead.making != Making::Theirs).flat_map(of_lead).collect()
}

/// Leads whose finished plug does not pass a hole of theirs: both plugs would have to, one is soldered after.
fn pulled(design: &Design) -> BTreeMap<String, (String, String)> {
    let mut out = BTreeMap::new();
    if !design.is_laid() {
        return out;
    }
    for hole in &design.routes().outcome.passing {
        let (deck, name) = hole.hole.split_once('.').unwrap_or((hole.hole.as_str(), ""));
        for tag in &hole.too_wide {
            let lead = design.leads.iter().find(|lead| lead.tag == *tag);
            let is_ours = |lead: &&Lead| {
                let plugs = lead.ends.iter().filter(|end| is_plugged(lead, end)).count();
                lead.making == Making::Made && !lead.is_joined() && plugs == lead.ends.len()
            };
            if lead.as_ref().is_some_and(is_ours) {
                out.entry(tag.clone()).or_insert((name.to_owned(), deck.to_owned()));
            }
        }
    }
    out
}
