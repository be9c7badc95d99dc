//! The judgement asked again with other values: the same rules as `check`, of a rig with something changed in it.

use std::collections::{BTreeMap, BTreeSet};

use design::{Design, Routes};
use finding::{Field, Finding, Severity};
use rig::{Limits, Rig};

use crate::values::{Unsure, put, restore, with};
use crate::visit::Acts;

/// One thing that is said: by which rule, of which devices and leads.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Case {
    pub(crate) rule: &'static str,
    pub(crate) devices: Vec<String>,
    pub(crate) leads: Vec<String>,
}

/// What is said, each with how bad it is and in which words.
pub(crate) type Said = BTreeMap<Case, (Severity, String)>;

/// What stands open in findings that were checked: stops and looks, case by case.
pub(crate) fn said(findings: &[Finding]) -> Said {
    let mut out = Said::new();
    let open = findings.iter().filter(|finding| finding.accepted.is_none() && !finding.is_unchecked());
    for finding in open {
        for case in finding.cases() {
            if case.answered || case.severity == Severity::Note {
                continue;
            }
            let key = Case { rule: finding.rule, devices: case.devices, leads: case.leads };
            let worst = out.entry(key).or_insert((case.severity, case.message.clone()));
            if case.severity < worst.0 {
                *worst = (case.severity, case.message);
            }
        }
    }
    out
}

/// The rules that ask what signal does in every state.
const BY_SIGNAL: &[&str] = &[
    "junction-loss",
    "chain-loss",
    "treble-loss",
    "polarity",
    "latency",
    "branch-level",
    "feedback-ring",
    "gain-sum",
    "input-level",
    "parallel-load",
    "mono-feed",
    "piezo-input",
    "volume-value",
    "bare-pickup",
    "switch-pop",
    "loom-level",
    "brief-wish",
    "earth-loop",
    "phantom",
    "field-distance",
    "shared-outlet",
];
/// The rules of room and of what stands in it.
const PLACED: &[&str] = &[
    "not-placed",
    "clearance",
    "board-parts",
    "board-edge",
    "case-foam",
    "clear-height",
    "lid-height",
    "service-port",
    "foot-room",
    "switch-distance",
    "row-distance",
    "field-distance",
    "aerial-distance",
    "passage-edge",
    "tipping",
    "panel-holes",
    "panel-nuts",
    "socket-covered",
    "plug-fit",
    "lead-short",
    "lead-long",
    "lead-over-edge",
    "fastening",
    "brief-wish",
    "supply-drop",
];
/// The rules of how leads lie, besides: of cable and plugs.
const LYING: &[&str] =
    &["lead-way", "lead-bend", "lead-apart", "passage-fill", "loom-level", "lead-cable", "lead-cores"];
/// The rules of what feeds what.
const FEEDING: &[&str] = &[
    "no-feed",
    "feed-conflict",
    "outlet-setting",
    "outlet-load",
    "brick-load",
    "supply-nature",
    "supply-voltage",
    "supply-sign",
    "crossing-lead",
    "supply-barrel",
    "pair",
    "shared-outlet",
    "unisolated-outlet",
    "positive-ground",
    "start-surge",
    "mains-voltage",
    "mains-frequency",
    "mains-plug",
    "supply-drop",
    "brick-heat",
    "loose-adaptor",
    "adaptor-lead",
    "earth-loop",
    "brief-wish",
    "gain-sum",
    "input-level",
    "port-unconnected",
];
/// The rules of what has to be carried.
const CARRIED: &[&str] = &["mass", "baggage-mass", "tipping", "fastening", "brief-wish"];

/// The rules that may read a value. What is left out is proved by a test that asks all rules.
fn readers(unsure: &Unsure) -> &'static [&'static str] {
    match (unsure.acts, unsure.key) {
        (Acts::Mass, _) => CARRIED,
        (Acts::Power, _) => FEEDING,
        (Acts::Space, _) => PLACED,
        (Acts::Lead, _) => &["supply-drop", "lead-short", "lead-long", "brief-wish"],
        (Acts::Signal, "signal.coil") => &["field-distance"],
        (Acts::Signal, "signal.aerial") => &["aerial-distance"],
        (Acts::Signal, "insulated" | "earthed") => &["earth-loop"],
        (Acts::Signal, "phantom" | "phantom_safe") => &["phantom", "earth-loop"],
        (Acts::Signal, "signal.tails") => &["tails-in-loop"],
        (Acts::Signal, "midi_jack") => &["midi-jack"],
        (Acts::Signal, "midi.omni") => &["midi-channel"],
        (Acts::Signal, "midi.gap") => &["midi-time"],
        (Acts::Signal, "wiper" | "track") => &["expression"],
        (Acts::Signal, "normal") => &["insert-open", "insert-swapped"],
        (Acts::Signal, _) => BY_SIGNAL,
    }
}

