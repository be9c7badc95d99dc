//! Wishes for places: obeyed where they can be, named where they are not, and judged as the checks judge them.

use std::collections::BTreeMap;

use document::Job;
use layout::verify::wishes;
use layout::{Config, NeverCancelled, NoProgress, Outcome, measure, solve};
use quantity::Length;
use rig::geometry::{BoxClass, Bulk, solids};
use rig::{Frequency, Limits, Requirement, Rig, Spot, Wish};

use crate::boards::{self, Dice};

fn config(moves: u64) -> Config {
    Config { moves, alternatives: 2, relax: false, ..Config::standard() }
}

fn solved(input: &layout::Input, moves: u64) -> Outcome {
    solve(input, &config(moves), &NoProgress, &NeverCancelled)
}

/// What the checks say of each wish for a place: its requirement, and whether it is surely met.
fn judged(rig: &Rig, limits: &Limits) -> BTreeMap<String, bool> {
    let design = design::derive(rig.clone(), limits.clone());
    let judged = checks::wishes(&design).into_iter();
    judged.map(|one| (one.requirement, matches!(one.verdict, finding::Verdict::Met))).collect()
}

/// The verdicts of the verifier and of the checks agree, and the search counts as many that are not met.
fn agree(about: &str, rig: &Rig, limits: &Limits, unmet: &[layout::Unmet], counted: f64) {
    let by_checks = judged(rig, limits);
    assert_eq!(unmet, wishes(rig, limits), "{about}");
    for (requirement, is_met) in &by_checks {
        let here = unmet.iter().find(|unmet| unmet.requirement == *requirement);
        assert_eq!(here.is_none(), *is_met, "{about}: {here:?}");
    }
    let sure: f64 = unmet.iter().filter(|unmet| unmet.is_sure).map(|_| 1.0).sum();
    let (least, most) = (sure, 2.0 * sure);
    assert!((least..=most).contains(&counted), "{about}: {counted} counted, {unmet:?}");
}

fn tags(rig: &Rig) -> Vec<String> {
    rig.devices.iter().filter(|device| !device.outside).map(|device| device.tag.clone()).collect()
}

/// A wish at random, met or not.
fn random_wish(dice: &mut Dice, rig: &Rig) -> Wish {
    let all = tags(rig);
    let mut some = |count: usize| -> Vec<String> {
        let mut left = all.clone();
        let taken = (0..count.min(all.len())).map(|_| left.remove(index(dice, left.len())));
        taken.collect()
    };
    let spots = [
        Spot::RightEnd,
        Spot::LeftEnd,
        Spot::FrontRow,
        Spot::BackRow,
        Spot::UnderDeck,
        Spot::UpperDeck,
        Spot::Flat,
        Spot::ByFeel,
    ];
    let uses = [Frequency::Often, Frequency::Sometimes, Frequency::SetAndForget];
    let few = some(2);
    let pair = [few[0].clone(), few[1].clone()];
    match dice.below(8) {
        0..3 => Wish::Place { at: spots[index(dice, spots.len())], devices: few[..1].to_vec() },
        3 => Wish::Beside { devices: pair },
        4 => Wish::Together { devices: few },
        5 => Wish::Apart { devices: few, by: mm(20 + dice.below(300)) },
        6 => Wish::Use { how: uses[index(dice, 3)], devices: few },
        _ => Wish::Spare { width: mm(40 + dice.below(200)), depth: mm(40 + dice.below(120)), deck: None },
    }
}

fn index(dice: &mut Dice, count: usize) -> usize {
    usize::try_from(dice.below(count as u64)).unwrap_or(0)
}

fn mm(mm: u64) -> Length {
    Length::from_mm(i64::try_from(mm).unwrap_or(0))
}

fn wanting(job: &Job, wishes: impl IntoIterator<Item = Wish>) -> layout::Input {
    let mut input = boards::input(job);
    let named = wishes.into_iter().enumerate();
    input.rig.brief.requirements = named
        .map(|(number, wish)| Requirement {
            id: format!("R{}", number + 1),
            text: "as agreed".to_owned(),
            wishes: vec![wish],
        })
        .collect();
    input
}

