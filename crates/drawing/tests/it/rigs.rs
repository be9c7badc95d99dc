//! A whole board of two decks, built by hand. The papers are tested on it too.

use quantity::{Farads, Grams, Length, Milliamps, Volts, Window};
use rig::{
    Board, Cable, Carries, Case, Connector, ConnectorFamily, Deck, Device, Exit, FLOOR, Face, Feed, FeedKind,
    Isolation, Job, Known, Lid, Nature, Outlet, Place, PlugAngle, PlugKind, PlugSpec, Port, PortRef,
    PortRole, PowerNeed, Provenance, Rect, Rig, Riser, Role, Run, Setting, Sign, Signal, Sink, Size, Source,
    Stop, Switch,
};

pub(crate) fn mm(value: i64) -> Length {
    Length::from_mm(value)
}

pub(crate) fn measured<T>(value: T) -> Known<T> {
    Known::new(value, Provenance::Measured)
}

pub(crate) fn assumed<T>(value: T) -> Known<T> {
    Known::new(value, Provenance::Assumed)
}

fn connector(family: ConnectorFamily, contacts: u32) -> Connector {
    Connector {
        id: format!("{family:?}-{contacts}"),
        title: "connector".into(),
        family,
        contacts,
        nut: measured(mm(3)),
        hole: measured(mm(10)),
        hole_height: Known::default(),
        room: measured(mm(12)),
        usual: None,
        made_for: None,
    }
}

pub(crate) fn port(name: &str, role: PortRole, face: Face, offset: i64, height: i64) -> Port {
    let connector = match role {
        PortRole::Power => connector(ConnectorFamily::Barrel, 2),
        PortRole::Mains => connector(ConnectorFamily::Mains, 3),
        PortRole::Usb => connector(ConnectorFamily::Usb, 4),
        PortRole::Expression => connector(ConnectorFamily::Jack, 3),
        _ => connector(ConnectorFamily::Jack, 2),
    };
    Port {
        name: name.into(),
        role: measured(role),
        connector: Some(connector),
        face: measured(face),
        offset: measured(mm(offset)),
        height: measured(mm(height)),
        z: Known::default(),
        service: false,
        insulated: Known::default(),
        phantom_safe: Known::default(),
        behind: Known::default(),
        may_stay_empty: false,
        ..Port::default()
    }
}

pub(crate) fn angled() -> PlugKind {
    PlugKind {
        contacts: None,
        id: "flat-angled".into(),
        title: "flat angled plug".into(),
        angle: PlugAngle::Angled,
        fits: vec![],
        loose_in: vec![],
        unearthed_in: Vec::new(),
        depth: assumed(mm(14)),
        width: assumed(mm(12)),
        tail: assumed(mm(13)),
        tail_width: assumed(mm(12)),
        bend: assumed(mm(10)),
        allowance: assumed(mm(15)),
        strip: assumed(mm(12)),
        strip_core: assumed(mm(4)),
        capacitance: Known::new(Farads::of(5e-12), Provenance::Assumed),
    }
}

pub(crate) fn barrel() -> PlugKind {
    PlugKind {
        contacts: None,
        id: "barrel-angled".into(),
        title: "angled barrel plug".into(),
        depth: measured(mm(11)),
        width: measured(mm(9)),
        tail: measured(mm(14)),
        tail_width: measured(mm(9)),
        bend: measured(mm(8)),
        ..angled()
    }
}

pub(crate) fn straight() -> PlugKind {
    PlugKind {
        contacts: None,
        id: "straight-6.35".into(),
        title: "straight plug".into(),
        angle: PlugAngle::Straight,
        depth: measured(mm(38)),
        width: measured(mm(15)),
        bend: measured(mm(25)),
        ..angled()
    }
}

fn spec(plug: PlugKind, exit: Option<Exit>) -> PlugSpec {
    PlugSpec { plug: Some(plug), exit }
}

fn cable() -> Cable {
    Cable {
        carries: Vec::new(),
        cores: None,
        id: "thin-patch".into(),
        title: "thin patch cable, 4 mm".into(),
        diameter: measured(mm(4)),
        capacitance_per_metre: measured(Farads::of(95e-12)),
        resistance_per_metre: Known::default(),
    }
}

pub(crate) fn pedal(
    tag: &str,
    title: &str,
    (w, d, h): (i64, i64, i64),
    deck: &str,
    (x, y): (i64, i64),
) -> Device {
    Device {
        tag: tag.into(),
        title: title.into(),
        role: Role::Pedal,
        size: measured(Size { width: mm(w), depth: mm(d), height: mm(h) }),
        corner: mm(6),
        knobs: measured(mm(14)),
        mass: Known::new(Grams::of(450.0), Provenance::Printed),
        switches: vec![Switch { name: "on".into(), x: mm(w / 2), y: mm(25), does: None }],
        ports: vec![
            port("IN", PortRole::In, Face::Right, d * 2 / 3, h / 2),
            port("OUT", PortRole::Out, Face::Left, d * 2 / 3, h / 2),
            port("DC", PortRole::Power, Face::Back, w / 2, h / 2),
        ],
        signal: Signal::default(),
        power: PowerNeed {
            nature: measured(Nature::Dc),
            volts: measured(Window::exactly(Volts::of(9.0))),
            current: Known::new(Milliamps::of(80.0), Provenance::Printed),
            sign: measured(Sign::CentreNegative),
            ..PowerNeed::default()
        },
        place: Some(Place {
            deck: deck.into(),
            x: mm(x),
            y: mm(y),
            quarters: 0,
            under: false,
            locked: false,
        }),
        ..Device::default()
    }
}

