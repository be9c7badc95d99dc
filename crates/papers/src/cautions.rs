//! The usual cautions, where a design gives reason for them.

use design::Design;
use rig::{ConnectorFamily, FeedKind, LeadClass, Role};

use crate::block::Block;
use crate::text;

/// The cautions that this design gives reason for, in the order of harm.
pub(crate) fn cautions(design: &Design) -> Vec<&'static str> {
    let rig = &design.rig;
    let has_mains_port = rig.devices.iter().any(|device| {
        device.ports.iter().any(|port| {
            port.connector.as_ref().is_some_and(|connector| connector.family == ConnectorFamily::Mains)
        })
    });
    let has_adaptor = rig
        .devices
        .iter()
        .any(|device| device.feed.as_ref().is_some_and(|feed| feed.kind == FeedKind::Adaptor));
    let has_supply = rig
        .devices
        .iter()
        .any(|device| matches!(device.role, Role::Brick | Role::Strip) || !device.outlets.is_empty());
    let makes_leads = design.leads.iter().any(|lead| !lead.outside && lead.class != LeadClass::Mains);
    let mut out = Vec::new();
    if has_mains_port || has_adaptor || has_supply {
        out.push(text::CAUTION_MAINS);
    }
    if has_supply {
        out.push(text::CAUTION_HOT);
    }
    if makes_leads {
        out.push(text::CAUTION_SOLDER);
    }
    if rig.sinks.iter().any(|sink| sink.phantom.value == Some(true)) {
        out.push(text::CAUTION_PHANTOM);
    }
    if design.limits.one_person_look <= design.mass.cased {
        out.push(text::CAUTION_HEAVY);
    }
    out
}

/// The cautions in a box; nothing where there are none.
pub(crate) fn boxed(design: &Design) -> Option<Block> {
    let lines: Vec<String> = cautions(design).into_iter().map(str::to_owned).collect();
    (!lines.is_empty()).then(|| Block::Boxed(text::CAUTIONS.to_owned(), lines, 11.0))
}

/// The same for people who play the board and solder nothing.
pub(crate) fn for_players(design: &Design) -> Option<Block> {
    let all = cautions(design).into_iter().filter(|words| *words != text::CAUTION_SOLDER);
    let lines: Vec<String> = all.map(str::to_owned).collect();
    (!lines.is_empty()).then(|| Block::Boxed(text::CAUTIONS.to_owned(), lines, 11.0))
}

/// One caution in a box, where the design gives reason for it.
fn one(design: &Design, words: &'static str) -> Option<Block> {
    cautions(design)
        .contains(&words)
        .then(|| Block::Boxed(text::CAUTION.to_owned(), vec![words.to_owned()], 11.0))
}

/// The caution about soldering.
pub(crate) fn solder(design: &Design) -> Option<Block> {
    one(design, text::CAUTION_SOLDER)
}

/// The caution about hot supplies.
pub(crate) fn hot(design: &Design) -> Option<Block> {
    one(design, text::CAUTION_HOT)
}

/// The caution about lifting.
pub(crate) fn heavy(design: &Design) -> Option<Block> {
    one(design, text::CAUTION_HEAVY)
}

/// The caution about phantom power.
pub(crate) fn phantom(design: &Design) -> Option<Block> {
    one(design, text::CAUTION_PHANTOM)
}

/// The caution about mains.
pub(crate) fn mains(design: &Design) -> Option<Block> {
    one(design, text::CAUTION_MAINS)
}

/// The caution about mains on a page that shows leads or parts, where the board has any mains on it.
pub(crate) fn strip(design: &Design) -> Option<Block> {
    mains(design).filter(|_| has_mains(design))
}

/// The caution at the foot of each page of a board with mains on it.
pub(crate) fn foot(design: &Design) -> Option<&'static str> {
    has_mains(design).then_some(text::CAUTION_FOOT)
}

/// Whether mains comes onto the board: a strip, an adaptor, an inlet, or a lead of mains.
fn has_mains(design: &Design) -> bool {
    let rig = &design.rig;
    let shown = |device: &rig::Device| {
        let adaptor = device.feed.as_ref().is_some_and(|feed| feed.kind == FeedKind::Adaptor);
        let inlet = device.ports.iter().any(|port| {
            let family = port.connector.as_ref().map(|connector| connector.family);
            family == Some(ConnectorFamily::Mains) || port.role.value == Some(rig::PortRole::Mains)
        });
        adaptor || (!device.outside && (device.role == Role::Strip || inlet))
    };
    rig.devices.iter().any(shown) || design.leads.iter().any(|lead| lead.class == LeadClass::Mains)
}
