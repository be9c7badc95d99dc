//! Mains and supplies in the work order: what is laid and plugged while the wall is far, and when it is switched on.
//!
//! Nothing is metered before what feeds it is in, and no supply lead goes into a device before its loose end is metered.

use std::collections::BTreeSet;

use ::build::What;
use rig::geometry::EndKind;
use rig::{Device, LeadClass, PortRef, Role};

use super::rates;
use super::stage::{Stage, Step, end_key, names};
use super::supply::{fed, feeds_brick, is_brick, is_early, supply_leads, takes};
use super::world::World;
use crate::{Design, Lead, LeadEndAt, Making, outlet_words, spans, tag_words};

pub(super) fn mains(design: &Design) -> Stage {
    let title = if on_board(design).any(|lead| lead.ends.iter().any(LeadEndAt::is_wired)) {
        "Mains: approved units only"
    } else {
        "Mains: ready-made, approved units only"
    };
    let mut stage = Stage::new("mains", title).on("board");
    for device in design.rig.devices.iter().filter(|device| device.role == Role::Strip && !device.outside) {
        stage
            .act(format!("fix:{}", device.tag), rates::FIX, format!("Fix {}, unplugged", device.tag))
            .hand(names(&["screws", "screwdriver"]))
            .stands(&device.tag);
    }
    for device in &design.rig.devices {
        own_adaptor(design, device, &mut stage);
    }
    for (sockets, by) in crate::kept_free(design) {
        let names: Vec<String> = sockets.iter().map(|socket| socket.at.to_string()).collect();
        let by: Vec<String> = by.iter().map(ToString::to_string).collect();
        let text = format!("Keep {} empty: covered by {}", names.join(", "), by.join(" and "));
        let step = stage.act(format!("keep:{}", names[0]), rates::KEEP, text);
        for strip in sockets.iter().map(|socket| &socket.at.device) {
            step.wants(What::Stands, strip);
        }
        step.gives(What::Laid, "");
    }
    for lead in design.leads.iter().filter(|lead| !lead.through.is_empty()) {
        let text = format!(
            "Pass {} {}, pull relief tight; a moulded plug wants a divided gland, refitting one is for a competent \
             person (licensed where required)",
            lead.tag,
            lead.through_words()
        );
        let step = stage.act(format!("pass:{}", lead.tag), rates::PASS, text);
        step.of([lead.tag.as_str()]).gives(What::Laid, &lead.tag).gives(What::Laid, "");
        for gland in &lead.through {
            step.wants(What::Stands, &gland.device);
        }
    }
    // What can be unplugged at both ends and goes to the wall is laid by nobody: it comes with the first switching on.
    let is_laid = |lead: &&Lead| {
        let stays = lead.ends.iter().all(|end| !is_beside(design, &end.port));
        stays || lead.ends.iter().any(|end| !is_beside(design, &end.port) && !end.has_plug())
    };
    for lead in on_board(design).filter(is_laid).filter(|lead| lead.through.is_empty()) {
        let tag = &lead.tag;
        let step = stage.act(
            format!("lay:{tag}"),
            rates::LAY,
            format!("Lay {tag}, tie it; nothing plugged to the wall"),
        );
        step.of([tag.as_str()]).hand(names(&["ties"])).gives(What::Laid, tag).gives(What::Laid, "");
    }
    stage
}

/// Mains that ends on the terminals of a panel: connected and tested before the panel is closed, by nobody but a competent
/// person.
pub(super) fn terminals(design: &Design, panel: &Device, stage: &mut Stage) {
    let mut any = Vec::new();
    for lead in on_board(design) {
        for (leg, end) in lead.ends.iter().enumerate() {
            if !end.is_wired() || end.port.device != panel.tag {
                continue;
            }
            let text = format!(
                "Competent person (licensed where required): connect {} to the terminals of {}, line, neutral and \
                 earth as marked, cores in ferrules, pull relief tight, covers on; it goes to {}. Nothing plugged to \
                 the wall",
                lead.part(leg),
                end.port,
                lead.others(leg)
            );
            let step = stage.act(format!("wire:{}:{}", lead.tag, end.port), rates::TERMINALS, text);
            step.of([lead.tag.as_str()]).plugs(&lead.tag, &end.port);
            step.wants(What::Fitted, &panel.tag).gives(What::Wired, &panel.tag);
            step.hand(names(&["ferrules", "crimper", "screwdriver"]));
            any.push(lead.tag.as_str());
        }
    }
    if !any.is_empty() {
        let text = format!(
            "Competent person, before {} is closed: earth continuity from the earth pin of the inlet to the plate, to \
             every metal part and to the far end of {}; line and neutral not joined to earth; write the figures down",
            panel.tag,
            spans(&any)
        );
        let step = stage.hold(format!("hold:earth:{}", panel.tag), rates::EARTH, text);
        step.hand(names(&["earth tester"])).about(&panel.tag);
        step.wants(What::Wired, &panel.tag).gives(What::Earthed, &panel.tag);
    }
}

