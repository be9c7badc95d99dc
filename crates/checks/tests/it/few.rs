//! Findings are few: one cause is told once, what a meter cannot tell is not told, what is dry or the maker's own
//! draws nothing, what was not checked is one line to a rule, and one answer covers what it names.

use std::path::{Path, PathBuf};

use finding::Severity::{self, Look, Note, Stop};
use finding::{Finding, Scope};
use quantity::{Milliamps, Ohms, Seconds};
use rig::{Acceptance, Class, Face, FeedKind, Known, PlugSpec, PortRole, Rig};

use crate::build::{at, clean, device, found, jack, know, plug, port, port_of, run, sink, three};

fn spoilt(mut rig: Rig, spoil: impl FnOnce(&mut Rig)) -> Rig {
    spoil(&mut rig);
    rig
}

/// What a rig draws: rule, severity, headline, and what the one cause touches.
struct Told {
    rule: &'static str,
    severity: Severity,
    says: &'static str,
    touches: &'static [&'static str],
    rig: Rig,
}

fn causes() -> Vec<Told> {
    vec![
        Told {
            rule: "junction-loss",
            severity: Stop,
            says: "A1 (62 kΩ) loses up to 1.1 dB into A2 (470 kΩ), A3 (470 kΩ) and amp (470 kΩ)",
            touches: &[
                "A1 (62 kΩ) into A2 (470 kΩ) loses 1.1 dB, 1 dB at most",
                "A1 (62 kΩ) into A3 (470 kΩ) loses 1.1 dB, with the devices between bypassed, 1 dB at most",
                "A1 (62 kΩ) into amp (470 kΩ) loses 1.1 dB, with the devices between bypassed, 1 dB at most",
            ],
            rig: spoilt(three(), |rig| {
                port_of(rig, "A1", "OUT").z = know(Ohms::of(62e3));
                for tag in ["A2", "A3"] {
                    port_of(rig, tag, "IN").z = know(Ohms::of(470e3));
                }
                rig.sinks[0].z = know(Ohms::of(470e3));
            }),
        },
        Told {
            rule: "clearance",
            severity: Stop,
            says: "A2 stands too near A1 and A3",
            touches: &["plug of A1.OUT overlaps plug of A2.IN", "plug of A2.OUT overlaps plug of A3.IN"],
            rig: spoilt(three(), |rig| {
                device(rig, "A1").place = at("main", 290, 40);
                device(rig, "A2").place = at("main", 200, 40);
                device(rig, "A3").place = at("main", 110, 40);
            }),
        },
        Told {
            rule: "crossing-lead",
            severity: Note,
            says: "the leads to A1 and A2 swap plus and minus",
            touches: &["the lead from SUP.1 to A1", "the lead from SUP.2 to A2"],
            rig: spoilt(clean(), |rig| {
                for tag in ["A1", "A2"] {
                    device(rig, tag).power.sign = know(rig::Sign::CentrePositive);
                    device(rig, tag).feed.as_mut().expect("the case is whole").crossing = true;
                }
            }),
        },
        Told {
            rule: "loose-adaptor",
            severity: Look,
            says: "the adaptors of A1 and A2 are not clamped",
            touches: &["the adaptor of A1", "the adaptor of A2"],
            rig: spoilt(clean(), |rig| {
                for tag in ["A1", "A2"] {
                    device(rig, tag).feed.as_mut().expect("the case is whole").kind = FeedKind::Adaptor;
                }
            }),
        },
        Told {
            rule: "plug-fit",
            severity: Stop,
            says: "plug does not fit A1.OUT and A2.IN, each a jack-6.35-ts",
            touches: &["A1.OUT (towards A2.IN)", "A2.IN (from A1.OUT)"],
            rig: spoilt(clean(), |rig| {
                let small = || PlugSpec { plug: Some(plug("jack-3.5")), exit: None };
                rig.leads.push(rig::LeadSpec {
                    from_plug: small(),
                    to_plug: small(),
                    ..rig::LeadSpec::between(rig::PortRef::new("A1", "OUT"), rig::PortRef::new("A2", "IN"))
                });
            }),
        },
        Told {
            rule: "start-surge",
            severity: Look,
            says: "A1 and A2 may need more when they start than SUP gives them",
            touches: &["A1 draws 700 mA when it starts", "A2 draws 800 mA when it starts"],
            rig: spoilt(clean(), |rig| {
                for (tag, surge) in [("A1", 700.0), ("A2", 800.0)] {
                    device(rig, tag).power.class = know(Class::Digital);
                    device(rig, tag).power.surge = know(Milliamps::of(surge));
                }
            }),
        },
        Told {
            rule: "outlet-load",
            severity: Look,
            says: "SUP has little to spare at the outlets of A1 and A2",
            touches: &["outlet SUP.1: 450 mA drawn", "outlet SUP.2: 460 mA drawn"],
            rig: spoilt(clean(), |rig| {
                device(rig, "A1").power.current = know(Milliamps::of(450.0));
                device(rig, "A2").power.current = know(Milliamps::of(460.0));
            }),
        },
        Told {
            rule: "phantom",
            severity: Stop,
            says: "amp puts phantom power on A1 and A2, which do not stand it",
            touches: &["A2.OUT", "A1.OUT2"],
            rig: spoilt(clean(), |rig| {
                device(rig, "A1").ports.push(port("OUT2", PortRole::Out, Face::Front, 35, jack()));
                port_of(rig, "A1", "OUT2").z = know(Ohms::of(1e3));
                rig.runs.push(run("second", &["A1.OUT2", "amp."]));
                rig.sinks[0].phantom = know(true);
                port_of(rig, "A2", "OUT").phantom_safe = know(false);
                port_of(rig, "A1", "OUT2").phantom_safe = know(false);
            }),
        },
        Told {
            rule: "bare-pickup",
            severity: Note,
            says: "A3 needs the bare pickup, and A1 and A2 hide the coil while they are engaged",
            touches: &["A1 before it", "A2 before it"],
            rig: spoilt(three(), |rig| device(rig, "A3").signal.bare_pickup = know(true)),
        },
    ]
}

