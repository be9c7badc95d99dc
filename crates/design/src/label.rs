//! Every label of a rig: both ends of each lead, devices, outlets, jacks of the panel.

use quantity::Length;
use rig::{FeedKind, Known, LeadClass, Outlet, PortRef, Role, Sign};

use crate::{Design, Lead, Making, making};

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
    for lead in design.leads.iter().filter(|lead| making(rig, lead) != Making::Theirs) {
        let around = lead.cable.as_ref().map(|cable| cable.diameter).unwrap_or_default();
        for (here, there) in [(&lead.from, &lead.to), (&lead.to, &lead.from)] {
            let mut lines = vec![lead.tag.clone(), here.port.to_string(), format!("→ {}", there.port)];
            if let Some(power) = power_words(design, lead) {
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
                lines: vec![name.to_string(), outlet_words(outlet), to],
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

/// Volts and sign of an outlet as set: `9 V c−`.
pub fn outlet_words(outlet: &Outlet) -> String {
    let volts = outlet.set.value.map_or_else(|| "? V".to_owned(), |volts| volts.to_string());
    let sign = match (outlet.nature.value, outlet.sign.value) {
        (Some(rig::Nature::Ac), _) => "AC",
        (_, Some(Sign::CentreNegative)) => "c−",
        (_, Some(Sign::CentrePositive)) => "c+",
        (_, None) => "c?",
    };
    format!("{volts} {sign}")
}

/// What a supply lead brings, for its label.
fn power_words(design: &Design, lead: &Lead) -> Option<String> {
    let powers = lead.class == LeadClass::Dc || lead.class == LeadClass::Mains;
    if lead.run.is_some() || !powers {
        return None;
    }
    let brick = design.rig.device(&lead.from.port.device)?;
    let outlet = outlet_words(brick.outlet(&lead.from.port.port)?);
    Some(match tag_words(design, lead) {
        Some(words) if words != "AC" => format!("{outlet} {words}"),
        _ => outlet,
    })
}

/// What both ends of a supply lead must say because the lead would harm another device: that it crosses the
/// sign, is half of a series pair, or carries AC. Nothing for every other lead.
pub fn tag_words(design: &Design, lead: &Lead) -> Option<String> {
    if lead.run.is_some() {
        return None;
    }
    let feed = design.rig.device(&lead.to.port.device)?.feed.as_ref()?;
    let outlet = design
        .rig
        .device(&lead.from.port.device)
        .and_then(|brick| brick.outlet(&lead.from.port.port))
        .filter(|outlet| outlet.nature.value != Some(rig::Nature::Mains));
    let mut words = Vec::new();
    if outlet.is_some_and(|outlet| outlet.nature.value == Some(rig::Nature::Ac)) {
        words.push("AC");
    }
    if feed.kind == FeedKind::SeriesPair {
        words.push("SERIES");
    }
    if feed.crossing {
        words.push("CROSSED");
    }
    (!words.is_empty()).then(|| words.join(" "))
}
