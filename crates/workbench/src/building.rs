//! How far the work order is: what is done and for which figures, and what keeps an act from being done.
//!
//! A tick holds for the figures that it was made for. Where one of them has changed since, the act is open again, and says
//! what it was done for.

use design::{Design, Lead, Step};
use quantity::{Length, LengthUnit};
use rig::Face;
use store::Tick;

use crate::pages::value::length;

/// Between the id of an act and the figures that it was ticked for.
const FOR: &str = " | ";
/// Between two figures, and between a name and its figure.
const AND: &str = ";";
const IS: &str = "=";

/// What an act was done for, or is to be done for: names with their figures.
pub(crate) type Figures = Vec<(String, String)>;

/// How an act stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Standing {
    Open,
    Done,
    /// It was done for other figures: name, what it was then, what it is now.
    Changed(Vec<(String, Option<String>, String)>),
}

/// Why an act cannot be done now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Bar {
    /// An act before it, by its place, stops all work and nobody has looked yet.
    Hold(usize),
    /// So many stops are open, and nobody may approve that.
    Stops(usize),
    /// Parts of leads that have no length to be cut to, each with the reason.
    Lengths(Vec<(String, String)>),
}

/// The work order with its ticks.
pub(crate) struct Order<'a> {
    pub(crate) steps: Vec<&'a Step>,
    pub(crate) standings: Vec<Standing>,
    design: &'a Design,
    stops: usize,
}

impl<'a> Order<'a> {
    /// The acts in their order, as they stand by these ticks. `stops` are open.
    pub(crate) fn new(design: &'a Design, steps: Vec<&'a Step>, ticks: &[Tick], stops: usize) -> Self {
        let standings = steps.iter().map(|step| standing(design, step, ticks)).collect();
        Self { steps, standings, design, stops }
    }

    pub(crate) fn is_done(&self, at: usize) -> bool {
        self.standings.get(at) == Some(&Standing::Done)
    }

    /// Where work goes on: the first act that is not done.
    pub(crate) fn next(&self) -> usize {
        self.standings.iter().position(|standing| *standing != Standing::Done).unwrap_or(0)
    }

    /// What keeps an act from being done; nothing where it is done or can be.
    pub(crate) fn bar(&self, at: usize) -> Option<Bar> {
        let step = self.steps.get(at).filter(|_| !self.is_done(at))?;
        if let Some(hold) = (0..at).find(|before| self.steps[*before].hold && !self.is_done(*before)) {
            return Some(Bar::Hold(hold));
        }
        if step.id == APPROVED && 0 < self.stops {
            return Some(Bar::Stops(self.stops));
        }
        let lacking = lacking(self.design, step);
        (!lacking.is_empty()).then_some(Bar::Lengths(lacking))
    }
}

/// The hold at which the player signs.
const APPROVED: &str = "hold:approved";

/// What of an act's ticks is to be taken back, and under which name it is ticked now.
pub(crate) fn mark(design: &Design, step: &Step) -> String {
    let figures = figures(design, step);
    if figures.is_empty() {
        return step.id.clone();
    }
    let plain = |text: &str| text.replace([';', '='], " ");
    let all: Vec<String> =
        figures.iter().map(|(name, figure)| format!("{}{IS}{}", plain(name), plain(figure))).collect();
    format!("{}{FOR}{}", step.id, all.join(AND))
}

/// The ticks of an act, whatever they were made for.
pub(crate) fn ticks_of<'t>(step: &'t Step, ticks: &'t [Tick]) -> impl Iterator<Item = &'t Tick> {
    let is_of = |tick: &&Tick| {
        tick.step.strip_prefix(&step.id).is_some_and(|rest| rest.is_empty() || rest.starts_with(FOR))
    };
    ticks.iter().filter(move |tick| tick.done && is_of(tick))
}

fn standing(design: &Design, step: &Step, ticks: &[Tick]) -> Standing {
    let Some(last) = ticks_of(step, ticks).max_by(|a, b| a.at.cmp(&b.at)) else { return Standing::Open };
    // A tick without figures says nothing of them.
    let Some(then) = last.step[step.id.len()..].strip_prefix(FOR) else { return Standing::Done };
    let then: Vec<(&str, &str)> = then.split(AND).filter_map(|one| one.split_once(IS)).collect();
    let changed: Vec<_> = figures(design, step)
        .into_iter()
        .filter_map(|(name, now)| {
            let was = then.iter().find(|(known, _)| *known == name).map(|(_, was)| (*was).to_owned());
            (was.as_ref() != Some(&now)).then_some((name, was, now))
        })
        .collect();
    if changed.is_empty() { Standing::Done } else { Standing::Changed(changed) }
}

