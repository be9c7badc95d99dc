//! The network against closed forms, and laws that any network keeps.

use std::collections::BTreeMap;

use proptest::prelude::*;
use quantity::{Farads, Henries, Length, Ohms};
use rig::{Bypass, PickupKind};
use signal::model::{EARTH, Model, Part, Terminal};
use signal::{BufferSearch, Config, Controls, Sweep, grid, respond, solve_with};

use crate::forms::{coil_peak, corner, low_pass, thermal};
use crate::rigs::{add_run, amp, device, guitar, input, known, string, without_pots};

/// A coil into a capacitance and a resistance.
fn coil(ohms: f64, henries: f64, farads: f64, load: f64) -> Model {
    let mut model = Model::new();
    let (emf, wire, out) = (model.node("EMF"), model.node("wire"), model.node("out"));
    model.sources.push(Terminal { id: "coil".into(), node: emf });
    model.add("R", emf, wire, Part::Resistor(ohms));
    model.add("L", wire, out, Part::Inductor(henries));
    model.add("C", out, EARTH, Part::Capacitor(farads));
    model.add("load", out, EARTH, Part::Resistor(load));
    model.sinks.push(Terminal { id: "out".into(), node: out });
    model
}

fn db(model: &Model, hertz: f64) -> f64 {
    respond(model, &[], 0, 0, &Sweep::new(vec![hertz])).expect("it arrives")[0].decibels()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_coil_peaks_where_the_closed_form_says(
        ohms in 4e3..20e3, henries in 1.0..10.0, picofarads in 100.0..2000.0, load in 50e3..2e6
    ) {
        let farads = picofarads * 1e-12;
        let model = coil(ohms, henries, farads, load);
        let said = coil_peak(ohms, henries, farads, load);
        prop_assert!((db(&model, 1e-3) - said.low).abs() < 1e-6);
        if let Some((f, height)) = said.top {
            prop_assert!((db(&model, f) - height).abs() < 1e-6);
            prop_assert!(db(&model, f * 0.99) < height && db(&model, f * 1.01) < height);
        }
    }

    #[test]
    fn a_resistance_and_a_capacitance_are_one_pole(ohms in 10.0..1e6, picofarads in 10.0..5000.0, hertz in 20.0..20e3) {
        let farads = picofarads * 1e-12;
        let mut model = Model::new();
        let (emf, out) = (model.node("EMF"), model.node("out"));
        model.sources.push(Terminal { id: "source".into(), node: emf });
        model.sinks.push(Terminal { id: "out".into(), node: out });
        model.add("R", emf, out, Part::Resistor(ohms));
        model.add("C", out, EARTH, Part::Capacitor(farads));
        prop_assert!((db(&model, hertz) - low_pass(hertz, corner(ohms, farads))).abs() < 1e-9);
    }

    #[test]
    fn more_cable_never_lifts_the_lowest_level_of_the_top(metres in 0.5..8.0_f64) {
        let rig = string(vec![device("A", rig::Bypass::Hard, 1e6, 1e3)]);
        let lower = |metres: f64| {
            let mut input = input(&rig);
            for lead in input.leads.iter_mut().take(1) {
                #[expect(clippy::cast_possible_truncation, reason = "a few metres")]
                let mm = (metres * 1000.0) as i32;
                lead.length = known(Length::from_mm(mm.into()));
            }
            let outcome = solve_with(&input, &Config::default(), BufferSearch::Skip);
            *outcome.ways[0].band.lower_db.last().expect("20 kHz")
        };
        prop_assert!(lower(metres + 0.5) < lower(metres));
    }
}

#[test]
fn the_grid_is_what_the_format_says() {
    let grid = grid::frequencies();
    assert_eq!(grid.len(), 241);
    assert!(grid.windows(2).all(|pair| pair[0] < pair[1]));
    assert!((grid[grid::AT_1K] - 1000.0).abs() < 1e-9 && (grid[grid::AT_4K] - 4000.0).abs() < 1e-9);
    assert!((grid[0] - 20.0).abs() < 1e-12 && (grid[240] - 20e3).abs() < 1e-12);
}

