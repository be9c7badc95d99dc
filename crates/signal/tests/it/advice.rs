//! Advice against brute force: every set of places and every state, one by one, solved by the verifier.

use rig::geometry::EndKind;
use rig::{Bypass, PortRef, Rig};
use signal::{
    AdviceStatus, BufferPlace, Config, Input, Sweep, grid, network, reference_circuit, respond, solve, verify,
};

use crate::rigs::{Lot, add_run, amp, device, draw, guitar, input, panel, port, run, string};

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

/// Long leads at both ends of three pedals, the one in the middle with a low input whose wish `wants` says.
fn low_in_the_middle(wants: Option<bool>) -> Rig {
    let mut rig = string(vec![
        device("T1", Bypass::Hard, 1e6, 1e3),
        device("FZ", Bypass::Hard, 15e3, 5e3),
        device("T2", Bypass::Hard, 1e6, 1e3),
    ]);
    rig.devices[1].signal.bare_pickup = wants.map(crate::rigs::known).unwrap_or_default();
    let long = crate::rigs::known(quantity::Length::from_mm(9000));
    (rig.sources[0].lead, rig.sinks[0].lead) = (long, long);
    rig
}

/// The advice where the ends' leads are as long as the rig says.
fn advised(rig: &Rig) -> signal::Advice {
    let mut input = input(rig);
    for lead in &mut input.leads {
        lead.length = crate::rigs::known(quantity::Length::from_mm(150));
        if rig.source(&lead.from.device).is_some() || rig.sink(&lead.to.device).is_some() {
            lead.length = rig.sources[0].lead;
        }
    }
    solve(&input, &Config::default()).advice
}

#[test]
fn what_hangs_on_an_unknown_wish_is_told_for_each_answer() {
    let open = advised(&low_in_the_middle(None));
    assert_eq!(open.status, AdviceStatus::Depends);
    assert_eq!(open.asked_words(), "whether FZ needs the bare pickup");
    let by = open.by_wish.expect("both answers are there");
    for (answer, wants) in [(&by.wanted, true), (&by.not_wanted, false)] {
        let stated = advised(&low_in_the_middle(Some(wants)));
        assert_eq!((answer.status, answer.size_tried), (stated.status, stated.size_tried), "{wants}");
        let sets = |advice: &signal::Advice| -> Vec<Vec<BufferPlace>> {
            advice.alternatives.iter().map(|one| one.places.clone()).collect()
        };
        assert_eq!(sets(answer), sets(&stated), "{wants}");
        assert_eq!(answer.status, AdviceStatus::Proven, "{wants}");
    }
    assert_ne!(by.wanted.alternatives, by.not_wanted.alternatives);
}

#[test]
fn a_tuner_that_only_listens_is_not_asked_about() {
    let mut rig = low_in_the_middle(Some(false));
    rig.devices.push(device("TU", Bypass::Hard, 15e3, 1e3));
    rig.devices[3].signal.bare_pickup = rig::Known::default();
    rig.devices[0].ports.push(port("TAP", rig::PortRole::Out, Some(1e3)));
    add_run(&mut rig, "tune", &["T1.TAP", "TU.IN"]);
    let asked = |rig: &Rig| advised(rig).asks.len();
    assert_eq!(asked(&rig), 1);
    rig.runs[1].purpose = Some(rig::Purpose::Listener);
    assert_eq!(asked(&rig), 0);
}

