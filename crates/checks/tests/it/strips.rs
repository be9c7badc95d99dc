//! Mains strips: sockets that are covered, plugs that do not suit, and adaptors of the wrong nature.

use finding::Severity::{Look, Stop};
use finding::{Change, Field, Value};
use rig::{
    Adaptor, Carries, Connector, ConnectorFamily, Device, Face, Fitting, Known, LeadSpec, Lie, Nature,
    PlugKind, PlugSpec, Port, PortRef, PortRole, Rig, Role, Run, Size,
};

use crate::build::{at, clean, connector, device, found, know, mm, plug, stop};
use crate::cases::Firing;

/// A household plug, 40 mm wide and 45 mm deep.
fn household(letters: &str, fits: &[&str], unearthed: &[&str]) -> PlugKind {
    PlugKind {
        contacts: None,
        id: format!("plug-{letters}"),
        fits: fits.iter().map(ToString::to_string).collect(),
        unearthed_in: unearthed.iter().map(ToString::to_string).collect(),
        loose_in: Vec::new(),
        depth: know(mm(45)),
        width: know(mm(40)),
        ..plug("socket")
    }
}

fn socket_f() -> Connector {
    Connector {
        contacts: 3,
        usual: Some(Box::new(household("ef", &["socket-e", "socket-f"], &[]))),
        ..connector("socket-f", ConnectorFamily::Mains)
    }
}

fn mains_port(name: &str, offset: i64, connector: Connector) -> Port {
    let mut port = crate::build::port(name, PortRole::Mains, Face::Front, offset, connector);
    port.may_stay_empty = true;
    port
}

/// The clean rig with a strip of five sockets 40 mm apart, its own lead from a wall.
pub(crate) fn with_strip() -> Rig {
    let mut rig = clean();
    let mut strip = Device {
        tag: "STRIP".into(),
        role: Role::Strip,
        size: know(Size { width: mm(240), depth: mm(60), height: mm(50) }),
        mass: know(quantity::Grams::of(400.0)),
        place: at("main", 40, 300),
        ..Device::default()
    };
    let mut inlet = mains_port("IN", 30, connector("fixed", ConnectorFamily::Fixed));
    inlet.face = know(Face::Left);
    strip.ports.push(inlet);
    for number in 1..=5 {
        strip.ports.push(mains_port(&format!("S{number}"), 40 * number, socket_f()));
    }
    let wall = Device {
        tag: "WALL".into(),
        role: Role::Strip,
        outside: true,
        ports: vec![mains_port("S1", 0, socket_f())],
        ..Device::default()
    };
    rig.devices.extend([strip, wall]);
    rig.runs.push(Run {
        name: "mains".into(),
        carries: Carries::Mains,
        stops: vec![stop("WALL", None, Some("S1")), stop("STRIP", Some("IN"), None)],
        ..Run::default()
    });
    rig
}

/// A device's own adaptor, 60 mm wide and 40 mm high, in a socket of the strip.
pub(crate) fn adaptor(rig: &mut Rig, tag: &str, socket: &str) {
    let feed = device(rig, tag).feed.as_mut().expect("the case is whole");
    feed.kind = rig::FeedKind::Adaptor;
    feed.outlets = vec![PortRef::new("STRIP", socket)];
    feed.outlet_plug = PlugSpec::default();
    feed.clamped = true;
    feed.adaptor = Some(Adaptor {
        size: know(Size { width: mm(60), depth: mm(50), height: mm(40) }),
        lies: know(Lie::Upright),
        prongs_left: know(mm(30)),
        prongs_up: know(mm(20)),
        ..Adaptor::default()
    });
}

fn own<'a>(rig: &'a mut Rig, tag: &str) -> &'a mut Adaptor {
    device(rig, tag).feed.as_mut().and_then(|feed| feed.adaptor.as_mut()).expect("the case is whole")
}

fn wall_plug(rig: &mut Rig, plug: PlugKind) {
    let mut lead = LeadSpec::between(PortRef::new("WALL", "S1"), PortRef::new("STRIP", "IN"));
    lead.from_plug = PlugSpec { plug: Some(plug), exit: None };
    rig.leads.push(lead);
}

