//! How far the work order is: what is done and for which figures, and what keeps an act from being done.
//!
//! A tick holds for the figures that it was made for. Where one of them has changed since, the act is open again, and says
//! what it was done for.

use design::{Building, Design, Lead, Step, Undo};
use quantity::{Length, LengthUnit};
use store::Tick;

use crate::pages::value::length;

/// Between the id of an act and the figures that it was ticked for.
const FOR: &str = " | ";
/// Between two figures, and between a name and its figure.
const AND: &str = ";";
const IS: &str = "=";

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
    pub(crate) building: &'a Building,
    pub(crate) steps: Vec<&'a Step>,
    pub(crate) standings: Vec<Standing>,
    /// The tick of each act that is done.
    pub(crate) done: Vec<Option<Tick>>,
    design: &'a Design,
    stops: usize,
}

impl<'a> Order<'a> {
    /// The acts in their order, as they stand by these ticks. `stops` are open.
    pub(crate) fn new(design: &'a Design, building: &'a Building, ticks: &[Tick], stops: usize) -> Self {
        let steps: Vec<&Step> = building.steps().collect();
        let standings: Vec<Standing> = steps.iter().map(|step| standing(step, ticks)).collect();
        let done = steps
            .iter()
            .zip(&standings)
            .map(|(step, standing)| last_of(step, ticks).filter(|_| *standing == Standing::Done).cloned())
            .collect();
        Self { building, steps, standings, done, design, stops }
    }

    pub(crate) fn is_done(&self, at: usize) -> bool {
        self.standings.get(at) == Some(&Standing::Done)
    }

    /// Where work goes on: the first act that is not done.
    pub(crate) fn next(&self) -> usize {
        self.standings.iter().position(|standing| *standing != Standing::Done).unwrap_or(0)
    }

    /// What keeps an act from being done; nothing where it is done or can be. A hold that is open holds all that rests on it.
    pub(crate) fn bar(&self, at: usize) -> Option<Bar> {
        let step = self.steps.get(at).filter(|_| !self.is_done(at))?;
        let rests = self.building.rests_on(at);
        if let Some(hold) =
            rests.iter().copied().find(|before| self.steps[*before].hold && !self.is_done(*before))
        {
            return Some(Bar::Hold(hold));
        }
        if step.id == APPROVED && 0 < self.stops {
            return Some(Bar::Stops(self.stops));
        }
        let lacking = lacking(self.design, step);
        (!lacking.is_empty()).then_some(Bar::Lengths(lacking))
    }

    /// What is done already and stands in the way of an act that is not: it comes off again first.
    pub(crate) fn to_undo(&self, at: usize) -> Vec<Undo> {
        if self.is_done(at) {
            return Vec::new();
        }
        // What was done for other figures stands there all the same.
        self.building.to_undo(at, |other| self.standings[other] != Standing::Open)
    }

    /// Minutes planned for what is done, and the minutes between its ticks, breaks left out; nothing before two are done.
    pub(crate) fn logged(&self) -> Option<(u32, u32)> {
        let mut times: Vec<(i64, u32)> = self
            .done
            .iter()
            .zip(&self.steps)
            .filter_map(|(tick, step)| Some((minute_of(&tick.as_ref()?.at)?, step.minutes)))
            .collect();
        times.sort_unstable();
        let worked = times.windows(2).filter_map(|two| {
            let took = two[1].0 - two[0].0;
            // The first after a break is nobody's guess: neither planned nor logged.
            (took <= BREAK).then_some((two[1].1, u32::try_from(took).unwrap_or(0)))
        });
        let (planned, logged, count) =
            worked.fold((0, 0, 0), |(a, b, count), (planned, took)| (a + planned, b + took, count + 1));
        (0 < count).then_some((planned, logged))
    }
}

/// Between two ticks that are farther apart, somebody was away: so many minutes.
const BREAK: i64 = 120;

/// Minutes of a time as the journal writes it, from some day on: `2026-03-02T14:05:00Z`.
fn minute_of(at: &str) -> Option<i64> {
    let (day, time) = at.split_once('T')?;
    let mut day = day.split('-').map(str::parse::<i64>);
    let (year, month, date) = (day.next()?.ok()?, day.next()?.ok()?, day.next()?.ok()?);
    let mut time = time.trim_end_matches('Z').split(':').map(str::parse::<i64>);
    let (hour, minute) = (time.next()?.ok()?, time.next()?.ok()?);
    // Days of the civil calendar, the year beginning in March.
    let (year, month) = if month <= 2 { (year - 1, month + 9) } else { (year, month - 3) };
    let days = 365 * year + year / 4 - year / 100 + year / 400 + (153 * month + 2) / 5 + date;
    Some((days * 24 + hour) * 60 + minute)
}

/// The time of day of a tick.
pub(crate) fn time_of(tick: &Tick) -> &str {
    tick.at.get(11..16).unwrap_or(&tick.at)
}

/// The hold at which the player signs.
const APPROVED: &str = "hold:approved";

/// What of an act's ticks is to be taken back, and under which name it is ticked now.
pub(crate) fn mark(step: &Step) -> String {
    let figures = &step.figures;
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

fn last_of<'t>(step: &'t Step, ticks: &'t [Tick]) -> Option<&'t Tick> {
    ticks_of(step, ticks).max_by(|a, b| a.at.cmp(&b.at))
}

fn standing(step: &Step, ticks: &[Tick]) -> Standing {
    let Some(last) = last_of(step, ticks) else { return Standing::Open };
    // A tick without figures says nothing of them.
    let Some(then) = last.step[step.id.len()..].strip_prefix(FOR) else { return Standing::Done };
    let then: Vec<(&str, &str)> = then.split(AND).filter_map(|one| one.split_once(IS)).collect();
    let plain = |text: &str| text.replace([';', '='], " ");
    let changed: Vec<_> = step
        .figures
        .iter()
        .filter_map(|(name, now)| {
            let was = then.iter().find(|(known, _)| *known == plain(name)).map(|(_, was)| (*was).to_owned());
            (was.as_deref() != Some(plain(now).as_str())).then(|| (name.clone(), was, now.clone()))
        })
        .collect();
    if changed.is_empty() { Standing::Done } else { Standing::Changed(changed) }
}

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
