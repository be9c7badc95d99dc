//! Rigs made for tests: small ones by hand, many by dice.

use quantity::{Decibels, Length, Milliamps, Volts, Watts, Window};
use rig::{
    Bank, Class, Connector, ConnectorFamily, Deck, Device, Face, Feed, FeedKind, Isolation, Known, Nature,
    Outlet, Place, PlugAngle, PlugKind, PlugSpec, Port, PortRef, PortRole, PowerNeed, Provenance, Rect, Rig,
    Role, Setting, Sign, Size,
};

/// A value that is printed.
pub(crate) fn printed<T>(value: T) -> Known<T> {
    Known::new(value, Provenance::Printed)
}

/// A connector by its catalogue id.
pub(crate) fn connector(id: &str) -> Connector {
    let families = [
        ("barrel", ConnectorFamily::Barrel),
        ("usb", ConnectorFamily::Usb),
        ("snap", ConnectorFamily::Snap),
        ("terminals", ConnectorFamily::Bare),
        ("iec", ConnectorFamily::Mains),
        ("fixed", ConnectorFamily::Fixed),
    ];
    let family = families.into_iter().find(|(start, _)| id.starts_with(start));
    let family = family.map_or(ConnectorFamily::Jack, |(_, family)| family);
    Connector {
        id: id.to_owned(),
        title: id.to_owned(),
        family,
        contacts: 2,
        nut: Known::default(),
        hole: Known::default(),
        hole_height: Known::default(),
        room: Known::default(),
        usual: None,
        made_for: None,
    }
}

/// A plug that is made for one connector.
pub(crate) fn plug(fits: &str) -> PlugKind {
    PlugKind {
        id: format!("plug-{fits}"),
        title: fits.to_owned(),
        angle: PlugAngle::Angled,
        fits: vec![fits.to_owned()],
        contacts: None,
        loose_in: Vec::new(),
        unearthed_in: Vec::new(),
        depth: Known::default(),
        width: Known::default(),
        tail: Known::default(),
        tail_width: Known::default(),
        bend: Known::default(),
        allowance: Known::default(),
        strip: Known::default(),
        strip_core: Known::default(),
        capacitance: Known::default(),
    }
}

fn port(name: &str, role: PortRole, id: &str, offset: i64) -> Port {
    Port {
        name: name.to_owned(),
        role: printed(role),
        connector: Some(connector(id)),
        face: printed(Face::Back),
        offset: printed(Length::from_mm(offset)),
        height: printed(Length::from_mm(10)),
        ..Port::default()
    }
}

/// An analogue device for direct current, centre-negative, of little gain.
pub(crate) fn device(tag: &str, low: f64, high: f64, milliamps: f64) -> Device {
    let mut device = Device {
        tag: tag.to_owned(),
        title: tag.to_owned(),
        ports: vec![port("DC", PortRole::Power, "barrel-5.5-2.1", 20)],
        power: PowerNeed {
            nature: printed(Nature::Dc),
            volts: Known { value: Window::new(Volts::of(low), Volts::of(high)), from: Provenance::Printed },
            current: printed(Milliamps::of(milliamps)),
            surge: Known::default(),
            sign: printed(Sign::CentreNegative),
            class: printed(Class::Analogue),
            positive_ground: printed(false),
            ..PowerNeed::default()
        },
        ..Device::default()
    };
    device.signal.gain = printed(Decibels::of(10.0));
    device
}

/// The same, digital.
pub(crate) fn digital(tag: &str, low: f64, high: f64, milliamps: f64) -> Device {
    let mut device = device(tag, low, high, milliamps);
    device.power.class = printed(Class::Digital);
    device
}

/// An isolated outlet for direct current that may be joined in series, at settings of volts and milliamperes.
pub(crate) fn outlet(name: &str, settings: &[(f64, f64)]) -> Outlet {
    Outlet {
        name: name.to_owned(),
        nature: printed(Nature::Dc),
        settings: settings
            .iter()
            .map(|&(volts, current)| Setting {
                volts: Volts::of(volts),
                current: printed(Milliamps::of(current)),
            })
            .collect(),
        set: Known::default(),
        sign: printed(Sign::CentreNegative),
        isolation: printed(Isolation::Isolated),
        bank: None,
        parallel: printed(false),
        series: printed(true),
    }
}

