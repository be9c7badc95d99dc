//! Things of a design as papers name them: ends of leads, signs, amounts, lists.

use design::{Clocking, Design};
use quantity::Length;
use rig::{Device, FeedKind, Known, Nature, PortRef, Sign};

use crate::block::{Cell, cell, known};
use crate::text;

/// The ends of one kind of a lead, one after the other.
pub(crate) fn ends(design: &Design, lead: &design::Lead, kind: rig::geometry::EndKind) -> String {
    let ends = lead.side(kind);
    ends.map(|(_, end)| end_name(design, &end.port)).collect::<Vec<_>>().join(" + ")
}

/// A port as it is written, or the title of what stands outside.
pub(crate) fn end_name(design: &Design, port: &PortRef) -> String {
    let rig = &design.rig;
    rig.source(&port.device)
        .map(|source| source.title.as_str())
        .or_else(|| rig.sink(&port.device).map(|sink| sink.title.as_str()))
        .filter(|title| port.port.is_empty() && !title.is_empty())
        .map_or_else(|| port.to_string(), str::to_owned)
}

/// Whole millimetres; lengths of leads are not known finer.
pub(crate) fn millimetres(length: Known<Length>) -> Cell {
    known(length, |length| length.figure_mm(0))
}

/// Millimetres with tenths, for what is drilled.
pub(crate) fn tenths(length: Known<Length>) -> Cell {
    known(length, |length| length.figure_mm(1))
}

/// How the second plug is turned against the first.
pub(crate) fn clocking(angle: Clocking) -> Cell {
    match angle {
        Clocking::Turned(degrees) => cell(format!("{degrees}° {}", text::turned(degrees))),
        Clocking::Free => cell(text::DASH),
        Clocking::Open => cell(text::UNKNOWN),
    }
}

/// A sign in few letters.
pub(crate) fn sign(nature: Option<Nature>, sign: Option<Sign>) -> &'static str {
    match (nature, sign) {
        (Some(Nature::Ac), _) => text::SIGN_AC,
        (_, Some(Sign::CentreNegative)) => text::SIGN_NEGATIVE,
        (_, Some(Sign::CentrePositive)) => text::SIGN_POSITIVE,
        (_, None) => text::SIGN_UNKNOWN,
    }
}

/// Warnings of a device's supply: what else would harm it.
pub(crate) fn never(design: &Design, device: &Device) -> Option<String> {
    let feed = device.feed.as_ref()?;
    let power = &device.power;
    let high;
    let mut why = Vec::new();
    if power.nature.value == Some(Nature::Ac) {
        why.push(text::NEVER_DC);
        why.push(text::NEVER_ELSEWHERE);
    }
    if power.sign.value == Some(Sign::CentrePositive) {
        why.push(text::NEVER_NEGATIVE);
    }
    if power.positive_ground.value == Some(true) {
        why.push(text::NEVER_SHARED);
    }
    let is_low = power.volts.value.is_some_and(|window| window.high().get() < 9.0);
    if is_low {
        why.push(text::NEVER_NINE);
    }
    if feed.kind == FeedKind::SeriesPair {
        why.push(text::NEVER_SERIES);
    }
    if feed.crossing {
        why.push(text::NEVER_UNCROSSED);
    }
    // An outlet set higher than the usual nine volts harms whatever else is plugged there.
    let set = feed
        .outlets
        .iter()
        .filter_map(|outlet| design.rig.device(&outlet.device)?.outlet(&outlet.port)?.set.value)
        .find(|volts| volts.get() > 9.5);
    if let Some(volts) = set.filter(|_| !matches!(feed.kind, FeedKind::Adaptor | FeedKind::SeriesPair)) {
        let on_it = |other: &&Device| {
            let mut theirs = other.feed.iter().flat_map(|feed| &feed.outlets);
            theirs.any(|outlet| feed.outlets.contains(outlet))
        };
        let tags: Vec<&str> =
            design.rig.devices.iter().filter(on_it).map(|other| other.tag.as_str()).collect();
        high = text::this_outlet_is(&volts.to_string(), &tags.join(" and "));
        why.push(&high);
    }
    if feed.kind == FeedKind::Adaptor {
        why.push(text::NEVER_OTHER_ADAPTOR);
    }
    if why.is_empty() {
        return None;
    }
    let outlets: Vec<String> = feed.outlets.iter().map(ToString::to_string).collect();
    Some(format!("{} ({}): {}", device.tag, outlets.join(" + "), why.join("; ")))
}

/// The mass as it travels; where some of it is not weighed, that is the least it can be.
pub(crate) fn travel_mass(design: &Design) -> Cell {
    let unknown = design.mass.items.iter().filter(|item| item.mass.is_unknown()).count();
    let assumed = design.mass.items.iter().any(|item| item.mass.is_assumed());
    let kilos = cell(design::travel_mass(&design.mass)).assumed(assumed);
    if unknown == 0 { kilos } else { kilos.line(text::masses_unknown(unknown)) }
}
