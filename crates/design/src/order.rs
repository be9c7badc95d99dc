//! The work order: stages of single acts, in an order in which nothing has to come off again.
//!
//! Minutes are common practice, no source; eight for a soldered lead are split over its four acts.

mod power;
mod stage;

use std::collections::BTreeMap;

use quantity::Length;
use rig::geometry::{BoxClass, EndKind, Owner, Solid, port_direction};
use rig::{Device, FLOOR, Face, InsertWiring, PortRef, Role};

use stage::names;
pub use stage::{AtHand, Stage, Step};

use crate::making::{END_CAPTIVE, END_SOLDERED, END_TERMINALS};
use crate::panel::plates;
use crate::{Batch, Design, Lead, Making, batches, spans};

/// How far a plug is pushed in before it sits: jacks about as long as their shank. *Common practice, no source.*
const STROKE: Length = Length::from_mm(30);
/// The same for barrels.
const STROKE_DC: Length = Length::from_mm(12);

/// The whole work order. Stages without acts are left out.
pub fn work_order(design: &Design) -> Vec<Stage> {
    let mut out =
        vec![prepare(design), leads(design), panel(design), power::mains(design), power::supplies(design)];
    let plugging = Plugging::new(design);
    let mut decks: Vec<&rig::Deck> = design.rig.board.decks.iter().collect();
    decks.sort_by_key(|deck| deck.z);
    let count = decks.len();
    for (index, deck) in decks.into_iter().enumerate() {
        let mut stage = plugging.deck(&deck.name);
        if !stage.steps.is_empty() && index + 1 < count {
            power::switch(design, &mut stage, &deck.name, true);
            let text = format!(
                "Half-way listening: a test lead from the last device of deck {} to the amp; play through it before the \
                 next deck goes on",
                deck.name
            );
            stage.hold(format!("hold:{}", deck.name), 20, text);
            power::switch(design, &mut stage, &deck.name, false);
            let text =
                format!("Tie what lies on deck {} and the next will cover; none on a supply", deck.name);
            stage.act(format!("tie-signal:{}", deck.name), 10, text);
        }
        out.push(stage);
    }
    out.push(plugging.rest());
    out.push(dress(design));
    out.push(last(design));
    out.retain(|stage| !stage.steps.is_empty());
    out
}

fn prepare(design: &Design) -> Stage {
    let mut stage = Stage::new("prepare", "Before anything is cut");
    let assumed = crate::given::count(&design.rig).assumed;
    if assumed > 0 {
        let text = format!("Measure what is assumed ({assumed} values) and put it into the job");
        stage.act("measure", 60, text).at_hand = names(&["calliper", "scale", "ohmmeter"]);
    }
    stage.act("photograph", 15, "Photograph every device from above and its inner switches");
    stage.act("batteries", 5, "Take all batteries out; bag them with the feet that come off");
    if design.leads.iter().any(|lead| lead.cut.is_assumed() && lead.making == Making::Made) {
        let text = "Tape the 1:1 template down, lay a string along each way, correct the cut list";
        stage.act("string", 45, text).at_hand = names(&["1:1 template", "string", "tape"]);
    }
    stage.hold("hold:approved", 0, "Approval sheet signed by the player");
    stage
}

/// A name for a batch that does not change when other batches come or go.
fn batch_id(batch: &Batch) -> String {
    let cable = batch.cable.as_deref().unwrap_or("open");
    format!("{}/{cable}/{}/{}", batch.class.word(), batch.ends[0], batch.ends[1])
}