/// A brick with these outlets and no limit in all that could bind.
pub(crate) fn brick(tag: &str, outlets: Vec<Outlet>) -> Device {
    let offsets = (0..).map(|place| 10 + 15 * place);
    Device {
        tag: tag.to_owned(),
        title: tag.to_owned(),
        kind: Some(tag.to_owned()),
        role: Role::Brick,
        power: PowerNeed { nature: printed(Nature::Mains), ..PowerNeed::default() },
        ports: outlets
            .iter()
            .zip(offsets)
            .map(|(outlet, offset)| port(&outlet.name, PortRole::Outlet, "barrel-5.5-2.1", offset))
            .collect(),
        outlets,
        total: printed(Watts::of(1000.0)),
        ..Device::default()
    }
}

/// A rig of these devices.
pub(crate) fn rig(devices: Vec<Device>) -> Rig {
    Rig { devices, ..Rig::default() }
}

/// A feed of one kind at these outlets.
pub(crate) fn feed(kind: FeedKind, outlets: &[&str], locked: bool) -> Feed {
    Feed {
        kind,
        outlets: outlets
            .iter()
            .filter_map(|at| at.split_once('.'))
            .map(|(device, port)| PortRef::new(device, port))
            .collect(),
        crossing: false,
        barrel_adaptor: None,
        locked,
        adaptor: None,
        clamped: false,
        device_plug: PlugSpec::default(),
        outlet_plug: PlugSpec::default(),
    }
}

/// Dice that fall the same way for the same seed (`splitmix64`, Steele and others, OOPSLA 2014).
pub(crate) struct Dice(u64);

impl Dice {
    /// Dice of a seed.
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number from `low` to `high`, both possible.
    pub(crate) fn between(&mut self, low: i64, high: i64) -> i64 {
        let span = u64::try_from(high - low + 1).expect("high is not below low");
        low + i64::try_from(self.next() % span).expect("a small number")
    }

    /// True so many times in a hundred.
    pub(crate) fn chance(&mut self, percent: i64) -> bool {
        self.between(1, 100) <= percent
    }

    /// One of these.
    pub(crate) fn of<T: Copy>(&mut self, choices: &[T]) -> T {
        let last = i64::try_from(choices.len()).expect("a short list") - 1;
        choices[usize::try_from(self.between(0, last)).expect("not below zero")]
    }
}

/// A count as a double.
fn real(whole: i64) -> f64 {
    f64::from(i32::try_from(whole).expect("a small number"))
}

fn place(device: &mut Device, x: i64, y: i64, under: bool) {
    let mm = Length::from_mm;
    device.size = printed(Size { width: mm(60), depth: mm(90), height: mm(30) });
    device.place =
        Some(Place { deck: "main".to_owned(), x: mm(x), y: mm(y), quarters: 0, under, locked: false });
}

fn deck() -> Deck {
    let mm = Length::from_mm;
    Deck {
        name: "main".to_owned(),
        shape: vec![Rect { x: mm(0), y: mm(0), width: mm(900), depth: mm(400) }],
        thickness: mm(3),
        ..Deck::default()
    }
}