#[test]
fn a_wire_between_two_inserts_of_a_panel_is_a_place() {
    let mut rig = string(vec![device("A", Bypass::Hard, 470e3, 5e3), device("B", Bypass::Hard, 1e6, 1e3)]);
    let mut wall = panel("P", rig::Normal::Full);
    wall.ports.extend([port("S2", rig::PortRole::Send, None), port("R2", rig::PortRole::Return, None)]);
    wall.inserts.push(rig::Insert {
        name: "second".into(),
        send: "S2".into(),
        back: "R2".into(),
        ..wall.inserts[0].clone()
    });
    let (send, back) = (wall.inserts[0].send.clone(), wall.inserts[0].back.clone());
    rig.devices.push(wall);
    let stops: Vec<String> =
        ["guitar", "A", &format!("P.{send}"), &format!("P.{back}"), "P.S2", "P.R2", "B", "amp"]
            .map(str::to_owned)
            .to_vec();
    rig.runs[0] = run(&rig, "main", &stops);
    let place =
        BufferPlace { from: PortRef::new("P", &back), to: PortRef::new("P", "S2"), at: EndKind::From };
    let input = input(&rig);
    let config = Config::default();
    let reference = level_of_reference(&input, &config);
    // The wire is parted: what comes after it loads the coil no more.
    let [without, with] = [vec![], vec![place.clone()]].map(|set| worst(&input, &config, &set, reference));
    assert!(with < without - 0.5, "{with} {without}");
    let answers = signal::answers(&input, &config, &solve(&input, &config));
    let more = answers[0].one_more.as_ref().expect("it is known");
    assert!(more.at.iter().any(|one| one.place == place));
}

/// The leads and what signal passes inside devices, as the stops of the runs say: from jack to jack.
fn passed(rig: &Rig) -> Vec<(PortRef, PortRef)> {
    let mut out = Vec::new();
    for run in &rig.runs {
        let onward = |pair: &[rig::Stop]| Some((pair[0].leaves.clone()?, pair[1].arrives.clone()?));
        out.extend(run.stops.windows(2).filter_map(onward));
        let through = |stop: &rig::Stop| Some((stop.arrives.clone()?, stop.leaves.clone()?));
        out.extend(run.stops.iter().filter_map(through));
        let begins = run.stops.first().and_then(|stop| stop.leaves.clone());
        let ends = run.stops.last().and_then(|stop| stop.arrives.clone());
        // A run of a splitter's or tuner's output begins where the main one enters, that into a mixer goes on with it.
        if let Some(from) = begins.filter(|port| rig.device(&port.device).is_some_and(has("IN"))) {
            out.push((PortRef::new(&from.device, "IN"), from));
        }
        if let Some(to) = ends.filter(|port| rig.device(&port.device).is_some_and(has("OUT"))) {
            let out_of = PortRef::new(&to.device, "OUT");
            out.push((to, out_of));
        }
    }
    out
}

fn has(port: &str) -> impl Fn(&rig::Device) -> bool + '_ {
    move |device| device.ports.iter().any(|own| own.name == port)
}

/// Where a buffer may go in any rig: in each lead between things, not in one outside the board, not ahead of a device that
/// wants the bare pickup; one plug is one place.
fn places_anywhere(rig: &Rig) -> Vec<BufferPlace> {
    let passed = passed(rig);
    let wants =
        |tag: &str| rig.device(tag).is_some_and(|device| device.signal.bare_pickup.value == Some(true));
    let is_outside = |tag: &str| rig.device(tag).is_none_or(|device| device.outside);
    let is_wall = |tag: &str| rig.device(tag).is_some_and(|device| device.role == rig::Role::Panel);
    let mut out: Vec<BufferPlace> = Vec::new();
    for (from, to) in rig.runs.iter().flat_map(rig::Run::steps).filter(|(from, to)| from.device != to.device)
    {
        let (a, b) = (from.device.as_str(), to.device.as_str());
        if is_outside(a) && is_outside(b) || is_outside(a) && is_wall(b) || is_wall(a) && is_outside(b) {
            continue;
        }
        let mut reached = vec![to.clone()];
        let mut at = 0;
        while at < reached.len() {
            let here = reached[at].clone();
            for (_, next) in passed.iter().filter(|(start, _)| *start == here) {
                if !reached.contains(next) {
                    reached.push(next.clone());
                }
            }
            at += 1;
        }
        if reached.iter().any(|port| wants(&port.device)) {
            continue;
        }
        let at = if rig.source(a).is_some() { EndKind::To } else { EndKind::From };
        if !out.iter().any(|place| at == EndKind::From && place.at == at && place.from == *from) {
            out.push(BufferPlace { from: from.clone(), to: to.clone(), at });
        }
    }
    out
}

