//! Small rigs for the cases: one clean rig, and words to spoil it.

use design::{Design, derive};
use finding::Finding;
use quantity::{Decibels, Farads, Grams, Henries, Length, Milliamps, Ohms, Seconds, Volts, Watts, Window};
use rig::{
    Board, Bypass, Class, Connector, ConnectorFamily, Deck, Device, Face, Feed, FeedKind, Isolation, Known,
    Limits, Nature, Outlet, Pickup, PickupKind, Place, PlugAngle, PlugKind, PlugSpec, Port, PortRef,
    PortRole, Provenance, Rect, Rig, Role, Run, Setting, Sign, Sink, Size, Source, Stop, Switch,
};

/// A measured value.
pub(crate) fn know<T>(value: T) -> Known<T> {
    Known::new(value, Provenance::Measured)
}

pub(crate) fn mm(value: i64) -> Length {
    Length::from_mm(value)
}

pub(crate) fn connector(id: &str, family: ConnectorFamily) -> Connector {
    Connector {
        id: id.into(),
        title: id.into(),
        family,
        contacts: 2,
        nut: know(mm(0)),
        hole: know(mm(10)),
        hole_height: Known::default(),
        room: know(mm(12)),
        usual: None,
        made_for: None,
    }
}

pub(crate) fn jack() -> Connector {
    connector("jack-6.35-ts", ConnectorFamily::Jack)
}

pub(crate) fn barrel() -> Connector {
    connector("barrel-5.5-2.1", ConnectorFamily::Barrel)
}

/// A short straight plug: 20 mm deep, 12 mm wide, no bend.
pub(crate) fn plug(fits: &str) -> PlugKind {
    PlugKind {
        contacts: None,
        id: format!("plug-{fits}"),
        title: "plug".into(),
        angle: PlugAngle::Straight,
        fits: vec![fits.into()],
        loose_in: vec!["barrel-5.5-2.5".into()],
        unearthed_in: Vec::new(),
        depth: know(mm(20)),
        width: know(mm(12)),
        tail: know(mm(0)),
        tail_width: know(mm(0)),
        bend: know(mm(0)),
        allowance: know(mm(15)),
        strip: know(mm(12)),
        strip_core: know(mm(4)),
        capacitance: Known::default(),
    }
}

pub(crate) fn port(name: &str, role: PortRole, face: Face, offset: i64, connector: Connector) -> Port {
    Port {
        name: name.into(),
        role: know(role),
        connector: Some(connector),
        face: know(face),
        offset: know(mm(offset)),
        height: know(mm(25)),
        z: Known::default(),
        service: false,
        insulated: Known::default(),
        phantom_safe: Known::default(),
        behind: Known::default(),
        may_stay_empty: false,
        ..Port::default()
    }
}

pub(crate) fn at(deck: &str, x: i64, y: i64) -> Option<Place> {
    (!deck.is_empty()).then(|| Place {
        deck: deck.into(),
        x: mm(x),
        y: mm(y),
        quarters: 0,
        under: false,
        locked: false,
    })
}

/// A compact pedal 70 × 120 × 50 mm with one switch, everything measured.
pub(crate) fn pedal(tag: &str, x: i64, y: i64, outlet: &str) -> Device {
    let mut input = port("IN", PortRole::In, Face::Right, 80, jack());
    input.z = know(Ohms::of(1e6));
    let mut output = port("OUT", PortRole::Out, Face::Left, 80, jack());
    output.z = know(Ohms::of(1e3));
    let mut device = Device {
        tag: tag.into(),
        size: know(Size { width: mm(70), depth: mm(120), height: mm(50) }),
        knobs: know(mm(15)),
        bracket: know(mm(5)),
        mass: know(Grams::of(400.0)),
        switches: vec![Switch { name: "ON".into(), x: mm(35), y: mm(20), does: None }],
        ports: vec![input, output, port("DC", PortRole::Power, Face::Back, 35, barrel())],
        place: at("main", x, y),
        ..Device::default()
    };
    device.signal.bypass = know(Bypass::Hard);
    device.signal.bare_pickup = know(false);
    device.signal.inverts = know(false);
    device.signal.latency = know(Seconds::ZERO);
    device.signal.gain = know(Decibels::ZERO);
    device.signal.coil = know(false);
    device.signal.aerial = know(false);
    device.signal.tails = know(false);
    device.power.nature = know(Nature::Dc);
    device.power.volts = know(Window::exactly(Volts::of(9.0)));
    device.power.current = know(Milliamps::of(100.0));
    device.power.surge = know(Milliamps::of(100.0));
    device.power.sign = know(Sign::CentreNegative);
    device.power.class = know(Class::Analogue);
    device.power.positive_ground = know(false);
    device.feed = Some(feed(&[outlet]));
    device
}

pub(crate) fn feed(outlets: &[&str]) -> Feed {
    Feed {
        kind: match outlets.len() {
            2 => FeedKind::SeriesPair,
            _ => FeedKind::Single,
        },
        outlets: outlets.iter().map(|outlet| PortRef::new("SUP", *outlet)).collect(),
        crossing: false,
        barrel_adaptor: None,
        locked: false,
        clamped: false,
        adaptor: None,
        device_plug: PlugSpec { plug: Some(plug("barrel-5.5-2.1")), exit: None },
        outlet_plug: PlugSpec { plug: Some(plug("barrel-5.5-2.1")), exit: None },
    }
}

