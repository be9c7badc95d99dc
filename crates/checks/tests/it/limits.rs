//! Each limit at its edge: moved by as much as a tape or a meter tells, the case flips; a stop flips by a hair.
//!
//! Long because it is one list, a case for each limit of each rule.

use design::derive;
use finding::Severity::{self, Look, Note, Stop};
use quantity::{Area, Decibels, Grams, Length, Milliamps, Ohms, Ratio, Seconds, Watts};
use rig::{
    Bypass, Case, Class, Deck, Face, Known, Lid, Limits, PickupKind, PortRole, Rect, Rig, Riser, State,
};

use crate::build::{at, clean, connector, device, feed, know, mm, port, port_of, run, three};

type Spoil = fn(&mut Rig);
/// Rule, limit, how the rig is spoilt, what is said, how the limit moves, what is said then.
type Edge = (&'static str, &'static str, Spoil, Option<Severity>, Shift, Option<Severity>);
type Shift = fn(&mut Limits);

/// A stop flips by a nanometre.
const NM: Length = Length::from_nm(1);
/// A look flips by what a tape tells.
const HALF_MM: Length = Length::from_nm(500_000);

fn ratio(r: &mut Ratio, by: f64) {
    *r = Ratio::of(r.get() * (1.0 + by));
}

/// The worst a rule says under these limits.
fn worst(rig: &Rig, limits: Limits, rule: &str) -> Option<Severity> {
    checks::check(&derive(rig.clone(), limits)).iter().filter(|f| f.rule == rule).map(|f| f.severity).min()
}

fn lid(rig: &mut Rig, height: i64) {
    rig.board.lid = Some(Lid { inside_height: know(mm(height)) });
}

fn case(rig: &mut Rig, width: i64) {
    rig.board.case = Some(Case {
        mass: know(Grams::of(1000.0)),
        inside_width: know(mm(width)),
        inside_depth: know(mm(600)),
        ..Case::default()
    });
    lid(rig, 200);
}

fn rows(rig: &mut Rig, apart: i64) {
    device(rig, "A3").place = at("main", 400, 200);
    device(rig, "A3").switches[0].y = mm(apart - 140);
}

fn near_brick(rig: &mut Rig, y: i64) {
    device(rig, "A1").place = at("main", 300, y);
    // Body of A1 begins at z = 0; the brick's top lies 15 mm below. Level them, so that the air runs along y.
    device(rig, "SUP").place = at("main", 240, 300);
    device(rig, "SUP").outlets.clear();
    device(rig, "SUP").ports.clear();
    rig.devices.iter_mut().for_each(|device| device.feed = None);
}

