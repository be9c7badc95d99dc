//! The board put together act by act, as the work order says, to see whether everything gets to its place.
//!
//! It judges the order and shares no code with what makes it: boxes come into the world one by one, each plug moves in by
//! single millimetres, and with it the hand that holds it; a device comes from where it is fastened, and the driver with it.

use std::collections::BTreeSet;

use design::{Deed, Design, Making, Step};
use quantity::Length;
use rig::geometry::{BoxClass, Owner, Solid, port_direction, standing};
use rig::{FLOOR, Face, LeadClass, PortRef};

/// A hand across, its fingers, the palm behind them, and the shaft of a driver. The first is what the builder asks for; the
/// others are *common practice, no source*.
const HAND: Length = Length::from_mm(40);
const FINGERS: Length = Length::from_mm(20);
const PALM: Length = Length::from_mm(80);
const DRIVER: Length = Length::from_mm(200);
/// How far a jack plug and a barrel move. *Common practice, no source.*
const JACK_MM: i64 = 30;
const BARREL_MM: i64 = 12;
/// Above every board.
const HIGH: Length = Length::from_mm(1000);

/// What does not get to its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stuck {
    /// A plug on its way.
    Plug,
    /// The hand that holds it.
    Hand,
    /// A device on its way, or the driver for it.
    Driver,
    /// Nothing is in the way, but it comes too early, too late, or not at all.
    Order,
}

/// An act that cannot be done when its turn comes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Obstacle {
    /// The act, by its place in the order; the last where something is never done.
    pub at: usize,
    /// What is stuck.
    pub stuck: Stuck,
    /// Of what: lead and port, device, or deck.
    pub of: String,
    /// What is in its way.
    pub by: String,
}

/// Puts the board together in this order, and tells every act that cannot be done when its turn comes.
pub fn assembled(design: &Design, steps: &[&Step]) -> Vec<Obstacle> {
    let mut bench = Bench::new(design);
    for (at, step) in steps.iter().enumerate() {
        bench.at = at;
        bench.step(step);
    }
    bench.at = steps.len().saturating_sub(1);
    bench.complete();
    bench.found
}

/// The board as far as it is.
struct Bench<'a> {
    design: &'a Design,
    down: BTreeSet<String>,
    raised: BTreeSet<String>,
    plugged: BTreeSet<(String, PortRef)>,
    metered: BTreeSet<String>,
    live: bool,
    at: usize,
    found: Vec<Obstacle>,
}

/// Some room, from its low corner to its high one.
type Room = ([Length; 3], [Length; 3]);

fn overlaps(room: &Room, solid: &Solid) -> bool {
    let apart = |axis: usize| room.1[axis] <= solid.low[axis] || solid.high[axis] <= room.0[axis];
    !(0..3).any(apart)
}

impl<'a> Bench<'a> {
    fn new(design: &'a Design) -> Self {
        let lowest = design.rig.board.decks.iter().min_by_key(|deck| deck.z);
        Self {
            design,
            down: BTreeSet::new(),
            raised: lowest.map(|deck| deck.name.clone()).into_iter().collect(),
            plugged: BTreeSet::new(),
            metered: BTreeSet::new(),
            live: false,
            at: 0,
            found: Vec::new(),
        }
    }

    fn tell(&mut self, stuck: Stuck, of: &str, by: &str) {
        self.found.push(Obstacle { at: self.at, stuck, of: of.to_owned(), by: by.to_owned() });
    }

    fn step(&mut self, step: &Step) {
        let verb = step.id.split(':').next().unwrap_or_default();
        match verb {
            "on" => self.live = true,
            "off" => self.live = false,
            "solder" | "finish" => self.metered.extend(step.leads.iter().cloned()),
            _ => {}
        }
        if self.live && !step.does.is_empty() {
            self.tell(Stuck::Order, &step.id, "mains is on");
        }
        for deed in &step.does {
            match deed {
                Deed::Stand(tag) => self.stand(tag),
                Deed::Raise(deck) => {
                    if !self.raised.insert(deck.clone()) {
                        self.tell(Stuck::Order, deck, "it is on the board already");
                    }
                }
                Deed::Plug(lead, port) => self.plug(lead, port),
            }
        }
    }