pub(crate) fn outlet(name: &str) -> Outlet {
    Outlet {
        name: name.into(),
        nature: measured(Nature::Dc),
        settings: vec![Setting { volts: Volts::of(9.0), current: measured(Milliamps::of(500.0)) }],
        set: measured(Volts::of(9.0)),
        sign: measured(Sign::CentreNegative),
        isolation: measured(Isolation::Isolated),
        bank: None,
        parallel: Known::default(),
        series: Known::default(),
    }
}

fn feed(outlet: &str, exit: Exit) -> Feed {
    Feed {
        kind: FeedKind::Single,
        outlets: vec![PortRef::new("SUP", outlet)],
        crossing: false,
        barrel_adaptor: None,
        locked: false,
        adaptor: None,
        clamped: false,
        device_plug: spec(barrel(), Some(exit)),
        outlet_plug: spec(barrel(), Some(Exit::Left)),
    }
}

pub(crate) fn deck(name: &str, at: (i64, i64, i64), size: (i64, i64)) -> Deck {
    Deck {
        name: name.into(),
        x: mm(at.0),
        y: mm(at.1),
        z: mm(at.2),
        shape: vec![Rect { x: mm(0), y: mm(0), width: mm(size.0), depth: mm(size.1) }],
        thickness: mm(4),
        clear_below: measured(mm(at.2 + 30)),
        ..Deck::default()
    }
}

fn stop(text: &str, arrives: Option<(&str, &str)>, leaves: Option<(&str, &str)>) -> Stop {
    let port = |(device, name): (&str, &str)| PortRef::new(device, name);
    Stop { text: text.into(), arrives: arrives.map(port), leaves: leaves.map(port) }
}