#[test]
fn one_cause_is_told_once_with_all_that_it_touches() {
    for case in causes() {
        let said: Vec<Finding> = found(case.rig).into_iter().filter(|f| f.rule == case.rule).collect();
        let [one] = said.as_slice() else {
            panic!(
                "{}: wanted one, said {:#?}",
                case.rule,
                said.iter().map(|f| &f.message).collect::<Vec<_>>()
            );
        };
        assert_eq!((one.message.as_str(), one.severity), (case.says, case.severity), "{}", case.rule);
        assert_eq!(one.touched.len(), case.touches.len(), "{}: {:#?}", case.rule, one.touched);
        for want in case.touches {
            assert!(
                one.touched.iter().any(|touched| touched.message.contains(want)),
                "{}: {want} is not among {:#?}",
                case.rule,
                one.touched
            );
        }
        for touched in &one.touched {
            assert!(one.severity <= touched.severity, "{}: the worst speaks", case.rule);
            assert!(touched.devices.iter().all(|tag| one.devices.contains(tag)), "{}", case.rule);
        }
    }
}

#[test]
fn nothing_is_told_twice_in_one_finding() {
    let rigs =
        crate::cases::firing().into_iter().map(|case| case.rig).chain(causes().into_iter().map(|c| c.rig));
    for finding in rigs.flat_map(found) {
        for (index, mark) in finding.marks.iter().enumerate() {
            let again = finding.marks[index + 1..].iter().any(|other| other == mark);
            assert!(!again, "{}: {mark:?} twice", finding.message);
        }
        for (index, case) in finding.touched.iter().enumerate() {
            let again = finding.touched[index + 1..].iter().any(|other| other.message == case.message);
            assert!(!again, "{}: {} twice", finding.message, case.message);
        }
    }
}

/// A loss between two buffered devices, and what is said of it.
#[test]
fn a_limit_passed_by_less_than_a_meter_tells_is_no_look() {
    for (into, said) in [
        // 20·lg((10 + 166) / 166) = 0.508 dB of 0.5 dB.
        (166e3, None),
        // 20·lg((10 + 140) / 140) = 0.599 dB.
        (140e3, Some(Look)),
        // 20·lg((10 + 81.9) / 81.9) = 1.0007 dB of 1 dB: a stop is exact.
        (81.9e3, Some(Stop)),
    ] {
        let rig = spoilt(clean(), |rig| {
            device(rig, "A1").signal.bypass = know(rig::Bypass::Buffered);
            device(rig, "A2").signal.bypass = know(rig::Bypass::Buffered);
            port_of(rig, "A1", "OUT").z = know(Ohms::of(10e3));
            port_of(rig, "A2", "IN").z = know(Ohms::of(into));
        });
        let own = found(rig).into_iter().find(|f| f.rule == "junction-loss");
        assert_eq!(own.map(|f| f.severity), said, "into {into}");
    }
}

