//! Every rule with a rig on which it fires, and what it then says.
//!
//! Long because it is one list in the order of the rules: a case is found where its rule is.

use finding::Severity::{self, Look, Note, Stop};
use finding::{Change, Value};
use quantity::{Decibels, Grams, Hertz, Milliamps, Ohms, Seconds, Volts, Watts, Window};
use rig::{
    Acceptance, Bank, Bypass, Case, Class, ConnectorFamily, Deck, Face, FeedKind, Insert, Isolation, Known,
    LeadSpec, Lid, Loop, Mains, MainsHertz, Nature, Normal, Passage, PickupKind, PlugSpec, PortRef, PortRole,
    Rail, Rect, Rig, Sign, State,
};

use crate::build::{
    barrel, brick, clean, connector, device, feed, found, know, mm, outlet_of, pedal, plug, port, port_of,
    run, sink, stop, three,
};

/// A rig on which a rule speaks, how loud, and its headline.
pub(crate) struct Firing {
    pub(crate) rule: &'static str,
    pub(crate) rig: Rig,
    pub(crate) severity: Severity,
    pub(crate) says: &'static str,
}

fn spoilt(rig: Rig, spoil: impl FnOnce(&mut Rig)) -> Rig {
    let mut rig = rig;
    spoil(&mut rig);
    rig
}

fn two_amps() -> Rig {
    // A splitter S gives two ways; A2 stands on the one, A3 on the other.
    spoilt(three(), |rig| {
        device(rig, "A1").ports.push(port("OUT2", PortRole::Out, Face::Front, 35, crate::build::jack()));
        device(rig, "A1").signal.bypass = know(Bypass::Buffered);
        port_of(rig, "A1", "OUT2").z = know(Ohms::of(1e3));
        rig.sinks.push(sink("amp2"));
        rig.runs =
            vec![run("main", &["guitar.", "A1", "A2", "amp."]), run("wet", &["A1.OUT2", "A3", "amp2."])];
    })
}

/// What leaves A2 by a second output comes back through A3 into a second input of A1.
fn in_a_ring(rig: &mut Rig) {
    device(rig, "A1").ports.push(port("IN2", PortRole::In, Face::Front, 20, crate::build::jack()));
    device(rig, "A2").ports.push(port("OUT2", PortRole::Out, Face::Front, 35, crate::build::jack()));
    for tag in ["A1", "A2", "A3"] {
        device(rig, tag).signal.bypass = know(Bypass::AlwaysOn);
        device(rig, tag).signal.gain = know(Decibels::ZERO);
    }
    port_of(rig, "A1", "IN2").z = know(Ohms::of(1e6));
    port_of(rig, "A2", "OUT2").z = know(Ohms::of(1.0));
    rig.runs =
        vec![run("main", &["guitar.", "A1", "A2", "amp."]), run("round", &["A2.OUT2", "A3", "A1.IN2"])];
}

fn state(rig: &mut Rig, engaged: &[&str]) {
    rig.states
        .push(State { name: "solo".into(), engaged: engaged.iter().map(|tag| (*tag).into()).collect() });
}

