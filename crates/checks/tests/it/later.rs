//! Cases of supply leads, heat, panels, control, earth loops and labels.

use finding::Severity::{Look, Stop};
use quantity::{Decibels, Milliamps, Ohms, Ratio, Volts};
use rig::{
    Cable, Carries, FeedKind, Known, LeadSpec, Midi, MidiJack, Moment, PlugKind, PlugSpec, PortRef, PortRole,
    Rig, Role, State, Wiper,
};

use crate::build::{
    clean, connector, device, found, jack, know, mm, pedal, plug, port, port_of, run, sink, three,
};
use crate::cases::Firing;

/// 0.22 mm² has about 86 Ω in a kilometre.
fn thin() -> Cable {
    Cable {
        carries: Vec::new(),
        cores: None,
        id: "dc-0.22".into(),
        title: "thin".into(),
        diameter: know(mm(3)),
        capacitance_per_metre: Known::default(),
        resistance_per_metre: know(Ohms::of(0.086)),
    }
}

/// A send of +4 dBu into a pedal that clips from 4 V.
fn loud_send(rig: &mut Rig) {
    port_of(rig, "A1", "OUT").level = know(Volts::of(1.23));
    device(rig, "A2").signal.max_input = know(Volts::of(4.0));
}

/// The largest peak at one supply voltage.
fn takes_at(volts: f64, most: f64) -> rig::AtVolts {
    rig::AtVolts { volts: Volts::of(volts), gain: None, max_input: Some(know(Volts::of(most))) }
}

/// A lead entry from A1 to A2.
fn entry(cut: Option<i64>) -> LeadSpec {
    LeadSpec { cut: cut.map(mm), ..LeadSpec::between(PortRef::new("A1", "OUT"), PortRef::new("A2", "IN")) }
}

/// The same with plugs of three contacts, on cable of so many cores.
pub(crate) fn three_contacts(cores: u32) -> LeadSpec {
    let mut entry = entry(None);
    entry.cable = Some(Cable { cores: Some(cores), id: "patch".into(), ..thin() });
    let trs = PlugSpec { plug: Some(PlugKind { contacts: Some(3), ..plug("jack-6.35-ts") }), exit: None };
    (entry.from_plug, entry.to_plug) = (trs.clone(), trs);
    entry
}

/// The same on cable that is made for something.
fn made_for(class: rig::LeadClass) -> LeadSpec {
    LeadSpec { cable: Some(Cable { carries: vec![class], ..thin() }), ..entry(None) }
}

pub(crate) fn made(rig: &mut Rig, cut: i64) {
    rig.leads.push(entry(Some(cut)));
}

pub(crate) fn long_thin_lead(rig: &mut Rig, current: f64) {
    rig.cables.insert(rig::LeadClass::Dc, thin());
    device(rig, "A1").power.current = know(Milliamps::of(current));
}

pub(crate) fn warm(rig: &mut Rig, efficiency: f64) {
    device(rig, "SUP").efficiency = know(Ratio::of(efficiency));
    device(rig, "A1").power.current = know(Milliamps::of(500.0));
}

fn two_earths() -> Rig {
    let mut rig = three();
    device(&mut rig, "A1").ports.push(port("OUT2", PortRole::Out, rig::Face::Front, 35, jack()));
    port_of(&mut rig, "A1", "OUT2").z = know(Ohms::of(1e3));
    rig.sinks.push(sink("amp2"));
    rig.runs = vec![run("main", &["guitar.", "A1", "A2", "amp."]), run("wet", &["A1.OUT2", "A3", "amp2."])];
    for sink in &mut rig.sinks {
        sink.earthed = know(true);
    }
    rig
}

pub(crate) fn bleeding(rig: &mut Rig, bleed: f64, gain: f64) {
    device(rig, "A1").signal.bleed = know(Ohms::of(bleed));
    device(rig, "A2").signal.gain = know(Decibels::of(gain));
}

pub(crate) fn pot(rig: &mut Rig, value: f64, buffered: bool) {
    let tag = if buffered { "A2" } else { "A1" };
    let pot = device(rig, tag);
    pot.signal.passive = true;
    pot.treadle = Some(know(mm(20)));
    port_of(rig, tag, "IN").z = know(Ohms::of(value));
    port_of(rig, tag, "OUT").z = know(Ohms::of(value / 4.0));
    if buffered {
        device(rig, "A1").signal.bypass = know(rig::Bypass::Buffered);
    }
}

