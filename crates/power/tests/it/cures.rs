//! Ways out: what they keep, what they buy, what they plug in, what is told of them.

use power::verify::verify;
use power::{Candidate, Config, Cure, CureStep, Input, Outcome, Status, Thicker, solve};
use quantity::{Length, Ohms};
use rig::{Carries, Device, FeedKind, Known, Limits, Nature, Port, PortRef, PortRole, Rig, Role, Run, Stop};

use crate::rigs::{brick, connector, device, digital, feed, outlet, printed, rig, small};

fn port(name: &str, role: PortRole, id: &str) -> Port {
    Port { name: name.to_owned(), role: printed(role), connector: Some(connector(id)), ..Port::default() }
}

fn strip(sockets: usize) -> Device {
    let ports = (1..=sockets).map(|number| port(&format!("S{number}"), PortRole::Mains, "fixed"));
    Device {
        tag: "W".to_owned(),
        role: Role::Strip,
        ports: ports.collect(),
        outside: true,
        ..Device::default()
    }
}

/// The same brick with a mains inlet.
fn with_inlet(mut brick: Device, name: &str) -> Device {
    brick.power.nature = printed(Nature::Mains);
    brick.ports.push(port(name, PortRole::Mains, "iec-c14"));
    brick
}

/// The same brick with an adaptor of its own.
fn with_own_adaptor(mut brick: Device) -> Device {
    brick.power.nature = printed(Nature::Mains);
    brick.ports.push(port("INLET", PortRole::Power, "barrel-5.5-2.5"));
    brick
}

fn nines(count: usize, current: f64) -> Vec<rig::Outlet> {
    (1..=count).map(|number| outlet(&number.to_string(), &[(9.0, current)])).collect()
}

fn kind(mut device: Device, name: &str) -> Candidate {
    device.kind = Some(name.to_owned());
    name.clone_into(&mut device.title);
    Candidate::new(&device, None).expect("a brick")
}

/// A mains lead from a socket to a brick.
fn plugged(rig: &mut Rig, socket: &str, to: &str) {
    let at = |text: &str| {
        let (device, port) = text.split_once('.').expect("device and port");
        PortRef::new(device, port)
    };
    let stop = |text: &str| Stop { text: text.to_owned(), arrives: Some(at(text)), leaves: Some(at(text)) };
    rig.runs.push(Run {
        name: format!("to {to}"),
        carries: Carries::Mains,
        stops: vec![stop(socket), stop(to)],
        ..Run::default()
    });
}

fn locked(mut device: Device, outlets: &[&str]) -> Device {
    device.feed = Some(feed(FeedKind::Single, outlets, true));
    device
}

fn solved(rig: &Rig, candidates: Vec<Candidate>) -> (Input, Config, Outcome) {
    let input = Input::from_rig(rig, &Limits::default());
    let config = Config { candidates, ..Config::standard() };
    let outcome = solve(&input, &config);
    (input, config, outcome)
}

fn names(outcome: &Outcome) -> Vec<&str> {
    outcome.cures.iter().map(|cure| cure.name.as_str()).collect()
}

fn steps(change: &CureStep) -> Vec<CureStep> {
    match change {
        CureStep::Several(steps) => steps.clone(),
        one => vec![one.clone()],
    }
}

fn unlocks(cure: &Cure) -> Vec<String> {
    let of = |step: CureStep| if let CureStep::Unlock(tags) = step { tags } else { Vec::new() };
    steps(&cure.change).into_iter().flat_map(of).collect()
}

