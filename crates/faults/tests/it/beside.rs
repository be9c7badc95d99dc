//! Leads beside the way, supplies that hum, and devices that are fed apart.

use faults::{
    Answer, Complaint, Config, Given, Input, Jack, Kind, Link, Part, Powered, Symptom, TrialKind, Walk,
    around,
};

use crate::chain::chain;
use crate::rows::truth;

/// Three devices in a row, and a lead from the second to a tuner that is fed beside; by wires or behind a stage of its own.
fn with_tuner(wire: bool) -> (Input, usize) {
    let mut input = chain(3);
    let (out, jack, tuner) = (4, input.nodes, input.nodes + 1);
    input.nodes += 2;
    let title = "lead LT".to_owned();
    input.parts.push(Part { id: "LT".to_owned(), kind: Kind::Lead, title, device: None });
    let lead = input.parts.len() - 1;
    input.links.push(Link { from: out, to: jack, both: wire, wire, parts: Vec::new() });
    input.links.push(Link { from: jack, to: tuner, both: true, wire: true, parts: vec![lead] });
    let part = input.part("D2.OUT").expect("a jack");
    let port = "D2.TUNER".to_owned();
    input.jacks.push(Jack { port, node: jack, part, pulls: Some(lead), opens: Vec::new(), is_in: false });
    (input, lead)
}

#[test]
fn a_short_in_a_lead_beside_the_way_silences_it_and_is_found() {
    let (input, lead) = with_tuner(true);
    let complaint = Complaint::new(Symptom::Dead, 0);
    let mut given: Vec<Given> = Vec::new();
    let walk = loop {
        let walk = Walk::new(&input, &complaint, &Config::default(), &given);
        let Some(next) = walk.next() else { break walk };
        let answer = truth(&input, Symptom::Dead, lead, &next.trial.id);
        given.push(Given { trial: next.trial.id.clone(), answer });
        assert!(given.len() < 30, "it ends: {given:?}");
    };
    assert_eq!(walk.found().first().map(|one| one.part), Some(lead), "{given:?}");
    // Whatever takes its plug out brings the sound back, and so does whatever passes the stage before or behind it.
    let heard = ["pull:LT", "out:D2.TUNER", "out:D1.OUT", "into:D3.IN"];
    for (trial, answer) in heard.map(|id| (id, truth(&input, Symptom::Dead, lead, id))) {
        assert_eq!(answer, Answer::Yes, "{trial}");
    }
    assert_eq!(truth(&input, Symptom::Dead, lead, "into:D2.IN"), Answer::No);
    let ways = around(&input, &complaint, &[lead]);
    assert_eq!((ways[0].act.as_str(), ways[0].without.len()), ("pull LT out of TUNER of D2", 0));
}

#[test]
fn behind_a_stage_a_short_is_heard_by_nobody_else() {
    let (input, lead) = with_tuner(false);
    let suspected = |symptom| {
        let walk = Walk::new(&input, &Complaint::new(symptom, 0), &Config::default(), &[]);
        walk.suspects().iter().any(|one| one.part == lead)
    };
    assert!(!suspected(Symptom::Dead));
    // A short is silence, and nothing else.
    let (wired, _) = with_tuner(true);
    let walk = Walk::new(&wired, &Complaint::new(Symptom::Weak, 0), &Config::default(), &[]);
    assert!(walk.trials().iter().all(|trial| trial.kind != TrialKind::Pull));
}

/// One device with an outlet behind it.
fn fed() -> Input {
    let mut input = chain(2);
    let mut part = |id: &str, kind| {
        input.parts.push(Part { id: id.to_owned(), kind, title: id.to_owned(), device: None });
        input.parts.len() - 1
    };
    let chain = [("P1", Kind::PowerLead), ("SUP.1", Kind::Outlet), ("SUP", Kind::Brick)];
    let chain: Vec<usize> = chain.map(|(id, kind)| part(id, kind)).to_vec();
    let device = input.part("D1").expect("a device");
    let link = input.links.iter_mut().find(|link| link.parts == [device]).expect("its stage");
    link.parts.extend(&chain);
    let outlet = Some((chain[1], "9 V DC".to_owned()));
    input.powered.push(Powered { device: "D1".to_owned(), part: device, chain, outlet, free: None });
    input
}

#[test]
fn a_supply_that_hums_has_its_light_and_reads_right() {
    let input = fed();
    let kinds = |symptom| -> Vec<TrialKind> {
        let walk = Walk::new(&input, &Complaint::new(symptom, 0), &Config::default(), &[]);
        walk.trials().iter().map(|trial| trial.kind).collect()
    };
    let (dead, hum) = (kinds(Symptom::Dead), kinds(Symptom::Hum));
    for kind in [TrialKind::Look, TrialKind::Meter] {
        assert!(dead.contains(&kind) && !hum.contains(&kind), "{kind:?}");
    }
    assert!(hum.contains(&TrialKind::Apart), "{hum:?}");
    // Fed from a battery it is quiet: the device itself is not at fault.
    let given = [Given { trial: "apart:D1".to_owned(), answer: Answer::Yes }];
    let config = Config { lie: 0.0, ..Config::default() };
    let walk = Walk::new(&input, &Complaint::new(Symptom::Hum, 0), &config, &given);
    let left: Vec<&str> = walk.left().iter().map(|one| input.parts[one.part].id.as_str()).collect();
    assert!(left.contains(&"SUP.1") && !left.contains(&"D1"), "{left:?}");
}