/// Cases in the order of the table of rules.
pub(crate) fn firing() -> Vec<Firing> {
    let mut out = Vec::new();
    let mut on =
        |rule: &'static str, severity: Severity, says: &'static str, base: Rig, spoil: &dyn Fn(&mut Rig)| {
            out.push(Firing { rule, rig: spoilt(base, |rig| spoil(rig)), severity, says });
        };
    on("not-placed", Stop, "A1 is placed on deck attic, which the board does not have", clean(), &|rig| {
        device(rig, "A1").place.as_mut().expect("the case is whole").deck = "attic".into();
    });
    // A2 ends at 270 mm; both plugs of 20 mm and 2 mm of air want 42 mm.
    on("clearance", Stop, "plug of A3.OUT stands 1 mm from plug of A1.IN, 2 mm needed", three(), &|rig| {
        device(rig, "A3").place = crate::build::at("main", 511, 40);
        rig.runs = vec![run("main", &["guitar.", "A3", "A1", "A2", "amp."])];
    });
    on("clearance", Stop, "body of A1 overlaps body of A2 by 10 mm", clean(), &|rig| {
        device(rig, "A2").place = crate::build::at("main", 340, 40);
        port_of(rig, "A1", "OUT").face = know(Face::Front);
        port_of(rig, "A1", "OUT").offset = know(mm(10));
        port_of(rig, "A2", "IN").face = know(Face::Front);
        port_of(rig, "A2", "IN").offset = know(mm(10));
    });
    on("board-parts", Stop, "body of SUP goes 4 mm into rail cross of deck main", clean(), &|rig| {
        rig.board.decks[0].rails = vec![Rail {
            name: "cross".into(),
            at: Rect { x: mm(0), y: mm(476), width: mm(600), depth: mm(20) },
            drop: mm(10),
        }];
    });
    on("board-edge", Stop, "body of A1 stands 10 mm over the edge of the board", clean(), &|rig| {
        device(rig, "A1").place = crate::build::at("main", 400, -10);
    });
    // The client's own plug in a device's own jack is kicked where it stands out.
    on("board-edge", Stop, "plug of A1.IN stands 5 mm over the edge of the board", clean(), &|rig| {
        device(rig, "A1").place = crate::build::at("main", 515, 40);
    });
    on("case-foam", Look, "the board leaves 4 mm to the foam of its case at a side", clean(), &|rig| {
        rig.board.case = Some(Case {
            mass: know(Grams::of(2000.0)),
            inside_width: know(mm(608)),
            inside_depth: know(mm(520)),
            ..Case::default()
        });
        rig.board.lid = Some(Lid { inside_height: know(mm(90)) });
    });
    on("case-foam", Stop, "body of A1 reaches 2 mm into the foam of the case", clean(), &|rig| {
        device(rig, "A1").place = crate::build::at("main", 542, 40);
        rig.board.case = Some(Case {
            mass: know(Grams::of(2000.0)),
            inside_width: know(mm(620)),
            inside_depth: know(mm(520)),
            ..Case::default()
        });
        rig.board.lid = Some(Lid { inside_height: know(mm(90)) });
    });
    on(
        "clear-height",
        Look,
        "body of SUP leaves 2 mm of the clear height under deck main",
        clean(),
        &|rig| {
            rig.board.decks[0].clear_below = know(mm(42));
        },
    );
    on("clear-height", Stop, "body of SUP reaches 2 mm too far down under deck main", clean(), &|rig| {
        rig.board.decks[0].clear_below = know(mm(38));
    });
    on("lid-height", Stop, "knob of A1 reaches 5 mm higher than the inside of the lid", clean(), &|rig| {
        rig.board.lid = Some(Lid { inside_height: know(mm(76)) });
        device(rig, "A1").knobs = know(mm(31));
    });
    on("lid-height", Stop, "treadle of A1 reaches 4 mm higher than the inside of the lid", clean(), &|rig| {
        rig.board.lid = Some(Lid { inside_height: know(mm(76)) });
        device(rig, "A1").treadle = Some(know(mm(30)));
    });
    on(
        "service-port",
        Look,
        "port A1.USB cannot be reached: body of A2 stands in its way",
        clean(),
        &|rig| {
            let mut usb =
                port("USB", PortRole::Usb, Face::Left, 110, connector("usb-b", ConnectorFamily::Usb));
            usb.service = true;
            device(rig, "A1").ports.push(usb);
            device(rig, "A2").place = crate::build::at("main", 280, 40);
        },
    );
    on("foot-room", Stop, "the foot switch of A1 lies under deck upper, 40 mm below it", clean(), &|rig| {
        crate::limits::over_a1(rig, 40);
    });
    on("foot-room", Stop, "the treadle of A1 lies under deck upper, 20 mm below it", clean(), &|rig| {
        device(rig, "A1").switches.clear();
        device(rig, "A1").treadle = Some(know(mm(35)));
        crate::limits::over_a1(rig, 40);
    });
    on(
        "switch-distance",
        Stop,
        "foot switches of A1 and A3 are 50 mm apart, 60 mm at least",
        three(),
        &|rig| {
            device(rig, "A3").place = crate::build::at("main", 400, 200);
            device(rig, "A3").switches[0].y = mm(-90);
        },
    );
    on(
        "switch-distance",
        Look,
        "foot switches of A1 and A3 are 65 mm apart, 70 mm at least",
        three(),
        &|rig| {
            device(rig, "A3").place = crate::build::at("main", 400, 200);
            device(rig, "A3").switches[0].y = mm(-75);
        },
    );
    on(
        "row-distance",
        Look,
        "foot switches of A1 and A3 are 120 mm apart from row to row without a step, 130 mm at least",
        three(),
        &|rig| {
            device(rig, "A3").place = crate::build::at("main", 400, 200);
            device(rig, "A3").switches[0].y = mm(-20);
        },
    );
    on("field-distance", Look, "A1 holds a coil and stands 32 mm from brick SUP", clean(), &|rig| {
        device(rig, "A1").signal.coil = know(true);
        device(rig, "A1").place = crate::build::at("main", 400, 260);
    });
    on("aerial-distance", Look, "the aerial of A1 stands 32 mm from SUP", clean(), &|rig| {
        device(rig, "A1").signal.aerial = know(true);
        device(rig, "A1").place = crate::build::at("main", 400, 260);
    });
    on("passage-edge", Look, "passage loom of deck main has no grommet", clean(), &|rig| {
        rig.board.decks[0].passages = vec![Passage {
            name: "loom".into(),
            at: Rect { x: mm(0), y: mm(0), width: mm(20), depth: mm(20) },
            grommet: know(false),
        }];
    });
    on("no-feed", Stop, "A1 needs 9 V and 100 mA and has no feed", clean(), &|rig| {
        device(rig, "A1").feed = None;
    });
    on(
        "feed-conflict",
        Stop,
        "no outlets for all: A1 draws 1200 mA at 9 V, and the strongest outlet gives 500 mA",
        clean(),
        &|rig| {
            for tag in ["A1", "A2"] {
                device(rig, tag).power.current = know(Milliamps::of(1200.0));
            }
        },
    );
    on("outlet-setting", Stop, "outlet SUP.1 is set to 15 V, it has 9 V, 12 V and 18 V", clean(), &|rig| {
        outlet_of(rig, "1").set = know(Volts::of(15.0));
    });
    on("outlet-load", Stop, "outlet SUP.1: 550 mA drawn, 500 mA given (A1)", clean(), &|rig| {
        device(rig, "A1").power.current = know(Milliamps::of(550.0));
    });
    on("outlet-load", Look, "outlet SUP.1: 401 mA drawn, 500 mA given (A1)", clean(), &|rig| {
        device(rig, "A1").power.current = know(Milliamps::of(401.0));
    });
    on(
        "outlet-load",
        Stop,
        "outlet SUP.1: at least 550 mA drawn, 500 mA given (A1 and A2)",
        clean(),
        &|rig| {
            device(rig, "A1").power.current = know(Milliamps::of(550.0));
            device(rig, "A2").power.current = Known::default();
            device(rig, "A2").feed = Some(feed(&["1"]));
        },
    );
    on("brick-load", Stop, "bank A of SUP gives 200 mA of 150 mA for A1 and A2", clean(), &|rig| {
        for name in ["1", "2"] {
            outlet_of(rig, name).bank = Some("A".into());
        }
        device(rig, "SUP").banks = vec![Bank { name: "A".into(), current: know(Milliamps::of(150.0)) }];
    });
    on("brick-load", Look, "brick SUP gives 1.8 W of 2 W", clean(), &|rig| {
        device(rig, "SUP").total = know(Watts::of(2.0));
    });
    on("supply-nature", Stop, "outlet SUP.1 is an AC outlet, and A1 needs DC", clean(), &|rig| {
        outlet_of(rig, "1").nature = know(Nature::Ac);
    });
    on("supply-voltage", Stop, "SUP.1 gives 12 V to A1, which runs on 9 V", clean(), &|rig| {
        outlet_of(rig, "1").set = know(Volts::of(12.0));
    });
    on(
        "supply-voltage",
        Stop,
        "SUP.1 and SUP.3 give 18 V to A1, which runs on 9 V to 12 V",
        clean(),
        &|rig| {
            device(rig, "A1").feed = Some(feed(&["1", "3"]));
            device(rig, "A1").power.volts =
                know(Window::new(Volts::of(9.0), Volts::of(12.0)).expect("the case is whole"));
        },
    );
    on(
        "supply-sign",
        Stop,
        "A1 gets centre negative from SUP.1 and needs centre positive",
        clean(),
        &|rig| {
            device(rig, "A1").power.sign = know(Sign::CentrePositive);
        },
    );
    on("crossing-lead", Note, "the lead from SUP.1 to A1 swaps plus and minus", clean(), &|rig| {
        device(rig, "A1").power.sign = know(Sign::CentrePositive);
        device(rig, "A1").feed.as_mut().expect("the case is whole").crossing = true;
    });
    on(
        "supply-barrel",
        Stop,
        "supply plug plug-barrel-5.5-2.1 does not fit A1.DC, a barrel-3.5-1.35",
        clean(),
        &|rig| {
            port_of(rig, "A1", "DC").connector = Some(connector("barrel-3.5-1.35", ConnectorFamily::Barrel));
        },
    );
    on(
        "supply-barrel",
        Look,
        "supply plug plug-barrel-5.5-2.1 sits loosely in A1.DC, a barrel-5.5-2.5",
        clean(),
        &|rig| {
            port_of(rig, "A1", "DC").connector = Some(connector("barrel-5.5-2.5", ConnectorFamily::Barrel));
        },
    );
    on(
        "pair",
        Stop,
        "A1 cannot be fed by SUP.1 and SUP.3 as a series pair: SUP.3 is not isolated",
        clean(),
        &|rig| {
            device(rig, "A1").feed = Some(feed(&["1", "3"]));
            device(rig, "A1").power.volts = know(Window::exactly(Volts::of(18.0)));
            outlet_of(rig, "3").isolation = know(Isolation::Joined);
        },
    );
    on(
        "pair",
        Stop,
        "A1 cannot be fed by SUP.1 and SUP.3 as a parallel pair: the maker does not allow it for SUP.1",
        clean(),
        &|rig| {
            device(rig, "A1").feed = Some(feed(&["1", "3"]));
            device(rig, "A1").feed.as_mut().expect("the case is whole").kind = FeedKind::ParallelPair;
            outlet_of(rig, "1").parallel = know(false);
        },
    );
    on("shared-outlet", Stop, "A2 is digital and shares outlet SUP.1: it feeds A1 and A2", clean(), &|rig| {
        device(rig, "A2").feed = Some(feed(&["1"]));
        device(rig, "A2").power.class = know(Class::Digital);
    });
    on("shared-outlet", Look, "A1 and A2 share outlet SUP.1 and draw 200 mA together", clean(), &|rig| {
        device(rig, "A2").feed = Some(feed(&["1"]));
    });
    on(
        "unisolated-outlet",
        Stop,
        "A2 is digital and shares the negative of outlets SUP.1 and SUP.2 with A1",
        clean(),
        &|rig| {
            device(rig, "A2").power.class = know(Class::Digital);
            for name in ["1", "2"] {
                outlet_of(rig, name).isolation = know(Isolation::Joined);
            }
        },
    );
    on("positive-ground", Stop, "A1 has positive ground and outlet SUP.1 is not isolated", clean(), &|rig| {
        device(rig, "A1").power.positive_ground = know(true);
        outlet_of(rig, "1").isolation = know(Isolation::Joined);
    });
    on("start-surge", Look, "A1 may draw 600 mA when it starts, SUP.1 has 500 mA for it", clean(), &|rig| {
        device(rig, "A1").power.class = know(Class::Digital);
        device(rig, "A1").power.current = know(Milliamps::of(400.0));
        device(rig, "A1").power.surge = Known::default();
    });
    on("mains-voltage", Stop, "the mains at home is 230 V, SUP takes 100 V to 120 V", clean(), &|rig| {
        device(rig, "SUP").power.nature = know(Nature::Mains);
        device(rig, "SUP").power.volts =
            know(Window::new(Volts::of(100.0), Volts::of(120.0)).expect("the case is whole"));
        rig.job.mains = Some(Mains { volts: Volts::of(230.0), hertz: Hertz::of(50.0) });
    });
    on("port-unconnected", Stop, "A2 is in no run, though it has signal jacks", clean(), &|rig| {
        rig.runs = vec![run("main", &["guitar.", "A1", "amp."])];
    });
    on(
        "port-unconnected",
        Stop,
        "signal enters A2 and never leaves it: A2.OUT is not connected",
        clean(),
        &|rig| {
            rig.runs = vec![run("main", &["guitar.", "A1", "A2"])];
        },
    );
    on("port-unconnected", Look, "A2.OUT2 is not connected", clean(), &|rig| {
        device(rig, "A2").ports.push(port("OUT2", PortRole::Out, Face::Front, 35, crate::build::jack()));
    });
    on("port-doubly-fed", Stop, "jack A1.OUT is left by leads to A2.IN and A3.IN", three(), &|rig| {
        rig.sinks.push(sink("amp2"));
        rig.runs =
            vec![run("main", &["guitar.", "A1", "A2", "amp."]), run("wet", &["A1.OUT", "A3", "amp2."])];
    });
    on(
        "port-doubly-fed",
        Stop,
        "jack A3.IN is reached by leads from A1.OUT2 and A2.OUT",
        two_amps(),
        &|rig| {
            rig.runs[0] = run("main", &["guitar.", "A1", "A2", "A3", "amp2."]);
        },
    );
    on(
        "insert-swapped",
        Stop,
        "loop 1 of A2: run main leaves by the return A2.R and comes back at the send A2.S",
        in_loop(),
        &|rig| {
            rig.runs[0].stops[2] = stop("A2", Some("IN"), Some("R"));
            rig.runs[0].stops[4] = stop("A2", Some("S"), Some("OUT"));
        },
    );
    let unsaid =
        "not checked: whether tip or ring sends at an insert on one jack of A2; find out: insert X on A2";
    on("insert-swapped", Look, unsaid, clean(), &|rig| {
        insert(rig, Normal::Full);
        "S".clone_into(&mut device(rig, "A2").inserts[0].back);
        rig.runs.push(run("tap", &["A2.S", "amp."]));
    });
    on("insert-open", Stop, "insert X of A2 has nothing plugged and no normal closes it", clean(), &|rig| {
        insert(rig, Normal::Open);
    });
    on(
        "insert-open",
        Stop,
        "loop 1 of A2 has only its send plugged: the path is open when it is on",
        three(),
        &|rig| {
            let a2 = device(rig, "A2");
            a2.ports.push(port("S", PortRole::Send, Face::Front, 20, crate::build::jack()));
            a2.ports.push(port("R", PortRole::Return, Face::Front, 50, crate::build::jack()));
            a2.loops.push(Loop { name: "1".into(), send: "S".into(), back: "R".into() });
            rig.runs = vec![run("main", &["guitar.", "A1", "A2", "amp."]), run("loop", &["A2.S", "A3"])];
        },
    );
    on("plug-fit", Stop, "plug does not fit A2.IN (from A1.OUT), a jack-6.35-ts", clean(), &|rig| {
        rig.leads.push(LeadSpec {
            to_plug: PlugSpec { plug: Some(plug("jack-3.5")), exit: None },
            ..LeadSpec::between(PortRef::new("A1", "OUT"), PortRef::new("A2", "IN"))
        });
    });
    on("lead-short", Stop, "lead L02 is cut to 159 mm, at least 160 mm is needed", clean(), &|rig| {
        rig.leads.push(LeadSpec {
            cut: Some(mm(159)),
            ..LeadSpec::between(PortRef::new("A1", "OUT"), PortRef::new("A2", "IN"))
        });
    });
    on("bare-pickup", Stop, "A2 needs the bare pickup, and A1 before it has a buffer", clean(), &|rig| {
        device(rig, "A2").signal.bare_pickup = know(true);
        device(rig, "A1").signal.bypass = know(Bypass::Buffered);
    });
    on("bare-pickup", Stop, "A1 needs the bare pickup, and guitar is active", clean(), &|rig| {
        device(rig, "A1").signal.bare_pickup = know(true);
        rig.sources[0].pickup.kind = know(PickupKind::Active);
        rig.sources[0].pickup.resistance = know(Ohms::of(1e3));
    });
    on(
        "bare-pickup",
        Note,
        "A2 needs the bare pickup, and A1 before it hides the coil: only while it is engaged",
        clean(),
        &|rig| {
            device(rig, "A2").signal.bare_pickup = know(true);
        },
    );
    on(
        "bare-pickup",
        Look,
        "A2 needs the bare pickup, and A1 before it hides the coil: state solo engages both",
        clean(),
        &|rig| {
            device(rig, "A2").signal.bare_pickup = know(true);
            state(rig, &["A1", "A2"]);
        },
    );
    on(
        "bare-pickup",
        Stop,
        "A3 needs the bare pickup, and A2 before it drives A2.S through 1 kΩ: a buffer whenever A3 is in",
        in_loop(),
        &|rig| {
            device(rig, "A3").signal.bare_pickup = know(true);
            device(rig, "A2").signal.bypass = know(Bypass::Relay);
        },
    );
    on("parallel-load", Stop, "A1 loads guitar with 200 kΩ in all", clean(), &|rig| {
        port_of(rig, "A1", "IN").z = know(Ohms::of(200e3));
    });
    on("parallel-load", Look, "A2 loads guitar with 300 kΩ in all", clean(), &|rig| {
        port_of(rig, "A2", "IN").z = know(Ohms::of(300e3));
    });
    on("piezo-input", Look, "piezo guitar meets 2 MΩ at A1", clean(), &|rig| {
        rig.sources[0].pickup.kind = know(PickupKind::Piezo);
        port_of(rig, "A1", "IN").z = know(Ohms::of(2e6));
        device(rig, "A1").signal.bypass = know(Bypass::Buffered);
    });
    on(
        "piezo-input",
        Stop,
        "piezo guitar meets 500 kΩ at A2, with the devices before it bypassed",
        clean(),
        &|rig| {
            rig.sources[0].pickup.kind = know(PickupKind::Piezo);
            port_of(rig, "A2", "IN").z = know(Ohms::of(500e3));
        },
    );
    on("junction-loss", Stop, "A1 (10 kΩ) into A2 (47 kΩ) loses 1.7 dB, 1 dB at most", clean(), &|rig| {
        device(rig, "A1").signal.bypass = know(Bypass::Buffered);
        port_of(rig, "A1", "OUT").z = know(Ohms::of(10e3));
        port_of(rig, "A2", "IN").z = know(Ohms::of(47e3));
    });
    on(
        "junction-loss",
        Stop,
        "A1 (10 kΩ) into A2 (47 kΩ) loses 1.7 dB, 1 dB at most",
        clean(),
        // Bypassed it shows another impedance, and that is the one that loses.
        &|rig| {
            device(rig, "A1").signal.bypass = know(Bypass::Buffered);
            device(rig, "A2").signal.bypass = know(Bypass::Buffered);
            port_of(rig, "A1", "OUT").z = know(Ohms::of(10e3));
            port_of(rig, "A2", "IN").z = know(Ohms::of(1e6));
            port_of(rig, "A2", "IN").z_bypassed = know(Ohms::of(47e3));
        },
    );
    on(
        "junction-loss",
        Stop,
        "A1 (10 kΩ) into amp (47 kΩ) loses 1.7 dB, with the devices between bypassed, 1 dB at most",
        clean(),
        &|rig| {
            port_of(rig, "A1", "OUT").z = know(Ohms::of(10e3));
            rig.sinks[0].z = know(Ohms::of(47e3));
        },
    );
    on("chain-loss", Look, "guitar to amp loses 1.7 dB at 1 kHz, with A1 and A2 engaged", three(), &|rig| {
        for tag in ["A1", "A2"] {
            port_of(rig, tag, "OUT").z = know(Ohms::of(100e3));
        }
    });
    on(
        "treble-loss",
        Stop,
        "guitar to amp: 4 kHz comes 8.9 dB below guitar by its own lead, with everything bypassed",
        clean(),
        &|rig| crate::later::made(rig, 9000),
    );
    on(
        "treble-loss",
        Stop,
        "the resonance of guitar moves from 3637 Hz to 2343 Hz, with everything bypassed",
        clean(),
        &|rig| crate::later::made(rig, 9000),
    );
    on(
        "mono-feed",
        Look,
        "amp alone carries nothing of A3, which only amp2 has, in state solo",
        two_amps(),
        &|rig| {
            rig.sinks[0].z = know(Ohms::of(10e3));
            state(rig, &["A2", "A3"]);
        },
    );
    on(
        "polarity",
        Stop,
        "amp and amp2 are of opposite polarity with everything engaged: A3 inverts",
        two_amps(),
        &|rig| {
            device(rig, "A3").signal.inverts = know(true);
        },
    );
    on(
        "polarity",
        Stop,
        "amp and amp2 are of opposite polarity in state solo: A3 inverts",
        two_amps(),
        &|rig| {
            device(rig, "A3").signal.inverts = know(true);
            device(rig, "A3").signal.bypass = know(Bypass::AlwaysOn);
            state(rig, &[]);
        },
    );
    on("latency", Stop, "amp and amp2 are 2 ms apart with everything engaged", two_amps(), &|rig| {
        device(rig, "A3").signal.latency = know(Seconds::of(2e-3));
        device(rig, "A3").power.class = know(Class::Digital);
    });
    let meets = "the branch through A2 and the branch through A3 meet at A4 30 dB apart with everything on: \
                 the branch through A3 is hardly heard";
    on("branch-level", Look, meets, two_amps(), &|rig| {
        // A mixer A4 before the one amp that is left.
        let mut mixer = pedal("A4", 600, 40, "4");
        mixer.ports.push(port("IN2", PortRole::In, Face::Front, 20, crate::build::jack()));
        mixer.signal.bypass = know(Bypass::AlwaysOn);
        rig.devices.push(mixer);
        port_of(rig, "A4", "IN2").z = know(Ohms::of(1e6));
        device(rig, "A3").signal.gain = know(Decibels::of(-30.0));
        rig.sinks.truncate(1);
        rig.runs = vec![
            run("main", &["guitar.", "A1", "A2", "A4", "amp."]),
            run("wet", &["A1.OUT2", "A3", "A4.IN2"]),
        ];
    });
    let round = "A1, A2 and A3 feed each other in a ring, loop gain 12.0 dB at 20 Hz with everything bypassed: it howls";
    on("feedback-ring", Stop, round, three(), &|rig| {
        in_a_ring(rig);
        device(rig, "A3").signal.gain = know(Decibels::of(12.0));
    });
    on("gain-sum", Look, "state solo has 70 dB of gain along run main: A1 and A2", clean(), &|rig| {
        device(rig, "A1").signal.gain = know(Decibels::of(35.0));
        device(rig, "A2").signal.gain = know(Decibels::of(35.0));
        state(rig, &["A1", "A2"]);
    });
    on("tails-in-loop", Look, "loop 1 of A2 cuts the tails of A3", in_loop(), &|rig| {
        device(rig, "A3").signal.tails = know(true);
    });
    on("phantom", Stop, "amp puts phantom power on A2.OUT, which does not stand it", clean(), &|rig| {
        rig.sinks[0].phantom = know(true);
        port_of(rig, "A2", "OUT").phantom_safe = know(false);
    });
    on("mass", Stop, "one person lifts 29.6 kg, 25 kg is the limit", clean(), &|rig| {
        device(rig, "A1").mass = know(Grams::of(25.4e3));
    });
    on("mass", Look, "each of 2 people lifts 18 kg, 16 kg is the limit", clean(), &|rig| {
        device(rig, "A1").mass = know(Grams::of(31.8e3));
        rig.brief.carriers = 2;
    });
    on("baggage-mass", Stop, "the board weighs 5.1 kg, 5 kg allowed", clean(), &|rig| {
        device(rig, "A1").mass = know(Grams::of(900.0));
        rig.brief.mass_limit = Some(Grams::of(5000.0));
    });
    on("baggage-mass", Look, "the board weighs 21 kg, 23 kg allowed", clean(), &|rig| {
        device(rig, "A1").mass = know(Grams::of(16.8e3));
        rig.brief.carried = Some("air".into());
        rig.brief.carriers = 2;
    });
    on(
        "fastening",
        Look,
        "A1 weighs 1.5 kg and the rig tours: tape alone does not hold it",
        clean(),
        &|rig| {
            device(rig, "A1").mass = know(Grams::of(1500.0));
            rig.brief.touring = true;
        },
    );
    on(
        "fastening",
        Look,
        "A1 weighs 0.4 kg on 15 cm² of hook and loop: 38 cm² for a kilogram, 40 cm² wanted",
        clean(),
        &|rig| device(rig, "A1").fasten = Some(strips(2, 30)),
    );
    on("fastening", Look, "A1 is held by 1 strip: it turns under the foot", clean(), &|rig| {
        device(rig, "A1").fasten = Some(strips(1, 100));
    });
    on("acceptance", Look, "the answer to clearance for A1 matches nothing that is found", clean(), &|rig| {
        accept(rig, "clearance", &["A1"]);
    });
    out.extend(crate::later::firing());
    out.extend(crate::strips::firing());
    out.extend(another_mains());
    out
}