#[test]
fn a_replacement_keeps_what_is_locked_or_says_which_lock_goes() {
    let devices = || {
        vec![
            brick("S", nines(2, 100.0)),
            locked(digital("A", 9.0, 9.0, 90.0), &["S.2"]),
            digital("B", 9.0, 9.0, 300.0),
        ]
    };
    let same = kind(brick("K", nines(2, 500.0)), "same-names");
    let mut other = brick("K", nines(2, 500.0));
    for (outlet, name) in other.outlets.iter_mut().zip(["L", "R"]) {
        name.clone_into(&mut outlet.name);
    }
    let other = kind(other, "other-names");
    let (_, _, outcome) = solved(&rig(devices()), vec![same, other]);
    let replaces = outcome.cures.iter().filter(|cure| cure.name.contains("replace"));
    let replaces: Vec<(bool, Vec<String>)> =
        replaces.map(|cure| (cure.name.contains("same-names"), unlocks(cure))).collect();
    assert_eq!(replaces, [(true, Vec::new())], "{:?}", names(&outcome));
    let cure = outcome.cures.iter().find(|cure| cure.name.contains("replace")).expect("found");
    assert!(!cure.refed.contains(&"A".to_owned()), "it stays: {:?}", cure.follows);
    let (_, _, outcome) = solved(
        &rig(devices()),
        vec![kind(
            {
                let mut other = brick("K", nines(2, 500.0));
                for (outlet, name) in other.outlets.iter_mut().zip(["L", "R"]) {
                    name.clone_into(&mut outlet.name);
                }
                other
            },
            "other-names",
        )],
    );
    let told = outcome.cures.iter().find(|cure| cure.name.contains("replace"));
    assert!(told.is_none_or(|cure| unlocks(cure) == ["A"]), "{:?}", names(&outcome));
}

/// What is locked keeps the voltage that its outlet is set to.
#[test]
fn a_locked_outlet_of_the_new_brick_is_set_as_the_old_one_was() {
    let mut old = brick("S", vec![outlet("1", &[(9.0, 100.0), (12.0, 100.0)]), outlet("2", &[(9.0, 100.0)])]);
    old.outlets[0].set = printed(quantity::Volts::of(12.0));
    let a = locked(digital("A", 9.0, 12.0, 90.0), &["S.1"]);
    let new = brick("K", vec![outlet("1", &[(9.0, 500.0), (12.0, 500.0)]), outlet("2", &[(9.0, 500.0)])]);
    let (input, config, outcome) =
        solved(&rig(vec![old, a, digital("B", 9.0, 9.0, 300.0)]), vec![kind(new, "stronger")]);
    let cure = outcome.cures.iter().find(|cure| cure.name.starts_with("replace")).expect("found");
    let (changed, means) = cure.change.apply(&input, &config);
    let cured = solve(&changed, &means);
    let set = cured.feeds.iter().find(|feed| feed.device == "A").map(|feed| feed.outlets[0].setting_mv);
    assert_eq!(set, Some(12_000));
}

#[test]
fn a_lock_given_up_with_a_purchase_is_told_where_it_costs_least() {
    let devices =
        vec![brick("S", nines(1, 500.0)), locked(device("A", 24.0, 24.0, 100.0), &["S.1"]), strip(1)];
    let (_, _, outcome) = solved(&rig(devices), vec![kind(brick("K", nines(4, 500.0)), "four-of-nine")]);
    let first = outcome.cures.first().expect("a cure");
    assert_eq!(first.name, "unlock the feed of A and give an adaptor of its own to A on W.S1");
    assert!(outcome.cures.iter().all(|cure| !cure.name.contains("replace")), "{:?}", names(&outcome));
    assert_eq!(outcome.conflicts[0].words, "A is locked to S.1, which gives 9 V, and it needs 24 V");
}