/// A rig with usual values for all that nobody knows, and all that follows from it.
pub(crate) struct Bench<'a> {
    pub(crate) rig: &'a Rig,
    pub(crate) limits: &'a Limits,
    pub(crate) design: Design,
    pub(crate) routes: Routes,
    pub(crate) said: Said,
    /// Lengths along the straight line, by which a change of length is told.
    straight: BTreeMap<String, f64>,
    feeds: BTreeMap<String, bool>,
    used_values: BTreeSet<Field>,
}

/// What is otherwise once values are others.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Changed {
    /// What is said then and not now, or worse than now.
    pub(crate) comes: Vec<(Case, Severity, String)>,
    /// What is said now and not then.
    pub(crate) goes: Vec<(Case, Severity, String)>,
    /// Leads whose length changes by more than their slack, in millimetres.
    pub(crate) cut: Vec<(String, f64)>,
    /// Devices that the best allocation feeds from elsewhere.
    pub(crate) fed: Vec<String>,
}

impl Changed {
    pub(crate) fn is_none(&self) -> bool {
        self.comes.is_empty() && self.goes.is_empty() && self.cut.is_empty() && self.fed.is_empty()
    }
}

impl<'a> Bench<'a> {
    pub(crate) fn new(rig: &'a Rig, limits: &'a Limits) -> Self {
        let plain = design::derive(rig.clone(), limits.clone());
        let straight = lengths(&plain);
        let design = plain.laid();
        let findings = checks::check_by(&design, &|_| true);
        let routes = design.routes().clone();
        let feeds = feeds(&design);
        let used_values = design.signal().assumed.iter().cloned().collect();
        Self { rig, limits, said: said(&findings), straight, routes, feeds, used_values, design }
    }

    /// Whether the signal engine reads a value, or one that changes what leads do to signal.
    fn signal_reads(&self, unsure: &Unsure) -> bool {
        let is_lead = matches!(unsure.key, "capacitance" | "capacitance_per_metre" | "lead");
        // The engine names what its response rests on; levels rest on these besides.
        let is_level = matches!(unsure.key, "signal.gain" | "signal.max_input" | "electrics.peak");
        unsure.acts == Acts::Signal && (is_lead || is_level || self.used_values.contains(&unsure.field))
    }

    /// Whether asking about it asks what signal does in every state, which takes long.
    pub(crate) fn is_slow(&self, unsure: &Unsure) -> bool {
        self.signal_reads(unsure) || unsure.key == "level"
    }

    /// Whether two values may be dangerous together: draws from one brick, sides of bodies beside one another, masses.
    pub(crate) fn is_pair(&self, a: &Unsure, b: &Unsure) -> bool {
        let (Some(one), Some(other)) = (&a.device, &b.device) else { return false };
        if one == other || a.acts != b.acts {
            return false;
        }
        match (a.acts, a.key, b.key) {
            (Acts::Mass, _, _) => true,
            (Acts::Power, "power.current", "power.current") => {
                let brick = |tag: &str| {
                    self.rig.device(tag)?.feed.as_ref()?.outlets.first().map(|outlet| outlet.device.clone())
                };
                brick(one).is_some() && brick(one) == brick(other)
            }
            (Acts::Space, "size.width" | "size.depth", "size.width" | "size.depth") => {
                let at = |tag: &str| {
                    let device = self.rig.device(tag)?;
                    Some((device.place.as_ref()?.deck.clone(), device.footprint()?))
                };
                let (Some((deck, a)), Some((same, b))) = (at(one), at(other)) else { return false };
                let near = quantity::Length::from_mm(15);
                let wider = rig::Rect {
                    x: a.x - near,
                    y: a.y - near,
                    width: a.width + near + near,
                    depth: a.depth + near + near,
                };
                deck == same && wider.overlaps(&b)
            }
            _ => false,
        }
    }

    /// Whether a level at a point turns a device over its limit, or back under it: peaks go with the level that is stated.
    fn is_louder(&self, unsure: &Unsure, point: f64) -> bool {
        if unsure.key != "level" || unsure.range.usual <= 0.0 {
            return false;
        }
        let ratio = point / unsure.range.usual;
        let own = |from: &rig::PortRef| {
            let parts = unsure.field.parts();
            parts.get(1) == Some(&from.device) && parts.get(3) == Some(&from.port)
        };
        let stated = self.design.signal().stated.iter().filter(|stated| own(&stated.from));
        stated.into_iter().any(|stated| {
            let device = self.rig.device(&stated.to.device);
            let most =
                device.and_then(|device| self.rig.max_input(device).value.value).map(quantity::Volts::get);
            most.is_some_and(|most| (most < stated.peak) != (most < stated.peak * ratio))
        })
    }