/// Rule, limit, what is said at the default, what after the limit is moved by one unit.
const CASES: &[Edge] = &[
    (
        "clearance",
        "plug_clearance",
        |rig| {
            device(rig, "A2").place = at("main", 288, 40);
        },
        None,
        |l| l.plug_clearance += NM,
        Some(Stop),
    ),
    (
        "clearance",
        "knobs_assumed",
        |rig| {
            upper(rig, 68);
            device(rig, "A1").knobs = Known::default();
        },
        Some(Look),
        |l| l.knobs_assumed += NM,
        Some(Stop),
    ),
    (
        "clearance",
        "treadle_assumed",
        |rig| {
            upper(rig, 80);
            device(rig, "A1").treadle = Some(Known::default());
        },
        Some(Look),
        |l| l.treadle_assumed += NM,
        Some(Stop),
    ),
    (
        "board-edge",
        "board_edge_stop",
        |rig| device(rig, "A1").place = at("main", 510, 40),
        None,
        |l| l.board_edge_stop += NM,
        Some(Stop),
    ),
    ("case-foam", "case_foam_look", |rig| case(rig, 610), None, |l| l.case_foam_look += HALF_MM, Some(Look)),
    (
        "case-foam",
        "board_edge_stop",
        |rig| case(rig, 600),
        Some(Look),
        |l| l.board_edge_stop += NM,
        Some(Stop),
    ),
    (
        "clear-height",
        "clear_height_look",
        |rig| rig.board.decks[0].clear_below = know(mm(43)),
        None,
        |l| l.clear_height_look += HALF_MM,
        Some(Look),
    ),
    (
        "clear-height",
        "clear_height_stop",
        |rig| rig.board.decks[0].clear_below = know(mm(40)),
        Some(Look),
        |l| l.clear_height_stop += NM,
        Some(Stop),
    ),
    ("lid-height", "lid_foam_look", |rig| lid(rig, 75), None, |l| l.lid_foam_look += HALF_MM, Some(Look)),
    ("lid-height", "lid_foam_stop", |rig| lid(rig, 65), Some(Look), |l| l.lid_foam_stop += NM, Some(Stop)),
    (
        "lid-height",
        "knobs_assumed",
        |rig| {
            lid(rig, 68);
            device(rig, "A1").knobs = Known::default();
        },
        Some(Look),
        |l| l.knobs_assumed += NM,
        Some(Stop),
    ),
    (
        "lid-height",
        "treadle_assumed",
        |rig| {
            lid(rig, 80);
            device(rig, "A1").treadle = Some(Known::default());
        },
        Some(Look),
        |l| l.treadle_assumed += NM,
        Some(Stop),
    ),
    (
        "service-port",
        "service_corridor",
        |rig| {
            let mut usb =
                port("USB", PortRole::Usb, Face::Left, 110, connector("usb-b", rig::ConnectorFamily::Usb));
            usb.service = true;
            device(rig, "A1").ports.push(usb);
            device(rig, "A2").place = at("main", 265, 40);
        },
        None,
        |l| l.service_corridor += NM,
        Some(Look),
    ),
    ("foot-room", "foot_room", |rig| over_a1(rig, 150), None, |l| l.foot_room += NM, Some(Stop)),
    (
        "foot-room",
        "knobs_assumed",
        |rig| guessed_top(rig, false),
        Some(Look),
        |l| l.knobs_assumed += NM,
        Some(Stop),
    ),
    (
        "foot-room",
        "treadle_assumed",
        |rig| guessed_top(rig, true),
        Some(Look),
        |l| l.treadle_assumed += NM,
        Some(Stop),
    ),
    // Half a shoe to the side of the switch begins the deck.
    (
        "foot-room",
        "shoe_width",
        |rig| {
            over_a1(rig, 40);
            let (x, _) = switch_of_a1(rig);
            let deck = rig.board.decks.last_mut().expect("the case is whole");
            deck.shape[0].x = x + mm(55);
        },
        None,
        |l| l.shoe_width += NM * 2,
        Some(Stop),
    ),
    (
        "switch-distance",
        "switch_distance_look",
        |rig| rows(rig, 70),
        None,
        |l| l.switch_distance_look += HALF_MM,
        Some(Look),
    ),
    (
        "switch-distance",
        "switch_distance_stop",
        |rig| rows(rig, 60),
        Some(Look),
        |l| l.switch_distance_stop += NM,
        Some(Stop),
    ),
    (
        "row-distance",
        "row_distance_look",
        |rig| rows(rig, 130),
        None,
        |l| l.row_distance_look += HALF_MM,
        Some(Look),
    ),
    (
        "row-distance",
        "row_step",
        |rig| {
            rows(rig, 120);
            rig.board.decks[0].risers.push(Riser {
                name: "row".into(),
                at: Rect { x: mm(300), y: mm(180), width: mm(300), depth: mm(150) },
                height: mm(25),
            });
        },
        None,
        |l| l.row_step += NM,
        Some(Look),
    ),
    (
        "row-distance",
        "shoe_width",
        |rig| {
            rows(rig, 120);
            device(rig, "A2").place = at("main", 20, 40);
            device(rig, "A3").place = at("main", 290, 200);
        },
        None,
        |l| l.shoe_width += NM,
        Some(Look),
    ),
    (
        "field-distance",
        "switching_distance_look",
        |rig| {
            near_brick(rig, 100);
            device(rig, "A1").signal.coil = know(true);
        },
        Some(Note),
        |l| l.switching_distance_look += HALF_MM,
        Some(Look),
    ),
    (
        "field-distance",
        "transformer_distance_look",
        |rig| {
            near_brick(rig, 30);
            device(rig, "A1").signal.coil = know(true);
        },
        None,
        |l| l.transformer_distance_look += HALF_MM,
        Some(Note),
    ),
    (
        "field-distance",
        "high_gain",
        |rig| {
            near_brick(rig, 110);
            device(rig, "A1").signal.gain = know(Decibels::of(40.0));
        },
        None,
        |l| l.high_gain = Decibels::of(40.0 * (1.0 - 1e-9)),
        Some(Look),
    ),
    (
        "aerial-distance",
        "aerial_distance_look",
        |rig| {
            near_brick(rig, 80);
            device(rig, "A1").signal.aerial = know(true);
        },
        None,
        |l| l.aerial_distance_look += HALF_MM,
        Some(Look),
    ),
    (
        "outlet-load",
        "outlet_load_look",
        |rig| device(rig, "A1").power.current = know(Milliamps::of(400.0)),
        None,
        |l| l.outlet_load_look = Ratio::of(0.798),
        Some(Look),
    ),
    (
        "outlet-load",
        "outlet_load_stop",
        |rig| device(rig, "A1").power.current = know(Milliamps::of(500.0)),
        Some(Look),
        |l| ratio(&mut l.outlet_load_stop, -1e-9),
        Some(Stop),
    ),
    (
        "brick-load",
        "brick_load_look",
        |rig| {
            device(rig, "A1").power.current = know(Milliamps::of(240.0));
            device(rig, "SUP").total = know(Watts::of(3.6));
        },
        None,
        |l| ratio(&mut l.brick_load_look, -0.02),
        Some(Look),
    ),
    (
        "brick-load",
        "brick_load_stop",
        |rig| device(rig, "SUP").total = know(Watts::of(1.8)),
        Some(Look),
        |l| ratio(&mut l.brick_load_stop, -1e-9),
        Some(Stop),
    ),
    (
        "shared-outlet",
        "outlet_share_most",
        |rig| {
            device(rig, "A2").feed = Some(feed(&["1"]));
            for tag in ["A1", "A2"] {
                device(rig, tag).power.current = know(Milliamps::of(20.0));
            }
        },
        None,
        |l| l.outlet_share_most = quantity::Devices::of(1.0),
        Some(Stop),
    ),
    (
        "shared-outlet",
        "shared_analogue_look",
        |rig| {
            device(rig, "A2").feed = Some(feed(&["1"]));
            device(rig, "A1").power.current = know(Milliamps::of(20.0));
            device(rig, "A2").power.current = know(Milliamps::of(40.0));
        },
        None,
        |l| l.shared_analogue_look = Milliamps::of(59.0),
        Some(Look),
    ),
    (
        "shared-outlet",
        "shared_gain_look",
        |rig| {
            device(rig, "A2").feed = Some(feed(&["1"]));
            for tag in ["A1", "A2"] {
                device(rig, tag).power.current = know(Milliamps::of(20.0));
            }
            device(rig, "A1").signal.gain = know(Decibels::of(30.0));
        },
        None,
        |l| l.shared_gain_look = Decibels::of(29.95),
        Some(Look),
    ),
    (
        "start-surge",
        "surge_factor",
        |rig| {
            device(rig, "A1").power.class = know(Class::Digital);
            device(rig, "A1").power.surge = Known::default();
            device(rig, "A1").power.current = know(Milliamps::of(200.0));
            device(rig, "SUP").outlets[0].settings[0].current = know(Milliamps::of(300.0));
        },
        None,
        |l| ratio(&mut l.surge_factor, 0.0034),
        Some(Look),
    ),
    (
        "parallel-load",
        "parallel_load_look",
        |rig| port_of(rig, "A1", "IN").z = know(Ohms::of(500e3)),
        None,
        |l| l.parallel_load_look = Ohms::of(505_100.0),
        Some(Look),
    ),
    (
        "parallel-load",
        "parallel_load_stop",
        |rig| port_of(rig, "A1", "IN").z = know(Ohms::of(250e3)),
        Some(Look),
        |l| l.parallel_load_stop = Ohms::of(250e3 * (1.0 + 1e-9)),
        Some(Stop),
    ),
    (
        "piezo-input",
        "piezo_input_look",
        |rig| piezo(rig, 5e6),
        None,
        |l| l.piezo_input_look = Ohms::of(5_051_000.0),
        Some(Look),
    ),
    (
        "piezo-input",
        "piezo_input_stop",
        |rig| piezo(rig, 1e6),
        Some(Look),
        |l| l.piezo_input_stop = Ohms::of(1e6 * (1.0 + 1e-9)),
        Some(Stop),
    ),
    // 10 kΩ into 90 kΩ: 20·lg(100/90) = 0.915 dB, between the two limits; each is moved past it.
    (
        "junction-loss",
        "junction_loss_look",
        |rig| junction(rig),
        Some(Look),
        |l| l.junction_loss_look = Decibels::of(divided() * (1.0 + 1e-9)),
        None,
    ),
    (
        "junction-loss",
        "junction_loss_stop",
        |rig| junction(rig),
        Some(Look),
        |l| l.junction_loss_stop = Decibels::of(divided() * (1.0 - 1e-9)),
        Some(Stop),
    ),
    (
        "chain-loss",
        "chain_loss_look",
        |rig| junction(rig),
        None,
        |l| l.chain_loss_look = Decibels::of(lost() - 0.05),
        Some(Look),
    ),
    (
        "treble-loss",
        "treble_change_look",
        |rig| crate::later::made(rig, 300),
        None,
        |l| l.treble_change_look = Decibels::of(dark(300).0 - 0.05),
        Some(Look),
    ),
    (
        "treble-loss",
        "treble_change_stop",
        |rig| crate::later::made(rig, 3000),
        Some(Look),
        |l| l.treble_change_stop = Decibels::of(dark(3000).0 * (1.0 - 1e-9)),
        Some(Stop),
    ),
    (
        "treble-loss",
        "resonance_shift_look",
        |rig| crate::later::made(rig, 300),
        None,
        |l| l.resonance_shift_look = Ratio::of(dark(300).1 - 0.005),
        Some(Look),
    ),
    (
        "treble-loss",
        "resonance_shift_stop",
        |rig| crate::later::made(rig, 3000),
        Some(Look),
        |l| l.resonance_shift_stop = Ratio::of(dark(3000).1 * (1.0 - 1e-9)),
        Some(Stop),
    ),
    (
        "latency",
        "latency_look",
        |rig| branches(rig, 0.2e-3),
        None,
        |l| l.latency_look = Seconds::of(0.15e-3),
        Some(Look),
    ),
    (
        "latency",
        "latency_stop",
        |rig| branches(rig, 1e-3),
        Some(Look),
        |l| l.latency_stop = Seconds::of(1e-3 * (1.0 - 1e-9)),
        Some(Stop),
    ),
    (
        "gain-sum",
        "total_gain_look",
        |rig| {
            device(rig, "A1").signal.gain = know(Decibels::of(25.0));
            device(rig, "A2").signal.gain = know(Decibels::of(35.0));
            rig.states.push(State { name: "solo".into(), engaged: vec!["A1".into(), "A2".into()] });
        },
        None,
        |l| l.total_gain_look = Decibels::of(59.95),
        Some(Look),
    ),
    (
        "mass",
        "one_person_look",
        |rig| device(rig, "A1").mass = know(Grams::of(11.8e3)),
        None,
        |l| l.one_person_look = Grams::of(15_950.0),
        Some(Look),
    ),
    (
        "mass",
        "one_person_stop",
        |rig| device(rig, "A1").mass = know(Grams::of(20.8e3)),
        Some(Look),
        |l| l.one_person_stop = Grams::of(25e3 * (1.0 - 1e-9)),
        Some(Stop),
    ),
    (
        "baggage-mass",
        "carrier_mass_look",
        |rig| flies(rig, 20.7e3),
        None,
        |l| ratio(&mut l.carrier_mass_look, -0.0025),
        Some(Look),
    ),
    (
        "baggage-mass",
        "carrier_mass",
        |rig| flies(rig, 23e3),
        Some(Look),
        |l| l.carrier_mass = Grams::of(23e3 * (1.0 - 1e-9)),
        Some(Stop),
    ),
    (
        "fastening",
        "strip_area",
        |rig| fastened(rig, rig::FastenKind::Strip, 16.0),
        None,
        |l| l.strip_area = Area::of(40.0 * (1.0 + 1e-9)),
        Some(Look),
    ),
    (
        "fastening",
        "pad_area",
        |rig| fastened(rig, rig::FastenKind::Pad, 4.0),
        None,
        |l| l.pad_area = Area::of(10.0 * (1.0 + 1e-9)),
        Some(Look),
    ),
    (
        "fastening",
        "fixing_mass",
        |rig| {
            rig.brief.touring = true;
            device(rig, "A1").mass = know(Grams::of(1200.0));
        },
        None,
        |l| l.fixing_mass = Grams::of(1200.0 * (1.0 - 1e-9)),
        Some(Look),
    ),
    (
        "supply-drop",
        "supply_drop_look",
        |rig| {
            crate::later::long_thin_lead(rig, 1850.0);
            device(rig, "A1").power.volts = know(
                quantity::Window::new(quantity::Volts::of(8.0), quantity::Volts::of(12.0))
                    .expect("the case is whole"),
            );
        },
        Some(Look),
        |l| l.supply_drop_look = Ratio::of(0.026),
        None,
    ),
    (
        "brick-heat",
        "brick_heat_look",
        |rig| crate::later::warm(rig, 0.4),
        Some(Look),
        |l| l.brick_heat_look = Watts::of(8.2),
        None,
    ),
    (
        "lead-long",
        "spare_long",
        |rig| crate::later::made(rig, 655),
        Some(Look),
        |l| l.spare_long = mm(405),
        None,
    ),
    (
        "lead-long",
        "spare_long_share",
        |rig| crate::later::made(rig, 655),
        Some(Look),
        |l| l.spare_long_share = Ratio::of(0.62),
        None,
    ),
    (
        "volume-value",
        "volume_after_buffer",
        |rig| crate::later::pot(rig, 100e3, true),
        None,
        |l| l.volume_after_buffer = Ohms::of(99_000.0),
        Some(Look),
    ),
    (
        "volume-value",
        "volume_after_pickup",
        |rig| crate::later::pot(rig, 250e3, false),
        None,
        |l| l.volume_after_pickup = Ohms::of(252_600.0),
        Some(Look),
    ),
    (
        "switch-pop",
        "bleed_look",
        |rig| crate::later::bleeding(rig, 2.2e6, 45.0),
        None,
        |l| l.bleed_look = Ohms::of(2_178_000.0),
        Some(Look),
    ),
    (
        "switch-pop",
        "high_gain",
        |rig| crate::later::bleeding(rig, 4.7e6, 40.0),
        Some(Look),
        |l| l.high_gain = Decibels::of(40.001),
        None,
    ),
    ("panel-holes", "panel_web", |rig| crate::later::panel(rig, 14), None, |l| l.panel_web += NM, Some(Stop)),
    (
        "brief-wish",
        "beside_gap",
        |rig| wanting(rig, 330, crate::wishes::beside("A1", "A2")),
        None,
        |l| l.beside_gap -= HALF_MM,
        Some(Look),
    ),
    (
        "brief-wish",
        "together_gap",
        |rig| wanting(rig, 370, crate::wishes::together(["A1", "A2"])),
        None,
        |l| l.together_gap -= HALF_MM,
        Some(Look),
    ),
    // The underside of the upper deck lies 150 mm over the main one.
    (
        "brief-wish",
        "foot_room",
        |rig| {
            crate::wishes::upper(rig);
            rig.board.decks[1].z = mm(160);
            wanting(rig, 400, crate::wishes::spare(600, 200, Some("main")));
        },
        None,
        |l| l.foot_room += NM,
        Some(Look),
    ),
    (
        "midi-time",
        "midi_time_look",
        |rig| crate::later::many_bytes(rig, 31),
        None,
        |l| l.midi_time_look = Seconds::of(9.8e-3),
        Some(Look),
    ),
];