/// Two decks, a brick under the upper one, a treadle, a floor pedal, one device without a place, one outside,
/// and plugs of `OCT` and `FUZ` that clash.
pub(crate) fn two_decks() -> Rig {
    let mut tun = pedal("TUN", "tuner with buffer", (73, 129, 55), "front", (470, 20));
    tun.feed = Some(feed("1", Exit::Left));
    let mut fuz = pedal("FUZ", "germanium fuzz", (118, 94, 52), "front", (326, 24));
    fuz.feed = Some(feed("2", Exit::Left));
    fuz.power.current = Known::new(Milliamps::of(3.0), Provenance::Assumed);
    // Its output plug meets the input plug of OCT.
    let mut oct = pedal("OCT", "octave, pitch", (98, 120, 58), "front", (212, 24));
    oct.feed = Some(feed("3", Exit::Right));
    oct.switches.push(Switch { name: "bank".into(), x: mm(25), y: mm(25), does: None });
    let mut vol = pedal("VOL", "volume, active stereo", (90, 240, 70), "front", (70, 30));
    vol.treadle = Some(assumed(mm(35)));
    vol.switches.clear();
    vol.feed = Some(feed("4", Exit::Right));
    vol.corner = mm(12);
    let mut drv = pedal("DRV", "overdrive", (66, 122, 55), "rear", (440, 12));
    drv.feed = Some(feed("5", Exit::Left));
    let mut mod_ = pedal("MOD", "phaser, large", (146, 121, 60), "rear", (250, 12));
    mod_.feed = Some(feed("6", Exit::Left));
    let mut dly = pedal("DLY", "stereo delay", (126, 100, 55), "rear", (70, 16));
    dly.feed = Some(feed("7", Exit::Right));
    dly.ports.push(port("EXP", PortRole::Expression, Face::Back, 100, 27));
    let mut sup = pedal("SUP", "supply, eight outlets", (160, 88, 38), "rear", (180, 30));
    sup.role = Role::Brick;
    sup.knobs = Known::default();
    sup.switches.clear();
    sup.ports = (1..=8).map(|n| port(&n.to_string(), PortRole::Power, Face::Front, n * 18, 19)).collect();
    sup.outlets = (1..=8).map(|n| outlet(&n.to_string())).collect();
    sup.power = PowerNeed::default();
    sup.bracket = measured(mm(3));
    if let Some(place) = &mut sup.place {
        place.under = true;
    }
    let mut exp = pedal("EXP", "expression", (80, 210, 65), FLOOR, (-120, 10));
    exp.treadle = Some(assumed(mm(40)));
    exp.switches.clear();
    exp.ports = vec![port("OUT", PortRole::Expression, Face::Right, 150, 20)];
    exp.power = PowerNeed::default();
    let mut lop = pedal("LOP", "loop recorder", (106, 92, 55), "front", (0, 0));
    lop.place = None;
    let mut pan = pedal("PAN", "panel", (4, 120, 46), "front", (596, 150));
    pan.role = Role::Panel;
    pan.knobs = Known::default();
    pan.switches.clear();
    pan.power = PowerNeed::default();
    pan.ports = vec![
        port("IN", PortRole::Through, Face::Right, 30, 24),
        port("OUT", PortRole::Through, Face::Right, 62, 24),
        port("MAINS", PortRole::Mains, Face::Right, 98, 24),
    ];
    let mut rck = pedal("RCK", "rack reverb", (480, 200, 44), "front", (0, 0));
    rck.outside = true;
    rck.place = None;
    let spec_plug = |exit| spec(angled(), Some(exit));
    let lead = |from: (&str, &str), to: (&str, &str), a: Exit, b: Exit| rig::LeadSpec {
        from_plug: spec_plug(a),
        to_plug: spec_plug(b),
        ..rig::LeadSpec::between(PortRef::new(from.0, from.1), PortRef::new(to.0, to.1))
    };
    Rig {
        job: Job {
            title: "Baritone ambient stereo".into(),
            number: Some("J-0207".into()),
            player: Some("I. Kestervale".into()),
            workshop: Some("Tarnwick Bench".into()),
            drawn_by: Some("O. Fenlow".into()),
            date: Some("2026-03-14".into()),
            revision: Some("C".into()),
            mains: None,
        },
        sources: vec![Source {
            id: "guitar".into(),
            title: "baritone guitar".into(),
            lead: measured(mm(5000)),
            plug: Some(straight()),
            ..Source::default()
        }],
        sinks: vec![Sink {
            id: "amp".into(),
            title: "combo amp".into(),
            lead: measured(mm(6000)),
            plug: Some(straight()),
            ..Sink::default()
        }],
        board: Board {
            title: "two-deck frame".into(),
            decks: vec![deck("front", (0, 0, 0), (600, 300)), {
                let mut rear = deck("rear", (0, 300, 90), (600, 150));
                rear.risers = vec![Riser {
                    name: "step".into(),
                    at: Rect { x: mm(430), y: mm(4), width: mm(90), depth: mm(140) },
                    height: mm(12),
                }];
                rear
            }],
            mass: measured(Grams::of(4200.0)),
            lid: Some(Lid { inside_height: measured(mm(200)) }),
            case: Some(Case { title: "case".into(), mass: assumed(Grams::of(6500.0)), ..Case::default() }),
            ..Board::default()
        },
        devices: vec![tun, fuz, oct, vol, drv, mod_, dly, sup, exp, lop, pan, rck],
        runs: vec![
            Run {
                purpose: Option::default(),
                name: "main".into(),
                carries: Carries::Signal,
                stops: vec![
                    stop("guitar", None, Some(("guitar", ""))),
                    stop("PAN.IN", Some(("PAN", "IN")), Some(("PAN", "IN"))),
                    stop("TUN", Some(("TUN", "IN")), Some(("TUN", "OUT"))),
                    stop("FUZ", Some(("FUZ", "IN")), Some(("FUZ", "OUT"))),
                    stop("OCT", Some(("OCT", "IN")), Some(("OCT", "OUT"))),
                    stop("VOL", Some(("VOL", "IN")), Some(("VOL", "OUT"))),
                    stop("DRV", Some(("DRV", "IN")), Some(("DRV", "OUT"))),
                    stop("MOD", Some(("MOD", "IN")), Some(("MOD", "OUT"))),
                    stop("DLY", Some(("DLY", "IN")), Some(("DLY", "OUT"))),
                    stop("PAN.OUT", Some(("PAN", "OUT")), Some(("PAN", "OUT"))),
                    stop("amp", Some(("amp", "")), None),
                ],
                cable: Some(cable()),
                plug: Some(angled()),
            },
            Run {
                purpose: Option::default(),
                name: "expression".into(),
                carries: Carries::Expression,
                stops: vec![
                    stop("EXP", None, Some(("EXP", "OUT"))),
                    stop("DLY.EXP", Some(("DLY", "EXP")), None),
                ],
                cable: None,
                plug: Some(angled()),
            },
        ],
        leads: vec![
            lead(("PAN", "IN"), ("TUN", "IN"), Exit::Toe, Exit::Toe),
            lead(("TUN", "OUT"), ("FUZ", "IN"), Exit::Toe, Exit::Toe),
            lead(("FUZ", "OUT"), ("OCT", "IN"), Exit::Toe, Exit::Toe),
            lead(("OCT", "OUT"), ("VOL", "IN"), Exit::Heel, Exit::Toe),
            lead(("VOL", "OUT"), ("DRV", "IN"), Exit::Toe, Exit::Heel),
            lead(("DRV", "OUT"), ("MOD", "IN"), Exit::Toe, Exit::Toe),
            lead(("MOD", "OUT"), ("DLY", "IN"), Exit::Heel, Exit::Heel),
            lead(("DLY", "OUT"), ("PAN", "OUT"), Exit::Heel, Exit::Toe),
            lead(("EXP", "OUT"), ("DLY", "EXP"), Exit::Toe, Exit::Left),
        ],
        ..Rig::default()
    }
}
