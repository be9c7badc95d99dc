//! Made leads are facts: a proposal leaves them as they are wherever that can be, and counts those that it does not.

use layout::verify::remade;
use layout::{Config, Input, NeverCancelled, NoProgress, Outcome, Terms, Weights, measure, solve};
use quantity::Length;
use rig::geometry::port_point;
use rig::{Exit, Lead, LeadSpec, Rig};

use crate::boards::{self, Dice};

/// The term among leads and comfort alone: what rows count has its own tests, and few moves are made here.
fn config(moves: u64) -> Config {
    let usual = Weights::STANDARD;
    let (rows, near_misses, gaps, treadles, set_and_forget) = (0.0, 0.0, 0.0, 0.0, 0.0);
    let weights =
        Weights { reach: 2.0, looks: 600.0, rows, near_misses, gaps, treadles, set_and_forget, ..usual };
    Config { moves, alternatives: 1, relax: false, weights, ..Config::standard() }
}

fn solved(input: &Input, moves: u64) -> Outcome {
    solve(input, &config(moves), &NoProgress, &NeverCancelled)
}

/// Says of leads with two ends on the board that they are made: cut with so much to spare over the axes, or plugged in.
fn make(rig: &mut Rig, dice: &mut Dice) -> usize {
    let mut count = 0;
    for lead in rig::leads(rig) {
        let place = |port: &rig::PortRef| port_point(rig, rig.device(&port.device)?, &port.port);
        let [a, b] = &lead.ends[..] else { continue };
        let (Some(p), Some(q)) = (place(&a.port), place(&b.port)) else { continue };
        let way = (0..3).fold(Length::ZERO, |sum, axis| sum + (p[axis] - q[axis]).abs());
        let spare = Length::from_mm(i64::try_from(dice.below(160)).unwrap_or(0) - 20);
        let (from, to) = (lead.flows[0].0.clone(), lead.flows[0].1.clone());
        let mut spec = LeadSpec::between(from, to);
        let of = |port: &rig::PortRef| {
            lead.ends.iter().find(|end| end.port == *port).map(|end| end.plug.clone()).unwrap_or_default()
        };
        (spec.from_plug, spec.to_plug) = (of(&spec.from), of(&spec.to));
        match dice.below(4) {
            0 => continue,
            1 => spec.fitted = true,
            _ => spec.cut = Some((way + spare).max(Length::from_mm(1))),
        }
        rig.leads.retain(|known| (&known.from, &known.to) != (&spec.from, &spec.to));
        rig.leads.push(spec);
        count += 1;
    }
    count
}

/// The term as the search counts it, against the judge's.
fn agrees(seed: u64, before: &Rig, after: &Rig, terms: &Terms) {
    let anew = remade(before, after);
    assert_eq!(terms.remade.to_string(), anew.len().to_string(), "seed {seed}: {anew:?}");
}

#[test]
fn no_proposal_has_more_made_again_than_staying_put() {
    let (mut made, mut better, mut given_up) = (0, 0, 0);
    for seed in 0..120 {
        let job = boards::read(&boards::random(seed));
        let first = solved(&boards::input(&job), 1_500);
        if !first.feasible {
            continue;
        }
        let mut input = boards::input(&job);
        input.rig = first.rig;
        let mut dice = Dice(seed);
        made += make(&mut input.rig, &mut dice);
        // Now and then a device stands where it cannot stay.
        if dice.below(5) == 0 {
            let free = |device: &&mut rig::Device| device.place.as_ref().is_some_and(|place| !place.locked);
            if let Some(place) =
                input.rig.devices.iter_mut().rfind(free).and_then(|device| device.place.as_mut())
            {
                place.x = Length::from_mm(-30);
            }
        }
        let now = measure(&input, &config(0));
        agrees(seed, &input.rig, &now.rig, &now.terms);
        let then = solved(&input, 3_000);
        agrees(seed, &input.rig, &then.rig, &then.terms);
        for other in &then.alternatives {
            agrees(seed, &input.rig, &other.rig, &other.terms);
        }
        if now.feasible {
            assert!(then.feasible && then.terms.remade <= now.terms.remade, "seed {seed}");
            better += usize::from(then.total < now.total);
        } else {
            given_up += usize::from(then.feasible && 0.0 < then.terms.remade);
        }
        // Plugs and exits of what is made are as they were.
        let after = rig::leads(&then.rig);
        for lead in rig::leads(&input.rig).iter().filter(|lead| lead.is_made()) {
            let same = after.iter().find(|after| after.tag == lead.tag).expect("the same leads");
            for (was, is) in lead.ends.iter().zip(&same.ends) {
                assert_eq!(was.plug.plug, is.plug.plug, "seed {seed}: {}", was.port);
                assert!(
                    was.plug.exit.is_none() || was.plug.exit == is.plug.exit,
                    "seed {seed}: {}",
                    was.port
                );
            }
        }
        // From scratch, only what a lead was cut to counts; the judge counts the same.
        let scratch = solved(&input.clone().unplaced(), 600);
        agrees(seed, &input.clone().unplaced().rig, &scratch.rig, &scratch.terms);
    }
    assert!(200 < made && 10 < better && 0 < given_up, "made {made}, better {better}, given up {given_up}");
}