/// A device's own adaptor goes into its socket as it lies, held as it is held; its lead is shortened only with consent.
fn own_adaptor(design: &Design, device: &Device, stage: &mut Stage) {
    let Some(feed) = device.feed.as_ref().filter(|feed| feed.kind == rig::FeedKind::Adaptor) else { return };
    let on_strip = |at: &&PortRef| {
        let strip = design.rig.device(&at.device);
        strip.is_some_and(|strip| strip.role == Role::Strip && !strip.outside)
    };
    let (Some(socket), Some(own)) = (feed.outlets.first().filter(on_strip), &feed.adaptor) else { return };
    let tag = &device.tag;
    let lies = own.lies.value.map(|lies| format!(", {}", lies.word().replace('-', " "))).unwrap_or_default();
    let held = match own.held.value {
        None | Some(rig::Held::Loose) => String::new(),
        Some(held) => format!("; {}", held.word()),
    };
    if let (Some(left), Some(consent)) = (own.shortened, &own.consent) {
        let text = format!(
            "Shorten the lead of {tag}’s adaptor to {} mm, unplugged, and put the same plug back on; agreed: {consent}",
            left.figure_mm(0)
        );
        let step = stage.act(format!("shorten:{tag}"), rates::SHORTEN, text).about(tag);
        step.gives(What::Prepared, &format!("shorten {tag}"));
    }
    let text = format!("Put the adaptor of {tag} into {socket}{lies}{held}; nothing plugged to the wall");
    let step = stage.act(format!("adaptor:{tag}"), rates::ADAPTOR, text).about(tag);
    step.wants(What::Stands, &socket.device).wants(What::Prepared, &format!("shorten {tag}"));
    step.gives(What::Laid, "");
}