/// A panel with an insert put into the main run between two devices, with a guest in it, something at its tap, or empty.
fn with_panel(rig: &mut Rig, lot: &mut Lot) {
    let mut stops: Vec<String> = rig.runs[0].stops.iter().map(|stop| stop.text.clone()).collect();
    let tag_of = |stop: &str| stop.split('.').next().unwrap_or(stop).to_owned();
    let seams: Vec<usize> =
        (2..stops.len() - 1).filter(|at| tag_of(&stops[*at - 1]) != tag_of(&stops[*at])).collect();
    if seams.is_empty() {
        return;
    }
    let at = seams[lot.below(seams.len())];
    stops.splice(at..at, ["PNL.S".to_owned(), "PNL.R".to_owned()]);
    let normal = lot.pick(&[rig::Normal::Full, rig::Normal::Half]);
    rig.devices.push(panel("PNL", normal));
    let kind = lot.below(3);
    if kind < 2 {
        let mut guest = device("GUEST", Bypass::Hard, lot.pick(&[47e3, 1e6]), lot.pick(&[1e3, 20e3]));
        guest.outside = true;
        rig.devices.push(guest);
        if kind == 0 {
            add_run(rig, "guest", &["PNL.S", "GUEST", "PNL.R"]);
        } else if normal == rig::Normal::Half {
            add_run(rig, "tap", &["PNL.S", "GUEST.IN"]);
        }
    }
    let whole = run(rig, "main", &stops);
    rig.runs[0] = whole;
}

/// Brute force over states: whether a set of places keeps the limits on treble and level in all of them.
struct Brute<'a> {
    input: &'a Input<'a>,
    config: &'a Config,
    /// Level of the reference at 1 and 4 kHz for each source.
    reference: Vec<[f64; 2]>,
    /// Whether the tone alone is judged, as the answer says of each way.
    by_tone: bool,
    /// Whether it is so wherever volume pedals stand.
    by_tone_anyway: bool,
}

impl Brute<'_> {
    /// Where volume pedals stand, and with each of them a tenth up, half way and at the toe.
    fn keeps(&self, places: &[BufferPlace]) -> bool {
        let mut input = self.input.clone();
        input.buffers = places.to_vec();
        let stands = input.travel.clone();
        let is_pot = |device: &&rig::Device| {
            device.signal.passive && (device.treadle.is_some() || stands.contains_key(&device.tag))
        };
        self.keeps_there(&input, self.by_tone)
            && input.rig.devices.iter().filter(is_pot).all(|device| {
                [0.1, 0.5, 1.0].into_iter().all(|share| {
                    let mut input = input.clone();
                    input.travel.insert(device.tag.clone(), share);
                    let is_down = input.travel.values().any(|share| *share < 1.0);
                    self.keeps_there(&input, self.by_tone_anyway || is_down)
                })
            })
    }

    fn keeps_there(&self, input: &Input<'_>, by_tone: bool) -> bool {
        let model = network(input, self.config);
        let sweep = Sweep::new(vec![1000.0, 4000.0]);
        let is_bare = |switch: &usize| {
            // One switch may work several.
            model.switches[*switch].name.split('+').any(|tag| {
                let device = input.rig.device(tag);
                device.is_some_and(|device| device.signal.bare_pickup.value == Some(true))
            })
        };
        (0..1usize << model.switches.len()).all(|number| {
            let state: Vec<u8> =
                (0..model.switches.len()).map(|switch| u8::from(number >> switch & 1 == 1)).collect();
            if !model.allows(&state) || (0..state.len()).any(|switch| state[switch] == 1 && is_bare(&switch))
            {
                return true;
            }
            (0..model.sources.len()).all(|source| {
                (0..model.sinks.len()).all(|sink| {
                    let Some(values) = respond(&model, &state, source, sink, &sweep) else { return true };
                    let [low, high] = [values[0].decibels(), values[1].decibels()];
                    let [low_before, high_before] = self.reference[source];
                    if by_tone {
                        return (high - low - (high_before - low_before)).abs() <= self.config.change_limit;
                    }
                    (high - high_before).abs() <= self.config.change_limit
                        && low_before - low <= self.config.loss_limit
                })
            })
        })
    }

    /// All sets of the smallest size that keeps the limits.
    fn smallest(&self, places: &[BufferPlace]) -> Vec<Vec<BufferPlace>> {
        for size in 0..=places.len() {
            let sets: Vec<Vec<BufferPlace>> = (0..1usize << places.len())
                .filter(|number| number.count_ones() as usize == size)
                .map(|number| {
                    (0..places.len())
                        .filter(|at| number >> at & 1 == 1)
                        .map(|at| places[at].clone())
                        .collect()
                })
                .filter(|set: &Vec<BufferPlace>| self.keeps(set))
                .collect();
            if !sets.is_empty() {
                return sets;
            }
        }
        Vec::new()
    }
}