/// The figures that an act rests on: lengths of its leads, the place of what is set down, the holes of a plate.
fn figures(design: &Design, step: &Step) -> Figures {
    let mut out = Figures::new();
    for lead in leads_of(design, step) {
        out.extend(parts(lead).into_iter().filter_map(|(part, cut)| Some((part, cut?.to_string()))));
    }
    let (verb, of) = step.id.split_once(':').unwrap_or((step.id.as_str(), ""));
    let place = step.device.as_ref().filter(|_| verb == "fix");
    if let Some(place) = place.and_then(|tag| design.rig.device(tag)?.place.as_ref()) {
        let under = if place.under { ", under it" } else { "" };
        let turn = 90 * u32::from(place.quarters);
        out.push((format!("{of}, deck"), format!("{}, turned {turn}°{under}", place.deck)));
        out.push((format!("{of}, from the left"), place.x.to_string()));
        out.push((format!("{of}, from the front"), place.y.to_string()));
    }
    if PLATE.contains(&verb) {
        let face = |face: Face| face.word();
        let plates = design::plates(design);
        let own = plates.iter().filter(|plate| format!("{}:{}", plate.panel, face(plate.face)) == of);
        for hole in own.flat_map(|plate| &plate.holes) {
            let said = |value: rig::Known<Length>| value.value.map(|value| value.to_string());
            let figures = [("right", hole.x), ("up", hole.y), ("wide", hole.diameter)];
            out.extend(
                figures
                    .into_iter()
                    .filter_map(|(what, value)| Some((format!("{}, {what}", hole.port), said(value)?))),
            );
        }
    }
    out
}

/// Acts on a plate that follow its holes.
const PLATE: &[&str] = &["glue", "punch", "drill", "jacks"];

fn leads_of<'a>(design: &'a Design, step: &'a Step) -> impl Iterator<Item = &'a Lead> {
    step.leads.iter().filter_map(|tag| design.leads.iter().find(|lead| lead.tag == *tag))
}

/// The parts of a lead that are cut one by one, each with its length.
pub(crate) fn parts(lead: &Lead) -> Vec<(String, Option<Length>)> {
    let of = |leg: usize| lead.legs.get(leg).map_or(lead.cut, |leg| leg.cut).value;
    lead.parts().into_iter().enumerate().map(|(leg, part)| (part, of(leg))).collect()
}

/// What an act cuts and cannot: parts without a length, each with what is missing.
fn lacking(design: &Design, step: &Step) -> Vec<(String, String)> {
    if !step.id.starts_with("cut:") {
        return Vec::new();
    }
    let without = |lead: &Lead| {
        let open = parts(lead).into_iter().filter(|(_, cut)| cut.is_none());
        open.map(|(part, _)| (part, missing(design, lead))).collect::<Vec<_>>()
    };
    leads_of(design, step).flat_map(without).collect()
}

/// Why a lead has no length.
fn missing(design: &Design, lead: &Lead) -> String {
    let mut fields: Vec<String> = Vec::new();
    for end in &lead.ends {
        let tag = &end.port.device;
        let Some(device) = design.rig.device(tag) else { continue };
        if device.place.is_none() {
            fields.push(format!("place of {tag}"));
        }
        if device.size.is_unknown() {
            fields.push(format!("size of {tag}"));
        }
        if let Some(port) = device.port(&end.port.port) {
            let of =
                |key: &str| finding::Field::of("device", tag, "port").below(&port.name).below(key).words();
            let open = [
                ("face", port.face.is_unknown()),
                ("offset", port.offset.is_unknown()),
                ("height", port.height.is_unknown()),
            ];
            fields.extend(open.into_iter().filter(|(_, is_open)| *is_open).map(|(key, _)| of(key)));
        }
    }
    if fields.is_empty() {
        let routes = design.is_laid().then(|| design.routes());
        let why =
            routes.and_then(|routes| crate::laid::why_not(routes, &lead.tag)).unwrap_or("it is not laid");
        return why.to_owned();
    }
    fields.dedup();
    format!("{} missing", fields.join(", "))
}

/// A figure as the page shows it.
pub(crate) fn shown(figure: &str, unit: LengthUnit) -> String {
    match figure.parse::<Length>() {
        Ok(value) => {
            let (figure, unit) = length(value, unit);
            format!("{figure} {unit}")
        }
        Err(_) => figure.to_owned(),
    }
}

/// What an act was done for and is to be done for now, in words.
pub(crate) fn changed_words(changed: &[(String, Option<String>, String)], unit: LengthUnit) -> Vec<String> {
    let words = |(name, was, now): &(String, Option<String>, String)| match was {
        Some(was) => format!("{name}: done at {}, now {}", shown(was, unit), shown(now, unit)),
        None => format!("{name}: new, {}", shown(now, unit)),
    };
    changed.iter().map(words).collect()
}