fn leads(design: &Design) -> Stage {
    let mut stage = Stage::new("leads", "Leads, batch by batch");
    for batch in batches(design) {
        let all: Vec<&Lead> = batch.leads.iter().filter_map(|index| design.leads.get(*index)).collect();
        let tags: Vec<&str> = all.iter().map(|lead| lead.tag.as_str()).collect();
        let owned: Vec<String> = tags.iter().map(|tag| (*tag).to_owned()).collect();
        let count = u32::try_from(tags.len()).unwrap_or(u32::MAX);
        let key = batch_id(&batch);
        let cable = batch.cable.clone().unwrap_or_else(|| "cable not decided".to_owned());
        let span = spans(&tags);
        // What is soldered behind a jack needs no plug at hand.
        let mut plugs: Vec<AtHand> = Vec::new();
        for end in batch
            .ends
            .iter()
            .filter(|end| ![END_SOLDERED, END_TERMINALS, END_CAPTIVE].contains(&end.as_str()))
        {
            let alike = batch.ends.iter().filter(|other| *other == end).count();
            let some = AtHand::Count(end.clone(), alike * tags.len());
            if !plugs.contains(&some) {
                plugs.push(some);
            }
        }
        let mut act = |verb: &str, minutes: u32, text: String, at_hand: Vec<AtHand>| {
            let step = stage.act(format!("{verb}:{key}"), minutes * count, text);
            step.leads.clone_from(&owned);
            step.at_hand = at_hand;
        };
        let number = batch.number;
        let (text, of_cable) = cutting(&all, &span, AtHand::Cable(cable, batch.length - cut_of(&all)));
        act("cut", 1, format!("Batch {number}: {text}"), of_cable);
        act(
            "sleeve",
            1,
            format!("Batch {number}: number sleeves and shells on, {}", ends_words(&batch)),
            plugs,
        );
        act("solder", 5, format!("Batch {number}: strip and solder {span}, clocked as listed"), Vec::new());
        act("meter", 1, format!("Batch {number}: meter, wiggle, pull; fill in the test sheet"), Vec::new());
    }
    stage
}

/// What of some leads is cut already.
fn cut_of(leads: &[&Lead]) -> Length {
    leads.iter().map(|lead| lead.cut_by_now()).sum()
}

/// What is left to cut of a batch, in words, and the cable for it. A lead of which only a leg is new is cut there alone.
fn cutting(leads: &[&Lead], span: &str, of_cable: AtHand) -> (String, Vec<AtHand>) {
    let names = |is_cut: bool| {
        let names: Vec<String> = leads
            .iter()
            .flat_map(|lead| {
                let parts = lead.parts();
                let own: Vec<String> = parts
                    .iter()
                    .enumerate()
                    .filter(|(leg, _)| lead.is_cut(*leg) == is_cut)
                    .map(|(_, part)| part.clone())
                    .collect();
                if own.len() == parts.len() { vec![lead.tag.clone()] } else { own }
            })
            .collect();
        spans(&names.iter().map(String::as_str).collect::<Vec<_>>())
    };
    let (open, done) = (names(false), names(true));
    match (open.is_empty(), done.is_empty()) {
        (_, true) => (format!("cut {span} to length"), vec![of_cable]),
        (true, false) => (format!("{span}: cut already; check the lengths"), Vec::new()),
        (false, false) => (format!("cut {open} to length; cut already: {done}"), vec![of_cable]),
    }
}

fn ends_words(batch: &Batch) -> String {
    match batch.ends.len() {
        2 => "both ends".to_owned(),
        count => format!("all {count} ends, and the sleeve of the joint"),
    }
}

fn panel(design: &Design) -> Stage {
    let mut stage = Stage::new("panel", "Panel");
    for plate in plates(design) {
        let name = format!("{} {}", plate.panel, plate.face.word());
        let key = format!("{}:{}", plate.panel, plate.face.word());
        let holes = u32::try_from(plate.holes.len()).unwrap_or(u32::MAX);
        stage.act(format!("bar:{key}"), 1, format!("{name}: measure the template’s bar, 100 mm"));
        stage.act(format!("glue:{key}"), 5, format!("{name}: glue the template to the FRONT of the plate"));
        stage.act(
            format!("punch:{key}"),
            2 + holes,
            format!("{name}: punch {holes} centres, check with calliper"),
        );
        stage.act(
            format!("drill:{key}"),
            6 * holes,
            format!("{name}: pilot, drill to size, deburr both sides"),
        );
        stage.act(
            format!("jacks:{key}"),
            3 * holes,
            format!("{name}: fit jacks, insulated ones with both washers"),
        );
    }
    for device in design.rig.devices.iter().filter(|device| device.role == Role::Panel) {
        for lead in &design.leads {
            for (leg, end) in lead.ends.iter().enumerate() {
                if end.is_wired() && end.port.device == device.tag && lead.making == Making::Made {
                    let id = format!("wire:{}:{}", lead.tag, end.port);
                    let goes = lead.others(leg);
                    let at = contact(device, lead, end);
                    let text = format!("Solder {} to {at}{} (goes to {goes})", lead.part(leg), end.port);
                    stage.act(id, 4, text).leads = vec![lead.tag.clone()];
                }
            }
        }
        let behind = signal::Contacts::new(&design.rig);
        for (from, to) in behind.wires().iter().filter(|(from, _)| from.device == device.tag) {
            let text = format!(
                "Solder a piece of wire behind the plate from {from} to {to}, signal to signal; it is in no lead"
            );
            stage.act(format!("wire:{from}:{to}"), 4, text).at_hand = names(&["hook-up wire"]);
        }
        let step = stage.act(format!("fix:{}", device.tag), 10, format!("Fix {} to the board", device.tag));
        step.device = Some(device.tag.clone());
    }
    stage
}

