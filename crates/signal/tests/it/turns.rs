//! Transformers with stated turns against closed forms: the ratio, and the load that they reflect.

use quantity::{Length, Ohms};
use rig::{Bypass, Device, PickupKind, PortRole, Rig};
use signal::{BufferSearch, Complex, Config, Outcome, grid, solve_with, verify};

use crate::rigs::{add_run, amp, device, input, known, port, string, without_pots};

/// What drives, in ohms.
const SOURCE: f64 = 10e3;

/// No capacitance to speak of, so that what is left is resistances.
fn config() -> Config {
    Config { plug: 0.0, stray: 0.0, relay_stray: 0.0, ..Config::default() }
}

/// A passive transformer with a winding of so many ohms; without one nobody has said.
fn transformer(tag: &str, turns: &str, winding: Option<f64>) -> Device {
    let mut device = device(tag, Bypass::AlwaysOn, 1e6, 1e3);
    device.ports = vec![port("IN", PortRole::In, None), port("OUT", PortRole::Out, winding)];
    device.signal.passive = true;
    device.signal.transformer = known(true);
    device.signal.turns = known(turns.parse().expect("turns"));
    device
}

/// A box of [`SOURCE`], the devices, and what listens.
fn boxed(devices: Vec<Device>, load: f64) -> Rig {
    let mut rig = string(devices);
    without_pots(&mut rig.sources[0], PickupKind::Active);
    rig.sources[0].pickup.resistance = known(Ohms::of(SOURCE));
    rig.sinks[0].z = known(Ohms::of(load));
    rig
}

fn solved(rig: &Rig) -> Outcome {
    let mut input = input(rig);
    for lead in &mut input.leads {
        lead.length = known(Length::from_mm(1));
    }
    let outcome = solve_with(&input, &config(), BufferSearch::Skip);
    assert_eq!(verify::verify(&input, &config(), &outcome).breaches, []);
    outcome
}

fn near_db(found: f64, ratio: f64) {
    let wanted = 20.0 * libm::log10(ratio);
    assert!((found - wanted).abs() < 1e-4, "{found} dB for {wanted}");
}

/// The one level of a rig without switches, by its state and by both edges of its band.
fn level(outcome: &Outcome, way: usize) -> f64 {
    let way = &outcome.ways[way];
    let level = way.states[0].level_db()[grid::AT_1K];
    for edge in [way.band.upper_db[grid::AT_1K], way.band.lower_db[grid::AT_1K]] {
        assert!((edge - level).abs() < 1e-9, "{edge} and {level}");
    }
    level
}

#[test]
fn turns_step_down_and_reflect_what_hangs_behind() {
    let rig = boxed(vec![transformer("T", "12:1", Some(150.0))], 2e3);
    let outcome = solved(&rig);
    let input = 144.0 * (150.0 + 2e3);
    near_db(level(&outcome, 0), input / (SOURCE + input) / 12.0 * 2e3 / 2150.0);
    // The same by what the secondary sees of the source: it stands there once, by the load at the primary.
    near_db(level(&outcome, 0), 2e3 / (SOURCE / 144.0 + 150.0 + 2e3) / 12.0);
    let load = &outcome.loads[0];
    assert!((load.ohms / input - 1.0).abs() < 1e-6, "{} Ω", load.ohms);
    assert_eq!(load.lacks, []);
    // The ratio is wound: it is there with every gain at 0 dB, and nobody has to state a gain.
    assert!(outcome.levels.iter().all(|level| level.lacks.is_empty()));
}

#[test]
fn turns_step_up() {
    let outcome = solved(&boxed(vec![transformer("T", "1:10", Some(2e3))], 1e6));
    near_db(level(&outcome, 0), 10.0 * 1e6 / (SOURCE * 100.0 + 2e3 + 1e6));
}

#[test]
fn a_transformer_behind_another_is_reflected_through_both() {
    let rig = boxed(vec![transformer("T1", "12:1", Some(150.0)), transformer("T2", "1:10", Some(2e3))], 1e6);
    let second = (2e3 + 1e6) / 100.0;
    let first = 144.0 * (150.0 + second);
    let wanted = first / (SOURCE + first) / 12.0 * second / (150.0 + second) * 10.0 * 1e6 / (2e3 + 1e6);
    near_db(level(&solved(&rig), 0), wanted);
}

#[test]
fn two_secondaries_load_the_primary_side_by_side() {
    let mut split = transformer("T", "2:1", Some(100.0));
    split.ports.push(port("OUT_2", PortRole::Out, Some(100.0)));
    let mut rig = boxed(vec![split], 1e3);
    rig.sinks.push(amp("desk"));
    rig.sinks[1].z = known(Ohms::of(4e3));
    add_run(&mut rig, "side", &["T.OUT_2", "desk"]);
    let input = 4.0 / (1.0 / 1100.0 + 1.0 / 4100.0);
    let outcome = solved(&rig);
    near_db(level(&outcome, 0), input / (SOURCE + input) / 2.0 * 1e3 / 1100.0);
    near_db(level(&outcome, 1), input / (SOURCE + input) / 2.0 * 4e3 / 4100.0);
}