pub(super) fn supplies(design: &Design, world: &World) -> Stage {
    let mut stage = Stage::new("supplies", "Supplies").on("board");
    let bricks: Vec<&Device> = design.rig.devices.iter().filter(|device| is_brick(device)).collect();
    for device in &bricks {
        in_hand(design, world, device, &mut stage);
        let under = device.place.as_ref().is_some_and(|place| place.under);
        let (text, hand) = if under {
            (
                format!("Hang {} under the deck, in its bracket", device.tag),
                ["bracket", "screws", "screwdriver"],
            )
        } else {
            (format!("Fix {}", device.tag), ["fastener", "screws", "screwdriver"])
        };
        let step = stage.act(format!("fix:{}", device.tag), rates::FIX, text);
        step.stands(&device.tag).hand(names(&hand));
        for outlet in device.outlets.iter().filter(|outlet| outlet.settings.len() > 1) {
            let port = PortRef::new(&device.tag, &outlet.name);
            let Some(load) = design.outlets.iter().find(|load| load.outlet == port) else { continue };
            let id = format!("set:{port}");
            if outlet.set.is_unknown() {
                // What nobody knows is no instruction.
                let text = format!(
                    "Find out first what {} needs from {port}; its lead stays out until {port} is set to that",
                    load.devices.join(" and ")
                );
                let step = stage.hold(id, rates::FIND_OUT, text).about(&device.tag);
                step.wants(What::Stands, &device.tag).gives(What::Set, &device.tag);
            } else {
                let text = format!("Set {port} to {}; photograph, tape over", outlet_words(device, outlet));
                let step = stage.act(id, rates::SET, text).about(&device.tag);
                step.wants(What::Stands, &device.tag).gives(What::Set, &device.tag);
            }
        }
    }
    for lead in on_board(design) {
        for end in lead.ends.iter().filter(|end| end.has_plug() && !is_beside(design, &end.port)) {
            let text = format!("Plug {} into {}; nothing plugged to the wall", lead.tag, end.port);
            let step = stage.act(format!("plug:{}:{}", lead.tag, end.port), rates::PLUG, text);
            step.of([lead.tag.as_str()]).plugs(&lead.tag, &end.port);
            step.wants(What::Laid, &lead.tag).gives(What::Laid, "");
        }
    }
    if on(design).is_some() {
        let text = "Mains looked at and tested by a competent person (licensed where required)";
        let step = stage.hold("hold:mains", rates::MAINS, text);
        // All that mains comes to is in: leads and adaptors laid and plugged, panels closed, strips and supplies fixed.
        step.wants(What::Laid, "").gives(What::Mains, "");
        let fixed = |device: &&Device| matches!(device.role, Role::Strip | Role::Brick | Role::Panel);
        for device in design.rig.devices.iter().filter(fixed) {
            step.wants(What::Stands, &device.tag);
        }
    }
    // One supply after the other where one feeds the next: each is metered before what hangs on it.
    for level in 0..=bricks.iter().map(|brick| level(design, &brick.tag)).max().unwrap_or(0) {
        let of = if level == 0 { String::new() } else { format!(":{}", level + 1) };
        let here: Vec<&Device> =
            bricks.iter().filter(|brick| self::level(design, &brick.tag) == level).copied().collect();
        let feeds: Vec<&Lead> = supply_leads(design)
            .filter(|lead| fed(lead).any(|end| here.iter().any(|brick| brick.tag == end.port.device)))
            .collect();
        if !feeds.is_empty() {
            plug(design, &mut stage, &feeds, EndKind::From);
            metered(design, &mut stage, &feeds, &format!("feeds{of}"));
            plug(design, &mut stage, &feeds, EndKind::To);
        }
        for brick in here.iter().filter(|brick| !is_fed(design, brick)) {
            let text = format!(
                "Put in what feeds {}, as its plate says: nothing in this job says what; nothing plugged to the wall",
                brick.tag
            );
            let step = stage.act(format!("feed:{}", brick.tag), rates::FEED, text).about(&brick.tag);
            step.wants(What::Stands, &brick.tag).wants(What::Mains, "");
            step.gives(What::In, &format!("feed {}", brick.tag));
        }
        if here.is_empty() {
            continue;
        }
        let live: Vec<&str> = here.iter().map(|brick| brick.tag.as_str()).collect();
        let whose =
            if live.len() == bricks.len() { String::new() } else { format!(" of {}", live.join(", ")) };
        switch(design, &mut stage, &format!("outlets{of}"), true);
        let is_in = |lead: &&Lead| {
            let from = lead.ends.iter().filter(|end| end.kind == EndKind::From);
            from.filter(|end| here.iter().any(|brick| brick.tag == end.port.device))
                .any(|end| world.in_hand(&lead.tag, &end.port).is_some())
        };
        let plugged: Vec<&str> = supply_leads(design).filter(is_in).map(|lead| lead.tag.as_str()).collect();
        let text = if plugged.is_empty() {
            format!("Meter every outlet{whose}, volts and polarity, before any lead is plugged")
        } else {
            format!(
                "Meter every outlet{whose}, volts and polarity, before any other lead is plugged; {} at the loose end",
                spans(&plugged)
            )
        };
        let step = stage.hold(format!("hold:outlets{of}"), rates::OUTLETS, text);
        step.hand(names(&["meter"])).wants(What::Mains, "");
        for brick in &here {
            step.wants(What::Set, &brick.tag).wants(What::Stands, &brick.tag);
            step.wants(What::In, &format!("feed {}", brick.tag)).gives(What::Outlets, &brick.tag);
        }
        for lead in &feeds {
            for end in fed(lead) {
                step.wants(What::In, &end_key(&lead.tag, &end.port));
            }
        }
        switch(design, &mut stage, &format!("outlets{of}"), false);
    }
    stage
}

