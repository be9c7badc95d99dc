//! Rules of leads that are laid, on routes that a case spoils: where a router leads does not matter here.

use design::{Design, Routes, derive};
use finding::Finding;
use finding::Severity::{self, Look, Stop};
use leads::{Failed, Loom, Near, Passing};
use quantity::{Decibels, Length, Ohms, Ratio, Volts};
use rig::{LeadClass, Limits, Rig};

use crate::build::{clean, device, know, mm, port_of, three};
use crate::later::made;

/// What a tape tells.
const HALF_MM: Length = Length::from_nm(500_000);

/// A case on routes: how rig and routes are spoilt.
pub(crate) struct LaidCase {
    pub(crate) rule: &'static str,
    pub(crate) severity: Severity,
    says: &'static str,
    rig: fn(&mut Rig),
    routes: fn(&mut Routes),
}

/// A limit at its edge: what is said at the default, how the limit moves, what is said then.
pub(crate) struct LaidEdge {
    pub(crate) rule: &'static str,
    pub(crate) key: &'static str,
    rig: fn(&mut Rig),
    routes: fn(&mut Routes),
    before: Option<Severity>,
    shift: fn(&mut Limits),
    after: Option<Severity>,
}

fn nothing(_: &mut Rig) {}

fn unchanged(_: &mut Routes) {}

/// The lead from A1 to A2 is bent to so much; its cable counts as 4 mm thick.
fn bent(routes: &mut Routes, mm: f64) {
    let laid = routes.outcome.leads.iter_mut().find(|laid| laid.id == "L02").expect("it is laid");
    laid.tightest_mm = mm;
}

fn beside(routes: &mut Routes, one: &str, other: &str, distance_mm: f64) {
    routes.outcome.near.push(Near {
        one: one.into(),
        other: other.into(),
        distance_mm,
        parallel_mm: 140.0,
        wanted_mm: 20.0,
    });
}

fn filled(routes: &mut Routes, fill: f64) {
    routes.outcome.passing.push(Passing {
        hole: "main.slot".into(),
        leads: vec!["D01".into(), "D02".into()],
        fill,
        too_wide: Vec::new(),
    });
}

fn tied(routes: &mut Routes, leads: &[&str]) {
    routes.outcome.looms.push(Loom {
        number: 1,
        class: LeadClass::Signal,
        leads: leads.iter().map(|lead| (*lead).to_owned()).collect(),
        trunk_mm: 100.0,
        members: Vec::new(),
        breakouts: Vec::new(),
    });
}

/// A weak output of A1 before the gain of A2, whose lead goes on to A3.
fn weak_before_gain(rig: &mut Rig, gain: f64) {
    *rig = three();
    rig.sources[0].pickup.peak = know(Volts::of(0.5));
    port_of(rig, "A1", "OUT").z = know(Ohms::of(20e3));
    device(rig, "A2").signal.gain = know(Decibels::of(gain));
    rig.states.push(rig::State { name: "solo".into(), engaged: vec!["A2".into()] });
}

pub(crate) fn cases() -> Vec<LaidCase> {
    vec![
        LaidCase {
            rule: "lead-way",
            severity: Look,
            says: "lead L02: no room to leave A2.IN: the body of A3 is in the way",
            rig: nothing,
            routes: |routes| {
                let at = routes.outcome.leads.iter().position(|laid| laid.id == "L02");
                routes.outcome.leads.remove(at.expect("it is laid"));
                routes.outcome.failed.push(Failed {
                    id: "L02".into(),
                    why: "no room to leave A2.IN: the body of A3 is in the way".into(),
                });
            },
        },
        LaidCase {
            rule: "lead-over-edge",
            severity: Stop,
            says: "lead L02 runs 14 mm outside the board over its front edge, 200 mm from its left",
            rig: nothing,
            routes: |routes| {
                routes.outcome.leads.retain(|laid| laid.id == "L02");
                let laid = &mut routes.outcome.leads[0];
                laid.path = [[200.0, 50.0], [200.0, -12.0], [260.0, -12.0], [260.0, 50.0]]
                    .map(|[x, y]| [x, y, 20.0])
                    .to_vec();
                laid.radii = vec![0.0; 2];
            },
        },
        LaidCase {
            rule: "lead-bend",
            severity: Look,
            says: "lead L02: bend radius 12 mm, minimum 16 mm",
            rig: nothing,
            routes: |routes| bent(routes, 12.0),
        },
        LaidCase {
            rule: "lead-bend",
            severity: Stop,
            says: "lead L02: bend radius 6 mm, minimum 16 mm",
            rig: nothing,
            routes: |routes| bent(routes, 6.0),
        },
        LaidCase {
            rule: "lead-apart",
            severity: Look,
            says: "lead L02 runs along D03 for 140 mm, 8 mm apart",
            rig: |rig| *rig = three(),
            routes: |routes| beside(routes, "D03", "L02", 8.0),
        },
        LaidCase {
            rule: "loom-level",
            severity: Look,
            says: "leads L02 and L03 lie in one loom, 50 dB apart in state solo",
            rig: |rig| weak_before_gain(rig, 50.0),
            routes: |routes| tied(routes, &["L02", "L03"]),
        },
        LaidCase {
            rule: "passage-fill",
            severity: Look,
            says: "passage slot of deck main is filled to 70 % by D01 and D02",
            rig: nothing,
            routes: |routes| filled(routes, 0.7),
        },
        LaidCase {
            rule: "passage-fill",
            severity: Stop,
            says: "passage slot of deck main is filled to 110 % by D01 and D02",
            rig: nothing,
            routes: |routes| filled(routes, 1.1),
        },
    ]
}