/// A small rig of every trick there is, sometimes impossible: at most so many devices and bricks.
pub(crate) fn small(seed: u64, most_devices: i64, most_bricks: i64) -> Rig {
    let mut dice = Dice::new(seed);
    let mut devices = Vec::new();
    let placed = dice.chance(70);
    for number in 0..dice.between(1, most_bricks) {
        devices.push(small_brick(&mut dice, &format!("S{number}")));
    }
    let outlets: Vec<String> = devices
        .iter()
        .flat_map(|brick: &Device| {
            brick.outlets.iter().map(|outlet| format!("{}.{}", brick.tag, outlet.name))
        })
        .collect();
    let mut strip = Device { tag: "STRIP".to_owned(), role: Role::Strip, outside: true, ..Device::default() };
    strip.ports = (1..=dice.between(1, 2))
        .map(|number| port(&format!("M{number}"), PortRole::Mains, "fixed", 10 * number))
        .collect();
    devices.push(strip);
    let mut outlets = outlets;
    if dice.chance(25) {
        devices.push(chained(&mut dice, &outlets));
        outlets.push("T.1".to_owned());
    }
    for number in 0..dice.between(2, most_devices) {
        devices.push(small_device(&mut dice, &format!("A{number}"), &outlets));
    }
    let mut made = rig(devices);
    // Thin cable, on which a board's width matters, or none that is known.
    if dice.chance(70) {
        let thin = dice.chance(50);
        made.cables.insert(rig::LeadClass::Dc, cable(if thin { 0.4 } else { 0.08 }));
    }
    // Leads end in what the job says, or nobody says it; some feeds name a plug of their own.
    if !seed.is_multiple_of(3) {
        let usual = if seed % 3 == 1 { "barrel-5.5-2.1" } else { "barrel-5.5-2.5" };
        made.plugs.insert(rig::LeadClass::Dc, plug(usual));
        let named = plug(if seed.is_multiple_of(2) { "jack-3.5-trs" } else { "barrel-5.5-2.1" });
        for (number, device) in made.devices.iter_mut().enumerate() {
            if let Some(feed) = &mut device.feed {
                feed.device_plug.plug = Some(if number % 2 == 0 { named.clone() } else { plug(usual) });
            }
        }
    }
    if placed {
        made.board.decks.push(deck());
        for device in &mut made.devices {
            let (x, y) = (dice.between(0, 800), dice.between(0, 300));
            if device.role != Role::Strip && dice.chance(90) {
                let under = device.role == Role::Brick;
                place(device, x, y, under);
            }
        }
    }
    made
}

/// A small rig full of what hides a better answer: outlets with one negative, a converter, a device locked to an outlet,
/// and devices that share only at the price of a look.
pub(crate) fn crowded(seed: u64) -> Rig {
    let mut dice = Dice::new(seed);
    let joined = dice.chance(70);
    let outlets = |dice: &mut Dice, count: i64| -> Vec<Outlet> {
        let mut one = |number: i64| {
            let mut one = outlet(&number.to_string(), &[(9.0, real(dice.of(&[100, 250, 300, 500])))]);
            one.isolation = printed(if joined { Isolation::Joined } else { Isolation::Isolated });
            one
        };
        (1..=count).map(&mut one).collect()
    };
    let count = dice.between(2, 3);
    let mut devices = vec![brick("S0", outlets(&mut dice, count))];
    for number in 0..dice.of(&[0, 1, 1, 1, 2]) {
        let tag = format!("T{number}");
        let count = dice.between(1, 2);
        let mut made = brick(&tag, outlets(&mut dice, count));
        let (low, high) = dice.of(&[(9.0, 9.0), (9.0, 18.0)]);
        made.power = digital(&tag, low, high, real(dice.between(50, 300))).power;
        if dice.chance(50) {
            made.power.class = printed(Class::Analogue);
        }
        if dice.chance(25) {
            made.power.volts = Known::default();
        }
        devices.push(made);
    }
    for number in 0..dice.between(2, 4) {
        let mut made = device(&format!("A{number}"), 9.0, 9.0, real(dice.between(2, 24) * 5));
        made.signal.gain = if dice.chance(60) { Known::default() } else { printed(Decibels::of(20.0)) };
        match dice.between(1, 10) {
            1 => made.power.class = printed(Class::Digital),
            2 => made.power.positive_ground = Known::default(),
            3 => made.power.current = Known::default(),
            _ => {}
        }
        if dice.chance(30) {
            made.feed = Some(feed(FeedKind::Single, &[dice.of(&["S0.1", "S0.1", "S0.2"])], true));
        }
        devices.push(made);
    }
    rig(devices)
}