/// Two pedals side by side with a lead of its own length between them, and all the room of the board.
const TWO: &str = r#"format = 1
[job]
title = "two pedals"
[board]
[board.deck.main]
size = { width = "600 mm", depth = "300 mm" }
[leads]
signal = { cable = "patch-4", plug = "jack-flat" }
[[device]]
tag = "A1"
kind = "compact-66x122x50"
power = { type = "none" }
place = { x = "450 mm", y = "100 mm" }
[[device]]
tag = "A2"
kind = "compact-66x122x50"
power = { type = "none" }
place = { x = "60 mm", y = "100 mm" }
[[run]]
name = "main"
stops = ["A1", "A2"]
[[lead]]
from = "A1.OUT"
to = "A2.IN"
from_exit = "toe"
to_exit = "toe"
cut = "150 mm"
"#;

fn moved(text: &str, change: impl Fn(&mut Rig)) -> Vec<String> {
    let before = boards::read(text).rig;
    let mut after = before.clone();
    change(&mut after);
    remade(&before, &after)
}

fn place(rig: &mut Rig, tag: &str) -> rig::Place {
    rig.device(tag).and_then(|device| device.place.clone()).expect("it stands")
}

fn put(rig: &mut Rig, tag: &str, change: impl Fn(&mut rig::Place)) {
    let mut place = place(rig, tag);
    change(&mut place);
    for device in rig.devices.iter_mut().filter(|device| device.tag == tag) {
        device.place = Some(place.clone());
    }
}

#[test]
fn a_made_lead_is_made_again_when_it_must_be_longer_or_turned() {
    let by =
        |tag: &'static str, mm: i64| move |rig: &mut Rig| put(rig, tag, |at| at.x += Length::from_mm(mm));
    assert_eq!(moved(TWO, |_| ()), Vec::<String>::new(), "as it lies, it reaches");
    assert_eq!(moved(TWO, by("A2", 10)), Vec::<String>::new(), "nearer is no harm");
    assert_eq!(moved(TWO, by("A2", -10)), ["L01"], "farther than it lies, and than it was cut to");
    let long = TWO.replace("150 mm\"\n", "900 mm\"\n");
    assert_eq!(moved(&long, by("A2", -10)), Vec::<String>::new(), "long enough");
    let fitted = TWO.replace("cut = \"150 mm\"", "fitted = true");
    assert_eq!(
        moved(&fitted, by("A1", 10)),
        ["L01"],
        "of unknown length, it reaches no farther than it lies"
    );
    let open = TWO.replace("cut = \"150 mm\"\n", "");
    assert_eq!(moved(&open, by("A1", 10)), Vec::<String>::new(), "nothing is made");
    // Two plugs that lie flat stay as they are to each other, however their devices are turned; one that stands does not.
    let turned = |text: &str| moved(text, |rig| put(rig, "A2", |at| at.quarters = 2));
    assert_eq!(turned(&long), Vec::<String>::new(), "both lie flat");
    assert_eq!(
        turned(&long.replace("to_exit = \"toe\"", "to_exit = \"up\"")),
        ["L01"],
        "the plugs are turned otherwise"
    );
}

#[test]
fn a_made_lead_counts_more_than_all_else_and_less_than_a_rule() {
    let job = boards::read(TWO);
    let outcome = solved(&boards::input(&job), 6_000);
    assert!(outcome.feasible && outcome.terms.remade < 0.5);
    let exits = |rig: &Rig| -> Vec<Option<Exit>> {
        rig::leads(rig).iter().flat_map(|lead: &Lead| lead.ends.iter().map(|end| end.plug.exit)).collect()
    };
    assert_eq!(exits(&outcome.rig), exits(&job.rig));
    // What is not made may be turned, and comes nearer.
    let free = solved(&boards::input(&boards::read(&TWO.replace("cut = \"150 mm\"\n", ""))), 6_000);
    assert!(free.feasible && free.terms.remade < 0.5);
    assert_ne!(exits(&free.rig), exits(&outcome.rig));
    // A rule broken today is mended, whatever it takes.
    let narrow =
        TWO.replace("x = \"60 mm\"", "x = \"450 mm\"").replace("width = \"600 mm\"", "width = \"700 mm\"");
    let mended = solved(&boards::input(&boards::read(&narrow)), 6_000);
    assert!(mended.feasible && !measure(&boards::input(&boards::read(&narrow)), &config(0)).feasible);
    let usual = Weights::STANDARD;
    for (term, weight) in Terms::NAMES.iter().zip(usual.each()).filter(|(term, _)| **term != "remade") {
        assert!(1_000.0 * weight.abs() <= usual.remade, "{term}: {weight}");
    }
}