/// Supplies made for another frequency than the mains has.
fn another_mains() -> Vec<Firing> {
    let mut out = Vec::new();
    let mut on =
        |rule: &'static str, severity: Severity, says: &'static str, base: Rig, spoil: &dyn Fn(&mut Rig)| {
            out.push(Firing { rule, rig: spoilt(base, |rig| spoil(rig)), severity, says });
        };
    on("mains-frequency", Stop, "the mains at home is 50 Hz, SUP is made for 60 Hz", clean(), &|rig| {
        device(rig, "SUP").power.nature = know(Nature::Mains);
        device(rig, "SUP").power.hertz = know(MainsHertz::Sixty);
        rig.job.mains = Some(Mains { volts: Volts::of(230.0), hertz: Hertz::of(50.0) });
    });
    on(
        "mains-frequency",
        Stop,
        "SUP is made for 60 Hz, the mains is 50 Hz in Germany and Japan in parts, ask there",
        clean(),
        &|rig| {
            device(rig, "SUP").power.nature = know(Nature::Mains);
            device(rig, "SUP").power.hertz = know(MainsHertz::Sixty);
            rig.job.mains = Some(Mains { volts: Volts::of(120.0), hertz: Hertz::of(60.0) });
            rig.brief.countries = ["DE", "JP", "US"].map(str::to_owned).to_vec();
        },
    );
    on("mains-frequency", Note, "the mains at home is 60 Hz, SUP is made for 50 Hz", clean(), &|rig| {
        device(rig, "SUP").power.nature = know(Nature::Mains);
        device(rig, "SUP").power.hertz = know(MainsHertz::Fifty);
        rig.job.mains = Some(Mains { volts: Volts::of(120.0), hertz: Hertz::of(60.0) });
    });
    out
}