/// Whether all ends of a lead at its supply go in while the supply is in the hand.
fn is_in_hand(world: &World, lead: &Lead) -> bool {
    let mut from = lead.ends.iter().filter(|end| end.kind == EndKind::From && end.has_plug());
    from.any(|end| world.in_hand(&lead.tag, &end.port).is_some())
}

/// The leads that go into a supply while it is in the hand: something is in their way where it will be.
fn in_hand(design: &Design, world: &World, brick: &Device, stage: &mut Stage) {
    let is_of =
        |lead: &&Lead| is_early(design, lead) && !feeds_brick(design, lead) && is_in_hand(world, lead);
    for lead in supply_leads(design).filter(is_of) {
        let from: Vec<&LeadEndAt> = lead
            .ends
            .iter()
            .filter(|end| end.kind == EndKind::From && end.has_plug() && end.port.device == brick.tag)
            .collect();
        let Some(first) = from.first() else { continue };
        let by = from.iter().find_map(|end| world.in_hand(&lead.tag, &end.port)).unwrap_or_default();
        let ports: Vec<String> = from.iter().map(|end| end.port.to_string()).collect();
        let (tag, of) = (&lead.tag, &brick.tag);
        let text = format!(
            "Plug {tag} into {} while {of} is in your hand: {by} is in its way later; its other end stays loose",
            ports.join(" and ")
        );
        let step = stage.act(format!("plug:{tag}:{}", first.port), rates::PLUG, text);
        step.of([tag.as_str()]).about(of).wants(What::Metered, tag);
        for end in from {
            step.plugs(tag, &end.port);
        }
    }
}

/// The supply leads to devices: in at the supply, metered at the loose end, and only then into a device.
pub(super) fn ends(design: &Design, world: &World) -> Stage {
    let mut stage = Stage::new("ends", "Supply leads, loose at the devices").on("board");
    let leads: Vec<&Lead> =
        supply_leads(design).filter(|lead| is_early(design, lead) && !feeds_brick(design, lead)).collect();
    let later: Vec<&Lead> = leads.iter().copied().filter(|lead| !is_in_hand(world, lead)).collect();
    plug(design, &mut stage, &later, EndKind::From);
    if !leads.is_empty() {
        metered(design, &mut stage, &leads, "ends");
    }
    stage
}

/// The supply leads that come from a device of a run, not from a supply: each when what it comes from is fed.
pub(super) fn late(design: &Design) -> Stage {
    let mut stage = Stage::new("late", "Supply leads from device to device").on("board");
    let mut left: Vec<&Lead> = supply_leads(design).filter(|lead| !is_early(design, lead)).collect();
    // Each round brings one more step along a row of devices.
    while !left.is_empty() {
        let waits = |lead: &&Lead| {
            lead.ends
                .iter()
                .filter(|end| end.kind == EndKind::From)
                .any(|end| left.iter().any(|other| other.feeds(&end.port.device)))
        };
        let (later, mut now): (Vec<&Lead>, Vec<&Lead>) = left.iter().copied().partition(waits);
        let later = if now.is_empty() {
            // A ring, which the checks find: as they come.
            now = later;
            Vec::new()
        } else {
            later
        };
        let of = now[0].tag.clone();
        metered(design, &mut stage, &now, &of);
        plug(design, &mut stage, &now, EndKind::To);
        left = later;
    }
    stage
}

/// Plugs the ends of one kind that are on the board or beside it.
fn plug(design: &Design, stage: &mut Stage, leads: &[&Lead], kind: EndKind) {
    for lead in leads {
        let ends: Vec<&LeadEndAt> =
            lead.ends.iter().filter(|end| end.kind == kind && end.has_plug()).collect();
        let Some(first) = ends.first().filter(|end| !end.port.port.is_empty()) else { continue };
        let ports: Vec<String> = ends.iter().map(|end| end.port.to_string()).collect();
        let loose = match kind {
            EndKind::From => "; its other end stays loose",
            EndKind::To => "",
        };
        let tag = &lead.tag;
        let step = stage.act(
            format!("plug:{tag}:{}", first.port),
            rates::PLUG,
            format!("Plug {tag} into {}{loose}", ports.join(" and ")),
        );
        step.of([tag.as_str()]).wants(What::Metered, tag).wants(What::Mains, "");
        step.device = design.rig.device(&first.port.device).map(|device| device.tag.clone());
        for end in ends {
            step.plugs(tag, &end.port).wants(What::Stands, &end.port.device);
            match kind {
                EndKind::From => step.wants(What::Outlets, &end.port.device),
                EndKind::To => step.wants(What::LooseEnd, tag),
            };
        }
    }
}

