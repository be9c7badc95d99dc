//! The decks: devices set down, each lead plugged while there is room for it, listening half-way, and what is beside the board.

use std::collections::BTreeMap;

use ::build::{Fact, Mode, What};
use rig::{Deck, Device, FLOOR, PortRef, Role};

use super::stage::{Deed, Stage, Step, end_key, names};
use super::supply::is_apart;
use super::world::{self, World, is_fixed_early};
use super::{power, rates};
use crate::{Design, Lead, Making};

/// A deck of so many devices is listened to half-way. *Common practice, no source.*
const HALVED: usize = 6;

/// An end that is plugged between devices being set down.
#[derive(Clone, Copy)]
struct Open<'a> {
    lead: &'a Lead,
    port: &'a PortRef,
}

/// When each lead end is plugged, between devices being set down.
pub(super) struct Plugging<'a> {
    design: &'a Design,
    world: &'a World,
    /// Ends to plug right before a device comes, by its tag.
    before: BTreeMap<&'a str, Vec<Open<'a>>>,
    /// Ends to plug whenever there is a hand free.
    free: Vec<Open<'a>>,
}

impl<'a> Plugging<'a> {
    pub(super) fn new(design: &'a Design, world: &'a World) -> Self {
        let mut out = Self { design, world, before: BTreeMap::new(), free: Vec::new() };
        for lead in design.leads.iter().filter(|lead| lead.making != Making::Theirs) {
            for end in &lead.ends {
                // A captive end comes with the thing it is fixed to.
                let is_mains =
                    power::is_plugged(design, lead, &end.port) || power::is_wall(design, lead, &end.port);
                if end.has_plug() && !end.port.port.is_empty() && !is_mains && !is_apart(design, lead, end) {
                    out.assign(Open { lead, port: &end.port });
                }
            }
        }
        out
    }

    fn assign(&mut self, open: Open<'a>) {
        let of_device = |fact: &Fact| {
            let design = self.design;
            design
                .rig
                .devices
                .iter()
                .map(|device| device.tag.as_str())
                .find(|tag| fact.what == What::Stands && fact.of == *tag)
        };
        let before = match self.world.mode(&open.lead.tag, open.port) {
            Some(Mode::InHand) => Some(open.port.device.as_str()),
            // What only a deck above would cover goes in with all else on its own deck.
            Some(Mode::Before(fact)) => of_device(fact),
            _ => None,
        };
        match before {
            Some(tag) => self.before.entry(tag).or_default().push(open),
            None => self.free.push(open),
        }
    }

    /// Ends that go in before a panel, a strip or a supply is fixed: into the stages that fix these.
    pub(super) fn early(&self, stages: &mut [Stage]) {
        for stage in stages {
            let fixed: Vec<String> = stage
                .steps
                .iter()
                .flat_map(|step| &step.does)
                .filter_map(|deed| match deed {
                    Deed::Stand(tag) => Some(tag.clone()),
                    Deed::Raise(_) | Deed::Plug(..) => None,
                })
                .collect();
            for tag in fixed {
                let mut plugs = Stage::new("", "").on("board");
                self.plug_before(&tag, &mut plugs);
                let at = stage.steps.iter().position(|step| step.does.contains(&Deed::Stand(tag.clone())));
                if let Some(at) = at {
                    stage.steps.splice(at..at, plugs.steps);
                }
            }
        }
    }

    /// Every deck, from below.
    pub(super) fn decks(&self) -> Vec<Stage> {
        let decks = world::decks(self.design);
        let count = decks.len();
        let mut below: Vec<&str> = Vec::new();
        let mut out = Vec::new();
        for (index, deck) in decks.into_iter().enumerate() {
            let is_last = index + 1 == count;
            out.push(self.deck(deck, &below, count == 1, is_last));
            below.push(&deck.name);
        }
        out
    }