#[test]
fn what_arranging_says_of_a_wish_the_checks_say_too() {
    let (mut met, mut unmet) = (0, 0);
    for seed in 0..150 {
        let job = boards::read(&boards::random(seed));
        let mut dice = Dice(seed + 1000);
        let count = 1 + dice.below(4);
        let wants: Vec<Wish> = (0..count).map(|_| random_wish(&mut dice, &job.rig)).collect();
        let input = wanting(&job, wants.clone());
        let outcome = solved(&input, 1_500);
        let about = format!("seed {seed}: {wants:?}");
        agree(&about, &outcome.rig, &input.limits, &outcome.unmet, outcome.terms.wishes);
        for other in &outcome.alternatives {
            agree(&about, &other.rig, &input.limits, &other.unmet, other.terms.wishes);
        }
        unmet += outcome.unmet.len();
        met += wants.len() - outcome.unmet.len();
    }
    assert!(100 < met && 20 < unmet, "{met} met, {unmet} not");
}

/// What the places of a board as it stands fulfil, so that it can be wished.
fn wishes_met(dice: &mut Dice, rig: &Rig, limits: &Limits) -> Vec<Wish> {
    let mut out: Vec<Wish> = Vec::new();
    let wanted = 1 + index(dice, 3);
    for _ in 0..60 {
        let wish = random_wish(dice, rig);
        let mut wanting = rig.clone();
        let named = out.iter().chain([&wish]).enumerate();
        wanting.brief.requirements = named
            .map(|(number, wish)| Requirement {
                id: format!("R{number}"),
                text: String::new(),
                wishes: vec![wish.clone()],
            })
            .collect();
        if wishes(&wanting, limits).is_empty() {
            out.push(wish);
        }
        if out.len() == wanted {
            break;
        }
    }
    out
}

#[test]
fn wishes_that_a_hidden_layout_meets_are_met() {
    let (mut boards_met, mut boards_tried, mut planted, mut missed) = (0, 0, 0, Vec::new());
    for seed in 0..160 {
        let job = boards::read(&boards::random(seed));
        let hidden = solved(&boards::input(&job), 1_500);
        if !hidden.feasible || hidden.rig.devices.len() < 4 {
            continue;
        }
        let wants = wishes_met(&mut Dice(seed + 7), &hidden.rig, &job.limits);
        let input = wanting(&job, wants.clone());
        let outcome = solved(&input, 20_000);
        assert!(outcome.feasible, "seed {seed}");
        boards_tried += 1;
        planted += wants.len();
        boards_met += usize::from(outcome.unmet.is_empty());
        missed.extend(outcome.unmet.iter().map(|unmet| format!("seed {seed}: {}", unmet.words())));
    }
    assert!(30 < boards_tried && 50 < planted, "{boards_tried} boards, {planted} wishes");
    // At least 95 of 100 wishes that can all be met at once are met.
    assert!(
        20 * missed.len() <= planted,
        "{boards_met} of {boards_tried} boards, missed of {planted}: {missed:#?}"
    );
}

/// Five pedals in a chain on one deck with a riser at the back.
const FIVE: &str = r#"format = 1
[job]
title = "five pedals"
[board]
[board.deck.main]
size = { width = "700 mm", depth = "380 mm" }
thickness = "9 mm"
clear_below = "90 mm"
riser.step = { x = "0 mm", y = "230 mm", width = "700 mm", depth = "150 mm", height = "20 mm" }
[leads]
signal = { cable = "patch-4", plug = "jack-flat" }
"#;

fn five(wants: &str) -> Job {
    let mut text = FIVE.replace("[board]\n[board", &format!("[brief]\nrequirements = [{{ id = \"R1\", text = \"as agreed\", wants = [{wants}] }}]\n[board]\n[board"));
    for number in 1..=5 {
        text += &format!(
            "[[device]]\ntag = \"A{number}\"\nkind = \"compact-66x122x50\"\npower = {{ type = \"none\" }}\n"
        );
    }
    text += "[[run]]\nname = \"main\"\nstops = [\"A1\", \"A2\", \"A3\", \"A4\", \"A5\"]\n";
    boards::read(&text)
}