/// What the engine finds at the junction of [`junction`]; near 20·lg(100/90) = 0.915, leads being short.
fn divided() -> f64 {
    let mut rig = clean();
    junction(&mut rig);
    let design = derive(rig, Limits::default());
    let found =
        design.signal().junctions.iter().find(|junction| junction.to == "A2.IN").expect("it is there");
    assert!((found.loss_db - 0.915_149_8).abs() < 1e-3, "{}", found.loss_db);
    found.loss_db
}

/// The worst loss at 1 kHz that the engine finds with [`junction`].
fn lost() -> f64 {
    let mut rig = clean();
    junction(&mut rig);
    derive(rig, Limits::default()).signal().ways[0].judged().worst.insertion_loss_1k_db
}

/// A lead from A1 to A2 as it was made; the change at 4 kHz and the shift that the engine finds with it.
fn dark(millimetres: i64) -> (f64, f64) {
    let mut rig = clean();
    crate::later::made(&mut rig, millimetres);
    let design = derive(rig, Limits::default());
    let way = &design.signal().ways[0];
    (way.judged().worst.change_at_4k_db.abs(), way.resonance.shift.expect("the coil has a peak").abs())
}

fn junction(rig: &mut Rig) {
    device(rig, "A1").signal.bypass = know(Bypass::Buffered);
    device(rig, "A2").signal.bypass = know(Bypass::Buffered);
    port_of(rig, "A1", "OUT").z = know(Ohms::of(10e3));
    port_of(rig, "A2", "IN").z = know(Ohms::of(90e3));
    port_of(rig, "A2", "OUT").z = know(Ohms::of(1e-3));
}