pub(crate) fn panel(rig: &mut Rig, apart: i64) {
    let mut panel = pedal("PNL", 300, 300, "3");
    panel.role = Role::Panel;
    panel.switches.clear();
    panel.feed = None;
    panel.power = rig::PowerNeed { nature: know(rig::Nature::None), ..Default::default() };
    panel.ports = vec![
        port("X", PortRole::Through, rig::Face::Back, 20, connector("hole", rig::ConnectorFamily::Jack)),
        port(
            "Y",
            PortRole::Through,
            rig::Face::Back,
            20 + apart,
            connector("hole", rig::ConnectorFamily::Jack),
        ),
    ];
    for port in &mut panel.ports {
        port.may_stay_empty = true;
        port.insulated = know(true);
        port.behind = know(mm(20));
    }
    rig.devices.push(panel);
}

/// A1 sends expression to A2.
fn control(rig: &mut Rig, carries: Carries, from: PortRole, to: PortRole) {
    let mut trs = connector("jack-6.35-trs", rig::ConnectorFamily::Jack);
    trs.contacts = 3;
    device(rig, "A1").ports.push(port("OUT_C", from, rig::Face::Back, 60, trs.clone()));
    device(rig, "A2").ports.push(port("IN_C", to, rig::Face::Back, 60, trs));
    let mut run = run("control", &["A1.OUT_C", "A2.IN_C"]);
    run.carries = carries;
    run.plug = Some(plug("jack-6.35-trs"));
    rig.runs.push(run);
}

fn expression(has: Option<Wiper>) -> Rig {
    let mut rig = clean();
    control(&mut rig, Carries::Expression, PortRole::Expression, PortRole::Expression);
    port_of(&mut rig, "A1", "OUT_C").wiper = has.map(know).unwrap_or_default();
    port_of(&mut rig, "A2", "IN_C").wiper = know(Wiper::Tip);
    rig
}

fn midi(a: MidiJack, b: Option<MidiJack>) -> Rig {
    let mut rig = clean();
    control(&mut rig, Carries::Midi, PortRole::MidiOut, PortRole::MidiIn);
    port_of(&mut rig, "A1", "OUT_C").midi_jack = know(a);
    port_of(&mut rig, "A2", "IN_C").midi_jack = b.map(know).unwrap_or_default();
    rig
}

fn two_listeners(second: Option<u32>) -> Rig {
    let mut rig = three();
    for (tag, channel) in [("A2", Some(3)), ("A3", second)] {
        device(&mut rig, tag).ports.push(port("MIDI", PortRole::MidiIn, rig::Face::Back, 60, jack()));
        device(&mut rig, tag).midi =
            Some(Midi { channel: channel.map(know).unwrap_or_default(), ..Midi::default() });
        port_of(&mut rig, tag, "MIDI").midi_jack = know(MidiJack::TypeA);
    }
    for (out, tag, offset) in [("M1", "A2", 55), ("M2", "A3", 15)] {
        device(&mut rig, "A1").ports.push(port(out, PortRole::MidiOut, rig::Face::Front, offset, jack()));
        port_of(&mut rig, "A1", out).midi_jack = know(MidiJack::TypeA);
        let mut run = run(out, &[format!("A1.{out}").as_str(), format!("{tag}.MIDI").as_str()]);
        run.carries = Carries::Midi;
        rig.runs.push(run);
    }
    rig
}

pub(crate) fn many_bytes(rig: &mut Rig, bytes: u32) {
    *rig = midi(MidiJack::TypeA, Some(MidiJack::TypeA));
    device(rig, "A2").midi = Some(Midi { channel: know(1), bytes: know(bytes), ..Midi::default() });
}

fn dance(rig: &mut Rig, after: &[&str]) {
    let state = |name: &str, tags: &[&str]| State {
        name: name.into(),
        engaged: tags.iter().map(|tag| (*tag).to_owned()).collect(),
    };
    rig.states = vec![state("verse", &[]), state("solo", after)];
    rig.moments = vec![Moment { name: "into the solo".into(), from: "verse".into(), to: "solo".into() }];
}