#[test]
fn a_stated_input_counts_and_an_unstated_winding_is_told() {
    let mut stated = transformer("T", "12:1", None);
    stated.ports[0].z = known(Ohms::of(50e3));
    let outcome = solved(&boxed(vec![stated], 2e3));
    near_db(level(&outcome, 0), 5.0 / 6.0 / 12.0 * 2e3 / (2e3 + Config::default().winding));
    let field = finding::Field::device("T", "port.OUT.z");
    assert!(outcome.lacks.contains(&field));
}

#[test]
fn the_band_counts_the_ratio_in_every_state() {
    // What follows loads the transformer when it is on, and by its turns the source too.
    let mut rig =
        boxed(vec![transformer("T", "12:1", Some(150.0)), device("P", Bypass::Hard, 1e3, 1e3)], 2e3);
    rig.states = vec![rig::State { name: "on".into(), engaged: vec!["P".into()] }];
    let outcome = solved(&rig);
    let way = &outcome.ways[0];
    let at = |state: usize| way.states[state].level_db()[grid::AT_1K];
    assert!((at(0) - at(1)).abs() > 1.0);
    assert!((way.band.upper_db[grid::AT_1K] - at(0).max(at(1))).abs() < 1e-9);
    assert!((way.band.lower_db[grid::AT_1K] - at(0).min(at(1))).abs() < 1e-9);
    let input = 144.0 * 1150.0;
    near_db(at(1), input / (SOURCE + input) / 12.0 * 1e3 / 1150.0 * 2e3 / 3e3);
}

#[test]
fn a_transformer_with_a_switch_is_reflected_while_it_is_on() {
    let mut switched = transformer("T", "12:1", Some(150.0));
    switched.signal.bypass = known(Bypass::Hard);
    let mut rig = boxed(vec![switched], 2e3);
    rig.states = vec![rig::State { name: "on".into(), engaged: vec!["T".into()] }];
    let outcome = solved(&rig);
    let at = |state: usize| outcome.ways[0].states[state].level_db()[grid::AT_1K];
    let input = 144.0 * 2150.0;
    near_db(at(0), 2e3 / (SOURCE + 2e3));
    near_db(at(1), input / (SOURCE + input) / 12.0 * 2e3 / 2150.0);
}

#[test]
fn branches_that_sum_count_the_ratio() {
    // A splitter, a transformer on one branch, and a mixer: the two voltages add at its output.
    let mut split = device("S", Bypass::AlwaysOn, 1e6, 1e3);
    split.ports.push(port("OUT_2", PortRole::Out, Some(1e3)));
    let mut mixer = device("M", Bypass::AlwaysOn, 1e6, 1e3);
    mixer.ports = vec![
        port("IN_1", PortRole::In, Some(100e3)),
        port("IN_2", PortRole::In, Some(100e3)),
        port("OUT", PortRole::Out, Some(1e3)),
    ];
    let mut rig = boxed(vec![split, transformer("T", "4:1", Some(150.0)), mixer], 1e6);
    rig.runs.clear();
    add_run(&mut rig, "main", &["guitar", "S.IN", "S.OUT", "T", "M.IN_1", "M.OUT", "amp"]);
    add_run(&mut rig, "side", &["S.OUT_2", "M.IN_2"]);
    let input = 16.0 * (150.0 + 100e3);
    let through = input / (1e3 + input) / 4.0 * 100e3 / 100.15e3;
    let past = 100e3 / 101e3;
    let wanted = 1e6 / (SOURCE + 1e6) * (through + past) * 1e6 / (1e3 + 1e6);
    near_db(level(&solved(&rig), 0), wanted);
}

#[test]
fn capacitance_behind_the_turns_loads_the_source_by_their_square() {
    let mut behind = device("P", Bypass::AlwaysOn, 1e6, 1.0);
    behind.ports[0].capacitance = known(quantity::Farads::of(1e-9));
    let rig = boxed(vec![transformer("T", "1:10", Some(2e3)), behind], 1e6);
    let hertz = 10e3;
    let y = Complex::new(1e-6, std::f64::consts::TAU * hertz * 1e-9);
    let behind = y.inverse();
    let secondary = behind + Complex::new(2e3, 0.0);
    let primary = secondary.times(0.01);
    let wanted = primary / (primary + Complex::new(SOURCE, 0.0)) * (behind / secondary);
    let wanted = (wanted.times(10.0 * 1e6 / (1.0 + 1e6))).decibels();
    let mut input = input(&rig);
    for lead in &mut input.leads {
        lead.length = known(Length::from_mm(1));
    }
    let config = Config { cable_capacitance: 0.0, ..config() };
    let model = signal::network(&input, &config);
    let found = signal::respond(&model, &model.at_rest(), 0, 0, &signal::Sweep::new(vec![hertz]));
    let found = found.expect("it arrives")[0].decibels();
    assert!((found - wanted).abs() < 1e-4, "{found} dB for {wanted}");
}

#[test]
fn a_winding_the_other_way_round_inverts() {
    let mut turned = transformer("T", "2:1", Some(150.0));
    turned.signal.inverts = known(true);
    let outcome = solved(&boxed(vec![turned], 1e6));
    let value = outcome.ways[0].states[0].response[grid::AT_1K];
    assert!(value.re < 0.0 && value.im.abs() < 1e-3 * value.re.abs(), "{value:?}");
    near_db(level(&outcome, 0), 4.0 * 1.00015e6 / (SOURCE + 4.0 * 1.00015e6) / 2.0 * 1e6 / 1.00015e6);
}