/// The contact of a jack that both sends and returns which a lead is soldered to: `the ring of `. Nothing where the jack
/// has one signal contact, or the lead has legs for both.
fn contact(device: &Device, lead: &Lead, end: &crate::LeadEndAt) -> &'static str {
    let insert = device.insert_on_jack(&end.port.port).filter(|_| !lead.is_joined());
    let Some(insert) = insert else { return "" };
    // What arrives at a panel's jack goes out of it to the device at the insert: it is on the contact that sends.
    match (insert.wiring.value, end.kind) {
        (Some(InsertWiring::TipSend), EndKind::To) | (Some(InsertWiring::RingSend), EndKind::From) => {
            "the tip of "
        }
        (Some(InsertWiring::RingSend), EndKind::To) | (Some(InsertWiring::TipSend), EndKind::From) => {
            "the ring of "
        }
        (None, _) => "tip or ring, which nobody has said yet, of ",
    }
}

fn dress(design: &Design) -> Stage {
    let mut stage = Stage::new("dress", "Dress and label");
    stage.act("tie-dc", 20, "Tie DC leads at the brick and at least 25 mm from each plug");
    stage.act("tie-signal", 20, "Tie signal leads; none pulls on a plug, none lies on a supply");
    for deck in design.rig.board.decks.iter().filter(|deck| deck.hinge.is_some()) {
        let text =
            format!("Deck {}: open fully; leads tied on both sides of the hinge, none tight", deck.name);
        stage.act(format!("hinge:{}", deck.name), 10, text);
    }
    for device in &design.rig.devices {
        let spare: Vec<&str> = device
            .outlets
            .iter()
            .filter(|outlet| {
                let port = PortRef::new(&device.tag, &outlet.name);
                design.outlets.iter().all(|load| load.outlet != port)
            })
            .map(|outlet| outlet.name.as_str())
            .collect();
        if !spare.is_empty() && device.role == Role::Brick {
            let text = format!("Cap and label spare outlets of {}: {}", device.tag, spare.join(", "));
            stage.act(format!("cap:{}", device.tag), 3, text).device = Some(device.tag.clone());
        }
    }
    stage.act("labels", 20, "Labels: both ends of every lead at once, in the order of the sheet");
    stage
}

fn last(design: &Design) -> Stage {
    let mut stage = Stage::new("last", "Test and hand over");
    power::switch(design, &mut stage, "test", true);
    stage.hold("hold:test", 90, "Fill in the test sheet, all of it; sign");
    stage.act("shake", 5, "Shake, tip, play again");
    stage.act("photo", 10, "Photograph the finished board from above, tags readable");
    if design.rig.board.case.is_some() {
        stage.act("case", 10, "Close the case; nothing touches the lid but foam");
    }
    stage.act("book", 10, "Handover book and fault card with the board, labels of this revision");
    stage.hold("hold:lesson", 60, "Lesson with the player; switch-on order, emergency bypass");
    stage
}

/// When each lead end is plugged, between devices being set down.
struct Plugging<'a> {
    design: &'a Design,
    /// Tags of placed devices in the order in which they are set down.
    order: Vec<&'a str>,
    /// Lead ends to plug right before a device is set down.
    before: BTreeMap<usize, Vec<(&'a Lead, &'a PortRef)>>,
    /// Lead ends to plug whenever there is a hand free.
    free: Vec<(&'a Lead, &'a PortRef)>,
}

