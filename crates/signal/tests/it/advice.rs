//! Advice against brute force: every set of places and every state, one by one, solved by the verifier.

use rig::geometry::EndKind;
use rig::{Bypass, Rig};
use signal::{
    AdviceStatus, BufferPlace, Config, Input, Sweep, grid, network, reference_circuit, respond, solve, verify,
};

use crate::rigs::{Lot, device, input, string};

/// Worst change at 4 kHz over all states with buffers at some places, by visiting every state.
fn worst(input: &Input<'_>, config: &Config, places: &[BufferPlace], reference: f64) -> f64 {
    let mut input = input.clone();
    input.buffers = places.to_vec();
    let model = network(&input, config);
    let sweep = Sweep::new(vec![4000.0]);
    let bare: Vec<usize> = (0..model.switches.len())
        .filter(|switch| {
            let tag = &model.switches[*switch].name;
            input.rig.device(tag).is_some_and(|device| device.signal.bare_pickup.value == Some(true))
        })
        .collect();
    let mut worst = 0.0_f64;
    for number in 0..1usize << model.switches.len() {
        let state: Vec<u8> =
            (0..model.switches.len()).map(|switch| u8::from(number >> switch & 1 == 1)).collect();
        if bare.iter().any(|switch| state[*switch] == 1) {
            continue;
        }
        let level = respond(&model, &state, 0, 0, &sweep).expect("it arrives")[0].decibels();
        worst = worst.max((level - reference).abs());
    }
    worst
}

fn level_of_reference(input: &Input<'_>, config: &Config) -> f64 {
    let circuit = reference_circuit(input, config, "guitar", 1e6);
    let (re, im) = verify::voltages(&circuit, 0, 4000.0).expect("solved")[circuit.sinks[0].node];
    10.0 * libm::log10(re * re + im * im)
}

/// Every place in the rig's one string: before the first device, after every device.
fn places(rig: &Rig) -> Vec<BufferPlace> {
    let last_bare = rig.devices.iter().rposition(|device| device.signal.bare_pickup.value == Some(true));
    rig.runs[0]
        .steps()
        .enumerate()
        .filter(|(index, _)| last_bare.is_none_or(|bare| bare < *index))
        .map(|(index, (from, to))| BufferPlace {
            from: from.clone(),
            to: to.clone(),
            at: if index == 0 { EndKind::To } else { EndKind::From },
        })
        .collect()
}

fn rig_by_lot(seed: u64) -> Rig {
    let mut lot = Lot::new(seed);
    let count = 3 + lot.below(4);
    let mut rig = string(
        (1..=count)
            .map(|number| {
                let bypass = lot.pick(&[Bypass::Hard, Bypass::Hard, Bypass::Hard, Bypass::Buffered]);
                device(&format!("D{number}"), bypass, lot.pick(&[500e3, 1e6]), lot.pick(&[1e3, 10e3, 100e3]))
            })
            .collect(),
    );
    if lot.chance(40) {
        let at = lot.below(2);
        rig.devices[at].signal.bypass = crate::rigs::known(Bypass::Hard);
        rig.devices[at].signal.bare_pickup = crate::rigs::known(true);
    }
    rig
}

#[test]
fn advice_is_the_smallest_set_and_none_is_left_out() {
    let (mut proven, mut enough, mut none) = (0, 0, 0);
    // `BOARDWRIGHT_SOAK` asks for more.
    let rigs = if std::env::var_os("BOARDWRIGHT_SOAK").is_some() { 240 } else { 40 };
    for seed in 0..rigs {
        let rig = rig_by_lot(seed);
        let mut input = input(&rig);
        for lead in input.leads.iter_mut().skip(1) {
            lead.length = crate::rigs::known(quantity::Length::from_mm(1500));
        }
        // Only the change at 4 kHz decides, so that brute force is plain.
        let config = Config { shift_limit: f64::INFINITY, loss_limit: f64::INFINITY, ..Config::default() };
        let reference = level_of_reference(&input, &config);
        let advice = solve(&input, &config).advice;
        assert!((advice.before.change_at_4k_db - worst(&input, &config, &[], reference)).abs() < 1e-6);
        let places = places(&rig);
        let holds = |set: &[BufferPlace]| worst(&input, &config, set, reference) <= config.change_limit;
        let singles: Vec<Vec<BufferPlace>> = places.iter().map(|place| vec![place.clone()]).collect();
        let pairs: Vec<Vec<BufferPlace>> = (0..places.len())
            .flat_map(|a| (a + 1..places.len()).map(move |b| (a, b)))
            .map(|(a, b)| vec![places[a].clone(), places[b].clone()])
            .collect();
        let smallest = if holds(&[]) {
            Vec::new()
        } else {
            // Sets of three and more, by their number in binary.
            let more = (3..=places.len()).map(|size| {
                (0..1usize << places.len())
                    .filter(|number| number.count_ones() as usize == size)
                    .map(|number| {
                        (0..places.len())
                            .filter(|at| number >> at & 1 == 1)
                            .map(|at| places[at].clone())
                            .collect()
                    })
                    .collect::<Vec<Vec<BufferPlace>>>()
            });
            [singles, pairs]
                .into_iter()
                .chain(more)
                .map(|sets| sets.into_iter().filter(|set| holds(set)).collect::<Vec<_>>())
                .find(|sets| !sets.is_empty())
                .unwrap_or_default()
        };
        match advice.status {
            AdviceStatus::NoneNeeded => {
                assert!(holds(&[]), "seed {seed}");
                enough += 1;
            }
            AdviceStatus::NoneFound => {
                assert!(smallest.is_empty() && !holds(&[]), "seed {seed}");
                none += 1;
            }
            AdviceStatus::Proven => {
                let mut told: Vec<Vec<BufferPlace>> =
                    advice.alternatives.iter().map(|alternative| alternative.places.clone()).collect();
                assert!(told.iter().all(|set| smallest.contains(set)), "seed {seed}: {told:?}");
                told.sort();
                told.dedup();
                assert_eq!(told.len(), smallest.len().min(8), "seed {seed}");
                for alternative in &advice.alternatives {
                    let after = worst(&input, &config, &alternative.places, reference);
                    assert!((after - alternative.after.change_at_4k_db).abs() < 1e-6, "seed {seed}");
                    let (upper, lower) = &alternative.bands[0];
                    let band =
                        (upper[grid::AT_4K] - reference).abs().max((lower[grid::AT_4K] - reference).abs());
                    assert!((band - after).abs() < 1e-6, "seed {seed}");
                }
                proven += 1;
            }
            other => panic!("seed {seed}: {other:?}"),
        }
    }
    assert!(8 <= proven && 1 <= enough + none, "{proven} {enough} {none}");
}

#[test]
fn no_buffer_goes_ahead_of_a_device_that_wants_the_bare_pickup() {
    let mut rig = string((1..=5).map(|n| device(&format!("D{n}"), Bypass::Hard, 1e6, 1e3)).collect());
    rig.devices[2].signal.bare_pickup = crate::rigs::known(true);
    let mut input = input(&rig);
    for lead in &mut input.leads {
        lead.length = crate::rigs::known(quantity::Length::from_mm(2000));
    }
    let advice = solve(&input, &Config::default()).advice;
    for place in advice.alternatives.iter().flat_map(|alternative| &alternative.places) {
        assert!(["D3", "D4", "D5"].contains(&place.from.device.as_str()), "{place}");
    }
    assert_ne!(advice.status, AdviceStatus::NoneNeeded);
}