fn piezo(rig: &mut Rig, z: f64) {
    rig.sources[0].pickup.kind = know(PickupKind::Piezo);
    port_of(rig, "A1", "IN").z = know(Ohms::of(z));
    device(rig, "A1").signal.bypass = know(Bypass::Buffered);
}

fn flies(rig: &mut Rig, whole: f64) {
    rig.brief.carried = Some("air".into());
    device(rig, "A1").mass = know(Grams::of(whole - 4200.0));
}

/// An upper deck whose device A2 hangs so that its base lies `height` above the main deck, over A1.
fn upper(rig: &mut Rig, height: i64) {
    rig.board.decks.push(Deck {
        name: "upper".into(),
        z: mm(height + 70),
        shape: vec![Rect { x: mm(0), y: mm(0), width: mm(600), depth: mm(500) }],
        thickness: mm(10),
        clear_below: know(mm(100)),
        ..Deck::default()
    });
    let a2 = device(rig, "A2");
    a2.knobs = know(mm(0));
    a2.bracket = know(mm(10));
    a2.place = at("upper", 400, 40);
    a2.place.as_mut().expect("the case is whole").under = true;
}

/// A1 so far from the left edge, and one wish.
fn wanting(rig: &mut Rig, x: i64, wish: rig::Wish) {
    device(rig, "A1").place = at("main", x, 40);
    *rig = crate::wishes::wanting(rig.clone(), [wish]);
}