/// Mains on, the loose ends metered, mains off. A lead that would harm another device has a hold of its own.
fn metered(design: &Design, stage: &mut Stage, leads: &[&Lead], of: &str) {
    switch(design, stage, of, true);
    let (special, plain): (Vec<&Lead>, Vec<&Lead>) =
        leads.iter().copied().partition(|lead| special_words(design, lead).is_some());
    if !plain.is_empty() {
        let tags: Vec<&str> = plain.iter().map(|lead| lead.tag.as_str()).collect();
        let minutes = u32::try_from(plain.len()).unwrap_or(u32::MAX).max(rates::LOOSE_ENDS);
        let text = format!(
            "Meter the loose end of {}, volts and polarity against the DC list, before it goes into a device",
            spans(&tags)
        );
        let step = stage.hold(format!("hold:{of}"), minutes, text);
        step.of(tags.iter().copied());
        for lead in &plain {
            loose(step, lead);
        }
    }
    for lead in special {
        let words = special_words(design, lead).unwrap_or_default();
        let text = format!("Meter the loose end of {}: {words}", lead.tag);
        let step = stage.hold(format!("hold:end:{}", lead.tag), rates::HARMFUL_END, text);
        loose(step.of([lead.tag.as_str()]), lead);
    }
    switch(design, stage, of, false);
}

/// The loose end of a lead is metered once its other end is in, and what feeds that is live.
fn loose(step: &mut Step, lead: &Lead) {
    step.hand(names(&["meter"])).wants(What::Mains, "").gives(What::LooseEnd, &lead.tag);
    for end in lead.ends.iter().filter(|end| end.kind == EndKind::From) {
        step.wants(What::In, &end_key(&lead.tag, &end.port)).wants(What::Outlets, &end.port.device);
    }
}

/// What the loose end of a lead must show that would harm another device, or of which nobody knows what it gives.
fn special_words(design: &Design, lead: &Lead) -> Option<String> {
    let to: Vec<&Device> = fed(lead).filter_map(|end| design.rig.device(&end.port.device)).collect();
    let first = to.first()?;
    let tags: Vec<&str> = to.iter().map(|device| device.tag.as_str()).collect();
    let whose = tags.join(" and ");
    let alone = format!("it goes into {whose} and into no other device");
    let adaptor = first.feed.as_ref().is_some_and(|feed| feed.kind == rig::FeedKind::Adaptor);
    if lead.class == LeadClass::Ac {
        let words = crate::trial::ac_words(first);
        return Some(format!("{words}; {alone}"));
    }
    if adaptor && crate::feed_state(&design.rig, first).is_none() {
        return Some(format!(
            "volts and polarity as printed on the adaptor and on {whose}, both alike; {alone}"
        ));
    }
    let state = crate::feed_state(&design.rig, first).unwrap_or_default();
    let Some(volts) = state.volts.value else {
        return Some(format!("find out first what {whose} needs; {} stays out of it until then", lead.tag));
    };
    if let Some(wants) = crate::trial::unsuited(first, volts) {
        return Some(format!(
            "it gives {volts}, and {whose} runs on {wants}: find out first, do not plug it"
        ));
    }
    let words = tag_words(design, lead);
    if words.is_none() && volts.get() <= crate::trial::USUAL_VOLTS {
        return None;
    }
    let sort = words.map(|words| format!(", {}", words.to_lowercase())).unwrap_or_default();
    Some(format!("{volts}{sort}; {alone}"))
}

