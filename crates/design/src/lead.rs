//! Every lead of the rig, with a straight-line estimate of its length until it is laid.

use std::collections::BTreeSet;

use quantity::Length;
use rig::geometry::{EndKind, LeadEnd, lead_ends, port_point};
use rig::{Cable, FLOOR, Known, LeadClass, Limits, PlugSpec, PortRef, Provenance, Rig};

/// How much longer than the straight line a laid lead comes out: along the axes instead of across,
/// at most √2 in the plane (geometry), rounded up for bends (common practice, no source).
pub const PULL: f64 = 1.5;

/// One end of a lead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeadEndAt {
    /// The port, or the source or sink outside.
    pub port: PortRef,
    /// Plug and exit as the document states them; open parts are `None`.
    pub plug: PlugSpec,
    /// Whether this end is soldered behind a panel jack.
    pub soldered: bool,
}

/// One made-up lead.
#[derive(Debug, Clone, PartialEq)]
pub struct Lead {
    /// Its number on labels: written in the document, else counted (`L01`, DC `D01`, control `K01`,
    /// mains `M01`).
    pub tag: String,
    /// The run it belongs to; `None` for a power lead.
    pub run: Option<String>,
    /// What it carries.
    pub class: LeadClass,
    /// Where it comes from.
    pub from: LeadEndAt,
    /// Where it goes to.
    pub to: LeadEndAt,
    /// Its cable, when stated.
    pub cable: Option<Cable>,
    /// Straight line between the two ports; unknown when one has no place.
    pub straight: Known<Length>,
    /// What its way and its plugs take up, without slack: the straight line, or the route when it is laid.
    pub least: Known<Length>,
    /// What its way needs, plugs and slack included: *assumed* when estimated from the straight line.
    pub needed: Known<Length>,
    /// Cut length: that of the document when the lead is made, else what is needed.
    pub cut: Known<Length>,
    /// Tie points that it passes over, in the board's frame.
    pub ties: Vec<[Length; 2]>,
    /// Extra cable that stays beside it.
    pub service: Option<Length>,
    /// Whether it is made already: the document says what it was cut to.
    pub made: bool,
    /// Whether its lengths follow its route.
    pub laid: bool,
    /// Whether it is the player's own lead from outside (guitar, amp, desk), not made here.
    pub outside: bool,
}

/// Lists every lead in document order: runs first, then feeds.
pub(crate) fn leads(rig: &Rig, limits: &Limits) -> Vec<Lead> {
    let mut out = Vec::new();
    let ends = lead_ends(rig);
    for run in &rig.runs {
        for (from, to) in run.steps() {
            let spec = rig.leads.iter().find(|lead| lead.from == *from && lead.to == *to);
            let stated = spec.and_then(|s| s.cable.clone());
            let cable = match (stated, outside_cable(rig, from, to)) {
                (Some(cable), _) => Some(cable),
                // The client's own lead; what it is made of may be unknown, but it is not ours.
                (None, Outside::Theirs(cable)) => cable,
                (None, Outside::Ours) => run.cable.clone(),
            };
            out.push(lead(rig, limits, &ends, run.carries.class(), Some(run.name.clone()), from, to, cable));
        }
    }
    for end in ends.iter().filter(|end| end.end == EndKind::To && is_power(rig, end)) {
        let spec = rig.leads.iter().find(|lead| lead.from == end.other && lead.to == end.port);
        let cable = spec.and_then(|s| s.cable.clone()).or_else(|| rig.cables.get(&end.class).cloned());
        out.push(lead(rig, limits, &ends, end.class, None, &end.other, &end.port, cable));
    }
    number(&mut out);
    out
}

fn is_power(rig: &Rig, end: &LeadEnd) -> bool {
    rig.port(&end.port).is_some_and(|port| port.role.value == Some(rig::PortRole::Power))
}

/// Whose lead it is.
enum Outside {
    /// One that a source or sink brings, with its cable when that is known.
    Theirs(Option<Cable>),
    /// One made here.
    Ours,
}

fn outside_cable(rig: &Rig, from: &PortRef, to: &PortRef) -> Outside {
    let source = rig.source(&from.device).filter(|_| from.port.is_empty());
    let sink = rig.sink(&to.device).filter(|_| to.port.is_empty());
    match (source, sink) {
        (Some(source), _) => Outside::Theirs(source.cable.clone()),
        (None, Some(sink)) => Outside::Theirs(sink.cable.clone()),
        (None, None) => Outside::Ours,
    }
}

