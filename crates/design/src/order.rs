//! The work order: stages of single acts, in an order in which nothing has to come off again.
//!
//! Minutes are common practice, no source; eight for a soldered lead are split over its four acts.

mod power;
mod stage;

use std::collections::{BTreeMap, BTreeSet};

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

/// Minutes to check the lengths of a board's leads by string. *Common practice, no source.*
pub(crate) const STRING: u32 = 45;

/// A deck of so many devices is listened to half-way. *Common practice, no source.*
const HALVED: usize = 6;

/// The whole work order. Stages without acts are left out.
pub fn work_order(design: &Design) -> Vec<Stage> {
    let mut out = vec![
        prepare(design),
        leads(design),
        panel(design),
        power::mains(design),
        power::supplies(design),
        power::ends(design),
    ];
    let plugging = Plugging::new(design);
    let mut decks: Vec<&rig::Deck> = design.rig.board.decks.iter().collect();
    decks.sort_by_key(|deck| deck.z);
    let count = decks.len();
    for (index, deck) in decks.into_iter().enumerate() {
        let mut stage = plugging.deck(&deck.name, count == 1);
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
    out.push(power::late(design));
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
    let is_open = |lead: &Lead| (0..lead.parts().len()).any(|leg| !lead.is_cut(leg));
    if design.leads.iter().any(|lead| is_open(lead) && is_strung(design, lead)) {
        let text = "Tape the 1:1 template down, lay a string along the way of each lead whose length is dotted, correct \
                    the cut list";
        stage.act("string", STRING, text).at_hand = names(&["1:1 template", "string", "tape"]);
    }
    stage.hold("hold:approved", 0, "Approval sheet signed by the player");
    stage
}

/// Whether the length of a lead has to be checked by string before it is cut: whether it rests on what nobody measured. The
/// answer is the same once it is cut.
pub(crate) fn is_strung(design: &Design, lead: &Lead) -> bool {
    let rests = lead.needed.is_assumed() || !crate::rests::rests_uncut(design, lead).is_empty();
    lead.making == Making::Made && rests
}

/// A name for a batch that does not change when other batches come or go.
fn batch_id(batch: &Batch) -> String {
    let cable = batch.cable.as_deref().unwrap_or("open");
    format!("{}/{cable}/{}", batch.class.word(), batch.ends.join("/"))
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
        let is_wired = batch.ends.iter().any(|end| [END_SOLDERED, END_TERMINALS].contains(&end.as_str()));
        let text = if is_wired {
            format!(
                "Batch {number}: wiggle, pull at the plug; metered when its bare end is soldered to the panel"
            )
        } else {
            format!("Batch {number}: meter, wiggle, pull; fill in the test sheet")
        };
        act("meter", 1, text, Vec::new());
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
        2 if batch.ends.iter().any(|end| end == END_SOLDERED || end == END_TERMINALS) => {
            "at the plug and at the bare end".to_owned()
        }
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
        let screws: usize = plate.holes.iter().map(|hole| hole.fixings.len()).sum();
        let centres = holes + u32::try_from(screws).unwrap_or(u32::MAX);
        stage.act(format!("bar:{key}"), 1, format!("{name}: measure the template’s bar, 100 mm"));
        stage.act(format!("glue:{key}"), 5, format!("{name}: glue the template to the FRONT of the plate"));
        stage.act(
            format!("punch:{key}"),
            2 + centres,
            format!("{name}: punch {centres} centres, check with calliper"),
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
        let soldered: Vec<&str> = design
            .leads
            .iter()
            .filter(|lead| lead.making == Making::Made)
            .filter(|lead| lead.ends.iter().any(|end| end.is_wired() && end.port.device == device.tag))
            .map(|lead| lead.tag.as_str())
            .collect();
        if !soldered.is_empty() {
            let text = format!(
                "Meter what is soldered to {}, from each jack to the other end: {}; fill in the test sheet",
                device.tag,
                spans(&soldered)
            );
            let minutes = u32::try_from(soldered.len()).unwrap_or(u32::MAX);
            stage.act(format!("meter:panel:{}", device.tag), minutes, text).leads =
                soldered.iter().map(ToString::to_string).collect();
        }
        power::terminals(design, device, &mut stage);
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

/// Whether a device is on the board before the devices of the runs are set down.
fn is_fixed_early(device: &Device) -> bool {
    matches!(device.role, Role::Panel | Role::Strip | Role::Brick)
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
            let under = device.place.as_ref().is_some_and(|place| place.under);
            let stage = if is_fixed_early(device) { 0 } else { level(device).unwrap_or(0) + 1 };
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
                if end.has_plug()
                    && !end.port.port.is_empty()
                    && !is_mains
                    && !power::is_apart(design, lead, end)
                {
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

    /// A deck: its devices set down in the order of the signal, each lead plugged while there is room for it.
    ///
    /// Where it is the only one, it is listened to half-way: a fault among few devices is found sooner.
    fn deck(&self, name: &str, alone: bool) -> Stage {
        let rig = &self.design.rig;
        let mut stage = Stage::new(format!("deck:{name}"), format!("Deck {name}"));
        let on_deck = |tag: &str| {
            let place = rig.device(tag).and_then(|device| device.place.as_ref());
            place.is_some_and(|place| place.deck == name)
        };
        let here: Vec<(usize, &Device)> = self
            .order
            .iter()
            .enumerate()
            .filter(|(_, tag)| on_deck(tag))
            .filter_map(|(index, tag)| Some((index, rig.device(tag)?)))
            .collect();
        let set: usize = here.iter().filter(|(_, device)| !is_fixed_early(device)).count();
        let half = (alone && HALVED <= set).then_some(set / 2);
        let mut done: BTreeSet<(&str, &PortRef)> = BTreeSet::new();
        let mut down: Vec<&str> = Vec::new();
        for (index, device) in &here {
            let tag = &device.tag;
            for (lead, port) in self.before.get(index).into_iter().flatten() {
                if !done.insert((&lead.tag, port)) {
                    continue;
                }
                let text = format!("Plug {} into {} before {tag} goes down", lead.tag, port);
                let step = stage.act(format!("plug:{}:{port}", lead.tag), 1, text);
                step.leads = vec![lead.tag.clone()];
                step.device = Some(tag.clone());
            }
            if is_fixed_early(device) {
                continue;
            }
            self.set_down(device, &mut stage);
            down.push(tag);
            if half == Some(down.len()) {
                self.plug_free(&mut stage, &mut done, |port| down.contains(&port.device.as_str()));
                power::switch(self.design, &mut stage, &format!("half:{name}"), true);
                let text = format!(
                    "Half-way listening: a test lead from {tag} to the amp; play through all that is down before more \
                     goes on"
                );
                stage.hold(format!("hold:half:{name}"), 10, text);
                power::switch(self.design, &mut stage, &format!("half:{name}"), false);
            }
        }
        self.plug_free(&mut stage, &mut done, |port| on_deck(&port.device));
        stage
    }

    fn set_down(&self, device: &Device, stage: &mut Stage) {
        let tag = &device.tag;
        let under = device.place.as_ref().is_some_and(|place| place.under);
        let text =
            if under { format!("Hang {tag} under the deck") } else { format!("Set {tag} down and fix it") };
        let step = stage.act(format!("fix:{tag}"), 8, text);
        step.device = Some(tag.clone());
        let heavy = device.mass.value.is_some_and(|mass| self.design.limits.fixing_mass < mass);
        step.at_hand = match (under, heavy && self.design.rig.brief.touring) {
            (true, _) => names(&["bracket", "screws"]),
            (false, true) => names(&["fastener", "screwed link: heavy, on tour"]),
            (false, false) => names(&["fastener"]),
        };
    }

    /// Plugs what can be plugged among the ports that are `here`, a lead with several ends there in one act.
    fn plug_free(
        &self,
        stage: &mut Stage,
        done: &mut BTreeSet<(&'a str, &'a PortRef)>,
        here: impl Fn(&PortRef) -> bool,
    ) {
        // What waited for a neighbour that is not down yet goes in now, too.
        let waiting = self.before.values().flatten();
        let open: Vec<(&'a Lead, &'a PortRef)> = waiting
            .chain(&self.free)
            .copied()
            .filter(|(lead, port)| here(port) && !done.contains(&(lead.tag.as_str(), *port)))
            .collect();
        for (lead, port) in &open {
            if done.contains(&(lead.tag.as_str(), *port)) {
                continue;
            }
            let ends: Vec<&PortRef> =
                open.iter().filter(|(other, _)| other.tag == lead.tag).map(|(_, port)| *port).collect();
            let names: Vec<String> = ends.iter().map(ToString::to_string).collect();
            done.extend(ends.iter().map(|end| (lead.tag.as_str(), *end)));
            let text = format!("Plug {} into {}", lead.tag, names.join(" and "));
            let step = stage.act(format!("plug:{}:{port}", lead.tag), 1, text);
            step.leads = vec![lead.tag.clone()];
        }
    }

    /// What is plugged beside the board and on the floor.
    fn rest(&self) -> Stage {
        let rig = &self.design.rig;
        let mut stage = Stage::new("beside", "Beside the board");
        for device in &rig.devices {
            if device.place.as_ref().is_some_and(|place| place.deck == FLOOR) && !is_supply(device) {
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

/// Whether a device is fixed with mains and supplies.
fn is_supply(device: &Device) -> bool {
    matches!(device.role, Role::Strip | Role::Brick) && !device.outside
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
    let laid = steps
        .iter()
        .filter(|step| ["plug:", "wire:", "lay:", "pass:"].iter().any(|verb| step.id.starts_with(verb)));
    for (index, step) in laid.enumerate() {
        for tag in &step.leads {
            place.entry(tag.clone()).or_insert(index);
        }
    }
    let mut out: Vec<&Lead> = design.leads.iter().collect();
    out.sort_by_key(|lead| place.get(&lead.tag).copied().unwrap_or(usize::MAX));
    out
}