    fn deck_of(&self, tag: &str) -> Option<&'a str> {
        let place = self.design.rig.device(tag)?.place.as_ref()?;
        Some(place.deck.as_str())
    }

    fn is_under(&self, tag: &str) -> bool {
        let device = self.design.rig.device(tag);
        device.and_then(|device| device.place.as_ref()).is_some_and(|place| place.under)
    }

    /// Whether what is on one deck is at its place beside what is on another by now.
    fn are_together(&self, one: &str, other: &str) -> bool {
        if one == other {
            return true;
        }
        let swings = |name: &str| self.design.rig.board.deck(name).is_some_and(|deck| deck.hinge.is_some());
        !swings(one) && !swings(other) && self.raised.contains(one) && self.raised.contains(other)
    }

    /// Everything that is there beside a device, plugs with it where they count.
    fn there(&self, tag: &str, with_plugs: bool) -> Vec<&'a Solid> {
        let own = self.deck_of(tag).unwrap_or_default();
        let boxes = self.design.solids.boxes.iter();
        let counts = |solid: &&Solid| match (&solid.owner, solid.class) {
            (Owner::Board { deck, .. }, _) => self.are_together(own, deck),
            (Owner::Device(of), BoxClass::Body | BoxClass::Knobs) => {
                of != tag
                    && self.down.contains(of)
                    && self.are_together(own, self.deck_of(of).unwrap_or_default())
            }
            (Owner::Port { port, .. }, BoxClass::Plug) => {
                let is_in = self.plugged.iter().any(|(_, other)| other == port);
                with_plugs
                    && is_in
                    && port.device != tag
                    && self.down.contains(&port.device)
                    && self.are_together(own, self.deck_of(&port.device).unwrap_or_default())
            }
            _ => false,
        };
        boxes.filter(counts).collect()
    }

    fn stand(&mut self, tag: &str) {
        if !self.down.insert(tag.to_owned()) {
            self.tell(Stuck::Order, tag, "it stands already");
            return;
        }
        let Some(deck) = self.deck_of(tag).filter(|deck| *deck != FLOOR) else { return };
        let under = self.is_under(tag);
        let device = self.design.rig.device(tag);
        if !under && !self.raised.contains(deck) && device.is_some_and(|d| d.role == rig::Role::Pedal) {
            self.tell(Stuck::Order, tag, "its deck is not on the board");
        }
        let Some(at) = device.and_then(|device| standing(&self.design.rig, device)) else { return };
        // It comes down from above, or up from below, and the driver after it.
        let (x, y) = ([at.at.x, at.at.right()], [at.at.y, at.at.back()]);
        let top = at.base + at.size.height;
        let mut rooms: Vec<Room> = vec![if under {
            ([x[0], y[0], at.base - DRIVER], [x[1], y[1], at.base])
        } else {
            ([x[0], y[0], top], [x[1], y[1], top + DRIVER])
        }];
        // So do the plugs that are in it already.
        let in_it = |solid: &&Solid| match &solid.owner {
            Owner::Port { port, .. } if port.device == tag && solid.class == BoxClass::Plug => {
                self.plugged.iter().any(|(_, other)| other == port)
            }
            _ => false,
        };
        rooms.extend(self.design.solids.boxes.iter().filter(in_it).map(|plug| {
            let (mut low, mut high) = (plug.low, plug.high);
            if under {
                low[2] -= DRIVER;
            } else {
                high[2] += DRIVER;
            }
            (low, high)
        }));
        let there = self.there(tag, false);
        let by = there.into_iter().find(|solid| rooms.iter().any(|room| overlaps(room, solid)));
        if let Some(by) = by.map(|by| by.owner.to_string()) {
            self.tell(Stuck::Driver, tag, &by);
        }
    }

    fn plug(&mut self, lead: &str, port: &PortRef) {
        let name = format!("{lead} at {port}");
        if !self.plugged.insert((lead.to_owned(), port.clone())) {
            self.tell(Stuck::Order, &name, "it is in already");
            return;
        }
        let own = self.design.leads.iter().find(|own| own.tag == lead);
        let Some(own) = own else {
            self.tell(Stuck::Order, &name, "no such lead");
            return;
        };
        if own.making == Making::Made && !self.metered.contains(lead) {
            self.tell(Stuck::Order, &name, "it is not made yet");
        }
        let end = own.ends.iter().find(|end| end.port == *port);
        let Some(end) = end.filter(|end| end.has_plug()) else { return };
        let tag = port.device.as_str();
        if !self.down.contains(tag) {
            // In the hand, or beside the board: nothing is in the way there.
            return;
        }
        let is_thick = own.class == LeadClass::Mains || !own.class.is_supply();
        let far = if is_thick { JACK_MM } else { BARREL_MM };
        let owner = Owner::Port { port: port.clone(), inner: end.inner };
        let boxes = &self.design.solids.boxes;
        let sits: Vec<&Solid> =
            boxes.iter().filter(|solid| solid.class == BoxClass::Plug && solid.owner == owner).collect();
        let device = self.design.rig.device(tag);
        let face = device.and_then(|device| port_direction(device, &port.port));
        let (Some(face), false) = (face, sits.is_empty()) else { return };
        let out = outward(face, end.inner);
        let others = self.there(tag, true);
        let hard = self.there(tag, false);
        let mut stuck = None;
        for step in 0..=far {
            let moved: Vec<Room> = sits.iter().map(|solid| shifted(solid, out, step)).collect();
            let met = others.iter().find(|solid| moved.iter().any(|room| overlaps(room, solid)));
            if let Some(met) = met {
                stuck = Some((Stuck::Plug, met.owner.to_string()));
                break;
            }
        }
        if stuck.is_none() {
            stuck = self.hand(tag, &sits, out, far, &hard).map(|by| (Stuck::Hand, by));
        }
        if let Some((kind, by)) = stuck {
            self.tell(kind, &name, &by);
        }
    }

    /// What is in the way of the hand on every way that it has; `None` where one is free all along.
    fn hand(&self, tag: &str, sits: &[&Solid], out: [i64; 2], far: i64, hard: &[&Solid]) -> Option<String> {
        let ways: &[Way] = if self.is_under(tag) {
            &[Way::Below, Way::Behind, Way::Above]
        } else {
            &[Way::Above, Way::Behind]
        };
        let mut by = None;
        for way in ways {
            let met = (0..=far).find_map(|step| {
                let room = grip(sits, out, step, *way);
                hard.iter().find(|solid| overlaps(&room, solid)).map(|solid| solid.owner.to_string())
            });
            match met {
                None => return None,
                Some(met) => by = by.or(Some(met)),
            }
        }
        by
    }

    /// Everything that belongs on the board is on it.
    fn complete(&mut self) {
        let rig = &self.design.rig;
        let missing: Vec<String> = rig
            .devices
            .iter()
            .filter(|device| device.place.is_some() && !device.outside && !self.down.contains(&device.tag))
            .map(|device| device.tag.clone())
            .collect();
        for tag in missing {
            self.tell(Stuck::Order, &tag, "no act sets it down");
        }
        let mut open = Vec::new();
        for lead in self.design.leads.iter().filter(|lead| lead.making != Making::Theirs) {
            for end in lead.ends.iter().filter(|end| end.has_plug() && !end.port.port.is_empty()) {
                let on_board = rig
                    .device(&end.port.device)
                    .is_some_and(|device| device.place.is_some() && !device.outside);
                if on_board && !self.plugged.contains(&(lead.tag.clone(), end.port.clone())) {
                    open.push(format!("{} at {}", lead.tag, end.port));
                }
            }
        }
        for end in open {
            self.tell(Stuck::Order, &end, "no act plugs it");
        }
    }
}