/// Rigs on which the rules speak.
pub(crate) fn firing() -> Vec<Firing> {
    let mut out = Vec::new();
    let mut on = |rule, severity, says, base: Rig, spoil: &dyn Fn(&mut Rig)| {
        let mut rig = base;
        spoil(&mut rig);
        out.push(Firing { rule, rig, severity, says });
    };
    let says = "R1 wants A1 after A3: in run main A1 comes before A3";
    on("brief-wish", Look, says, three(), &|rig| {
        *rig = crate::wishes::wanting(rig.clone(), [crate::wishes::order(["A3", "A1"], None)]);
    });
    on("tipping", Look, "a switch of A1 stands 40 mm outside the feet", clean(), &|rig| {
        rig.board.feet = vec![(mm(20), mm(100)), (mm(580), mm(100)), (mm(20), mm(480)), (mm(580), mm(480))];
    });
    on("panel-holes", Stop, "PNL leaves 3 mm between X and Y, 4 mm needed", clean(), &|rig| panel(rig, 13));
    on(
        "panel-nuts",
        Stop,
        "X and Y of PNL stand 11 mm apart, their nuts or flanges need 12 mm",
        clean(),
        &|rig| panel(rig, 11),
    );
    on("supply-drop", Look, "lead D01 to A1 loses 0.25 V of 9 V", clean(), &|rig| {
        long_thin_lead(rig, 2000.0);
        device(rig, "A1").power.volts =
            know(quantity::Window::new(Volts::of(8.0), Volts::of(12.0)).expect("the case is whole"));
    });
    on("supply-drop", Stop, "lead D01 leaves 8.75 V for A1, which needs 9 V", clean(), &|rig| {
        long_thin_lead(rig, 2000.0);
    });
    on("brick-heat", Look, "SUP makes 8.1 W of heat under the deck", clean(), &|rig| warm(rig, 0.4));
    on("loose-adaptor", Look, "the adaptor of A1 is not clamped", clean(), &|rig| {
        device(rig, "A1").feed.as_mut().expect("the case is whole").kind = FeedKind::Adaptor;
    });
    on("loose-adaptor", Stop, "the adaptor of A1 is not clamped", clean(), &|rig| {
        rig.brief.touring = true;
        device(rig, "A1").feed.as_mut().expect("the case is whole").kind = FeedKind::Adaptor;
    });
    on("lead-long", Look, "lead L02 has 405 mm to spare", clean(), &|rig| rig.leads.push(entry(Some(655))));
    on(
        "lead-cores",
        Stop,
        "lead L02 between A1.OUT and A2.IN carries 2 signals besides its screen, and its cable has one core",
        clean(),
        &|rig| rig.leads.push(three_contacts(1)),
    );
    on(
        "lead-cable",
        Stop,
        "lead L02 carries signal, and its cable, thin, is made for mains",
        clean(),
        &|rig| {
            rig.leads.push(made_for(rig::LeadClass::Mains));
        },
    );
    on("lead-cable", Look, "lead L02 carries signal, and its cable, thin, is made for DC", clean(), &|rig| {
        rig.leads.push(made_for(rig::LeadClass::Dc));
    });
    on("lead-gone", Look, "lead L07, A2.OUT > A1.IN, is made, but nothing runs there", clean(), &|rig| {
        let mut gone = entry(Some(300));
        gone.tag = Some("L07".into());
        (gone.from, gone.to) = (PortRef::new("A2", "OUT"), PortRef::new("A1", "IN"));
        rig.leads.push(gone);
    });
    on(
        "adaptor-lead",
        Stop,
        "the lead of A1’s adaptor is shortened to 600 mm, and nobody agreed to it",
        clean(),
        &|rig| {
            let feed = device(rig, "A1").feed.as_mut().expect("the case is whole");
            feed.kind = FeedKind::Adaptor;
            feed.adaptor = Some(rig::Adaptor { shortened: Some(mm(600)), ..rig::Adaptor::default() });
        },
    );
    on("lead-label", Stop, "2 leads are called L01", clean(), &|rig| {
        let mut second = entry(None);
        second.from = PortRef::new("guitar", "");
        second.to = PortRef::new("A1", "IN");
        second.tag = Some("L01".into());
        let mut first = entry(None);
        first.tag = Some("L01".into());
        rig.leads = vec![first, second];
    });
    on("volume-value", Look, "A2 is a pot of 250 kΩ behind a buffer, 100 kΩ at most", clean(), &|rig| {
        pot(rig, 250e3, true);
    });
    on("volume-value", Look, "A1 is a pot of 100 kΩ behind the pickup, 250 kΩ at least", clean(), &|rig| {
        pot(rig, 100e3, false);
    });
    on(
        "switch-pop",
        Look,
        "A1 may pop: its contacts hang on 4.7 MΩ before the gain of A2",
        clean(),
        &|rig| {
            bleeding(rig, 4.7e6, 45.0);
        },
    );
    on("input-level", Stop, "A1.OUT peaks at 6.93 V, A2 takes 4 V", clean(), &loud_send);
    on("input-level", Stop, "A1.OUT peaks at 6.93 V, A2 takes 3 V at 9 V; 7 V at 18 V", clean(), &|rig| {
        loud_send(rig);
        let taker = device(rig, "A2");
        taker.signal.max_input = know(Volts::of(8.0));
        taker.signal.at = vec![takes_at(9.0, 3.0), takes_at(18.0, 7.0)];
    });
    on(
        "earth-loop",
        Stop,
        "amp and amp2 are earthed and their screens meet on the board",
        two_earths(),
        &|_| {},
    );
    on(
        "expression",
        Stop,
        "A1.OUT_C has its wiper on the ring, A2.IN_C needs it on the tip",
        expression(Some(Wiper::Ring)),
        &|_| {},
    );
    on(
        "expression",
        Look,
        "A1.OUT_C is a pot of 50 kΩ, A2.IN_C needs 10 kΩ",
        expression(Some(Wiper::Tip)),
        &|rig| {
            port_of(rig, "A1", "OUT_C").track = know(Ohms::of(50e3));
            port_of(rig, "A2", "IN_C").track = know(Ohms::of(10e3));
        },
    );
    on("midi-channel", Stop, "A2 and A3 listen to MIDI channel 3", two_listeners(Some(3)), &|_| {});
    on(
        "midi-channel",
        Look,
        "A2 listens to every MIDI channel beside others",
        two_listeners(Some(4)),
        &|rig| {
            device(rig, "A2").midi.as_mut().expect("the case is whole").omni = know(true);
        },
    );
    on(
        "midi-jack",
        Stop,
        "A1.OUT_C is MIDI type A, A2.IN_C is type B",
        midi(MidiJack::TypeA, Some(MidiJack::TypeB)),
        &|_| {},
    );
    on("midi-time", Look, "run control sends 40 bytes in one change, 12.8 ms", clean(), &|rig| {
        many_bytes(rig, 40);
    });
    on(
        "foot-presses",
        Look,
        "moment into the solo takes 3 presses, 2 at most: A1, A2 and A3",
        three(),
        &|rig| {
            dance(rig, &["A1", "A2", "A3"]);
        },
    );
    out
}