/// A1 of 400 g on so much area.
fn fastened(rig: &mut Rig, kind: rig::FastenKind, area: f64) {
    let a1 = device(rig, "A1");
    a1.mass = know(Grams::of(400.0));
    a1.fasten = Some(rig::Fasten {
        kind: know(kind),
        count: know(2),
        stated_area: know(Area::of(area)),
        ..rig::Fasten::default()
    });
}

/// An upper deck so far above the top of A1.
pub(crate) fn over_a1(rig: &mut Rig, room: i64) {
    let a1 = device(rig, "A1");
    let height = a1.size.value.expect("the case is whole").height;
    let top = height + a1.knobs.value.unwrap_or(mm(18));
    rig.board.decks.push(Deck {
        name: "upper".into(),
        z: top + mm(room + 10),
        shape: vec![Rect { x: mm(380), y: mm(0), width: mm(120), depth: mm(200) }],
        thickness: mm(10),
        ..Deck::default()
    });
}

/// The same with just the foot's room over a top that nobody measured.
fn guessed_top(rig: &mut Rig, treadle: bool) {
    if treadle {
        over_a1(rig, 165);
        device(rig, "A1").treadle = Some(Known::default());
    } else {
        device(rig, "A1").knobs = Known::default();
        over_a1(rig, 150);
    }
}