/// The adaptors of A1 and A2 side by side.
fn too_wide(rig: &mut Rig) {
    adaptor(rig, "A1", "S2");
    adaptor(rig, "A2", "S3");
}

pub(crate) fn firing() -> Vec<Firing> {
    let mut out = Vec::new();
    let mut on = |rule: &'static str, severity, says: &'static str, spoil: &dyn Fn(&mut Rig)| {
        let mut rig = with_strip();
        spoil(&mut rig);
        out.push(Firing { rule, rig, severity, says });
    };
    on(
        "socket-covered",
        Stop,
        "the adaptor of A1 in STRIP.S2 and the adaptor of A2 in STRIP.S3 overlap by 20 mm",
        &too_wide,
    );
    on("socket-covered", Stop, "A1 and A2 are to go into one socket, STRIP.S2", &|rig| {
        adaptor(rig, "A1", "S2");
        adaptor(rig, "A2", "S2");
    });
    on("mains-plug", Stop, "the prongs of A1’s adaptor, type G, do not go into STRIP.S2, type F", &|rig| {
        adaptor(rig, "A1", "S2");
        own(rig, "A1").prongs = Some(household("g", &["socket-g"], &[]));
    });
    on(
        "mains-plug",
        Look,
        "STRIP gets no protective earth: its plug, type C, goes into WALL.S1, type F, without",
        &|rig| wall_plug(rig, household("c", &["socket-c", "socket-f"], &["socket-c", "socket-f"])),
    );
    on(
        "mains-plug",
        Look,
        "mains of STRIP is type E/F, which does not suit Switzerland (C J) and United Kingdom (G)",
        &|rig| rig.brief.countries = vec!["CH".into(), "Germany".into(), "GB".into()],
    );
    out
}

fn messages(rig: Rig, rules: &[&str]) -> Vec<String> {
    found(rig).into_iter().filter(|f| rules.contains(&f.rule)).map(|f| f.message).collect()
}

const RULES: &[&str] =
    &["socket-covered", "mains-plug", "clearance", "plug-fit", "supply-nature", "supply-barrel"];

#[test]
fn a_strip_as_it_should_be_draws_nothing() {
    assert_eq!(messages(with_strip(), RULES), [""; 0]);
    let mut rig = with_strip();
    adaptor(&mut rig, "A1", "S1");
    adaptor(&mut rig, "A2", "S4");
    // A two-pin plug into an earthed socket, and a device that needs no earth behind it.
    own(&mut rig, "A1").prongs = Some(household("c", &["socket-c", "socket-f"], &["socket-c", "socket-f"]));
    assert_eq!(messages(rig, RULES), [""; 0]);
}

#[test]
fn side_by_side_adaptors_may_touch() {
    let mut rig = with_strip();
    too_wide(&mut rig);
    for tag in ["A1", "A2"] {
        own(&mut rig, tag).lies = know(Lie::OnItsSide);
    }
    // 40 mm wide now, as wide as the pitch.
    assert_eq!(messages(rig, RULES), [""; 0]);
}

#[test]
fn one_overlap_is_told_once_and_the_cure_has_room() {
    let mut rig = with_strip();
    too_wide(&mut rig);
    let findings = found(rig.clone());
    let about: Vec<_> = findings.iter().filter(|f| RULES.contains(&f.rule)).collect();
    assert_eq!(about.len(), 1, "{about:#?}");
    let edit = about[0].edit.as_ref().expect("there is room");
    assert_eq!(edit.name, "move the adaptor of A2 to STRIP.S4");
    assert_eq!(
        edit.changes,
        [Change::set(Field::device("A2", "feed.outlets"), Value::List(vec!["STRIP.S4".into()]))]
    );
    adaptor(&mut rig, "A2", "S4");
    assert_eq!(messages(rig, RULES), [""; 0]);
}