    /// A deck: its devices set down in the order of the signal, each lead plugged while there is room for it.
    ///
    /// Where it is the only one, it is listened to half-way: a fault among few devices is found sooner.
    fn deck(&self, deck: &Deck, below: &[&str], alone: bool, is_last: bool) -> Stage {
        let rig = &self.design.rig;
        let name = deck.name.as_str();
        let place = format!("deck {name}");
        let mut stage = Stage::new(format!("deck:{name}"), format!("Deck {name}")).on(&place);
        let on_deck = |tag: &str| {
            let place = rig.device(tag).and_then(|device| device.place.as_ref());
            place.is_some_and(|place| place.deck == name)
        };
        let here: Vec<&Device> = self
            .world
            .devices()
            .filter(|thing| on_deck(&thing.tag))
            .filter_map(|thing| rig.device(&thing.tag))
            .filter(|device| !is_fixed_early(device))
            .collect();
        if !below.is_empty() {
            self.raise(deck, below, &mut stage);
        }
        let half = (alone && HALVED <= here.len()).then_some(here.len() / 2);
        let mut down: Vec<&str> = Vec::new();
        let mut heard: Option<Vec<&str>> = None;
        for device in &here {
            let tag = device.tag.as_str();
            let from = stage.steps.len();
            self.plug_before(tag, &mut stage);
            self.set_down(device, !below.is_empty(), &mut stage);
            if let Some(half) = &heard {
                self.after_half(half, name, &mut stage.steps[from..]);
            }
            down.push(tag);
            if half == Some(down.len()) {
                self.plug_free(&mut stage, |open| {
                    down.contains(&open.port.device.as_str()) && !self.leaves(open, &down)
                });
                power::switch(self.design, &mut stage, &format!("half:{name}"), true);
                let text = format!(
                    "Half-way listening: a test lead from {tag} to the amp; play through all that is down before more \
                     goes on"
                );
                let step = stage.hold(format!("hold:half:{name}"), rates::LISTEN_HALF, text);
                step.hand(names(&["test lead", "guitar", "amp"]));
                self.complete(step, &down).gives(What::Heard, &format!("half {name}"));
                power::switch(self.design, &mut stage, &format!("half:{name}"), false);
                heard = Some(down.clone());
            }
        }
        // What leaves the deck comes after listening: the test lead sits in its jack.
        self.plug_free(&mut stage, |open| {
            on_deck(&open.port.device) && (is_last || !self.leaves(open, &down))
        });
        if !stage.steps.is_empty() && !is_last {
            let of = format!("deck:{name}");
            power::switch(self.design, &mut stage, &of, true);
            let text = format!(
                "Half-way listening: a test lead from the last device of deck {name} to the amp; play through it before \
                 the next deck goes on"
            );
            let step = stage.hold(format!("hold:{name}"), rates::LISTEN, text);
            step.hand(names(&["test lead", "guitar", "amp"]));
            self.complete(step, &down).gives(What::Heard, name);
            power::switch(self.design, &mut stage, &of, false);
            let from = stage.steps.len();
            self.plug_free(&mut stage, |open| on_deck(&open.port.device));
            for step in &mut stage.steps[from..] {
                step.wants(What::Heard, name);
            }
            let text = format!("Tie what lies on deck {name} and the next will cover; none on a supply");
            let step = stage.act(format!("tie-signal:{name}"), rates::TIE_DECK, text);
            step.hand(names(&["ties", "flush cutter"])).wants(What::Heard, name).gives(What::Tied, name);
        }
        stage
    }

    /// These acts wait until the first half is listened to. What goes into its devices is in by then, but for what leads on.
    fn after_half(&self, half: &[&str], name: &str, steps: &mut [Step]) {
        for step in steps {
            let of_half = step.does.iter().any(|deed| match deed {
                Deed::Plug(lead, port) => half.contains(&port.device.as_str()) && !self.leads_on(lead, half),
                Deed::Stand(_) | Deed::Raise(_) => false,
            });
            if !of_half {
                step.wants(What::Heard, &format!("half {name}"));
            }
        }
    }