/// Rigs on which a rule has nothing to say.
pub(crate) fn silent() -> Vec<(&'static str, Rig)> {
    let spoilt = |base: Rig, spoil: &dyn Fn(&mut Rig)| {
        let mut rig = base;
        spoil(&mut rig);
        rig
    };
    vec![
        ("tipping", spoilt(clean(), &|rig| rig.board.feet = vec![(mm(20), mm(20)), (mm(580), mm(480))])),
        ("panel-holes", spoilt(clean(), &|rig| panel(rig, 20))),
        ("panel-nuts", spoilt(clean(), &|rig| panel(rig, 12))),
        ("supply-drop", spoilt(clean(), &|rig| long_thin_lead(rig, 300.0))),
        ("brick-heat", spoilt(clean(), &|rig| warm(rig, 0.8))),
        (
            "loose-adaptor",
            spoilt(clean(), &|rig| {
                let feed = device(rig, "A1").feed.as_mut().expect("the case is whole");
                feed.kind = FeedKind::Adaptor;
                feed.clamped = true;
            }),
        ),
        ("lead-long", spoilt(clean(), &|rig| rig.leads.push(entry(Some(320))))),
        ("lead-label", clean()),
        ("lead-cores", spoilt(clean(), &|rig| rig.leads.push(three_contacts(2)))),
        ("lead-cable", spoilt(clean(), &|rig| rig.leads.push(made_for(rig::LeadClass::Signal)))),
        ("volume-value", spoilt(clean(), &|rig| pot(rig, 25e3, true))),
        ("switch-pop", spoilt(clean(), &|rig| bleeding(rig, 1e6, 45.0))),
        (
            "input-level",
            spoilt(clean(), &|rig| {
                port_of(rig, "A1", "OUT").level = know(Volts::of(0.3));
                device(rig, "A2").signal.max_input = know(Volts::of(4.0));
            }),
        ),
        ("earth-loop", spoilt(two_earths(), &|rig| port_of(rig, "A1", "OUT2").lifted = know(true))),
        ("expression", expression(Some(Wiper::Tip))),
        (
            "expression",
            spoilt(expression(Some(Wiper::Ring)), &|rig| {
                let mut lead = entry(None);
                lead.from = PortRef::new("A1", "OUT_C");
                lead.to = PortRef::new("A2", "IN_C");
                lead.crossed = true;
                rig.leads.push(lead);
            }),
        ),
        ("midi-channel", two_listeners(Some(4))),
        ("midi-jack", midi(MidiJack::TypeA, Some(MidiJack::TypeA))),
        ("midi-time", spoilt(clean(), &|rig| many_bytes(rig, 31))),
        ("foot-presses", spoilt(three(), &|rig| dance(rig, &["A1", "A2"]))),
        (
            "foot-presses",
            spoilt(three(), &|rig| {
                dance(rig, &["A1", "A2", "A3"]);
                rig.switching.push(rig::Switching {
                    name: "solo".into(),
                    way: rig::SwitchingWay::Together,
                    devices: vec!["A1".into(), "A3".into()],
                });
            }),
        ),
        (
            "input-level",
            spoilt(clean(), &|rig| {
                loud_send(rig);
                // Where it is fed from, it takes more than what it is usually said to.
                device(rig, "A2").signal.at = vec![takes_at(9.0, 7.0)];
            }),
        ),
    ]
}