fn cable(ohms_per_metre: f64) -> rig::Cable {
    rig::Cable {
        carries: Vec::new(),
        cores: None,
        id: "dc".to_owned(),
        title: "dc".to_owned(),
        diameter: Known::default(),
        capacitance_per_metre: Known::default(),
        resistance_per_metre: printed(quantity::Ohms::of(ohms_per_metre)),
    }
}

/// A converter that hangs on another brick.
fn chained(dice: &mut Dice, outlets: &[String]) -> Device {
    let mut made =
        brick("T", vec![outlet("1", &[(9.0, 300.0), (18.0, 150.0)]), outlet("2", &[(9.0, 200.0)])]);
    let (low, high) = dice.of(&[(9.0, 9.0), (12.0, 12.0), (9.0, 18.0)]);
    made.power = digital("T", low, high, real(dice.between(5, 40) * 10)).power;
    made.ports.push(port("IN", PortRole::Power, "barrel-5.5-2.1", 5));
    made.total = printed(Watts::of(real(dice.between(2, 6))));
    if dice.chance(30) {
        made.power.current = Known::default();
    }
    if dice.chance(25) {
        made.power.volts = Known::default();
    }
    if dice.chance(50) {
        made.efficiency = printed(quantity::Ratio::of(0.9));
    }
    if dice.chance(15) {
        made.feed = Some(feed(FeedKind::Single, &[outlets[0].as_str()], true));
    }
    made
}

fn small_brick(dice: &mut Dice, tag: &str) -> Device {
    let count = dice.between(2, 5);
    let banked = dice.chance(40);
    let mut outlets = Vec::new();
    for number in 1..=count {
        let name = number.to_string();
        let mut one = match dice.between(1, 10) {
            1..=4 => outlet(&name, &[(9.0, real(dice.of(&[100, 200])))]),
            5..=6 => outlet(&name, &[(9.0, 500.0), (12.0, 400.0)]),
            7..=8 => outlet(&name, &[(9.0, 300.0), (12.0, 250.0), (18.0, 150.0)]),
            9 => outlet(&name, &[(12.0, 300.0)]),
            _ => outlet(&name, &[(9.0, real(dice.of(&[500, 1000])))]),
        };
        if dice.chance(10) {
            one.nature = printed(Nature::Ac);
            one.sign = Known::default();
        }
        if dice.chance(25) {
            one.isolation = printed(Isolation::Joined);
        }
        one.series = printed(dice.chance(70));
        one.parallel = printed(dice.chance(40));
        if dice.chance(10) {
            one.sign = one.sign.value.map_or_else(Known::default, |_| printed(Sign::CentrePositive));
        }
        if banked && dice.chance(70) {
            one.bank = Some("left".to_owned());
        }
        if dice.chance(50) {
            one.set = printed(one.settings[0].volts);
        }
        outlets.push(one);
    }
    let mut made = brick(tag, outlets);
    if banked {
        made.banks.push(Bank {
            name: "left".to_owned(),
            current: printed(Milliamps::of(real(dice.between(20, 60) * 10))),
        });
    }
    made.total = printed(Watts::of(real(dice.between(3, 16))));
    for port in &mut made.ports {
        if dice.chance(15) {
            port.connector = Some(connector("barrel-5.5-2.5"));
        }
    }
    made
}