pub(crate) fn outlet(name: &str) -> Outlet {
    let setting =
        |volts: f64, current: f64| Setting { volts: Volts::of(volts), current: know(Milliamps::of(current)) };
    Outlet {
        name: name.into(),
        nature: know(Nature::Dc),
        settings: vec![setting(9.0, 500.0), setting(12.0, 400.0), setting(18.0, 200.0)],
        set: know(Volts::of(9.0)),
        sign: know(Sign::CentreNegative),
        isolation: know(Isolation::Isolated),
        bank: None,
        parallel: know(true),
        series: know(true),
    }
}

/// A brick with four isolated outlets on its front, hanging under the main deck.
pub(crate) fn brick() -> Device {
    let names = ["1", "2", "3", "4"];
    let mut device = Device {
        tag: "SUP".into(),
        role: Role::Brick,
        size: know(Size { width: mm(160), depth: mm(80), height: mm(35) }),
        bracket: know(mm(5)),
        mass: know(Grams::of(800.0)),
        outlets: names.iter().map(|name| outlet(name)).collect(),
        total: know(Watts::of(30.0)),
        place: at("main", 220, 400),
        ..Device::default()
    };
    device.place.as_mut().expect("the case is whole").under = true;
    for (offset, name) in [20, 60, 100, 140].into_iter().zip(names) {
        let mut port = port(name, PortRole::Outlet, Face::Front, offset, barrel());
        port.height = know(mm(15));
        port.may_stay_empty = true;
        device.ports.push(port);
    }
    device.power.nature = know(Nature::None);
    device
}

/// One stop, as the reader makes it.
pub(crate) fn stop(device: &str, arrives: Option<&str>, leaves: Option<&str>) -> Stop {
    let port = |name: Option<&str>| name.map(|name| PortRef::new(device, name));
    Stop { text: device.into(), arrives: port(arrives), leaves: port(leaves) }
}

/// A run of whole devices between two ends: `guitar`, tags, `amp`.
pub(crate) fn run(name: &str, stops: &[&str]) -> Run {
    let last = stops.len() - 1;
    let stops = stops
        .iter()
        .enumerate()
        .map(|(index, text)| match text.split_once('.') {
            Some((device, "")) => {
                stop(device, Some("").filter(|_| 0 < index), Some("").filter(|_| index < last))
            }
            Some((device, port)) => {
                stop(device, Some(port).filter(|_| 0 < index), Some(port).filter(|_| index < last))
            }
            None => stop(text, Some("IN").filter(|_| 0 < index), Some("OUT").filter(|_| index < last)),
        })
        .collect();
    Run { name: name.into(), stops, plug: Some(plug("jack-6.35-ts")), ..Run::default() }
}

pub(crate) fn sink(id: &str) -> Sink {
    Sink {
        id: id.into(),
        z: know(Ohms::of(1e6)),
        plug: Some(plug("jack-6.35-ts")),
        phantom: know(false),
        earthed: know(false),
        lead: know(mm(500)),
        ..Sink::default()
    }
}

/// A single coil whose resonance with 5 m of lead lies at about 4 kHz.
fn single_coil() -> Pickup {
    Pickup {
        kind: know(PickupKind::Coil),
        inductance: know(Henries::of(2.5)),
        resistance: know(Ohms::of(6e3)),
        capacitance: know(Farads::of(110e-12)),
        volume_pot: know(Ohms::of(250e3)),
        tone_pot: know(Ohms::of(250e3)),
        tone_capacitor: know(Farads::of(22e-9)),
        ..Pickup::default()
    }
}

/// Guitar → A1 → A2 → amp, fed by SUP.1 and SUP.2, with room everywhere: nothing to remark.
pub(crate) fn clean() -> Rig {
    Rig {
        sources: vec![Source {
            id: "guitar".into(),
            pickup: single_coil(),
            plug: Some(plug("jack-6.35-ts")),
            lead: know(mm(5000)),
            ..Source::default()
        }],
        sinks: vec![sink("amp")],
        board: Board {
            decks: vec![Deck {
                name: "main".into(),
                shape: vec![Rect { x: mm(0), y: mm(0), width: mm(600), depth: mm(500) }],
                thickness: mm(10),
                clear_below: know(mm(60)),
                ..Deck::default()
            }],
            mass: know(Grams::of(3000.0)),
            ..Board::default()
        },
        devices: vec![pedal("A1", 400, 40, "1"), pedal("A2", 200, 40, "2"), brick()],
        runs: vec![run("main", &["guitar.", "A1", "A2", "amp."])],
        ..Rig::default()
    }
}

/// The clean rig with a third pedal between A2 and the amp, on SUP.3.
pub(crate) fn three() -> Rig {
    let mut rig = clean();
    rig.devices.insert(2, pedal("A3", 40, 40, "3"));
    rig.runs[0] = run("main", &["guitar.", "A1", "A2", "A3", "amp."]);
    rig
}

pub(crate) fn device<'a>(rig: &'a mut Rig, tag: &str) -> &'a mut Device {
    rig.devices.iter_mut().find(|device| device.tag == tag).expect("the case is whole")
}

pub(crate) fn port_of<'a>(rig: &'a mut Rig, tag: &str, name: &str) -> &'a mut Port {
    device(rig, tag).ports.iter_mut().find(|port| port.name == name).expect("the case is whole")
}

pub(crate) fn outlet_of<'a>(rig: &'a mut Rig, name: &str) -> &'a mut Outlet {
    device(rig, "SUP").outlets.iter_mut().find(|outlet| outlet.name == name).expect("the case is whole")
}

pub(crate) fn design(rig: Rig) -> Design {
    derive(rig, Limits::default())
}

/// All findings on a rig under the default limits.
pub(crate) fn found(rig: Rig) -> Vec<Finding> {
    checks::check(&design(rig))
}