#[test]
fn what_is_unknown_is_asked_for() {
    let cases: Vec<(&str, Rig, &str)> = vec![
        (
            "expression",
            expression(None),
            "not checked: whether A1.OUT_C suits A2.IN_C; find out: wiper of jack OUT_C on A1",
        ),
        (
            "midi-jack",
            midi(MidiJack::TypeA, None),
            "not checked: whether A1.OUT_C and A2.IN_C are wired alike; find out: MIDI wiring of jack IN_C on A2",
        ),
        (
            "midi-channel",
            two_listeners(None),
            "not checked: the MIDI channels of A3; find out: MIDI channel of A3",
        ),
        (
            "earth-loop",
            {
                let mut rig = two_earths();
                rig.sinks[1].earthed = Known::default();
                rig
            },
            "not checked: whether amp and amp2 close an earth loop; find out: whether amp2 is earthed",
        ),
        (
            "volume-value",
            {
                let mut rig = clean();
                pot(&mut rig, 250e3, true);
                port_of(&mut rig, "A2", "IN").z = Known::default();
                rig
            },
            "volume-value rests on the same and is not checked either",
        ),
        (
            "supply-drop",
            {
                let mut rig = clean();
                long_thin_lead(&mut rig, 100.0);
                device(&mut rig, "A1").power.current = Known::default();
                rig
            },
            "supply-drop rests on the same and is not checked either",
        ),
        (
            "brick-heat",
            {
                let mut rig = clean();
                warm(&mut rig, 0.4);
                device(&mut rig, "A2").power.current = Known::default();
                rig
            },
            "brick-heat rests on the same and is not checked either",
        ),
        (
            "input-level",
            {
                let mut rig = clean();
                port_of(&mut rig, "A1", "OUT").level = know(Volts::of(1.23));
                rig
            },
            "not checked: whether A2 stands the level of A1.OUT; measure: largest input of A2",
        ),
        (
            "panel-nuts",
            {
                let mut rig = clean();
                panel(&mut rig, 20);
                port_of(&mut rig, "PNL", "X").insulated = Known::default();
                port_of(&mut rig, "PNL", "Y").behind = Known::default();
                rig
            },
            "not checked: the mounting of the jacks of PNL; measure: insulation of jack X on PNL and depth behind the wall of jack Y on PNL",
        ),
        (
            "panel-holes",
            {
                let mut rig = clean();
                panel(&mut rig, 20);
                port_of(&mut rig, "PNL", "X").offset = Known::default();
                rig
            },
            "not checked: the holes of PNL; measure: offset of jack X on PNL",
        ),
    ];
    let mut wrong = Vec::new();
    for (rule, rig, says) in cases {
        let found = found(rig);
        let own = found.iter().filter(|f| f.rule == rule && f.is_unchecked()).map(|f| f.message.clone());
        // Or a word in the line of the rule that asks for the same values.
        let spoken_for = found.iter().flat_map(|f| &f.touched).map(|case| case.message.clone());
        let said: Vec<String> =
            own.chain(spoken_for.filter(|said| said.starts_with(&format!("{rule} rests")))).collect();
        if said != [says] {
            wrong.push(format!("{rule}: wanted {says}\n    said {said:#?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