#[test]
fn touching_boxes_are_counted_in_nanometres() {
    for (nm, said) in [(0, None), (1, Some(Stop))] {
        let rig = spoilt(clean(), |rig| {
            device(rig, "A1").place = at("main", 510, 40);
            let place = device(rig, "A1").place.as_mut().expect("the case is whole");
            place.x += quantity::Length::from_nm(nm);
        });
        let own = found(rig).into_iter().find(|f| f.rule == "board-edge");
        assert_eq!(own.map(|f| f.severity), said, "{nm} nm over the edge");
    }
}

/// A splitter S on which everything hangs: it is always on, and its second output is the tap.
fn tapped(rest: &[&str]) -> Rig {
    spoilt(three(), |rig| {
        let a1 = device(rig, "A1");
        a1.signal.bypass = know(rig::Bypass::AlwaysOn);
        a1.ports.push(port("TAP", PortRole::Out, Face::Front, 35, jack()));
        port_of(rig, "A1", "TAP").z = know(Ohms::of(1e3));
        let desk = rig::Sink { z: know(Ohms::of(10e3)), ..sink("desk") };
        rig.sinks.push(desk);
        let tap: Vec<&str> = ["A1.TAP"].into_iter().chain(rest.iter().copied()).collect();
        rig.runs = vec![run("main", &["guitar.", "A1", "A2", "amp."]), run("tap", &tap)];
        rig.states.push(rig::State { name: "solo".into(), engaged: vec!["A2".into()] });
        // Late and inverting, as a digital effect may be.
        device(rig, "A2").signal.latency = know(Seconds::of(3e-3));
        device(rig, "A2").power.class = know(Class::Digital);
    })
}

#[test]
fn a_dry_feed_and_a_tuner_draw_nothing_for_being_what_they_are() {
    let di = spoilt(tapped(&["desk."]), |rig| {
        rig.devices.retain(|device| device.tag != "A3");
    });
    let mut tuner = tapped(&["A3.IN"]);
    tuner.sinks.pop();
    tuner.runs[1].stops.last_mut().expect("the case is whole").leaves = None;
    // 10 kΩ behind 1 kΩ loses 0.83 dB, which a tuner does not mind.
    port_of(&mut tuner, "A3", "IN").z = know(Ohms::of(10e3));
    for (name, rig) in [("DI", di), ("tuner", tuner)] {
        let said: Vec<String> = found(rig)
            .into_iter()
            .filter(|f| {
                ["port-unconnected", "mono-feed", "latency", "junction-loss", "chain-loss", "treble-loss"]
                    .contains(&f.rule)
            })
            .map(|f| format!("{}: {}", f.rule, f.message))
            .collect();
        assert!(said.is_empty(), "{name}: {said:#?}");
    }
}

#[test]
fn a_device_at_the_end_of_the_only_way_is_still_found() {
    let rig = spoilt(clean(), |rig| {
        rig.runs = vec![run("main", &["guitar.", "A1", "A2"])];
        rig.runs[0].stops.last_mut().expect("the case is whole").leaves = None;
    });
    assert!(found(rig).iter().any(|f| f.rule == "port-unconnected" && f.severity == Stop));
}