/// Strips 25 mm wide, so many and so long.
fn strips(count: u32, length: i64) -> rig::Fasten {
    rig::Fasten {
        kind: know(rig::FastenKind::Strip),
        count: know(count),
        length: know(mm(length)),
        width: know(mm(25)),
        ..rig::Fasten::default()
    }
}

pub(crate) fn accept(rig: &mut Rig, rule: &str, devices: &[&str]) {
    let index = rig.acceptances.len();
    rig.acceptances.push(Acceptance {
        rule: rule.into(),
        devices: devices.iter().map(|tag| (*tag).into()).collect(),
        reason: "seen on the bench".into(),
        index,
        ..Acceptance::default()
    });
}

fn insert(rig: &mut Rig, normal: Normal) {
    let a2 = device(rig, "A2");
    a2.ports.push(port("S", PortRole::Send, Face::Front, 20, crate::build::jack()));
    a2.ports.push(port("R", PortRole::Return, Face::Front, 50, crate::build::jack()));
    a2.inserts.push(Insert {
        name: "X".into(),
        send: "S".into(),
        back: "R".into(),
        normal: know(normal),
        wiring: Known::default(),
        return_z: Known::default(),
    });
}

/// A2 is a switcher with A3 in its loop 1.
fn in_loop() -> Rig {
    spoilt(three(), |rig| {
        let a2 = device(rig, "A2");
        a2.ports.push(port("S", PortRole::Send, Face::Front, 20, crate::build::jack()));
        a2.ports.push(port("R", PortRole::Return, Face::Front, 50, crate::build::jack()));
        a2.loops.push(Loop { name: "1".into(), send: "S".into(), back: "R".into() });
        for (name, z) in [("S", 1e3), ("R", 1e6)] {
            port_of(rig, "A2", name).z = know(Ohms::of(z));
        }
        device(rig, "A2").signal.bypass = know(Bypass::AlwaysOn);
        rig.runs[0].stops = vec![
            stop("guitar", None, Some("")),
            stop("A1", Some("IN"), Some("OUT")),
            stop("A2", Some("IN"), Some("S")),
            stop("A3", Some("IN"), Some("OUT")),
            stop("A2", Some("R"), Some("OUT")),
            stop("amp", Some(""), None),
        ];
    })
}