/// On its side an adaptor 40 mm high is as wide as the pitch with its prongs in the middle, and too wide with them anywhere
/// else.
#[test]
fn unknown_prongs_are_asked_for_where_they_decide() {
    let mut rig = with_strip();
    too_wide(&mut rig);
    for tag in ["A1", "A2"] {
        own(&mut rig, tag).lies = know(Lie::OnItsSide);
    }
    own(&mut rig, "A2").prongs_up = Known::default();
    let findings = found(rig.clone());
    let about: Vec<_> = findings.iter().filter(|f| f.rule == "socket-covered").collect();
    assert_eq!(about.len(), 1, "{about:#?}");
    assert_eq!(about[0].severity, Look);
    assert_eq!(about[0].lacks, [Field::device("A2", "feed.adaptor.prongs_up")]);
    // Two sockets on, they decide nothing.
    device(&mut rig, "A2").feed.as_mut().expect("the case is whole").outlets =
        vec![PortRef::new("STRIP", "S4")];
    assert_eq!(messages(rig, &["socket-covered"]), [""; 0]);
}

#[test]
fn both_ends_of_an_adaptors_lead_say_what_it_carries() {
    let mut rig = with_strip();
    adaptor(&mut rig, "A1", "S2");
    device(&mut rig, "A1").power.nature = know(Nature::Ac);
    let design = crate::build::design(rig);
    let lead = design.leads.iter().find(|lead| lead.class == rig::LeadClass::Ac).expect("its lead");
    assert_eq!((lead.source_words(), lead.cable_words()), ("its adaptor’s own", "its adaptor’s own"));
    let labels = design::labels(&design);
    let told: Vec<&str> = labels
        .iter()
        .filter(|label| label.of == lead.tag)
        .map(|label| label.lines.last().map_or("", String::as_str))
        .collect();
    assert_eq!(told, ["9 V AC, own adaptor"; 2]);
}

/// What an adaptor in a mains socket ends in must fit the device like the plug of any other supply lead.
#[test]
fn the_plug_of_an_adaptor_in_a_strip_is_judged() {
    let mut rig = with_strip();
    adaptor(&mut rig, "A1", "S2");
    let feed = |rig: &mut Rig| device(rig, "A1").feed.as_mut().expect("the case is whole").clone();
    let fits = feed(&mut rig).device_plug.plug;
    assert!(fits.is_some(), "the clean rig names the plug");
    assert_eq!(messages(rig.clone(), &["supply-barrel"]), [""; 0]);
    let other = PlugKind { id: "jack-3.5-ts".into(), fits: vec!["jack-3.5".into()], ..fits.expect("said") };
    device(&mut rig, "A1").feed.as_mut().expect("the case is whole").device_plug.plug = Some(other);
    let told = messages(rig, &["supply-barrel"]);
    assert!(told.len() == 1 && told[0].starts_with("supply plug jack-3.5-ts does not fit A1."), "{told:?}");
}

#[test]
fn an_adaptor_over_both_neighbours_is_one_cause() {
    let mut rig = crate::build::three();
    let strip = with_strip();
    rig.devices.extend(strip.devices.into_iter().filter(|device| device.role == Role::Strip));
    rig.runs.extend(strip.runs.into_iter().skip(1));
    for (tag, socket) in [("A1", "S2"), ("A2", "S3"), ("A3", "S4")] {
        adaptor(&mut rig, tag, socket);
    }
    for tag in ["A1", "A3"] {
        own(&mut rig, tag).lies = know(Lie::OnItsSide);
    }
    let told = messages(rig, &["socket-covered", "clearance"]);
    assert_eq!(told, ["the adaptor of A2 in STRIP.S3 covers STRIP.S2 and STRIP.S4"]);
}

#[test]
fn the_wall_end_is_plugged_and_the_strips_end_captive() {
    let rig = with_strip();
    let lead =
        rig::leads(&rig).into_iter().find(|lead| lead.run.as_deref() == Some("mains")).expect("a lead");
    assert_eq!(lead.class, rig::LeadClass::Mains);
    let ends: Vec<(Fitting, Option<&str>)> = lead
        .ends
        .iter()
        .map(|end| (end.fitting, end.plug.plug.as_ref().map(|plug| plug.id.as_str())))
        .collect();
    assert_eq!(ends, [(Fitting::Plugged, Some("plug-ef")), (Fitting::Captive, None)]);
}