#[test]
fn the_makers_own_adaptor_gets_nothing_that_is_asked_of_bricks() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it/rigs/own-adaptor.toml");
    let job = document::read(&path, None).unwrap_or_else(|error| panic!("{error}"));
    let findings = checks::check(&design::derive(job.rig, job.limits));
    let of_bricks = [
        "brick-load",
        "outlet-load",
        "shared-outlet",
        "start-surge",
        "brick-heat",
        "unisolated-outlet",
        "field-distance",
        "aerial-distance",
        "loose-adaptor",
        "no-feed",
        "supply-voltage",
        "supply-sign",
        "supply-drop",
        "positive-ground",
        "pair",
    ];
    let said: Vec<&str> =
        findings.iter().filter(|f| of_bricks.contains(&f.rule)).map(|f| f.message.as_str()).collect();
    assert!(said.is_empty(), "{said:#?}");
    // It gives 18 V DC where 9 V AC is needed: the wrong adaptor, told once.
    let nature: Vec<_> = findings.iter().filter(|f| f.rule == "supply-nature").collect();
    assert_eq!(nature.len(), 1);
    assert_eq!(
        (nature[0].severity, nature[0].message.as_str()),
        (Stop, "outlet ADP.1 is a DC outlet, and ROT needs AC")
    );
    // A second device on it makes it a brick like any other.
    let shared = spoilt(clean(), |rig| {
        device(rig, "A1").feed.as_mut().expect("the case is whole").kind = FeedKind::Adaptor;
        device(rig, "A1").power.current = know(Milliamps::of(600.0));
    });
    assert!(found(shared).iter().any(|f| f.rule == "outlet-load"));
}

#[test]
fn what_was_not_checked_is_one_line_to_a_rule_and_leads_to_what_to_measure() {
    let rig = spoilt(three(), |rig| {
        for tag in ["A1", "A2", "A3"] {
            let device = device(rig, tag);
            device.knobs = Known::default();
            device.power.current = Known::default();
            device.ports[0].height = Known::default();
            device.ports[1].z = Known::default();
            device.mass = Known::default();
        }
    });
    let open: Vec<Finding> = found(rig).into_iter().filter(Finding::is_unchecked).collect();
    for finding in &open {
        let own = open.iter().filter(|other| other.rule == finding.rule).count();
        assert_eq!(own, 1, "{}: {}", finding.rule, finding.message);
        assert!(finding.message.starts_with("not checked: "), "{}", finding.message);
        assert_eq!(finding.severity, Look);
        // People read words, never the keys of the document.
        assert!(
            !finding.message.contains("device.") && !finding.message.contains('_'),
            "{}",
            finding.message
        );
    }
    let clearance = open.iter().find(|f| f.rule == "clearance").expect("it is said");
    assert_eq!(
        clearance.message,
        "not checked: clearance of plugs and bodies at A1, A2 and A3; measure: height of the knobs of A1, \
         height of jack IN on A1, height of the knobs of A2 and 3 more values"
    );
    assert_eq!(clearance.lacks.len(), 6);
    assert_eq!(clearance.devices, ["A1", "A2", "A3"]);
}

/// An answer, and how many findings of its rule stay open and what is said of the answer itself.
struct Answered {
    rule: &'static str,
    covers: Scope,
    rig: Rig,
    open: usize,
    says: &'static [&'static str],
}

fn heavy() -> Rig {
    spoilt(clean(), |rig| {
        for tag in ["A1", "A2"] {
            device(rig, tag).feed = None;
        }
    })
}

fn named(devices: &[&str]) -> Scope {
    Scope::Devices(devices.iter().map(|tag| (*tag).to_owned()).collect())
}