/// Takes each thing that is bought away again: then somebody more goes without.
#[test]
fn nothing_is_bought_in_vain_and_locks_stay() {
    let spare =
        brick("spare", (1..=3).map(|n| outlet(&n.to_string(), &[(9.0, 400.0), (12.0, 300.0)])).collect());
    let converter = {
        let mut device = brick("double", vec![outlet("1", &[(18.0, 90.0)])]);
        device.power = digital("x", 9.0, 9.0, 230.0).power;
        device.ports.push(port("IN", PortRole::Power, "barrel-5.5-2.1"));
        device
    };
    let (mut several, mut kept) = (0, 0);
    for seed in 0..150 {
        let mut rig = small(seed, 5, 1);
        rig.devices.push(strip(usize::try_from(seed % 3).unwrap()));
        let candidates =
            vec![kind(with_inlet(spare.clone(), "MAINS"), "spare"), kind(converter.clone(), "double")];
        let (input, config, outcome) = solved(&rig, candidates);
        for cure in &outcome.cures {
            let all = steps(&cure.change);
            let unserved = |steps: Vec<CureStep>| {
                let (changed, means) = CureStep::Several(steps).apply(&input, &config);
                solve(&changed, &Config { conflicts: 0, ..means }).unserved.len()
            };
            // The lock of a brick's own feed goes with the brick, and is named with it.
            let own = |step: &CureStep| {
                let replaced = |tag: &String| {
                    all.iter().any(|other| matches!(other, CureStep::Replace { brick, .. } if brick == tag))
                };
                matches!(step, CureStep::Unlock(tags) if tags.iter().any(replaced))
            };
            for place in (0..all.len()).filter(|&place| 1 < all.len() && !own(&all[place])) {
                several += 1;
                let mut fewer = all.clone();
                fewer.remove(place);
                assert!(cure.leaves.len() < unserved(fewer), "seed {seed}: {} without {place}", cure.name);
            }
            let (changed, means) = cure.change.apply(&input, &config);
            let cured = solve(&changed, &means);
            assert_eq!(verify(&changed, &cured.allocation).breaches, [], "seed {seed}: {}", cure.name);
            let given_up = unlocks(cure);
            for need in input.needs.iter().filter(|need| !given_up.contains(&need.tag)) {
                let (Some(lock), Some(feed)) =
                    (need.lock(), cured.feeds.iter().find(|feed| feed.device == need.tag))
                else {
                    continue;
                };
                let now: Vec<String> =
                    feed.outlets.iter().map(|by| format!("{}.{}", by.brick, by.outlet)).collect();
                let adaptor = lock.kind == FeedKind::Adaptor;
                let mut written = lock.written.clone();
                let mut now = now;
                written.sort();
                now.sort();
                assert!(adaptor || now == written, "seed {seed}: {} moves {}", cure.name, need.tag);
                kept += 1;
            }
        }
    }
    assert!(20 < several && 20 < kept, "both appear: {several} {kept}");
}

#[test]
fn a_brick_takes_a_socket_and_leaves_none_for_an_adaptor() {
    let devices = |sockets| {
        let mut ac = device("C", 9.0, 9.0, 500.0);
        (ac.power.nature, ac.power.sign) = (printed(Nature::Ac), Known::default());
        vec![
            with_inlet(brick("S", nines(1, 100.0)), "MAINS"),
            digital("A", 9.0, 9.0, 90.0),
            digital("B", 9.0, 9.0, 90.0),
            ac,
            strip(sockets),
        ]
    };
    let stock = || vec![kind(with_inlet(brick("K", nines(1, 100.0)), "MAINS"), "one-of-nine")];
    let outcome_of = |sockets| {
        let mut rig = rig(devices(sockets));
        plugged(&mut rig, "W.S1", "S.MAINS");
        solved(&rig, stock()).2
    };
    let whole = |outcome: &Outcome| {
        outcome
            .cures
            .iter()
            .filter(|cure| cure.leaves.is_empty() && cure.fits)
            .map(|cure| cure.name.clone())
            .collect::<Vec<_>>()
    };
    assert_eq!(whole(&outcome_of(1)), Vec::<String>::new(), "the brick has the only socket");
    assert_eq!(whole(&outcome_of(2)), Vec::<String>::new(), "one more is not enough for two things");
    let three = whole(&outcome_of(3));
    assert!(
        three
            .iter()
            .any(|name| name
                .contains("add a “one-of-nine” on W.S2 and give an adaptor of its own to C on W.S3")),
        "{three:?}"
    );
    let full = outcome_of(1);
    assert!(
        full.cures
            .iter()
            .filter(|cure| cure.name.contains("add a"))
            .all(|cure| !cure.fits && cure.name.contains("no socket of a strip is free for it")),
        "{:?}",
        names(&full)
    );
}