#[expect(clippy::too_many_arguments, reason = "one call per lead, all of it needed")]
fn lead(
    rig: &Rig,
    limits: &Limits,
    ends: &[LeadEnd],
    class: LeadClass,
    run: Option<String>,
    from: &PortRef,
    to: &PortRef,
    cable: Option<Cable>,
) -> Lead {
    let at = |port: &PortRef, other: &PortRef, kind: EndKind| {
        let end = ends.iter().find(|end| end.port == *port && end.other == *other && end.end == kind);
        LeadEndAt {
            port: port.clone(),
            plug: end.map(|end| end.plug.clone()).unwrap_or_default(),
            soldered: end.is_some_and(|end| end.inner),
        }
    };
    let (from_end, to_end) = (at(from, to, EndKind::From), at(to, from, EndKind::To));
    let outside_length = rig
        .source(&from.device)
        .filter(|_| from.port.is_empty())
        .map(|source| source.lead)
        .or_else(|| rig.sink(&to.device).filter(|_| to.port.is_empty()).map(|sink| sink.lead));
    let outside = outside_length.is_some()
        || [from, to].iter().any(|port| rig.device(&port.device).is_some_and(|device| device.outside));
    let spec = rig.leads.iter().find(|lead| lead.from == *from && lead.to == *to);
    let straight = straight(rig, from, to);
    let made = spec.is_some_and(|spec| spec.cut.is_some());
    let least = least(straight, &from_end, &to_end);
    let service = spec.and_then(|spec| spec.service).unwrap_or(Length::ZERO);
    let needed = estimate(limits, straight, &from_end, &to_end, service);
    let cut = match (spec.and_then(|s| s.cut), outside_length) {
        (Some(cut), _) => Known::new(cut, Provenance::Measured),
        (None, Some(length)) => length,
        (None, None) => needed,
    };
    Lead {
        tag: spec.and_then(|s| s.tag.clone()).unwrap_or_default(),
        run,
        class,
        from: from_end,
        to: to_end,
        cable,
        straight,
        least,
        needed,
        cut,
        ties: spec.map(|s| s.ties.clone()).unwrap_or_default(),
        service: spec.and_then(|s| s.service),
        made,
        laid: false,
        outside,
    }
}

fn straight(rig: &Rig, from: &PortRef, to: &PortRef) -> Known<Length> {
    let point = |port: &PortRef| port_point(rig, rig.device(&port.device)?, &port.port);
    let (Some(a), Some(b)) = (point(from), point(to)) else { return Known::default() };
    let square: f64 = (0..3).map(|axis| (a[axis] - b[axis]).as_mm()).map(|d| d * d).sum();
    let on_floor = [from, to].iter().any(|port| {
        rig.device(&port.device).and_then(|d| d.place.as_ref()).is_some_and(|place| place.deck == FLOOR)
    });
    let from = if on_floor { Provenance::Assumed } else { Provenance::Measured };
    Known::new(Length::of_mm(square.sqrt()), from)
}

/// Straight line times [`PULL`], plus the cable used up inside each plug, plus slack, rounded up.
fn estimate(
    limits: &Limits,
    straight: Known<Length>,
    from: &LeadEndAt,
    to: &LeadEndAt,
    service: Length,
) -> Known<Length> {
    let Some(straight) = straight.value else { return Known::default() };
    let way = Length::of_mm(straight.as_mm() * PULL);
    let slack = limits.plug_allowance_least.max(Length::of_mm(way.as_mm() * limits.slack_share.get()));
    let whole = way + allowance(from) + allowance(to) + slack + service;
    Known::new(round_up(whole, limits.cut_rounding), Provenance::Assumed)
}

fn allowance(end: &LeadEndAt) -> Length {
    end.plug.plug.as_ref().and_then(|plug| plug.allowance.value).unwrap_or(Length::ZERO)
}

fn least(straight: Known<Length>, from: &LeadEndAt, to: &LeadEndAt) -> Known<Length> {
    match straight.value {
        Some(value) => Known::new(value + allowance(from) + allowance(to), straight.from),
        None => Known::default(),
    }
}

fn round_up(length: Length, step: Length) -> Length {
    if step <= Length::ZERO {
        return length;
    }
    let steps = (length.nm() + step.nm() - 1).div_euclid(step.nm());
    Length::from_nm(steps.saturating_mul(step.nm()))
}

/// Gives a number to each lead that has none written, skipping those that are taken.
fn number(leads: &mut [Lead]) {
    let taken: BTreeSet<String> = leads.iter().map(|lead| lead.tag.clone()).collect();
    for (class, letter) in
        [(LeadClass::Signal, 'L'), (LeadClass::Dc, 'D'), (LeadClass::Control, 'K'), (LeadClass::Mains, 'M')]
    {
        let mut next = 1;
        for lead in leads.iter_mut().filter(|lead| lead.class == class && lead.tag.is_empty()) {
            let tag = loop {
                let tag = format!("{letter}{next:02}");
                next += 1;
                if !taken.contains(&tag) {
                    break tag;
                }
            };
            lead.tag = tag;
        }
    }
}