    /// A deck comes onto those below it.
    fn raise(&self, deck: &Deck, below: &[&str], stage: &mut Stage) {
        let name = deck.name.as_str();
        let hangs = self.world.devices().filter(|thing| {
            thing.under
                && self
                    .design
                    .rig
                    .device(&thing.tag)
                    .and_then(|device| device.place.as_ref())
                    .is_some_and(|place| place.deck == name)
        });
        let hanging: Vec<&str> = hangs.map(|thing| thing.tag.as_str()).collect();
        let with =
            if hanging.is_empty() { String::new() } else { format!(", {} under it", hanging.join(", ")) };
        let how = if deck.hinge.is_some() { "hang it in its hinge" } else { "screw it down" };
        let text = format!("Put deck {name} on{with}; pull the leads up through its holes, then {how}");
        let step = stage.act(format!("raise:{name}"), rates::DECK, text);
        step.hand(names(&["screws", "screwdriver"])).gives(What::Raised, name);
        step.does.push(Deed::Raise(name.to_owned()));
        for lower in below {
            step.wants(What::Tied, lower);
        }
        for tag in hanging {
            step.wants(What::Stands, tag);
        }
    }

    /// A hold waits until these devices stand, with all plugs in that go into them.
    fn complete<'s>(&self, step: &'s mut Step, down: &[&str]) -> &'s mut Step {
        for tag in down {
            step.wants(What::Stands, tag);
        }
        for open in self.before.values().flatten().chain(&self.free) {
            if down.contains(&open.port.device.as_str()) && !self.leaves(open, down) {
                step.wants(What::In, &end_key(&open.lead.tag, open.port));
            }
        }
        step.wants(What::Mains, "")
    }

    /// Whether a lead goes on from these devices to one that is not down yet. A supply lead to any of them is needed.
    fn leaves(&self, open: &Open<'a>, down: &[&str]) -> bool {
        self.leads_on(&open.lead.tag, down)
    }

    fn leads_on(&self, lead: &str, down: &[&str]) -> bool {
        let Some(lead) = self.design.leads.iter().find(|own| own.tag == lead) else { return false };
        let is_signal = lead.run.is_some() || !lead.class.is_supply();
        is_signal
            && lead.ends.iter().any(|end| {
                let tag = end.port.device.as_str();
                let comes = self.world.devices().any(|thing| thing.tag == tag);
                let early = self.design.rig.device(tag).is_some_and(is_fixed_early);
                comes && !early && !down.contains(&tag)
            })
    }

    fn set_down<'s>(&self, device: &Device, on_upper: bool, stage: &'s mut Stage) -> &'s mut Step {
        let tag = device.tag.as_str();
        let place = device.place.as_ref();
        let under = place.is_some_and(|place| place.under);
        let text =
            if under { format!("Hang {tag} under the deck") } else { format!("Set {tag} down and fix it") };
        let step = stage.act(format!("fix:{tag}"), rates::DEVICE, text);
        step.stands(tag);
        if let Some(place) = place.filter(|place| on_upper && !place.under) {
            step.wants(What::Raised, &place.deck);
        }
        let heavy = device.mass.value.is_some_and(|mass| self.design.limits.fixing_mass < mass);
        step.at_hand = match (under, heavy && self.design.rig.brief.touring) {
            (true, _) => names(&["bracket", "screws", "screwdriver"]),
            (false, true) => names(&["fastener", "screwed link: heavy, on tour", "screwdriver"]),
            (false, false) => names(&["fastener"]),
        };
        step
    }

    /// The end of a lead that is made last, where it is pulled through a hole first: that on the upper of its devices.
    fn made_last(&self, lead: &Lead) -> Option<&'a PortRef> {
        self.world.hole(&lead.tag)?;
        let lead = self.design.leads.iter().find(|own| own.tag == lead.tag)?;
        let at = |port: &PortRef| self.world.devices().position(|thing| thing.tag == port.device);
        lead.ends.iter().map(|end| &end.port).max_by_key(|port| at(port))
    }

    /// What a plug needs before it goes in.
    fn ready(&self, step: &mut Step, open: &Open<'a>) {
        let tag = open.lead.tag.as_str();
        step.plugs(tag, open.port);
        if self.made_last(open.lead).is_some_and(|last| last != open.port) {
            step.wants(What::Soldered, tag);
        } else {
            step.wants(What::Metered, tag);
        }
        let is_to =
            open.lead.ends.iter().any(|end| end.port == *open.port && end.kind == rig::geometry::EndKind::To);
        if open.lead.run.is_none() && open.lead.class.is_supply() && is_to {
            step.wants(What::LooseEnd, tag);
        }
        if !matches!(self.world.mode(tag, open.port), Some(Mode::InHand)) {
            step.wants(What::Stands, &open.port.device);
        }
    }

    /// The act that makes the last end of a lead, where it has to lie in its hole first.
    fn finish(&self, open: &Open<'a>, stage: &mut Stage) {
        let tag = open.lead.tag.as_str();
        let Some((hole, deck)) =
            self.world.hole(tag).filter(|_| self.made_last(open.lead) == Some(open.port))
        else {
            return;
        };
        let text = format!(
            "Pull {tag} through hole {hole} of deck {deck}, then solder its plug for {}; meter, wiggle, pull",
            open.port
        );
        let step = stage.act(format!("finish:{tag}"), rates::FINISH, text);
        step.of([tag]).hand(names(&["iron", "meter"]));
        step.wants(What::Soldered, tag).wants(What::Raised, deck);
        step.gives(What::Threaded, tag).gives(What::Metered, tag);
    }

    /// Plugs what goes in right before a device comes.
    fn plug_before(&self, tag: &str, stage: &mut Stage) {
        for open in self.before.get(tag).into_iter().flatten() {
            self.finish(open, stage);
            let lead = &open.lead.tag;
            let how = if open.port.device == tag {
                let by = self.world.in_hand(lead, open.port).unwrap_or_default();
                format!("while {tag} is in your hand: {by} is in its way later")
            } else if self.world.lies_under(lead, open.port) {
                format!("and lay it: {tag} will stand above it")
            } else {
                format!("before {tag} goes down beside it")
            };
            let text = format!("Plug {lead} into {} {how}", open.port);
            let step = stage.act(format!("plug:{lead}:{}", open.port), rates::PLUG, text);
            step.of([lead.as_str()]).about(&open.port.device);
            self.ready(step, open);
        }
    }

    /// Plugs what can be plugged among the ports that are `here`, a lead with several ends there in one act.
    fn plug_free(&self, stage: &mut Stage, here: impl Fn(&Open<'a>) -> bool) {
        let open: Vec<Open<'a>> = self.free.iter().copied().filter(|open| here(open)).collect();
        for (at, one) in open.iter().enumerate() {
            let tag = one.lead.tag.as_str();
            if open[..at].iter().any(|other| other.lead.tag == tag) {
                continue;
            }
            let is_in =
                |open: &Open<'a>| {
                    stage.steps.iter().flat_map(|step| &step.does).any(
                        |deed| matches!(deed, Deed::Plug(lead, port) if lead == tag && port == open.port),
                    )
                };
            let ends: Vec<&Open<'a>> =
                open.iter().filter(|other| other.lead.tag == tag && !is_in(other)).collect();
            let Some(first) = ends.first() else { continue };
            for end in &ends {
                self.finish(end, stage);
            }
            let ports: Vec<String> = ends.iter().map(|end| end.port.to_string()).collect();
            let text = format!("Plug {tag} into {}", ports.join(" and "));
            let step = stage.act(format!("plug:{tag}:{}", first.port), rates::PLUG, text);
            step.of([tag]);
            for end in ends {
                self.ready(step, end);
            }
        }
    }

    /// What is plugged beside the board and on the floor.
    pub(super) fn rest(&self) -> Stage {
        let rig = &self.design.rig;
        let mut stage = Stage::new("beside", "Beside the board").on("beside");
        for device in &rig.devices {
            if device.place.as_ref().is_some_and(|place| place.deck == FLOOR) && !is_supply(device) {
                let text = format!("Stand {} on the floor", device.tag);
                stage.act(format!("fix:{}", device.tag), rates::STAND, text).stands(&device.tag);
            }
        }
        for open in &self.free {
            let on_deck = self.world.devices().any(|thing| thing.tag == open.port.device);
            if !on_deck && rig.device(&open.port.device).is_some() {
                let text = format!("Plug {} into {}", open.lead.tag, open.port);
                let id = format!("plug:{}:{}", open.lead.tag, open.port);
                let step = stage.act(id, rates::PLUG, text);
                step.of([open.lead.tag.as_str()]);
                self.ready(step, open);
            }
        }
        stage
    }
}

/// Whether a device is fixed with mains and supplies.
fn is_supply(device: &Device) -> bool {
    matches!(device.role, Role::Strip | Role::Brick) && !device.outside
}