/// The run ends at the brick's inlet: where the new kind has another inlet or none, the run is written anew or goes.
#[test]
fn the_mains_of_a_replaced_brick_are_written_anew() {
    let edit_of = |new: Device, own: bool| {
        let mut rig = rig(vec![
            with_inlet(brick("S", nines(1, 100.0)), "MAINS"),
            digital("A", 9.0, 9.0, 300.0),
            strip(1),
        ]);
        plugged(&mut rig, "W.S1", "S.MAINS");
        if own {
            rig.runs[0].stops.push(Stop { text: "X.IN".to_owned(), arrives: None, leaves: None });
        }
        let (_, _, outcome) = solved(&rig, vec![kind(new, "new")]);
        let cure =
            outcome.cures.into_iter().find(|cure| cure.name.contains("replace")).expect("a replacement");
        cure.edit.map(|edit| {
            edit.changes
                .iter()
                .map(|change| format!("{} {change:?}", change.field()))
                .collect::<Vec<String>>()
        })
    };
    let has = |edit: &[String], start: &str, part: &str| {
        edit.iter().any(|line| line.starts_with(start) && line.contains(part))
    };
    let same = edit_of(with_inlet(brick("K", nines(1, 500.0)), "MAINS"), false).expect("it can be pressed");
    assert!(!has(&same, "run.", ""), "nothing changes: {same:?}");
    let other = edit_of(with_inlet(brick("K", nines(1, 500.0)), "AC"), false).expect("it can be pressed");
    assert!(has(&other, "run.", "S.AC"), "{other:?}");
    let adaptor = edit_of(with_own_adaptor(brick("K", nines(1, 500.0))), false).expect("it can be pressed");
    assert!(has(&adaptor, "run.", "Remove") && has(&adaptor, "device.S.feed", "W.S1"), "{adaptor:?}");
    assert_eq!(
        edit_of(with_inlet(brick("K", nines(1, 500.0)), "AC"), true),
        None,
        "what goes on from it would hang in the air"
    );
}

#[test]
fn more_ways_out_than_are_listed_are_counted() {
    let devices = vec![brick("S", nines(1, 100.0)), digital("A", 9.0, 9.0, 300.0)];
    let kinds =
        (1..=5).map(|n| kind(brick("K", nines(1, 300.0 + f64::from(n))), &format!("kind-{n}"))).collect();
    let (_, _, outcome) = solved(&rig(devices), kinds);
    // Each of five may be added, or put in the place of the one there is.
    assert_eq!(outcome.cures.len(), 6, "{:?}", names(&outcome));
    assert!(outcome.untold.is_counted);
    assert_eq!(outcome.more_cures().as_deref(), Some("4 more ways out work, and cost no less than these"));
}

#[test]
fn thicker_cable_is_a_way_out_where_too_much_is_lost() {
    let cable = |id: &str, ohms: f64| rig::Cable {
        id: id.to_owned(),
        title: id.to_owned(),
        diameter: Known::default(),
        cores: None,
        carries: vec![rig::LeadClass::Dc],
        capacitance_per_metre: Known::default(),
        resistance_per_metre: printed(Ohms::of(ohms)),
    };
    let mut far = rig(vec![brick("S", nines(1, 3000.0)), digital("A", 9.0, 9.0, 1600.0), strip(1)]);
    far.cables.insert(rig::LeadClass::Dc, cable("thin", 0.0784));
    let mut input = Input::from_rig(&far, &Limits::default());
    let metre = Length::from_mm(800).nm();
    (input.loops, input.lengths) = (vec![vec![Some(125_440)]], vec![vec![Some(metre)]]);
    let cables = [cable("thin", 0.0784), cable("thick", 0.039), cable("thicker", 0.02)];
    let config = Config { cables: cables.iter().filter_map(Thicker::new).collect(), ..Config::standard() };
    let outcome = solve(&input, &config);
    assert_eq!(outcome.status, Status::Impossible);
    let first = &outcome.cures[0];
    assert_eq!(first.name, "make the supply leads of thicker cable: thick (thick)");
    let edit = first.edit.as_ref().expect("it can be pressed");
    assert!(edit.changes.iter().any(|change| change.field().to_string() == "leads.dc.cable"));
    // Nothing is lost along a lead that is not long: then the cable is no way out.
    let weak = rig(vec![brick("S", nines(1, 100.0)), digital("A", 9.0, 9.0, 160.0), strip(1)]);
    let outcome = solve(&Input::from_rig(&weak, &Limits::default()), &config);
    assert!(outcome.cures.iter().all(|cure| !cure.name.contains("cable")));
}