#[test]
fn on_branches_loops_and_panels_fewer_buffers_never_do() {
    // `BOARDWRIGHT_SOAK` asks for more, and larger ones.
    let soak = std::env::var_os("BOARDWRIGHT_SOAK").is_some();
    let (wanted, most, widest) = if soak { (2000, 6, 9) } else { (200, 4, 7) };
    let (mut counts, mut sizes) = (std::collections::BTreeMap::new(), [0usize; 10]);
    let (mut judged, mut panels, mut loops, mut branches) = (0, 0, 0, 0);
    for seed in 20_000.. {
        if judged == wanted {
            break;
        }
        let mut drawn = draw(seed, most);
        let mut lot = Lot::new(seed ^ 0x5157);
        if lot.chance(50) {
            with_panel(&mut drawn.rig, &mut lot);
        }
        // Turned down, the tone alone is judged: not always.
        if lot.chance(70) {
            drawn.travel.clear();
        }
        let wide = |device: &&mut rig::Device| device.ports.len() == 2 && device.role != rig::Role::Panel;
        if lot.chance(20)
            && let Some(device) = drawn.rig.devices.iter_mut().find(wide)
        {
            device.signal.bare_pickup = crate::rigs::known(true);
        }
        let mut places = places_anywhere(&drawn.rig);
        if places.len() > widest || drawn.rig.devices.len() < 2 {
            continue;
        }
        let mut input = drawn.input();
        for lead in input.leads.iter_mut().skip(1) {
            lead.length = crate::rigs::known(quantity::Length::from_mm(lot.pick(&[300, 1500, 3000])));
        }
        // The shift of the resonance is left out, so that brute force is plain.
        let config = Config {
            shift_limit: f64::INFINITY,
            change_limit: lot.pick(&[2.0, 3.0, 6.0]),
            loss_limit: lot.pick(&[1.5, 4.0, f64::INFINITY]),
            ..Config::default()
        };
        let circuit = reference_circuit(&input, &config, "guitar", 1e6);
        let level = |hertz: f64| {
            let (re, im) = verify::voltages(&circuit, 0, hertz).expect("solved")[circuit.sinks[0].node];
            10.0 * libm::log10(re * re + im * im)
        };
        let outcome = solve(&input, &config);
        let by_tone = outcome.ways.first().is_some_and(signal::Way::is_judged_by_tone);
        let reference = vec![[level(1000.0), level(4000.0)]];
        let by_tone_anyway = outcome.ways.first().is_some_and(|way| !way.is_amp || way.adds_up);
        let brute = Brute { input: &input, config: &config, reference, by_tone, by_tone_anyway };
        let advice = outcome.advice;
        places.sort();
        let smallest = brute.smallest(&places);
        let mut told: Vec<Vec<BufferPlace>> =
            advice.alternatives.iter().map(|one| one.places.clone()).collect();
        for set in &mut told {
            set.sort();
        }
        match advice.status {
            AdviceStatus::NoneNeeded => assert_eq!(smallest, [Vec::new()], "seed {seed}"),
            AdviceStatus::NoneFound => assert_eq!(smallest, Vec::<Vec<BufferPlace>>::new(), "seed {seed}"),
            AdviceStatus::Proven => {
                assert!(told.iter().all(|set| smallest.contains(set)), "seed {seed}: {told:?} {smallest:?}");
                if advice.size_tried == told[0].len() {
                    assert_eq!(told.len(), smallest.len().min(8), "seed {seed}: {told:?} {smallest:?}");
                }
                sizes[told[0].len()] += 1;
            }
            AdviceStatus::NotProven => assert!(told.iter().all(|set| brute.keeps(set)), "seed {seed}"),
            AdviceStatus::CutShort => {}
            other => panic!("seed {seed}: {other:?}"),
        }
        *counts.entry(advice.status).or_insert(0) += 1;
        judged += 1;
        panels += usize::from(drawn.rig.device("PNL").is_some());
        loops += usize::from(drawn.rig.devices.iter().any(|device| !device.loops.is_empty()));
        branches += usize::from(1 < drawn.rig.runs.iter().filter(|run| run.name != "guest").count());
    }
    println!(
        "soak: {judged} rigs ({panels} with a panel, {loops} with loops, {branches} with branches), each as every set has it: \
         {counts:?}, proven sizes {sizes:?}"
    );
    let proven = counts.get(&AdviceStatus::Proven).copied().unwrap_or(0);
    assert!(wanted / 5 <= proven, "{counts:?}");
    assert!(
        wanted / 8 <= panels && wanted / 10 <= loops && wanted / 8 <= branches,
        "{panels} {loops} {branches}"
    );
}

