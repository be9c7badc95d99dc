//! Things of a design as papers name them: ends of leads, signs, amounts, lists.

use design::{Clocking, Design};
use finding::{Finding, Severity};
use quantity::Length;
use rig::{Device, FeedKind, Known, Nature, PortRef, Sign};

use crate::block::{Cell, cell, clock_file, known};
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

/// The same in few letters, with its picture.
pub(crate) fn turn(angle: Clocking) -> Cell {
    match angle {
        Clocking::Turned(degrees) => cell(format!("{degrees}°")).picture(clock_file(degrees)),
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

/// What must never be done with the supplies, in plain sentences with the reason: for each outlet, lead and adaptor that
/// would harm something.
pub(crate) fn never(design: &Design) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for device in &design.rig.devices {
        for words in never_with(design, device) {
            if !out.contains(&words) {
                out.push(words);
            }
        }
    }
    out
}

/// What is usual: more than this harms a device that is made for nine volts.
const USUAL_VOLTS: f64 = 9.5;

fn never_with(design: &Design, device: &Device) -> Vec<String> {
    let Some(feed) = &device.feed else { return Vec::new() };
    let power = &device.power;
    let name = device.tag.as_str();
    let leads: Vec<&str> =
        design.leads.iter().filter(|lead| lead.feeds(name)).map(|lead| lead.tag.as_str()).collect();
    let lead = if leads.is_empty() { text::ITS_LEAD.to_owned() } else { leads.join(" and ") };
    let outlets = feed.outlets.iter().map(ToString::to_string).collect::<Vec<_>>().join(" and ");
    let state = design::feed_state(&design.rig, device);
    let is_own = feed.kind == FeedKind::Adaptor && state.is_none();
    let is_ac = power.nature.value == Some(Nature::Ac);
    let volts = state.and_then(|state| state.volts.value);
    let mut out = Vec::new();
    match (is_own, is_ac) {
        (true, true) => out.push(text::never_other_ac(name)),
        (true, false) => out.push(text::never_other_adaptor(name)),
        (false, true) => out.push(text::never_ac(&lead, name)),
        (false, false) => {}
    }
    if feed.kind == FeedKind::SeriesPair {
        let volts = volts.map_or_else(|| text::BOTH_VOLTS.to_owned(), |volts| volts.to_string());
        out.push(text::never_series(&lead, &volts, &outlets, name));
    } else if let Some(volts) = volts.filter(|volts| USUAL_VOLTS < volts.get() && !is_ac) {
        let on_it = |other: &&Device| {
            let mut theirs = other.feed.iter().flat_map(|feed| &feed.outlets);
            theirs.any(|outlet| feed.outlets.contains(outlet))
        };
        let tags: Vec<&str> =
            design.rig.devices.iter().filter(on_it).map(|other| other.tag.as_str()).collect();
        out.push(text::never_high(&outlets, &volts.to_string(), &tags.join(" and ")));
    }
    if power.sign.value == Some(Sign::CentrePositive) && !is_own {
        out.push(text::never_positive(&lead, name));
    }
    if feed.crossing {
        out.push(text::never_crossed(&lead, name));
    }
    if power.positive_ground.value == Some(true) {
        out.push(text::never_shared(name));
    }
    if let Some(high) = power.volts.value.map(quantity::Window::high).filter(|high| high.get() < 9.0) {
        out.push(text::never_more(name, &high.to_string()));
    }
    out
}

/// The mass without the case; where some of it is not weighed, that is the least it can be, and nothing where nothing is.
pub(crate) fn bare_mass(design: &Design) -> Cell {
    mass_of(design, &design.mass.items[..design.mass.items.len() - cases(design)], design.mass.bare)
}

/// The same as it travels.
pub(crate) fn travel_mass(design: &Design) -> Cell {
    mass_of(design, &design.mass.items, design.mass.cased)
}

/// How many of the masses are the case's: it stands last.
fn cases(design: &Design) -> usize {
    usize::from(design.rig.board.case.is_some())
}

fn mass_of(_: &Design, items: &[design::MassItem], sum: quantity::Grams) -> Cell {
    let unknown = items.iter().filter(|item| item.mass.is_unknown()).count();
    if unknown == items.len() {
        return cell(text::DASH).line(text::NOTHING_WEIGHED);
    }
    let assumed = items.iter().any(|item| item.mass.is_assumed());
    let least = if unknown == 0 { "" } else { "≥ " };
    let kilos = cell(format!("{least}{:.1} kg", sum.get() / 1000.0)).assumed(assumed);
    if unknown == 0 { kilos } else { kilos.line(text::masses_unknown(unknown)) }
}

/// How many outlets of low voltage are used on the board, and how many there are.
pub(crate) fn outlets_used(design: &Design) -> (usize, usize) {
    let all: Vec<PortRef> = design
        .rig
        .devices
        .iter()
        .flat_map(|device| device.outlets.iter().map(move |outlet| (device, outlet)))
        .filter(|(_, outlet)| outlet.nature.value != Some(Nature::Mains))
        .map(|(device, outlet)| PortRef::new(&device.tag, &outlet.name))
        .collect();
    let used = design.outlets.iter().filter(|load| all.contains(&load.outlet)).count();
    (used, all.len())
}

/// How many findings are open: one count for every paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct OpenFindings {
    pub(crate) stops: usize,
    pub(crate) looks: usize,
    pub(crate) notes: usize,
    /// Those that could not be checked; they are in none of the others.
    pub(crate) unchecked: usize,
    /// Those that somebody answers for.
    pub(crate) answered: usize,
}

impl OpenFindings {
    pub(crate) fn of(findings: &[Finding]) -> Self {
        let open = |severity: Severity| {
            let is_open = |finding: &&Finding| {
                finding.severity == severity && finding.accepted.is_none() && !finding.is_unchecked()
            };
            findings.iter().filter(is_open).count()
        };
        Self {
            stops: open(Severity::Stop),
            looks: open(Severity::Look),
            notes: open(Severity::Note),
            unchecked: findings.iter().filter(|f| f.is_unchecked() && f.accepted.is_none()).count(),
            answered: findings.iter().filter(|finding| finding.accepted.is_some()).count(),
        }
    }
}