fn small_device(dice: &mut Dice, tag: &str, outlets: &[String]) -> Device {
    let (low, high) = match dice.between(1, 10) {
        1..=5 => (9.0, 9.0),
        6 => (9.0, 12.0),
        7 => (9.0, 18.0),
        8 => (12.0, 12.0),
        9 => (18.0, 18.0),
        _ => (24.0, 24.0),
    };
    let mut made = if dice.chance(35) {
        digital(tag, low, high, real(dice.between(3, 45) * 10))
    } else {
        device(tag, low, high, real(dice.between(1, 16) * 5))
    };
    if dice.chance(15) {
        made.power.surge = printed(Milliamps::of(real(dice.between(10, 60) * 10)));
    }
    if dice.chance(10) {
        made.power.sign = printed(Sign::CentrePositive);
    }
    if dice.chance(8) {
        made.power.nature = printed(Nature::Ac);
        made.power.sign = Known::default();
    }
    if dice.chance(8) {
        made.power.positive_ground = printed(true);
    }
    made.signal.gain = match dice.between(1, 10) {
        1 => Known::default(),
        2..=3 => printed(Decibels::of(40.0)),
        _ => printed(Decibels::of(20.0)),
    };
    if dice.chance(10) {
        made.power.class = Known::default();
    }
    if dice.chance(12) {
        made.ports[0].connector = Some(connector("jack-3.5-trs"));
    }
    match dice.between(1, 40) {
        1..=2 => made.power.current = Known::default(),
        3 => made.power.sign = Known::default(),
        4 => made.power.volts = Known::default(),
        5..=9 => made.power.positive_ground = Known::default(),
        _ => {}
    }
    match dice.between(1, 20) {
        1 => made.feed = Some(feed(FeedKind::Adaptor, &["STRIP.M1"], dice.chance(50))),
        2..=3 => {
            let names: Vec<&str> = outlets.iter().map(String::as_str).collect();
            made.feed = Some(feed(FeedKind::Single, &[dice.of(&names)], true));
        }
        4 => {
            let kind = dice.of(&[FeedKind::SeriesPair, FeedKind::SeriesPair, FeedKind::ParallelPair]);
            let first = dice.between(0, 20);
            let at =
                |place: i64| outlets[usize::try_from(place).unwrap_or_default() % outlets.len()].as_str();
            made.feed = Some(feed(kind, &[at(first), at(first + 1)], true));
            if dice.chance(50) && kind == FeedKind::SeriesPair {
                made.power.volts =
                    Known { value: Window::new(Volts::of(9.0), Volts::of(24.0)), from: Provenance::Printed };
            }
        }
        // Several that are locked to one outlet share it.
        5 => made.feed = Some(feed(FeedKind::Single, &[outlets[0].as_str()], true)),
        _ => {}
    }
    made
}

/// Thirty devices on four bricks of eight outlets, with pairs and sharing.
pub(crate) fn board(seed: u64) -> Rig {
    let mut dice = Dice::new(seed);
    let mut devices = Vec::new();
    for number in 0..4 {
        let mut outlets = Vec::new();
        for place in 1..=8 {
            let name = place.to_string();
            let mut one = match place {
                1..=4 => outlet(&name, &[(9.0, 100.0)]),
                5..=6 => outlet(&name, &[(9.0, 300.0), (12.0, 200.0)]),
                _ => outlet(&name, &[(9.0, 500.0), (12.0, 400.0), (18.0, 250.0)]),
            };
            one.series = printed(4 < place);
            one.parallel = printed(6 < place);
            outlets.push(one);
        }
        let mut made = brick(&format!("S{number}"), outlets);
        made.total = printed(Watts::of(real(dice.between(14, 20))));
        place(&mut made, 40 + 210 * number, 200, true);
        devices.push(made);
    }
    for number in 0..30 {
        let tag = format!("A{number}");
        let mut made = match dice.between(1, 100) {
            1..=55 => device(&tag, 9.0, real(dice.of(&[9, 9, 12, 18])), real(dice.between(2, 70))),
            56..=66 => digital(&tag, 9.0, 9.0, real(dice.between(40, 90))),
            67..=80 => digital(&tag, 9.0, 9.0, real(dice.between(100, 230))),
            81..=88 => digital(&tag, 9.0, 12.0, real(dice.between(150, 350))),
            89..=92 => device(&tag, 18.0, 18.0, real(dice.between(20, 150))),
            93..=96 => device(&tag, 24.0, 24.0, real(dice.between(20, 150))),
            _ => digital(&tag, 12.0, 12.0, real(dice.between(100, 350))),
        };
        if dice.chance(6) {
            made.power.sign = printed(Sign::CentrePositive);
        }
        if dice.chance(20) {
            made.signal.gain = printed(Decibels::of(45.0));
        }
        let (x, y) = (10 + 58 * (number % 15), if number < 15 { 10 } else { 250 });
        place(&mut made, x, y, false);
        devices.push(made);
    }
    let mut made = rig(devices);
    made.board.decks.push(deck());
    made
}
