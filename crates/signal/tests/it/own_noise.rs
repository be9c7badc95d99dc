//! Devices' own noise against closed forms: it adds by power, and passes what is behind it.

use quantity::{Decibels, Length, Ohms, Volts};
use rig::{Bypass, Device, PickupKind, PortRole, Rig};
use signal::{BufferSearch, Config, Noise, solve_with};

use crate::rigs::{add_run, device, input, known, port, string, volume, without_pots};

/// Stated noise large against the thermal noise of these rigs, in volts.
const LOUD: f64 = 10e-3;

/// No capacitance to speak of, so that what is left is resistances.
fn config() -> Config {
    Config { plug: 0.0, stray: 0.0, relay_stray: 0.0, ..Config::default() }
}

/// A box of 10 kΩ, the devices, and an amp of 1 MΩ, by leads of a millimetre.
fn boxed(devices: Vec<Device>) -> Rig {
    let mut rig = string(devices);
    without_pots(&mut rig.sources[0], PickupKind::Active);
    rig.sources[0].pickup.resistance = known(Ohms::of(10e3));
    rig
}

/// What is told of the noise at the amp in one of the states.
fn noise(rig: &Rig, state: &str, travel: &[(&str, f64)]) -> Noise {
    let mut input = input(rig);
    input.travel.extend(travel.iter().map(|(tag, share)| ((*tag).to_owned(), *share)));
    for lead in &mut input.leads {
        lead.length = known(Length::from_mm(1));
    }
    let outcome = solve_with(&input, &config(), BufferSearch::Skip);
    let state = outcome.ways[0].states.iter().find(|other| other.name == state).expect("the state");
    state.noise.clone().expect("signal arrives")
}

/// A buffer that is never off, 1 MΩ in and 1 kΩ out, with its own noise.
fn buffer(tag: &str, volts: Option<f64>) -> Device {
    let mut buffer = device(tag, Bypass::AlwaysOn, 1e6, 1e3);
    buffer.signal.gain = known(Decibels::of(0.0));
    buffer.signal.noise = volts.map(|volts| known(Volts::of(volts))).unwrap_or_default();
    buffer
}

fn near(found: f64, wanted: f64) {
    assert!((found / wanted - 1.0).abs() < 1e-5, "{found:e} for {wanted:e}");
}

#[test]
fn own_noise_adds_by_power() {
    // As loud as what is there without it, so that neither side can be lost.
    let alone = noise(&boxed(vec![buffer("B", None)]), "everything off", &[]);
    let own = alone.volts_a;
    let with = noise(&boxed(vec![buffer("B", Some(own))]), "everything off", &[]);
    let arrives = own * 1e6 / 1.001e6;
    near(with.volts_a, libm::hypot(alone.volts_a, arrives));
    assert!(1.41 < with.volts_a / alone.volts_a);
    assert_eq!((with.own, with.not_known), (vec!["B".to_owned()], Vec::new()));
    assert_eq!((alone.own, alone.not_known), (Vec::new(), vec!["B".to_owned()]));
}

#[test]
fn own_noise_is_what_is_stated_and_passes_a_divider() {
    near(noise(&boxed(vec![buffer("B", Some(LOUD))]), "everything off", &[]).volts_a, LOUD * 1e6 / 1.001e6);
    // Half of a pot of 100 kΩ into 1 MΩ, from 1 kΩ.
    let rig = boxed(vec![buffer("B", Some(LOUD)), volume("V", Bypass::AlwaysOn, 100e3)]);
    let below = 50e3 * 1e6 / 1.05e6;
    near(noise(&rig, "everything off", &[("V", 0.5)]).volts_a, LOUD * below / (below + 51e3));
}

#[test]
fn gains_behind_raise_it_and_its_own_does_not() {
    let mut loud = buffer("D2", Some(LOUD));
    loud.signal.gain = known(Decibels::of(20.0));
    let into = 1e6 / 1.001e6;
    let found = noise(&boxed(vec![buffer("D1", Some(LOUD)), loud]), "everything off", &[]);
    near(found.volts_a, LOUD * into * libm::hypot(1.0, 10.0 * into));
}

#[test]
fn a_device_that_is_off_makes_none() {
    let mut pedal = device("P", Bypass::Hard, 1e6, 1e3);
    pedal.signal.noise = known(Volts::of(LOUD));
    let mut rig = boxed(vec![buffer("B", None), pedal]);
    rig.states = vec![rig::State { name: "on".into(), engaged: vec!["P".into()] }];
    let (off, on) = (noise(&rig, "everything off", &[]), noise(&rig, "on", &[]));
    assert!(off.volts_a < LOUD / 100.0 && off.own.is_empty());
    near(on.volts_a, LOUD * 1e6 / 1.001e6);
    assert_eq!(off.own_words(), "devices' own left out");
    assert_eq!(on.own_words(), "own noise of P in, that of others not known");
}

#[test]
fn what_two_branches_have_in_common_adds_up_in_step() {
    // A passive split into two buffers and a mixer: the noise of box and inputs comes twice, in step; that of each buffer's
    // output once.
    let mut split = device("SP", Bypass::AlwaysOn, 1e6, 1e3);
    split.signal.passive = true;
    split.ports = ["IN", "OUT_A", "OUT_B"]
        .map(|name| port(name, if name == "IN" { PortRole::In } else { PortRole::Out }, None))
        .into();
    let mut mix = device("MX", Bypass::AlwaysOn, 1e6, 100.0);
    mix.ports = vec![
        port("IN_A", PortRole::In, Some(1e6)),
        port("IN_B", PortRole::In, Some(1e6)),
        port("OUT", PortRole::Out, Some(100.0)),
    ];
    let mut rig = boxed(vec![split, buffer("A", None), buffer("B", None), mix]);
    rig.runs.clear();
    add_run(&mut rig, "one", &["guitar", "SP.IN", "SP.OUT_A", "A", "MX.IN_A", "MX.OUT", "amp"]);
    add_run(&mut rig, "other", &["SP.OUT_B", "B", "MX.IN_B"]);
    let found = noise(&rig, "everything off", &[]).volts;
    let parallel = |ohms: &[f64]| 1.0 / ohms.iter().map(|ohms| 1.0 / ohms).sum::<f64>();
    let (shared, each, last) = (parallel(&[10e3, 1e6, 1e6]), parallel(&[1e3, 1e6]), parallel(&[100.0, 1e6]));
    let (through, out) = (1e6 / 1.001e6, 1e6 / 1.0001e6);
    let seen = (shared * 4.0 * through * through + 2.0 * each) * out * out + last;
    let volts = crate::forms::thermal(seen, Config::default().kelvin, 19_980.0);
    assert!((found / volts - 1.0).abs() < 1e-3, "{found:e} for {volts:e}");
}