impl<'a> Plugging<'a> {
    fn new(design: &'a Design) -> Self {
        let rig = &design.rig;
        let mut decks: Vec<&rig::Deck> = rig.board.decks.iter().collect();
        decks.sort_by_key(|deck| deck.z);
        let level = |device: &Device| {
            let place = device.place.as_ref()?;
            decks.iter().position(|deck| deck.name == place.deck)
        };
        let along = |device: &Device| {
            rig.runs.iter().flat_map(|run| &run.stops).position(|stop| {
                [&stop.arrives, &stop.leaves].into_iter().flatten().any(|p| p.device == device.tag)
            })
        };
        let mut placed: Vec<&Device> = rig.devices.iter().filter(|device| level(device).is_some()).collect();
        placed.sort_by_key(|device| {
            let fixed_early = matches!(device.role, Role::Panel | Role::Strip | Role::Brick);
            let under = device.place.as_ref().is_some_and(|place| place.under);
            let stage = if fixed_early { 0 } else { level(device).unwrap_or(0) + 1 };
            (stage, !under, along(device).unwrap_or(usize::MAX))
        });
        let order: Vec<&str> = placed.iter().map(|device| device.tag.as_str()).collect();
        let mut out = Self { design, order, before: BTreeMap::new(), free: Vec::new() };
        for lead in &design.leads {
            if lead.making == Making::Theirs {
                continue;
            }
            for end in &lead.ends {
                // A captive end comes with the thing it is fixed to.
                let is_mains =
                    power::is_plugged(design, lead, &end.port) || power::is_wall(design, lead, &end.port);
                if end.has_plug() && !end.port.port.is_empty() && !is_mains {
                    out.assign(lead, &end.port);
                }
            }
        }
        out
    }

    fn assign(&mut self, lead: &'a Lead, port: &'a PortRef) {
        let Some(own) = self.order.iter().position(|tag| *tag == port.device) else {
            self.free.push((lead, port));
            return;
        };
        let blockers = self.blockers(lead, port);
        let after = blockers.iter().copied().filter(|index| *index > own).min();
        let earlier = blockers.iter().any(|index| *index < own);
        match (earlier, after) {
            // A neighbour stands there already: the lead goes in while the device is still in the hand.
            (true, _) => self.before.entry(own).or_default().push((lead, port)),
            (false, Some(next)) => self.before.entry(next).or_default().push((lead, port)),
            (false, None) => self.free.push((lead, port)),
        }
    }

    /// Places in the order of the devices whose bodies stand in the way of this plug.
    fn blockers(&self, lead: &Lead, port: &PortRef) -> Vec<usize> {
        let owner = Owner::Port { port: port.clone(), inner: false };
        let boxes = &self.design.solids.boxes;
        let Some(plug) = boxes.iter().find(|solid| solid.owner == owner && solid.class == BoxClass::Plug)
        else {
            return Vec::new();
        };
        let looks =
            self.design.rig.device(&port.device).and_then(|device| port_direction(device, &port.port));
        let stroke = if lead.class.is_supply() { STROKE_DC } else { STROKE };
        let Some(way) = looks.map(|face| reaching(plug, face, stroke)) else { return Vec::new() };
        boxes
            .iter()
            .filter(|solid| solid.class == BoxClass::Body && overlaps(solid, &way))
            .filter_map(|solid| {
                let tag = solid.owner.device().filter(|tag| *tag != port.device)?;
                self.order.iter().position(|other| *other == tag)
            })
            .collect()
    }

    fn deck(&self, name: &str) -> Stage {
        let rig = &self.design.rig;
        let mut stage = Stage::new(format!("deck:{name}"), format!("Deck {name}"));
        let mut here: Vec<&str> = Vec::new();
        for (index, tag) in self.order.iter().enumerate() {
            let Some(device) = rig.device(tag) else { continue };
            if device.place.as_ref().is_none_or(|place| place.deck != name) {
                continue;
            }
            here.push(tag);
            for (lead, port) in self.before.get(&index).into_iter().flatten() {
                let text = format!("Plug {} into {} before {tag} goes down", lead.tag, port);
                let step = stage.act(format!("plug:{}:{port}", lead.tag), 1, text);
                step.leads = vec![lead.tag.clone()];
                step.device = Some((*tag).to_owned());
            }
            if matches!(device.role, Role::Panel | Role::Strip | Role::Brick) {
                continue;
            }
            let under = device.place.as_ref().is_some_and(|place| place.under);
            let text = if under {
                format!("Hang {tag} under the deck")
            } else {
                format!("Set {tag} down and fix it")
            };
            let step = stage.act(format!("fix:{tag}"), 8, text);
            step.device = Some((*tag).to_owned());
            let heavy = device.mass.value.is_some_and(|mass| self.design.limits.fixing_mass < mass);
            step.at_hand = match (under, heavy && rig.brief.touring) {
                (true, _) => names(&["bracket", "screws"]),
                (false, true) => names(&["fastener", "screwed link: heavy, on tour"]),
                (false, false) => names(&["fastener"]),
            };
        }
        let mut done: Vec<&str> = Vec::new();
        let is_here =
            |lead: &Lead, port: &PortRef| self.stage_of(lead, port).is_some_and(|tag| here.contains(&tag));
        for (lead, port) in self.free.iter().filter(|(lead, port)| is_here(lead, port)) {
            if done.contains(&lead.tag.as_str()) {
                continue;
            }
            let ends: Vec<String> = self
                .free
                .iter()
                .filter(|(other, end)| other.tag == lead.tag && is_here(other, end))
                .map(|(_, end)| end.to_string())
                .collect();
            done.push(&lead.tag);
            let text = format!("Plug {} into {}", lead.tag, ends.join(" and "));
            let step = stage.act(format!("plug:{}:{port}", lead.tag), 1, text);
            step.leads = vec![lead.tag.clone()];
        }
        stage
    }