#[test]
fn what_only_bounds_speak_against_is_no_proof() {
    // Fourteen switches on two branches that are mixed again: their states are more than can be visited, the band is a bound.
    let mut rig = Rig { sources: vec![guitar("guitar")], sinks: vec![amp("amp")], ..Rig::default() };
    let mut split = device("SPLIT", Bypass::AlwaysOn, 1e6, 100.0);
    split.ports.push(port("OUT_2", rig::PortRole::Out, Some(100.0)));
    let mut mix = device("MIX", Bypass::AlwaysOn, 1e6, 100.0);
    mix.ports = vec![
        port("IN_1", rig::PortRole::In, Some(1e6)),
        port("IN_2", rig::PortRole::In, Some(1e6)),
        port("OUT", rig::PortRole::Out, Some(100.0)),
    ];
    rig.devices = vec![split, mix];
    let (mut dry, mut wet) = (vec!["guitar".to_owned(), "SPLIT".into()], vec!["SPLIT.OUT_2".to_owned()]);
    for number in 1..=14 {
        let tag = format!("D{number}");
        rig.devices.push(device(&tag, Bypass::Hard, 1e6, 1e3));
        if number % 2 == 0 { dry.push(tag) } else { wet.push(tag) }
    }
    dry.extend(["MIX.IN_1".into(), "MIX.OUT".into(), "amp".into()]);
    wet.push("MIX.IN_2".into());
    let runs = [run(&rig, "dry", &dry), run(&rig, "wet", &wet)];
    rig.runs.extend(runs);
    let advice = solve(&input(&rig), &Config::default()).advice;
    assert!(
        matches!(advice.status, AdviceStatus::CutShort | AdviceStatus::NotProven),
        "{:?} of {} sets",
        advice.status,
        advice.tried
    );
    assert_eq!(advice.size_tried, 0);
}