/// What the lead from A1 to A2 needs without slack, on the clean rig.
fn least() -> Length {
    let design = derive(clean(), Limits::default()).laid();
    let lead = design.leads.iter().find(|lead| lead.tag == "L02").expect("it is there");
    assert!(lead.laid);
    lead.least.value.expect("it is laid")
}

pub(crate) fn edges() -> Vec<LaidEdge> {
    let edge = |rule, key, routes, before, shift, after| LaidEdge {
        rule,
        key,
        rig: nothing,
        routes,
        before,
        shift,
        after,
    };
    vec![
        LaidEdge {
            rig: |rig| {
                made(rig, 0);
                rig.leads[0].cut = Some(least() + mm(20));
            },
            ..edge("lead-short", "spare_least", unchanged, None, |l| l.spare_least += HALF_MM, Some(Look))
        },
        edge(
            "lead-bend",
            "bend_radius_look",
            |routes| bent(routes, 16.0),
            None,
            |l| l.bend_radius_look = Ratio::of(4.125),
            Some(Look),
        ),
        edge(
            "lead-bend",
            "bend_radius_stop",
            |routes| bent(routes, 8.0),
            Some(Look),
            |l| l.bend_radius_stop = Ratio::of(2.01),
            Some(Stop),
        ),
        edge(
            "passage-fill",
            "passage_fill_look",
            |routes| filled(routes, 0.6),
            None,
            |l| l.passage_fill_look = Ratio::of(0.595),
            Some(Look),
        ),
        edge(
            "passage-fill",
            "passage_fill_stop",
            |routes| filled(routes, 1.0),
            Some(Look),
            |l| l.passage_fill_stop = Ratio::of(0.999),
            Some(Stop),
        ),
        LaidEdge {
            rig: |rig| weak_before_gain(rig, 50.0),
            ..edge(
                "loom-level",
                "loom_level_look",
                |routes| tied(routes, &["L02", "L03"]),
                Some(Look),
                |l| l.loom_level_look = Decibels::of(51.0),
                None,
            )
        },
    ]
}

fn laid(spoil: fn(&mut Rig), routes: fn(&mut Routes), limits: Limits) -> Design {
    let mut rig = clean();
    spoil(&mut rig);
    let design = derive(rig, limits).laid();
    let mut known = design.routes().clone();
    routes(&mut known);
    design.laid_on(known)
}

impl LaidCase {
    pub(crate) fn found(&self) -> Vec<Finding> {
        checks::check(&laid(self.rig, self.routes, Limits::default()))
    }
}

#[test]
fn each_rule_of_laid_leads_fires_and_says_so() {
    for case in cases() {
        let found = case.found();
        let own: Vec<_> = found.iter().filter(|finding| finding.rule == case.rule).collect();
        let hit = own.iter().any(|finding| finding.message == case.says && finding.severity == case.severity);
        assert!(hit, "{}: wanted {} {}, said {own:#?}", case.rule, case.severity, case.says);
    }
}

#[test]
fn each_limit_of_laid_leads_decides_at_its_edge() {
    for edge in edges() {
        let worst = |limits: Limits| {
            let found = checks::check(&laid(edge.rig, edge.routes, limits));
            found.iter().filter(|finding| finding.rule == edge.rule).map(|finding| finding.severity).min()
        };
        let mut moved = Limits::default();
        (edge.shift)(&mut moved);
        assert_eq!(
            (worst(Limits::default()), worst(moved)),
            (edge.before, edge.after),
            "{} {}",
            edge.rule,
            edge.key
        );
    }
}

/// The distances of leads are the router's own: a wider one lets it find what it let pass.
#[test]
fn distances_are_those_of_the_settings() {
    let limits = Limits {
        lead_apart_dc: mm(35),
        lead_apart_mains: mm(60),
        lead_parallel: mm(80),
        ..Limits::default()
    };
    let rules = leads::Rules::from_limits(&limits);
    let read = [rules.apart_dc_mm, rules.apart_mains_mm, rules.parallel_mm];
    assert!(read.iter().zip([35.0, 60.0, 80.0]).all(|(a, b)| (a - b).abs() < 1e-9), "{read:?}");
}

#[test]
fn a_supply_along_its_own_device_says_nothing() {
    let spoilt = laid(nothing, |routes| beside(routes, "D01", "L02", 8.0), Limits::default());
    assert!(checks::check(&spoilt).iter().all(|finding| finding.rule != "lead-apart"));
}
