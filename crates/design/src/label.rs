//! Every label of a rig: both ends of each lead, devices, outlets, jacks of the panel.

use quantity::Length;
use rig::geometry::EndKind;
use rig::{Device, Known, LeadClass, LeadShape, Nature, Outlet, PortRef, Role, Sign};

use crate::{Design, Lead, LeadEndAt, Making, feed_state};

/// What a label is stuck to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LabelKind {
    /// Around one end of a lead.
    LeadEnd,
    /// On a device.
    Device,
    /// Beside an outlet of a brick.
    Outlet,
    /// Beside a jack of a panel.
    Jack,
}

/// One label.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// What it is stuck to.
    pub kind: LabelKind,
    /// What it belongs to: a lead's number, a device's tag, a port.
    pub of: String,
    /// Its lines, the largest first.
    pub lines: Vec<String>,
    /// The thickness of the cable it goes around.
    pub around: Known<Length>,
}

/// Every label in the order of the build: leads in pairs, both ends one after the other, then the rest.
///
/// Leads that the player brings carry none.
pub fn labels(design: &Design) -> Vec<Label> {
    let rig = &design.rig;
    let mut out = Vec::new();
    for lead in design.leads.iter().filter(|lead| lead.making != Making::Theirs) {
        let around = lead.cable.as_ref().map(|cable| cable.diameter).unwrap_or_default();
        for (leg, here) in lead.ends.iter().enumerate() {
            let mut lines = vec![lead.part(leg), here.port.to_string(), format!("→ {}", lead.others(leg))];
            if let Some(power) = power_words(design, lead, here) {
                lines.push(power);
            }
            out.push(Label { kind: LabelKind::LeadEnd, of: lead.tag.clone(), lines, around });
        }
    }
    for device in rig.devices.iter().filter(|device| !device.outside) {
        out.push(Label {
            kind: LabelKind::Device,
            of: device.tag.clone(),
            lines: vec![device.tag.clone(), device.title.clone()],
            around: Known::default(),
        });
    }
    for device in &rig.devices {
        for outlet in &device.outlets {
            let name = PortRef::new(&device.tag, &outlet.name);
            let load = design.outlets.iter().find(|load| load.outlet == name);
            let to = match load {
                Some(load) => format!("→ {}", load.devices.join(", ")),
                None => "spare: capped".to_owned(),
            };
            out.push(Label {
                kind: LabelKind::Outlet,
                of: name.to_string(),
                lines: vec![name.to_string(), outlet_words(device, outlet), to],
                around: Known::default(),
            });
        }
        if device.role == Role::Panel {
            for port in &device.ports {
                out.push(Label {
                    kind: LabelKind::Jack,
                    of: PortRef::new(&device.tag, &port.name).to_string(),
                    lines: vec![port.printed()],
                    around: Known::default(),
                });
            }
        }
    }
    out
}

/// What stands in place of volts that nobody knows.
const VOLTS_UNKNOWN: &str = "volts: find out";

/// Volts and sign of an outlet of a brick as set: `9 V c−`. Where the standard of its connector settles the polarity, the
/// volts alone.
pub fn outlet_words(brick: &Device, outlet: &Outlet) -> String {
    let Some(volts) = outlet.set.value.map(|volts| volts.to_string()) else {
        return VOLTS_UNKNOWN.to_owned();
    };
    if brick.is_sign_settled(outlet) {
        return volts;
    }
    format!("{volts} {}", sign_word(outlet.nature.value, outlet.sign.value))
}

/// What a supply lead brings at one of its ends, for its label: what its outlet gives there, or what arrives at a device.
fn power_words(design: &Design, lead: &Lead, end: &LeadEndAt) -> Option<String> {
    if lead.run.is_some() || !lead.class.is_supply() {
        return None;
    }
    let words = match end.kind {
        EndKind::From => {
            let brick = design.rig.device(&end.port.device)?;
            let fed = || lead.ends.iter().find(|end| end.kind == EndKind::To);
            match brick.outlet(&end.port.port) {
                Some(outlet) => Some(outlet_words(brick, outlet)),
                // In a socket sits the adaptor: what its lead carries is what must be known at both ends of it.
                None => design.rig.device(&fed()?.port.device).and_then(own_words),
            }
        }
        EndKind::To => arriving_words(design, lead, end),
    };
    match (words, tag_words(design, lead)) {
        (Some(words), Some(special)) if special != "AC" => Some(format!("{words} {special}")),
        (words, _) => words,
    }
}

/// Volts and polarity at a device's end of its lead: `24 V c−`, the sum of a series pair.
fn arriving_words(design: &Design, lead: &Lead, end: &LeadEndAt) -> Option<String> {
    let device = design.rig.device(&end.port.device)?;
    // What an adaptor gives is what its device wants, unless it is written as a unit with an outlet.
    let is_known =
        |at: &rig::PortRef| design.rig.device(&at.device).is_some_and(|unit| unit.outlet(&at.port).is_some());
    let own = device
        .feed
        .as_ref()
        .is_some_and(|feed| feed.kind == rig::FeedKind::Adaptor && !feed.outlets.iter().any(is_known));
    let Some(state) = feed_state(&design.rig, device).filter(|_| !own) else {
        return own_words(device);
    };
    let Some(volts) = state.volts.value.map(|volts| volts.to_string()) else {
        return Some(VOLTS_UNKNOWN.to_owned());
    };
    if state.is_settled {
        return Some(volts);
    }
    let nature = (lead.class == LeadClass::Ac).then_some(Nature::Ac);
    Some(format!("{volts} {}", sign_word(nature, state.sign.value)))
}

/// What a device's own adaptor gives: what the device wants, as its maker prints it.
fn own_words(device: &Device) -> Option<String> {
    let power = &device.power;
    if power.nature.value == Some(Nature::Mains) {
        // A brick says what its adaptor takes from the wall, not what the adaptor makes of it.
        return Some("own adaptor".to_owned());
    }
    Some(format!("{} {}, own adaptor", power.volts.value?, sign_word(power.nature.value, power.sign.value)))
}

/// `c−`, or `AC` where no sign means anything.
fn sign_word(nature: Option<Nature>, sign: Option<Sign>) -> &'static str {
    match (nature, sign) {
        (Some(Nature::Ac), _) => "AC",
        (_, Some(Sign::CentreNegative)) => "c−",
        (_, Some(Sign::CentrePositive)) => "c+",
        (_, None) => "c?",
    }
}

/// What every end of a supply lead must say because the lead would harm another device: that it crosses the
/// polarity, is a series pair, or carries AC. Nothing for every other lead.
pub fn tag_words(design: &Design, lead: &Lead) -> Option<String> {
    if lead.run.is_some() {
        return None;
    }
    let mut words = Vec::new();
    if lead.class == LeadClass::Ac {
        words.push("AC");
    }
    if lead.shape == LeadShape::SeriesPair {
        words.push("SERIES");
    }
    let feeds = lead
        .ends
        .iter()
        .filter(|end| end.kind == EndKind::To)
        .filter_map(|end| design.rig.device(&end.port.device).and_then(|device| device.feed.as_ref()));
    if feeds.into_iter().any(|feed| feed.crossing) {
        words.push("CROSSED");
    }
    (!words.is_empty()).then(|| words.join(" "))
}