/// From where a hand comes.
#[derive(Clone, Copy)]
enum Way {
    Above,
    Behind,
    Below,
}

/// The direction in which a plug is pulled out.
fn outward(face: Face, inner: bool) -> [i64; 2] {
    let [x, y] = match face {
        Face::Left => [-1, 0],
        Face::Right => [1, 0],
        Face::Front => [0, -1],
        Face::Back => [0, 1],
    };
    if inner { [-x, -y] } else { [x, y] }
}

fn shifted(solid: &Solid, out: [i64; 2], mm: i64) -> Room {
    let by = [Length::from_mm(out[0] * mm), Length::from_mm(out[1] * mm), Length::ZERO];
    let moved = |corner: [Length; 3]| [0, 1, 2].map(|axis| corner[axis] + by[axis]);
    (moved(solid.low), moved(solid.high))
}

/// The room of a hand that holds a plug so far out.
fn grip(sits: &[&Solid], out: [i64; 2], mm: i64, way: Way) -> Room {
    let mut rooms = sits.iter().map(|solid| shifted(solid, out, mm));
    let Some((mut low, mut high)) = rooms.next() else { return ([Length::ZERO; 3], [Length::ZERO; 3]) };
    for (other_low, other_high) in rooms {
        for axis in 0..3 {
            low[axis] = low[axis].min(other_low[axis]);
            high[axis] = high[axis].max(other_high[axis]);
        }
    }
    let along = usize::from(out[0] == 0);
    let is_up = 0 < out[along];
    let middle = |low: Length, high: Length| low + (high - low).half();
    let across = 1 - along;
    let centre = middle(low[across], high[across]);
    let (mut from, mut to) = (low, high);
    from[across] = centre - HAND.half();
    to[across] = centre + HAND.half();
    match way {
        Way::Above | Way::Below => {
            if is_up {
                to[along] = high[along] + FINGERS;
            } else {
                from[along] = low[along] - FINGERS;
            }
            match way {
                Way::Below => from[2] = low[2] - HIGH,
                _ => to[2] = high[2] + HIGH,
            }
        }
        Way::Behind => {
            let level = middle(low[2], high[2]);
            from[2] = level - HAND.half();
            to[2] = level + HAND.half();
            if is_up {
                from[along] = high[along];
                to[along] = high[along] + PALM;
            } else {
                to[along] = low[along];
                from[along] = low[along] - PALM;
            }
        }
    }
    (from, to)
}