#[test]
fn controls_and_kinds_of_pickup_do_what_they_should() {
    let mut rig = string(Vec::new());
    let at = |rig: &rig::Rig, controls: Controls, k: usize| {
        let mut input = input(rig);
        input.controls = BTreeMap::from([("guitar".to_owned(), controls)]);
        solve_with(&input, &Config::default(), BufferSearch::Skip).ways[0].states[0].level_db()[k]
    };
    let full = Controls::default();
    // Tone down takes the top; volume at half takes about half.
    assert!(at(&rig, Controls { tone: 0.0, ..full }, grid::AT_4K) < at(&rig, full, grid::AT_4K) - 20.0);
    let half = at(&rig, Controls { volume: 0.5, ..full }, grid::AT_1K);
    assert!((-8.5..-6.0).contains(&half), "{half}");
    // A piezo loses level to cable, and bass to resistance.
    without_pots(&mut rig.sources[0], PickupKind::Piezo);
    rig.sources[0].pickup.capacitance = known(Farads::of(500e-12));
    let low = at(&rig, full, 0);
    assert!(low < -15.0, "{low}");
    // Active electronics care for neither.
    without_pots(&mut rig.sources[0], PickupKind::Active);
    rig.sources[0].pickup.resistance = known(Ohms::of(1e3));
    assert!(at(&rig, full, 0).abs() < 0.02 && at(&rig, full, grid::AT_4K).abs() < 0.02);
}

/// A jack of this many contacts.
fn jack(contacts: u32) -> rig::Connector {
    rig::Connector {
        id: "jack".into(),
        title: "jack".into(),
        family: rig::ConnectorFamily::Jack,
        contacts,
        nut: rig::Known::default(),
        hole: rig::Known::default(),
        hole_height: rig::Known::default(),
        room: rig::Known::default(),
        usual: None,
        made_for: None,
    }
}

#[test]
fn tip_and_ring_of_one_jack_stay_apart() {
    // A Y lead from one jack: what loads the second branch loads the first only where they share a contact.
    let level = |contacts: u32, second: f64| {
        let mut rig =
            string(vec![device("ST", Bypass::Buffered, 1e6, 200.0), device("L", Bypass::Hard, 100e3, 1e3)]);
        rig.devices[0].ports[1].connector = Some(jack(contacts));
        rig.devices.push(device("R", Bypass::Hard, second, 1e3));
        rig.sinks.push(amp("right"));
        add_run(&mut rig, "right", &["ST.OUT", "R", "right"]);
        let (jack, left, right) =
            (rig::PortRef::new("ST", "OUT"), rig::PortRef::new("L", "IN"), rig::PortRef::new("R", "IN"));
        let mut split = rig::LeadSpec::between(jack, left);
        split.branches.push((right, rig::PlugSpec::default()));
        rig.leads.push(split);
        rig.states = vec![rig::State { name: "on".into(), engaged: vec!["L".into(), "R".into()] }];
        let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
        ["amp", "right"].map(|sink| {
            let way = outcome.ways.iter().find(|way| way.sink == sink).expect("it arrives");
            way.states.iter().find(|state| state.name == "on").expect("it is named").level_db()[grid::AT_1K]
        })
    };
    let [free, loaded] = [1e6, 500.0].map(|second| level(3, second));
    assert!((free[0] - loaded[0]).abs() < 1e-9, "{free:?} {loaded:?}");
    // 200 Ω into 500 Ω.
    let divider = 20.0 * libm::log10(500.0 / 700.0);
    assert!((loaded[1] - free[1] - divider).abs() < 0.01, "{free:?} {loaded:?}");
    // On one contact both of them have it.
    let [free, loaded] = [1e6, 500.0].map(|second| level(2, second));
    assert!((loaded[0] - free[0] - divider).abs() < 0.02, "{free:?} {loaded:?}");
}

#[test]
fn a_loss_across_part_of_the_coil_lowers_its_peak() {
    let mut rig = string(Vec::new());
    rig.sources[0].pickup.inductance = known(Henries::of(5.0));
    let peak = |eddy: Option<(f64, f64)>| {
        let mut input = input(&rig);
        input.controls = BTreeMap::from([("guitar".to_owned(), Controls { eddy, ..Controls::default() })]);
        let outcome = solve_with(&input, &Config::default(), BufferSearch::Skip);
        outcome.ways[0].states[0].level_db().into_iter().fold(f64::NEG_INFINITY, f64::max)
    };
    assert!(peak(Some((0.5, 60e3))) < peak(None) - 0.5);
}

#[test]
fn noise_of_a_resistance_is_nyquists() {
    // 10 kΩ into 1 MΩ without capacitance to speak of: noise of the two in parallel, 1.81128 µV in 20 kHz at 300 K.
    let mut rig = rig::Rig { sources: vec![guitar("box")], sinks: vec![amp("amp")], ..rig::Rig::default() };
    without_pots(&mut rig.sources[0], PickupKind::Active);
    rig.sources[0].pickup.resistance = known(Ohms::of(10e3));
    rig.sources[0].lead = known(Length::from_mm(1));
    add_run(&mut rig, "main", &["box", "amp"]);
    let config = Config { plug: 0.0, ..Config::default() };
    let mut input = input(&rig);
    input.leads[0].length = known(Length::from_mm(1));
    let outcome = solve_with(&input, &config, BufferSearch::Skip);
    let volts = outcome.ways[0].states[0].noise.as_ref().expect("it is known").volts;
    let said = thermal(1e10 / 1.01e6, 300.0, 19_980.0);
    assert!((volts / said - 1.0).abs() < 1e-4, "{volts} and {said}");
    // The band is the same for the reference: nothing is over the guitar alone.
    assert!(outcome.ways[0].states[0].noise.as_ref().expect("known").over_guitar_db.abs() < 1e-6);
}