#[test]
fn each_kind_of_wish_is_obeyed() {
    for wants in [
        r#"{ place = "right-end", of = ["A4"] }"#,
        r#"{ place = "left-end", of = ["A2"] }"#,
        r#"{ place = "front-row", of = ["A1", "A3", "A5"] }"#,
        r#"{ place = "back-row", of = ["A3"] }"#,
        r#"{ place = "flat", of = ["A1", "A4"] }"#,
        r#"{ place = "by-feel", of = ["A3"] }"#,
        r#"{ beside = ["A1", "A5"] }"#,
        r#"{ together = ["A1", "A3", "A5"] }"#,
        r#"{ apart = ["A2", "A3"], by = "250 mm" }"#,
        r#"{ use = "often", of = ["A2", "A4"] }, { use = "set-and-forget", of = ["A3"] }"#,
        r#"{ spare = { width = "150 mm", depth = "130 mm" } }"#,
        r#"{ place = "right-end", of = ["A5"] }, { beside = ["A5", "A1"] }, { apart = ["A1", "A2"], by = "200 mm" }"#,
    ] {
        let job = five(wants);
        let outcome = solved(&boards::input(&job), 20_000);
        assert!(outcome.feasible, "{wants}: {:?}", outcome.breaches);
        assert_eq!(outcome.unmet, [], "{wants}");
        // As written and read again, the checks say so too.
        let text = document::edit::apply(job.text(), &outcome.edit).expect("the edit applies");
        let again = document::read_text("rig.toml", &text, None).expect("it reads");
        assert_eq!(judged(&again.rig, &again.limits), BTreeMap::from([("R1".to_owned(), true)]), "{wants}");
    }
}

#[test]
fn a_wish_that_cannot_be_met_is_named_and_all_fits() {
    for (wants, said) in [
        (
            r#"{ place = "right-end", of = ["A1"] }, { place = "left-end", of = ["A1"] }"#,
            "R1 is not met: the compact pedal (A1) at the left end",
        ),
        (
            r#"{ place = "upper-deck", of = ["A2"] }"#,
            "R1 is not met: the compact pedal (A2) on the upper deck",
        ),
        (r#"{ place = "under-deck", of = ["A2"] }"#, "R1 is not met: the compact pedal (A2) under the deck"),
        (
            r#"{ apart = ["A1", "A2"], by = "900 mm" }"#,
            "R1 is not met: the compact pedal (A1) and the compact pedal (A2) at least 900 mm apart",
        ),
        (
            r#"{ spare = { width = "690 mm", depth = "300 mm" } }"#,
            "R1 is not met: a free place 690 mm wide and 300 mm deep",
        ),
    ] {
        let job = five(wants);
        let outcome = solved(&boards::input(&job), 6_000);
        assert!(outcome.feasible, "{wants}: {:?}", outcome.breaches);
        let told: Vec<String> = outcome.unmet.iter().map(layout::Unmet::words).collect();
        let either = said.replace("left", "right");
        assert!(told == [said] || told == [either.as_str()], "{wants}: {told:?}");
    }
}

#[test]
fn as_it_stands_a_wish_is_measured_too() {
    let job = five(r#"{ beside = ["A1", "A3"] }"#);
    let mut input = boards::input(&job);
    input.rig = solved(&input, 3_000).rig;
    let now = measure(&input, &config(0));
    let counted = now.terms.wishes;
    agree("as it stands", &now.rig, &input.limits, &now.unmet, counted);
    let boxes = solids(&now.rig, &input.limits).boxes;
    let body = |tag: &str| {
        let is_it = |solid: &&rig::geometry::Solid| {
            solid.class == BoxClass::Body && solid.owner.device() == Some(tag)
        };
        boxes.iter().find(is_it).map(Bulk::of).expect("it stands")
    };
    assert!(body("A1").between(&body("A3")).width < input.limits.beside_gap * 2);
}