#[test]
fn a_lead_through_a_gland_is_one_lead() {
    let mut rig = with_strip();
    let mut gland = connector("gland-m20", ConnectorFamily::Fixed);
    gland.hole = know(mm(20));
    let mut panel = Device {
        tag: "PNL".into(),
        role: Role::Panel,
        size: know(Size { width: mm(80), depth: mm(2), height: mm(40) }),
        place: at("main", 300, 498),
        ..Device::default()
    };
    let mut port = mains_port("GLAND", 40, gland);
    port.face = know(Face::Back);
    panel.ports.push(port);
    rig.devices.push(panel);
    let run = rig.runs.last_mut().expect("the case is whole");
    run.stops.insert(1, stop("PNL", Some("GLAND"), Some("GLAND")));
    let leads: Vec<_> =
        rig::leads(&rig).into_iter().filter(|lead| lead.class == rig::LeadClass::Mains).collect();
    assert_eq!(leads.len(), 1);
    assert_eq!(leads[0].through, [PortRef::new("PNL", "GLAND")]);
    assert_eq!(leads[0].tag, "M01");
    let design = crate::build::design(rig);
    let lead = design.leads.iter().find(|lead| lead.tag == "M01").expect("a lead");
    assert_eq!(lead.route_words(), "WALL.S1 to STRIP.IN through PNL.GLAND");
    // The part on the board is laid, so that it keeps away from what carries signal.
    assert!(design.routes_input().leads.iter().any(|wanted| wanted.id == "M01"));
}

#[test]
fn an_adaptor_written_as_a_brick_gives_what_its_device_needs() {
    let mut rig = clean();
    let feed = device(&mut rig, "A1").feed.as_mut().expect("the case is whole");
    feed.kind = rig::FeedKind::Adaptor;
    feed.clamped = true;
    device(&mut rig, "A2").feed.as_mut().expect("the case is whole").outlets = vec![PortRef::new("X", "1")];
    let rules = &["supply-nature", "supply-voltage", "supply-sign"];
    assert_eq!(messages(rig.clone(), rules), [""; 0]);
    let mut volts = rig.clone();
    crate::build::outlet_of(&mut volts, "1").set = know(quantity::Volts::of(18.0));
    assert_eq!(messages(volts, rules), ["SUP.1 gives 18 V to A1, which runs on 9 V"]);
    let mut sign = rig.clone();
    crate::build::outlet_of(&mut sign, "1").sign = know(rig::Sign::CentrePositive);
    assert_eq!(messages(sign, rules), ["A1 gets centre positive from SUP.1 and needs centre negative"]);
    let mut nature = rig;
    device(&mut nature, "A1").power.nature = know(Nature::Ac);
    device(&mut nature, "A1").power.sign = Known::default();
    crate::build::outlet_of(&mut nature, "1").set = know(quantity::Volts::of(18.0));
    assert_eq!(messages(nature, rules), ["outlet SUP.1 is a DC outlet, and A1 needs AC"]);
}

#[test]
fn a_mains_socket_named_as_a_feed_brings_no_mains_to_a_brick() {
    let mut rig = with_strip();
    device(&mut rig, "SUP").feed = Some(rig::Feed {
        outlets: vec![PortRef::new("STRIP", "S1")],
        kind: rig::FeedKind::Single,
        ..device(&mut with_strip(), "A1").feed.clone().expect("the case is whole")
    });
    for tag in ["SUP", "STRIP"] {
        device(&mut rig, tag).power.nature = know(rig::Nature::Mains);
    }
    let told = messages(rig, &["no-feed"]);
    assert_eq!(
        told,
        [
            "no mains lead: SUP names STRIP.S1 as its feed; write a mains run with stops STRIP.S1 and SUP instead"
        ]
    );
}