#[test]
fn one_answer_covers_devices_a_class_or_the_whole_job() {
    let losses = || causes().remove(0).rig;
    let cases = vec![
        Answered { rule: "no-feed", covers: named(&["A1"]), rig: heavy(), open: 1, says: &[] },
        Answered { rule: "no-feed", covers: named(&["A1", "A2"]), rig: heavy(), open: 0, says: &[] },
        Answered { rule: "no-feed", covers: Scope::WholeJob, rig: heavy(), open: 0, says: &[] },
        Answered { rule: "no-feed", covers: Scope::Class("pedal".into()), rig: heavy(), open: 0, says: &[] },
        Answered {
            rule: "no-feed",
            covers: Scope::Class("brick".into()),
            rig: heavy(),
            open: 2,
            says: &[
                "the answer to no-feed for every brick matches nothing that is found; it is found on A1, or on A2",
            ],
        },
        Answered {
            rule: "no-feed",
            covers: named(&["A1", "A2", "SUP"]),
            rig: heavy(),
            open: 0,
            says: &["the answer to no-feed names SUP, of which no-feed finds nothing"],
        },
        Answered {
            rule: "no-feed",
            covers: Scope::WholeJob,
            rig: clean(),
            open: 0,
            says: &["the answer to no-feed for the whole job matches nothing that is found"],
        },
        // One cause touches three: an answer for some of them leaves it open.
        Answered { rule: "junction-loss", covers: named(&["A1", "A2"]), rig: losses(), open: 1, says: &[] },
        Answered {
            rule: "junction-loss",
            covers: named(&["A1", "A2", "A3", "amp"]),
            rig: losses(),
            open: 0,
            says: &[],
        },
        Answered {
            rule: "supply-drop",
            covers: Scope::Class("dc".into()),
            rig: spoilt(clean(), |rig| crate::later::long_thin_lead(rig, 1850.0)),
            open: 0,
            says: &[],
        },
        Answered {
            rule: "supply-drop",
            covers: Scope::Class("signal".into()),
            rig: spoilt(clean(), |rig| crate::later::long_thin_lead(rig, 1850.0)),
            open: 1,
            says: &[
                "the answer to supply-drop for every signal lead matches nothing that is found; it is found on A1",
            ],
        },
    ];
    for case in cases {
        let mut rig = case.rig;
        let (devices, class) = match &case.covers {
            Scope::Devices(devices) => (devices.clone(), None),
            Scope::Class(class) => (Vec::new(), Some(class.clone())),
            Scope::WholeJob => (Vec::new(), None),
        };
        rig.acceptances.push(Acceptance {
            rule: case.rule.into(),
            devices,
            class,
            whole_job: case.covers == Scope::WholeJob,
            reason: "seen on the bench".into(),
            ..Acceptance::default()
        });
        let all = found(rig);
        let own: Vec<&Finding> = all.iter().filter(|f| f.rule == case.rule).collect();
        let open = own.iter().filter(|f| f.accepted.is_none()).count();
        let said: Vec<&str> =
            all.iter().filter(|f| f.rule == "acceptance").map(|f| f.message.as_str()).collect();
        assert_eq!((open, said.as_slice()), (case.open, case.says), "{} {:?}", case.rule, case.covers);
        for finding in own.iter().filter_map(|f| f.accepted.as_ref()) {
            assert_eq!(finding.covers, case.covers);
        }
    }
}

#[test]
fn a_wide_answer_takes_what_narrower_ones_leave() {
    let mut rig = heavy();
    for (index, devices) in [(0, vec!["A1".to_owned()]), (1, Vec::new())] {
        rig.acceptances.push(Acceptance {
            rule: "no-feed".into(),
            whole_job: devices.is_empty(),
            devices,
            reason: format!("reason {index}"),
            index,
            ..Acceptance::default()
        });
    }
    let all = found(rig);
    let reasons: Vec<&str> =
        all.iter().filter_map(|f| f.accepted.as_ref()).map(|accepted| accepted.reason.as_str()).collect();
    assert_eq!(reasons, ["reason 0", "reason 1"]);
    assert!(all.iter().all(|f| f.rule != "acceptance"));
}

fn corrected() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let mut out: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the examples are there")
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| path.to_string_lossy().ends_with("-corrected"))
        .collect();
    out.sort();
    out
}

/// Who opens a corrected example reads a page, not a book.
const MOST_OPEN: usize = 5;

#[test]
fn a_corrected_example_keeps_few_findings_open_and_no_stop() {
    let all = corrected();
    assert!(6 <= all.len());
    for path in all {
        let job = document::read(&path.join("rig.toml"), None).unwrap_or_else(|error| panic!("{error}"));
        let findings = checks::check(&design::derive(job.rig, job.limits).laid());
        let open: Vec<String> = findings
            .iter()
            .filter(|f| f.accepted.is_none() && f.severity != Note)
            .map(|f| format!("{}[{}] {}", f.severity, f.rule, f.message))
            .collect();
        assert!(open.len() <= MOST_OPEN, "{}: {open:#?}", path.display());
        assert!(findings.iter().all(|f| !f.is_open_stop()), "{}: {open:#?}", path.display());
        // No answer is left over.
        assert!(findings.iter().all(|f| f.rule != "acceptance"), "{}: {open:#?}", path.display());
    }
}
