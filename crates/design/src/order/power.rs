//! Mains and supplies in the work order: what is laid and plugged while the wall is far, and when it is switched on.

use rig::{Device, LeadClass, PortRef, Role};

use super::stage::{Stage, names};
use crate::{Design, Lead, Making, outlet_words};

pub(super) fn mains(design: &Design) -> Stage {
    let mut stage = Stage::new("mains", "Mains: ready-made, approved units only");
    for device in design.rig.devices.iter().filter(|device| device.role == Role::Strip && !device.outside) {
        let step = stage.act(format!("fix:{}", device.tag), 10, format!("Fix {}, unplugged", device.tag));
        step.device = Some(device.tag.clone());
    }
    for device in &design.rig.devices {
        own_adaptor(design, device, &mut stage);
    }
    for (sockets, by) in crate::kept_free(design) {
        let names: Vec<String> = sockets.iter().map(|socket| socket.at.to_string()).collect();
        let by: Vec<String> = by.iter().map(ToString::to_string).collect();
        let text = format!("Keep {} empty: covered by {}", names.join(", "), by.join(" and "));
        stage.act(format!("keep:{}", names[0]), 1, text);
    }
    for lead in design.leads.iter().filter(|lead| !lead.through.is_empty()) {
        let text = format!(
            "Pass {} {}, pull relief tight; a moulded plug wants a divided gland, refitting one is for a competent \
             person (licensed where required)",
            lead.tag,
            lead.through_words()
        );
        stage.act(format!("pass:{}", lead.tag), 10, text).leads = vec![lead.tag.clone()];
    }
    let bought: Vec<&str> = design
        .leads
        .iter()
        .filter(|lead| lead.making == Making::Bought)
        .map(|lead| lead.tag.as_str())
        .collect();
    for tag in &bought {
        let step =
            stage.act(format!("lay:{tag}"), 5, format!("Lay {tag}, tie it; nothing plugged to the wall"));
        step.leads = vec![(*tag).to_owned()];
    }
    stage
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
        stage.act(format!("shorten:{tag}"), 15, text).device = Some(tag.clone());
    }
    let text = format!("Put the adaptor of {tag} into {socket}{lies}{held}; nothing plugged to the wall");
    stage.act(format!("adaptor:{tag}"), 5, text).device = Some(tag.clone());
}

pub(super) fn supplies(design: &Design) -> Stage {
    let mut stage = Stage::new("supplies", "Supplies");
    for device in design.rig.devices.iter().filter(|device| device.role == Role::Brick && !device.outside) {
        let step = stage.act(format!("fix:{}", device.tag), 10, format!("Fix {}", device.tag));
        step.device = Some(device.tag.clone());
        if device.place.as_ref().is_some_and(|place| place.under) {
            step.at_hand = names(&["bracket", "screws"]);
        }
        for outlet in device.outlets.iter().filter(|outlet| outlet.settings.len() > 1) {
            let port = PortRef::new(&device.tag, &outlet.name);
            if design.outlets.iter().any(|load| load.outlet == port) {
                let id = format!("set:{port}");
                let text = format!("Set {port} to {}; photograph, tape over", outlet_words(device, outlet));
                stage.act(id, 2, text).device = Some(device.tag.clone());
            }
        }
    }
    for lead in on_board(design) {
        for end in lead.ends.iter().filter(|end| end.has_plug() && !is_beside(design, &end.port)) {
            let text = format!("Plug {} into {}; nothing plugged to the wall", lead.tag, end.port);
            stage.act(format!("plug:{}:{}", lead.tag, end.port), 1, text).leads = vec![lead.tag.clone()];
        }
    }
    if on(design).is_some() {
        let text = "Mains looked at and tested by a competent person (licensed where required)";
        stage.hold("hold:mains", 20, text);
    }
    if design.rig.devices.iter().any(|device| device.role == Role::Brick && !device.outside) {
        switch(design, &mut stage, "outlets", true);
        stage.hold("hold:outlets", 15, "Meter every outlet, volts and polarity, before any lead is plugged");
        switch(design, &mut stage, "outlets", false);
    }
    stage
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
    let walls: Vec<&str> = on_board(design)
        .filter(|lead| lead.ends.iter().any(|end| is_beside(design, &end.port)))
        .map(|lead| lead.tag.as_str())
        .collect();
    if !walls.is_empty() {
        return Some(walls.join(" and "));
    }
    let own = |device: &&Device| {
        device.feed.as_ref().is_some_and(|feed| feed.kind == rig::FeedKind::Adaptor) && !device.outside
    };
    let any = on_board(design).next().is_some() || design.rig.devices.iter().any(|device| own(&device));
    any.then(|| "the mains lead".to_owned())
}

/// Switches the board on for one act, or off again after it.
pub(super) fn switch(design: &Design, stage: &mut Stage, of: &str, is_on: bool) {
    let Some(leads) = on(design) else { return };
    if is_on {
        let text = format!(
            "Mains on: {leads} into the wall, through a residual-current device; hands off the wiring"
        );
        stage.act(format!("on:{of}"), 1, text);
    } else {
        stage.act(
            format!("off:{of}"),
            1,
            format!("Mains off: {leads} out of the wall before anything is touched"),
        );
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