#[test]
fn parts_adrift_stand_at_nought_for_every_solver() {
    // A stage that listens to two nodes that only hang together, and drives what the source drives too.
    let mut model = Model::new();
    let (emf, jack, drive) = (model.node("EMF"), model.node("jack"), model.node("drive"));
    let (loose, other) = (model.node("loose"), model.node("other"));
    model.add("out", emf, jack, Part::Resistor(1e3));
    model.add("contact", loose, other, Part::Resistor(0.05));
    model.add("send", drive, jack, Part::Resistor(1e3));
    model.fixed.stage("S", vec![other], drive);
    model.sources.push(Terminal { id: "g".into(), node: emf });
    model.sinks.push(Terminal { id: "amp".into(), node: jack });
    let circuit = model.circuit(&[]);
    let plain = signal::nodal::voltages(&circuit, 0, 1e3).expect("an answer")[jack];
    let tableau = signal::verify::voltages(&circuit, 0, 1e3).expect("an answer")[jack];
    let walked = signal::respond(&model, &[], 0, 0, &Sweep::new(vec![1e3])).expect("it arrives")[0];
    for (re, im) in [(plain.re, plain.im), tableau, (walked.re, walked.im)] {
        assert!((re - 0.5).abs() < 1e-12 && im.abs() < 1e-12, "{re} {im}");
    }
}

#[test]
fn pots_of_active_sources_and_piezos_are_where_the_document_has_them() {
    let level = |kind: PickupKind, volume: f64, k: usize| {
        let mut rig = string(Vec::new());
        without_pots(&mut rig.sources[0], kind);
        let pickup = &mut rig.sources[0].pickup;
        pickup.resistance = known(Ohms::of(1e3));
        pickup.capacitance = known(Farads::of(500e-12));
        pickup.volume_pot = known(Ohms::of(25e3));
        let mut input = input(&rig);
        input.leads.iter_mut().for_each(|lead| lead.length = known(Length::from_mm(1)));
        let controls = Controls { volume, ..Controls::default() };
        input.controls = BTreeMap::from([("guitar".to_owned(), controls)]);
        let config = Config { plug: 0.0, stray: 0.0, ..Config::default() };
        let outcome = solve_with(&input, &config, BufferSearch::Skip);
        assert_eq!(outcome.notes, Vec::<String>::new());
        (outcome.ways[0].states[0].level_db()[k], outcome.frequencies[k])
    };
    let decibels = |ratio: f64| 20.0 * libm::log10(ratio);
    let parallel = |a: f64, b: f64| a * b / (a + b);
    // 1 kΩ into a pot of 25 kΩ at half, its wiper into 1 MΩ; and into the whole of it.
    let below = parallel(12.5e3, 1e6);
    let (half, _) = level(PickupKind::Active, 0.5, grid::AT_1K);
    assert!((half - decibels(below / (1e3 + 12.5e3 + below))).abs() < 1e-3, "{half}");
    let all = parallel(25e3, 1e6);
    let (full, _) = level(PickupKind::Active, 1.0, grid::AT_1K);
    assert!((full - decibels(all / (1e3 + all))).abs() < 1e-3, "{full}");
    // 500 pF into the same: a high pass.
    for k in [0, grid::AT_1K, grid::AT_4K] {
        let (found, hertz) = level(PickupKind::Piezo, 1.0, k);
        let x = std::f64::consts::TAU * hertz * 500e-12 * all;
        assert!((found - decibels(x / libm::hypot(1.0, x))).abs() < 0.01, "{hertz} Hz: {found}");
    }
}

#[test]
fn a_knob_without_a_pot_is_told() {
    let mut rig = string(Vec::new());
    without_pots(&mut rig.sources[0], PickupKind::Active);
    rig.sources[0].pickup.resistance = known(Ohms::of(1e3));
    let mut input = input(&rig);
    input.controls = BTreeMap::from([("guitar".to_owned(), Controls { volume: 0.5, ..Controls::default() })]);
    let outcome = solve_with(&input, &Config::default(), BufferSearch::Skip);
    assert_eq!(
        outcome.notes,
        ["guitar has its volume turned down, and no volume pot is stated: nothing is taken off for it"]
    );
    assert!(outcome.ways[0].reference_words().starts_with("guitar, volume at 50 %, plugged straight"));
}