/// How many supplies stand between a supply and mains.
fn level(design: &Design, tag: &str) -> usize {
    let mut here: BTreeSet<&str> = BTreeSet::from([tag]);
    let mut level = 0;
    // No row is longer than there are devices: a ring ends here, too.
    while level < design.rig.devices.len() {
        let before: BTreeSet<&str> = supply_leads(design)
            .filter(|lead| here.iter().any(|tag| lead.feeds(tag)))
            .flat_map(|lead| lead.ends.iter().filter(|end| end.kind == EndKind::From))
            .map(|end| end.port.device.as_str())
            .filter(|tag| design.rig.device(tag).is_some_and(is_brick))
            .collect();
        if before.is_empty() {
            return level;
        }
        here = before;
        level += 1;
    }
    0
}

/// Whether the job says what feeds a supply.
fn is_fed(design: &Design, brick: &Device) -> bool {
    let is_power = |lead: &&Lead| match lead.class {
        LeadClass::Mains => true,
        class => class.is_supply() && lead.run.is_none(),
    };
    let own = brick.feed.as_ref().is_some_and(|feed| feed.kind == rig::FeedKind::Adaptor);
    own || design.leads.iter().filter(is_power).any(|lead| lead.ends.iter().any(|end| takes(brick, end)))
}

/// The mains leads with an end on the board.
fn on_board(design: &Design) -> impl Iterator<Item = &Lead> {
    design.leads.iter().filter(|lead| lead.class == LeadClass::Mains && lead.making != Making::Theirs)
}

/// Whether a port is that of the house or of something else beside the board.
fn is_beside(design: &Design, port: &PortRef) -> bool {
    port.port.is_empty() || design.rig.device(&port.device).is_none_or(|device| device.outside)
}

/// How the board gets mains, in words: the leads to the wall, or adaptors that go straight into it. `None` where nothing of
/// it hangs on mains.
fn on(design: &Design) -> Option<String> {
    let mut walls: Vec<String> = on_board(design)
        .filter(|lead| lead.ends.iter().any(|end| is_beside(design, &end.port)))
        .map(|lead| lead.tag.clone())
        .collect();
    let has_lead = !walls.is_empty();
    let in_strip = |at: &PortRef| design.rig.device(&at.device).is_some_and(|strip| !strip.outside);
    let own = design.rig.devices.iter().filter(|device| !device.outside).filter(|device| {
        let feed = device.feed.as_ref().filter(|feed| feed.kind == rig::FeedKind::Adaptor);
        feed.is_some_and(|feed| !feed.outlets.iter().any(in_strip))
    });
    let own: Vec<&str> = own.map(|device| device.tag.as_str()).collect();
    if !has_lead && on_board(design).next().is_some() {
        walls.push("the mains lead".to_owned());
    }
    if !own.is_empty() {
        let plural = if own.len() == 1 { "adaptor" } else { "adaptors" };
        walls.push(format!("the {plural} of {}", spans(&own)));
    }
    let unsaid = design.rig.devices.iter().filter(|device| is_brick(device) && !is_fed(design, device));
    walls.extend(unsaid.map(|brick| format!("what feeds {}", brick.tag)));
    (!walls.is_empty()).then(|| walls.join(" and "))
}

/// Switches the board on for one act, or off again after it.
pub(super) fn switch(design: &Design, stage: &mut Stage, of: &str, is_on: bool) {
    let Some(leads) = on(design) else { return };
    if is_on {
        stage.run = Some(of.to_owned());
        let text = format!(
            "Mains on: {leads} into the wall, through a residual-current device; hands off the wiring"
        );
        stage.act(format!("on:{of}"), rates::SWITCH, text);
    } else {
        stage.act(
            format!("off:{of}"),
            rates::SWITCH,
            format!("Mains off: {leads} out of the wall before anything is touched"),
        );
        stage.run = None;
    }
}

/// Whether a lead end is plugged with the supplies already: mains on the board.
pub(super) fn is_plugged(design: &Design, lead: &Lead, port: &PortRef) -> bool {
    lead.class == LeadClass::Mains && !is_beside(design, port)
}

/// Whether a lead end waits until the whole board is tested: mains at the wall.
pub(super) fn is_wall(design: &Design, lead: &Lead, port: &PortRef) -> bool {
    lead.class == LeadClass::Mains && is_beside(design, port)
}