    /// The device with which a lead end is plugged: its own; where a brick or strip feeds devices, the first of these that is
    /// set down, so that a deck can be played before the next goes on.
    fn stage_of(&self, lead: &'a Lead, port: &'a PortRef) -> Option<&'a str> {
        let own = self.design.rig.device(&port.device);
        let feeds = own.is_some_and(|device| matches!(device.role, Role::Brick | Role::Strip));
        let fed = lead.ends.iter().filter(|end| end.kind == EndKind::To).filter_map(|end| {
            let at = self.order.iter().position(|tag| *tag == end.port.device)?;
            Some((self.level(at), at))
        });
        let first = fed.min().map(|(_, at)| self.order[at]);
        first.filter(|_| feeds && lead.class.is_supply()).or(Some(port.device.as_str()))
    }

    /// The level of the deck that a device stands on, the lowest first.
    fn level(&self, at: usize) -> Length {
        let rig = &self.design.rig;
        let place = rig.device(self.order[at]).and_then(|device| device.place.as_ref());
        place.and_then(|place| rig.board.deck(&place.deck)).map_or(Length::ZERO, |deck| deck.z)
    }

    /// What is plugged beside the board and on the floor.
    fn rest(&self) -> Stage {
        let rig = &self.design.rig;
        let mut stage = Stage::new("beside", "Beside the board");
        for device in &rig.devices {
            if device.place.as_ref().is_some_and(|place| place.deck == FLOOR) {
                let text = format!("Stand {} on the floor", device.tag);
                stage.act(format!("fix:{}", device.tag), 2, text).device = Some(device.tag.clone());
            }
        }
        for (lead, port) in &self.free {
            let on_deck = self.order.contains(&port.device.as_str());
            if !on_deck && rig.device(&port.device).is_some() {
                let text = format!("Plug {} into {port}", lead.tag);
                stage.act(format!("plug:{}:{port}", lead.tag), 1, text).leads = vec![lead.tag.clone()];
            }
        }
        stage
    }
}

/// The plug's box and the way it is pushed in.
fn reaching(plug: &Solid, looks: Face, stroke: Length) -> Solid {
    let mut way = plug.clone();
    match looks {
        Face::Right => way.high[0] += stroke,
        Face::Back => way.high[1] += stroke,
        Face::Left => way.low[0] -= stroke,
        Face::Front => way.low[1] -= stroke,
    }
    way
}

fn overlaps(a: &Solid, b: &Solid) -> bool {
    (0..3).all(|axis| a.low[axis] < b.high[axis] && b.low[axis] < a.high[axis])
}

/// Leads in the order in which the work order plugs them; what it does not name comes last.
pub fn install_order(design: &Design) -> Vec<&Lead> {
    let mut place: BTreeMap<String, usize> = BTreeMap::new();
    let steps: Vec<Step> = work_order(design).into_iter().flat_map(|stage| stage.steps).collect();
    let laid =
        steps.iter().filter(|step| ["plug:", "wire:", "lay:"].iter().any(|verb| step.id.starts_with(verb)));
    for (index, step) in laid.enumerate() {
        for tag in &step.leads {
            place.entry(tag.clone()).or_insert(index);
        }
    }
    let mut out: Vec<&Lead> = design.leads.iter().collect();
    out.sort_by_key(|lead| place.get(&lead.tag).copied().unwrap_or(usize::MAX));
    out
}