    /// What is otherwise with a value at a point, by the rules that may read it, leads as they run.
    pub(crate) fn ask(&mut self, unsure: &Unsure, point: f64) -> Changed {
        let rules = readers(unsure);
        let is_signal_read = self.signal_reads(unsure) || self.is_louder(unsure, point);
        let asks = |rule: &str| {
            rules.contains(&rule)
                || is_signal_read && BY_SIGNAL.contains(&rule)
                || unsure.acts == Acts::Space && unsure.device.is_none() && LYING.contains(&rule)
        };
        // What signal does to and from needs no boxes; and what the engine does not read changes nothing that it says.
        if unsure.acts == Acts::Signal && unsure.device.is_some() && !is_signal_read {
            let was = put(&mut self.design.rig, unsure, point);
            let then = said(&checks::check_by(&self.design, &|rule| asks(rule.id)));
            restore(&mut self.design.rig, unsure, &was);
            return self.compared(&then, &asks);
        }
        let plain = design::derive(with(self.rig, &[(unsure, point)]), self.limits.clone());
        let lengths = lengths(&plain);
        let design = plain.laid_on(self.routes.clone());
        let design = if is_signal_read { design } else { design.hearing(self.design.signal().clone()) };
        let then = said(&checks::check_by(&design, &|rule| asks(rule.id)));
        let mut changed = self.compared(&then, &asks);
        self.measured(&mut changed, &lengths);
        if unsure.acts == Acts::Power {
            self.allocated(&mut changed, &design);
        }
        changed
    }

    /// What is otherwise with some values at points, by all rules, from the beginning; with leads laid anew, or as they run.
    pub(crate) fn ask_all(&self, puts: &[(&Unsure, f64)], lay: bool) -> Changed {
        let plain = design::derive(with(self.rig, puts), self.limits.clone());
        let lengths = lengths(&plain);
        let design = if lay { plain.laid() } else { plain.laid_on(self.routes.clone()) };
        let then = said(&checks::check_by(&design, &|_| true));
        let mut changed = self.compared(&then, &|_| true);
        self.measured(&mut changed, &lengths);
        self.allocated(&mut changed, &design);
        changed
    }

    fn compared(&self, then: &Said, asks: &dyn Fn(&str) -> bool) -> Changed {
        let mut changed = Changed::default();
        for (case, (severity, message)) in then {
            if self.said.get(case).is_none_or(|(was, _)| severity < was) {
                changed.comes.push((case.clone(), *severity, message.clone()));
            }
        }
        for (case, (severity, message)) in self.said.iter().filter(|(case, _)| asks(case.rule)) {
            if then.get(case).is_none_or(|(is, _)| severity < is) {
                changed.goes.push((case.clone(), *severity, message.clone()));
            }
        }
        changed
    }

    fn measured(&self, changed: &mut Changed, lengths: &BTreeMap<String, f64>) {
        let slack = self.limits.plug_allowance_least.as_mm();
        for (tag, was) in &self.straight {
            let Some(is) = lengths.get(tag) else { continue };
            if slack < (is - was).abs() {
                changed.cut.push((tag.clone(), is - was));
            }
        }
    }

    fn allocated(&self, changed: &mut Changed, design: &Design) {
        if self.feeds.is_empty() {
            return;
        }
        let feeds = feeds(design);
        let elsewhere = self.feeds.iter().filter(|(tag, by)| feeds.get(*tag) != Some(by));
        changed.fed = elsewhere.map(|(tag, _)| tag.clone()).collect();
    }
}

fn lengths(design: &Design) -> BTreeMap<String, f64> {
    let all = design.leads.iter().filter(|lead| !lead.made);
    all.filter_map(|lead| Some((lead.tag.clone(), lead.needed.value?.as_mm()))).collect()
}

/// Whether the best allocation feeds each device of which the document says nothing; none where it says all.
fn feeds(design: &Design) -> BTreeMap<String, bool> {
    let open = design.rig.devices.iter().filter(|device| {
        device.feed.is_none() && device.ports.iter().any(|port| port.role.value == Some(rig::PortRole::Power))
    });
    let open: Vec<String> = open.map(|device| device.tag.clone()).collect();
    if open.is_empty() {
        return BTreeMap::new();
    }
    let fed = &design.allocation().feeds;
    open.into_iter()
        .map(|tag| (tag.clone(), fed.iter().any(|feed| feed.device == tag && !feed.outlets.is_empty())))
        .collect()
}