fn switch_of_a1(rig: &Rig) -> (Length, Length) {
    let a1 = rig.device("A1").expect("the case is whole");
    rig::geometry::switch_point(rig, a1, 0).expect("A1 has a switch and stands somewhere")
}

fn branches(rig: &mut Rig, late: f64) {
    device(rig, "A1").ports.push(port("OUT2", PortRole::Out, Face::Front, 35, crate::build::jack()));
    port_of(rig, "A1", "OUT2").z = know(Ohms::of(1e3));
    rig.sinks.push(crate::build::sink("amp2"));
    rig.runs = vec![run("main", &["guitar.", "A1", "A2", "amp."]), run("wet", &["A1.OUT2", "A3", "amp2."])];
    device(rig, "A3").signal.latency = know(Seconds::of(late));
}

#[test]
fn each_limit_decides_at_its_edge() {
    let mut wrong = Vec::new();
    for (rule, key, spoil, before, shift, after) in CASES {
        let mut rig =
            if matches!(*rule, "switch-distance" | "row-distance" | "latency") { three() } else { clean() };
        spoil(&mut rig);
        let mut moved = Limits::default();
        shift(&mut moved);
        let said = (worst(&rig, Limits::default(), rule), worst(&rig, moved, rule));
        if said != (*before, *after) {
            wrong.push(format!("{rule} {key}: wanted {:?}, said {said:?}", (before, after)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_limit_of_every_rule_has_a_case_at_its_edge() {
    for rule in checks::RULES {
        for key in rule.limits {
            let known = CASES.iter().map(|case| (case.0, case.1));
            let laid = crate::laid::edges();
            // The distances of leads are tried on the router itself.
            let is_routers = rule.id == "lead-apart";
            assert!(
                is_routers
                    || known
                        .chain(laid.iter().map(|edge| (edge.rule, edge.key)))
                        .any(|case| case == (rule.id, *key)),
                "{} {key}",
                rule.id
            );
        }
    }
}