/// Rigs with the same matter in order: the rule must be silent.
pub(crate) fn silent() -> Vec<(&'static str, Rig)> {
    let mut out: Vec<(&'static str, Rig)> = vec![];
    let mut on = |rule, base: Rig, spoil: &dyn Fn(&mut Rig)| out.push((rule, spoilt(base, |rig| spoil(rig))));
    on("clearance", three(), &|rig| {
        device(rig, "A3").place = crate::build::at("main", 512, 40);
        rig.runs = vec![run("main", &["guitar.", "A3", "A1", "A2", "amp."])];
    });
    // Both frequencies everywhere; the one it is made for at home; any on mains of 60 Hz alone, which every iron stands.
    for (hertz, home) in [
        (know(MainsHertz::Both), 50.0),
        (know(MainsHertz::Fifty), 50.0),
        (know(MainsHertz::Sixty), 60.0),
        (Known::default(), 60.0),
    ] {
        on("mains-frequency", clean(), &move |rig| {
            device(rig, "SUP").power.nature = know(Nature::Mains);
            device(rig, "SUP").power.hertz = hertz;
            rig.job.mains = Some(Mains { volts: Volts::of(230.0), hertz: Hertz::of(home) });
        });
    }
    on("pair", clean(), &|rig| {
        device(rig, "A1").feed = Some(feed(&["1", "3"]));
        device(rig, "A1").power.volts = know(Window::exactly(Volts::of(18.0)));
    });
    on("supply-voltage", clean(), &|rig| {
        device(rig, "A1").feed = Some(feed(&["1", "3"]));
        device(rig, "A1").power.volts = know(Window::exactly(Volts::of(18.0)));
    });
    on("supply-sign", clean(), &|rig| {
        device(rig, "A1").power.sign = know(Sign::CentrePositive);
        device(rig, "A1").feed.as_mut().expect("the case is whole").crossing = true;
    });
    on("supply-barrel", clean(), &|rig| {
        port_of(rig, "A1", "DC").connector = Some(connector("barrel-5.5-2.5", ConnectorFamily::Barrel));
        device(rig, "A1").feed.as_mut().expect("the case is whole").barrel_adaptor =
            Some(plug("barrel-5.5-2.5"));
    });
    on("shared-outlet", clean(), &|rig| {
        device(rig, "A2").feed = Some(feed(&["1"]));
        for tag in ["A1", "A2"] {
            device(rig, tag).power.current = know(Milliamps::of(30.0));
        }
    });
    on("unisolated-outlet", clean(), &|rig| {
        for name in ["1", "2"] {
            outlet_of(rig, name).isolation = know(Isolation::Joined);
        }
    });
    on("unisolated-outlet", clean(), &|rig| {
        device(rig, "A2").power.class = know(Class::Digital);
        for (name, bank) in [("1", "A"), ("2", "B")] {
            outlet_of(rig, name).isolation = know(Isolation::Joined);
            outlet_of(rig, name).bank = Some(bank.into());
        }
    });
    on("positive-ground", clean(), &|rig| device(rig, "A1").power.positive_ground = know(true));
    on("start-surge", clean(), &|rig| {
        device(rig, "A1").power.class = know(Class::Digital);
        device(rig, "A1").power.surge = know(Milliamps::of(500.0));
    });
    on("no-feed", clean(), &|rig| {
        device(rig, "A1").power.nature = know(Nature::None);
        device(rig, "A1").feed = None;
    });
    on("port-unconnected", clean(), &|rig| insert(rig, Normal::Full));
    on("insert-open", clean(), &|rig| insert(rig, Normal::Full));
    on("insert-open", in_loop(), &|_| {});
    on("insert-swapped", in_loop(), &|_| {});
    on("insert-swapped", clean(), &|rig| {
        insert(rig, Normal::Full);
        let a2 = device(rig, "A2");
        "S".clone_into(&mut a2.inserts[0].back);
        a2.inserts[0].wiring = know(rig::InsertWiring::TipSend);
        rig.runs.push(run("tap", &["A2.S", "amp."]));
    });
    on("port-doubly-fed", two_amps(), &|_| {});
    on("bare-pickup", clean(), &|rig| device(rig, "A1").signal.bare_pickup = know(true));
    on("bare-pickup", clean(), &|rig| {
        // An input that is not low makes it no question.
        device(rig, "A1").signal.bypass = know(Bypass::Buffered);
        device(rig, "A2").signal.bare_pickup = Known::default();
        port_of(rig, "A2", "IN").z = know(Ohms::of(1e6));
    });
    for rule in ["treble-loss", "chain-loss", "junction-loss"] {
        // What only listens may be dark and weak.
        on(rule, clean(), &|rig| {
            crate::later::made(rig, 9000);
            device(rig, "A1").signal.bypass = know(Bypass::Buffered);
            port_of(rig, "A1", "OUT").z = know(Ohms::of(30e3));
            rig.sinks[0].z = know(Ohms::of(47e3));
            rig.runs[0].purpose = Some(rig::Purpose::Listener);
        });
    }
    on("treble-loss", clean(), &|rig| {
        // A low amp is an amp all the same: the guitar straight into it is what it is held against.
        rig.sinks[0].amp = Some(true);
        rig.sinks[0].z = know(Ohms::of(150e3));
        for tag in ["A1", "A2"] {
            port_of(rig, tag, "IN").z = know(Ohms::of(150e3));
        }
    });
    on("bare-pickup", clean(), &|rig| {
        device(rig, "A2").signal.bare_pickup = know(true);
        device(rig, "A1").signal.passive = true;
    });
    on("parallel-load", clean(), &|rig| {
        port_of(rig, "A1", "IN").z = know(Ohms::of(20e3));
        device(rig, "A1").signal.bare_pickup = know(true);
    });
    on("parallel-load", clean(), &|rig| {
        // Behind a buffer a low input does not reach the pickup.
        device(rig, "A1").signal.bypass = know(Bypass::Buffered);
        port_of(rig, "A2", "IN").z = know(Ohms::of(50e3));
    });
    on("piezo-input", clean(), &|rig| {
        rig.sources[0].pickup.kind = know(PickupKind::Piezo);
        port_of(rig, "A1", "IN").z = know(Ohms::of(10e6));
        device(rig, "A1").signal.bypass = know(Bypass::Buffered);
    });
    on("polarity", two_amps(), &|rig| {
        for tag in ["A1", "A2", "A3"] {
            device(rig, tag).signal.inverts = know(true);
        }
    });
    on("latency", two_amps(), &|_| {});
    on("phantom", clean(), &|rig| {
        rig.sinks[0].phantom = know(true);
        port_of(rig, "A2", "OUT").phantom_safe = know(true);
    });
    // The toe reaches to the edge of the upper deck and no further.
    on("foot-room", clean(), &|rig| {
        crate::limits::over_a1(rig, 40);
        let deck = rig.board.decks.last_mut().expect("the case is whole");
        deck.shape[0].y = mm(40 + 20 + 25);
    });
    on("lid-height", clean(), &|rig| rig.board.lid = Some(Lid { inside_height: know(mm(75)) }));
    on("board-edge", clean(), &|rig| device(rig, "A1").place = crate::build::at("main", 510, 0));
    on("board-edge", clean(), &|rig| {
        // Across the seam of two decks that meet.
        rig.board.decks[0].shape[0].depth = mm(100);
        rig.board.decks.push(Deck {
            name: "rear".into(),
            y: mm(100),
            shape: vec![Rect { x: mm(0), y: mm(0), width: mm(600), depth: mm(400) }],
            ..rig.board.decks[0].clone()
        });
    });
    on("field-distance", clean(), &|rig| device(rig, "A1").signal.coil = know(true));
    on("fastening", clean(), &|rig| rig.brief.touring = true);
    on("fastening", clean(), &|rig| device(rig, "A1").fasten = Some(strips(2, 40)));
    on("fastening", clean(), &|rig| {
        rig.brief.touring = true;
        let a1 = device(rig, "A1");
        a1.mass = know(Grams::of(1500.0));
        a1.fasten = Some(rig::Fasten { kind: know(rig::FastenKind::Screw), ..rig::Fasten::default() });
    });
    on("tails-in-loop", in_loop(), &|_| {});
    on("outlet-load", clean(), &|rig| device(rig, "A1").power.current = know(Milliamps::of(400.0)));
    on("acceptance", clean(), &|rig| {
        device(rig, "A1").feed = None;
        accept(rig, "no-feed", &["A1"]);
    });
    out.extend(crate::later::silent());
    out
}

#[test]
fn the_clean_rig_has_no_findings() {
    for mut rig in [clean(), three(), two_amps(), in_loop()] {
        // Supplies hang under the deck: their leads want a way up that is not over its edge.
        rig.board.decks[0].passages.push(Passage {
            name: "slot".into(),
            at: Rect { x: mm(270), y: mm(300), width: mm(60), depth: mm(40) },
            grommet: know(true),
        });
        let found: Vec<String> =
            found(rig).into_iter().map(|f| format!("{}: {}", f.rule, f.message)).collect();
        assert!(found.is_empty(), "{found:#?}");
    }
}

#[test]
fn each_rule_fires_and_says_so_in_one_line() {
    let mut wrong = Vec::new();
    for case in firing() {
        let found = found(case.rig);
        let own: Vec<_> = found.iter().filter(|finding| finding.rule == case.rule).collect();
        let is_it = |message: &str, severity| message == case.says && severity == case.severity;
        // Told alone, or as one of the cases of its cause.
        let hit = own.iter().any(|finding| {
            is_it(&finding.message, finding.severity)
                || finding.touched.iter().any(|touched| is_it(&touched.message, touched.severity))
        });
        if !hit {
            let said: Vec<_> =
                own.iter().map(|finding| format!("{} {}", finding.severity, finding.message)).collect();
            wrong.push(format!("{}: wanted {} {}\n    said {said:#?}", case.rule, case.severity, case.says));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn each_rule_is_silent_when_all_is_well() {
    for (rule, rig) in silent() {
        let said: Vec<_> = found(rig).into_iter().filter(|f| f.rule == rule).map(|f| f.message).collect();
        assert!(said.is_empty(), "{rule}: {said:#?}");
    }
}

#[test]
fn an_edit_cures_what_it_belongs_to() {
    let mut cured = 0;
    for case in firing() {
        for finding in found(case.rig.clone()).into_iter().filter(|finding| finding.rule == case.rule) {
            let Some(edit) = &finding.edit else { continue };
            let mut rig = case.rig.clone();
            for change in &edit.changes {
                apply(&mut rig, change);
            }
            let left = found(rig);
            assert!(
                !left.iter().any(|f| f.identity() == finding.identity() && f.severity == finding.severity),
                "{}: {} leaves {:?}",
                case.rule,
                edit.name,
                left.iter().map(|f| &f.message).collect::<Vec<_>>()
            );
            cured += 1;
        }
    }
    assert!(6 <= cured, "only {cured} edits were offered");
}

/// The few edits that rules offer, done on a rig.
fn apply(rig: &mut Rig, change: &Change) {
    let parts: Vec<&str> = change.field().parts().iter().map(String::as_str).collect();
    let removes = matches!(change, Change::Remove { .. });
    match (parts.as_slice(), change.to()) {
        (["device", tag, "place", axis], Some(Value::Text(to))) => {
            let place = device(rig, tag).place.as_mut().expect("the case is whole");
            let at = if *axis == "x" { &mut place.x } else { &mut place.y };
            *at = to.parse().expect("the case is whole");
        }
        (["device", _, "outlet", name, "set"], Some(Value::Text(to))) => {
            outlet_of(rig, name).set = know(to.parse().expect("the case is whole"));
        }
        (["device", tag, "feed"], Some(to)) => device(rig, tag).feed = Some(whole(to)),
        (["device", tag, "feed", "outlets"], Some(to)) => {
            device(rig, tag).feed.as_mut().expect("the case is whole").outlets = outlets(Some(to));
        }
        (["device", tag, "feed", "type"], to) => {
            device(rig, tag).feed.as_mut().expect("the case is whole").kind =
                kind(to.and_then(Value::as_text));
        }
        (["device", tag, "feed", "crossing"], Some(Value::Flag(to))) => {
            device(rig, tag).feed.as_mut().expect("the case is whole").crossing = *to;
        }
        (["accept", index], None) if removes => {
            rig.acceptances.remove(index.parse().expect("the case is whole"));
        }
        other => panic!("no such edit: {other:?}"),
    }
}

/// A feed as an edit says it.
fn whole(feed: &Value) -> rig::Feed {
    let plain = pedal("X", 0, 0, "1").feed.expect("the case is whole");
    rig::Feed {
        outlets: outlets(feed.get("outlets")),
        kind: kind(feed.get("type").and_then(Value::as_text)),
        crossing: feed.get("crossing") == Some(&Value::Flag(true)),
        ..plain
    }
}

fn outlets(list: Option<&Value>) -> Vec<PortRef> {
    let Some(Value::List(names)) = list else { panic!("a feed has outlets") };
    names
        .iter()
        .filter_map(|name| name.split_once('.'))
        .map(|(brick, outlet)| PortRef::new(brick, outlet))
        .collect()
}

fn kind(word: Option<&str>) -> FeedKind {
    match word {
        Some("series-pair") => FeedKind::SeriesPair,
        Some("parallel-pair") => FeedKind::ParallelPair,
        _ => FeedKind::Single,
    }
}

/// What a rule cannot check, and the message it gives then.
#[test]
fn each_rule_says_when_it_cannot_judge() {
    let mut wrong = Vec::new();
    let mut on = |rule: &str, says: &str, base: Rig, spoil: &dyn Fn(&mut Rig)| {
        let found = found(spoilt(base, |rig| spoil(rig)));
        // Its own line, or a word in the line of the rule that asks for the same values.
        let spoken_for = format!("{rule} rests on the same and is not checked either");
        let own: Vec<_> = found
            .into_iter()
            .filter(|f| f.rule == rule || f.touched.iter().any(|case| case.message == spoken_for))
            .collect();
        let is_it = |f: &finding::Finding| {
            f.message == says && f.rule == rule || f.touched.iter().any(|case| case.message == says)
        };
        if !own.iter().any(|f| is_it(f) && f.is_unchecked() && f.severity == Look) {
            wrong.push(format!(
                "{rule}: wanted {says}\n    said {:#?}",
                own.iter().map(|f| &f.message).collect::<Vec<_>>()
            ));
        }
    };
    on("not-placed", "not checked: the room for A1, which has no place yet", clean(), &|rig| {
        device(rig, "A1").place = None;
    });
    on(
        "foot-room",
        "not checked: the foot's room over A1; measure: height of the knobs of A1",
        clean(),
        &|rig| {
            crate::limits::over_a1(rig, 200);
            device(rig, "A1").knobs = Known::default();
        },
    );
    on("clearance", "not checked: the room A1 takes; measure: size of A1", clean(), &|rig| {
        device(rig, "A1").size = Known::default();
    });
    on(
        "clearance",
        "not checked: the room A1 takes; measure: height of the knobs of A1 and offset of jack IN on A1",
        clean(),
        &|rig| {
            device(rig, "A1").knobs = Known::default();
            port_of(rig, "A1", "IN").offset = Known::default();
        },
    );
    on(
        "clearance",
        "not checked: clearance of plugs and bodies at A1 and A2; find out: plug at A1.OUT of the lead to A2.IN and plug at A2.IN of the lead from A1.OUT",
        clean(),
        &|rig| {
            rig.runs[0].plug = None;
        },
    );
    let case =
        |rig: &mut Rig| rig.board.case = Some(Case { mass: know(Grams::of(2000.0)), ..Case::default() });
    on(
        "case-foam",
        "not checked: the room in the case; measure: inside depth of the case and inside width of the case",
        clean(),
        &|rig| case(rig),
    );
    on(
        "lid-height",
        "not checked: the room under the lid; measure: inside height of the lid",
        clean(),
        &|rig| case(rig),
    );
    on("lid-height", "lid-height rests on the same and is not checked either", clean(), &|rig| {
        rig.board.lid = Some(Lid { inside_height: know(mm(90)) });
        device(rig, "A1").knobs = Known::default();
    });
    on(
        "clear-height",
        "not checked: the room under deck main for SUP; measure: bracket of SUP",
        clean(),
        &|rig| {
            device(rig, "SUP").bracket = Known::default();
        },
    );
    on(
        "clear-height",
        "not checked: the room under deck main for SUP; measure: clear height below deck main",
        clean(),
        &|rig| {
            rig.board.decks[0].clear_below = Known::default();
        },
    );
    on(
        "service-port",
        "not checked: the reach of a port of A1; measure: offset of jack USB on A1",
        clean(),
        &|rig| {
            let mut usb =
                port("USB", PortRole::Usb, Face::Left, 110, connector("usb-b", ConnectorFamily::Usb));
            usb.service = true;
            usb.offset = Known::default();
            device(rig, "A1").ports.push(usb);
        },
    );
    on(
        "field-distance",
        "not checked: distance from a brick of A1; find out: whether A1 holds a coil",
        clean(),
        &|rig| {
            device(rig, "A1").signal.coil = Known::default();
            device(rig, "A1").place = crate::build::at("main", 400, 260);
        },
    );
    on(
        "aerial-distance",
        "not checked: the room around an aerial of A1; find out: whether A1 has an aerial",
        clean(),
        &|rig| {
            device(rig, "A1").signal.aerial = Known::default();
            device(rig, "A1").place = crate::build::at("main", 400, 260);
        },
    );
    on(
        "passage-edge",
        "not checked: the edges of passages; find out: edge of passage loom",
        clean(),
        &|rig| {
            let at = Rect { x: mm(0), y: mm(0), width: mm(20), depth: mm(20) };
            rig.board.decks[0].passages =
                vec![Passage { name: "loom".into(), at, grommet: Known::default() }];
        },
    );
    on("no-feed", "not checked: whether A1 needs a feed; find out: supply type of A1", clean(), &|rig| {
        device(rig, "A1").feed = None;
        device(rig, "A1").power.nature = Known::default();
    });
    on("no-feed", "not checked: how SUP gets its mains; find out: feed of SUP", clean(), &|rig| {
        device(rig, "SUP").power.nature = know(Nature::Mains);
    });
    on("outlet-load", "not checked: the load of outlet SUP.1; measure: draw of A1", clean(), &|rig| {
        device(rig, "A1").power.current = Known::default();
    });
    on(
        "outlet-load",
        "not checked: the load of outlet SUP.1; find out: setting of outlet 1 on SUP",
        clean(),
        &|rig| {
            outlet_of(rig, "1").set = Known::default();
        },
    );
    on("brick-load", "not checked: the load of brick SUP; find out: watts of SUP in all", clean(), &|rig| {
        device(rig, "SUP").total = Known::default();
    });
    on(
        "supply-nature",
        "not checked: whether SUP.1 suits A1; find out: supply type of A1",
        clean(),
        &|rig| {
            device(rig, "A1").power.nature = Known::default();
        },
    );
    on("supply-voltage", "not checked: the voltage at A1; find out: voltage of A1", clean(), &|rig| {
        device(rig, "A1").power.volts = Known::default();
    });
    on("supply-sign", "not checked: the polarity at A1; find out: polarity of A1", clean(), &|rig| {
        device(rig, "A1").power.sign = Known::default();
    });
    on(
        "supply-barrel",
        "not checked: whether the supply leads fit A1; find out: plug at A1 of its supply lead",
        clean(),
        &|rig| {
            device(rig, "A1").feed.as_mut().expect("the case is whole").device_plug = PlugSpec::default();
        },
    );
    on(
        "pair",
        "not checked: whether SUP.1 and SUP.3 may be joined for A1; find out: isolation of outlet 3 on SUP",
        clean(),
        &|rig| {
            device(rig, "A1").feed = Some(feed(&["1", "3"]));
            outlet_of(rig, "3").isolation = Known::default();
        },
    );
    on(
        "shared-outlet",
        "not checked: whether A1 and A2 may share outlet SUP.1; find out: power class of A2",
        clean(),
        &|rig| {
            device(rig, "A2").feed = Some(feed(&["1"]));
            device(rig, "A2").power.class = Known::default();
        },
    );
    on(
        "unisolated-outlet",
        "not checked: whether SUP.1 and SUP.2 share a negative with a digital device; find out: isolation of outlet 2 on SUP",
        clean(),
        &|rig| {
            device(rig, "A2").power.class = know(Class::Digital);
            outlet_of(rig, "1").isolation = know(Isolation::Joined);
            outlet_of(rig, "2").isolation = Known::default();
        },
    );
    on(
        "positive-ground",
        "not checked: whether the outlet suits A1; find out: ground of A1",
        clean(),
        &|rig| {
            device(rig, "A1").power.positive_ground = Known::default();
            outlet_of(rig, "1").isolation = know(Isolation::Joined);
        },
    );
    on(
        "start-surge",
        "not checked: whether A1 starts on SUP.1; find out: power class of A1",
        clean(),
        &|rig| {
            device(rig, "A1").power.class = Known::default();
            device(rig, "A1").power.current = know(Milliamps::of(400.0));
            device(rig, "A1").power.surge = Known::default();
        },
    );
    on(
        "mains-frequency",
        "not checked: whether SUP is made for the frequency of the mains; find out: mains frequency of SUP",
        clean(),
        &|rig| {
            device(rig, "SUP").power.nature = know(Nature::Mains);
            rig.job.mains = Some(Mains { volts: Volts::of(230.0), hertz: Hertz::of(50.0) });
        },
    );
    on(
        "mains-frequency",
        "not checked: whether SUP, made for 60 Hz, suits the mains at home; find out: mains at home",
        clean(),
        &|rig| {
            device(rig, "SUP").power.nature = know(Nature::Mains);
            device(rig, "SUP").power.hertz = know(MainsHertz::Sixty);
        },
    );
    on(
        "mains-voltage",
        "not checked: whether SUP takes the mains; find out: mains at home",
        clean(),
        &|rig| {
            device(rig, "SUP").power.nature = know(Nature::Mains);
            device(rig, "SUP").power.volts = know(Window::exactly(Volts::of(230.0)));
        },
    );
    on(
        "port-unconnected",
        "not checked: whether A2 is connected; find out: purpose of jack X on A2",
        clean(),
        &|rig| {
            let mut x = port("X", PortRole::Out, Face::Front, 20, crate::build::jack());
            x.role = Known::default();
            device(rig, "A2").ports.push(x);
        },
    );
    on(
        "plug-fit",
        "not checked: whether the plugs fit A1; find out: connector of jack IN on A1",
        clean(),
        &|rig| {
            port_of(rig, "A1", "IN").connector = None;
        },
    );
    on(
        "bare-pickup",
        "not checked: what stands before A2; find out: whether A2 needs the bare pickup",
        clean(),
        &|rig| {
            device(rig, "A1").signal.bypass = know(Bypass::Buffered);
            device(rig, "A2").signal.bare_pickup = Known::default();
            port_of(rig, "A2", "IN").z = know(Ohms::of(10e3));
        },
    );
    on(
        "bare-pickup",
        "not checked: whether A2 sees the bare pickup; find out: bypass of A1",
        clean(),
        &|rig| {
            device(rig, "A1").signal.bypass = Known::default();
            device(rig, "A2").signal.bare_pickup = know(true);
        },
    );
    on(
        "parallel-load",
        "not checked: the load on guitar; measure: impedance of jack IN on A1",
        clean(),
        &|rig| {
            port_of(rig, "A1", "IN").z = Known::default();
        },
    );
    on(
        "piezo-input",
        "not checked: the first input after guitar; measure: impedance of jack IN on A1",
        clean(),
        &|rig| {
            rig.sources[0].pickup.kind = know(PickupKind::Piezo);
            port_of(rig, "A1", "IN").z = Known::default();
        },
    );
    on(
        "junction-loss",
        "not checked: the loss at A1; measure: impedance of jack OUT on A1",
        clean(),
        &|rig| {
            port_of(rig, "A1", "OUT").z = Known::default();
        },
    );
    on("chain-loss", "chain-loss rests on the same and is not checked either", three(), &|rig| {
        port_of(rig, "A2", "OUT").z = know(Ohms::of(300e3));
        port_of(rig, "A1", "OUT").z = Known::default();
    });
    on("treble-loss", "treble-loss rests on the same and is not checked either", clean(), &|rig| {
        port_of(rig, "A1", "OUT").z = Known::default();
    });
    on(
        "polarity",
        "not checked: the polarity of amp against amp2; measure: whether A3 inverts",
        two_amps(),
        &|rig| {
            device(rig, "A3").signal.inverts = Known::default();
        },
    );
    on(
        "latency",
        "not checked: the delay of amp against amp2; measure: delay of the direct sound of A3",
        two_amps(),
        &|rig| {
            device(rig, "A3").signal.latency = Known::default();
            device(rig, "A3").power.class = know(Class::Digital);
        },
    );
    on(
        "feedback-ring",
        "not checked: whether a ring of devices howls; measure: gain of A3",
        three(),
        &|rig| {
            in_a_ring(rig);
            port_of(rig, "A1", "IN2").z = know(Ohms::of(1e3));
            device(rig, "A3").signal.gain = Known::default();
        },
    );
    on("gain-sum", "not checked: the gain of state solo; measure: gain of A1", clean(), &|rig| {
        device(rig, "A1").signal.gain = Known::default();
        state(rig, &["A1"]);
    });
    on(
        "tails-in-loop",
        "not checked: whether a loop cuts the tails of A3; find out: whether the repeats of A3 ring on",
        in_loop(),
        &|rig| {
            device(rig, "A3").signal.tails = Known::default();
        },
    );
    on(
        "phantom",
        "not checked: whether A2.OUT stands what amp puts on it; find out: phantom rating of jack OUT on A2",
        clean(),
        &|rig| {
            rig.sinks[0].phantom = know(true);
        },
    );
    on("mass", "not checked: the mass; measure: mass of A1", clean(), &|rig| {
        device(rig, "A1").mass = Known::default();
    });
    on("baggage-mass", "baggage-mass rests on the same and is not checked either", clean(), &|rig| {
        device(rig, "A1").mass = Known::default();
        rig.brief.mass_limit = Some(Grams::of(23e3));
    });
    on(
        "fastening",
        "not checked: whether A1 holds on its hook and loop; find out: fasten area of A1",
        clean(),
        &|rig| {
            let mut fasten = strips(2, 40);
            fasten.length = Known::default();
            device(rig, "A1").fasten = Some(fasten);
        },
    );
    on("fastening", "not checked: how firmly to fix A1; measure: mass of A1", clean(), &|rig| {
        device(rig, "A1").mass = Known::default();
        rig.brief.touring = true;
    });
    on("lead-short", "lead-short rests on the same and is not checked either", clean(), &|rig| {
        rig.leads.push(LeadSpec {
            cut: Some(mm(300)),
            ..LeadSpec::between(PortRef::new("A1", "OUT"), PortRef::new("A2", "IN"))
        });
        port_of(rig, "A2", "IN").face = Known::default();
    });
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn bricks_and_pedals_of_the_cases_are_whole() {
    assert_eq!(brick().outlets.len(), 4);
    assert_eq!(pedal("X", 0, 0, "1").ports.len(), 3);
    assert_eq!(barrel().id, "barrel-5.5-2.1");
}
