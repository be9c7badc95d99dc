//! Boards in one row: every fault is found, in few trials, and in spite of a wrong answer.

use faults::{Answer, CURED, Complaint, Config, Given, Input, Symptom, Walk};

use crate::chain::{branched, chain};

/// All alike, no wrong answers: what bounds from information theory are about.
fn plain() -> Config {
    Config { lie: 0.0, found: 1.0 - 1e-9, by_odds: false, by_minutes: false, ..Config::default() }
}

/// What somebody would answer with this part at fault, when the truth is certain.
pub(crate) fn truth(input: &Input, symptom: Symptom, part: usize, trial: &str) -> Answer {
    // Asked of the engine with this part alone: a walk in which one answer leaves it.
    let walk = |answer| {
        let given = [Given { trial: trial.to_owned(), answer }];
        let walk = Walk::new(input, &Complaint::new(symptom, 0), &plain(), &given);
        walk.suspects().iter().any(|one| one.part == part && 0.0 < one.share && one.is_left)
    };
    if walk(Answer::Yes) { Answer::Yes } else { Answer::No }
}

/// Walks to the end; the answer at this place is turned round. Gives the trials it took, and what is found.
fn walked(
    input: &Input,
    symptom: Symptom,
    config: &Config,
    part: usize,
    lie: Option<usize>,
) -> (usize, Vec<usize>) {
    let mut given: Vec<Given> = Vec::new();
    let complaint = Complaint::new(symptom, 0);
    loop {
        let walk = Walk::new(input, &complaint, config, &given);
        let Some(next) = walk.next() else {
            let found: Vec<usize> = walk.found().iter().map(|one| one.part).collect();
            if found.contains(&part) || config.lie <= 0.0 {
                return (given.len(), found);
            }
            // What was changed did not help, and that is told too.
            let Some(first) = found.first() else { return (given.len(), found) };
            let trial = format!("{CURED}{}", input.parts[*first].id);
            given.push(Given { trial, answer: Answer::No });
            assert!(given.len() < 60, "it ends");
            continue;
        };
        let mut answer = truth(input, symptom, part, &next.trial.id);
        if lie == Some(given.len()) {
            answer = if answer == Answer::Yes { Answer::No } else { Answer::Yes };
        }
        given.push(Given { trial: next.trial.id.clone(), answer });
        assert!(given.len() < 60, "it ends");
    }
}

fn number(count: usize) -> f64 {
    f64::from(u32::try_from(count).expect("few"))
}

#[test]
fn at_equal_odds_the_mean_number_of_trials_is_within_one_of_the_entropy_bound_and_no_worse_than_halving() {
    for devices in [1, 2, 3, 4, 5, 6, 8, 10, 13, 16] {
        let input = chain(devices);
        let walk = Walk::new(&input, &Complaint::new(Symptom::Dead, 0), &plain(), &[]);
        let suspects = walk.suspects();
        let bound = walk.bits_left();
        let mut sum = 0.0;
        for suspect in &suspects {
            let (trials, found) = walked(&input, Symptom::Dead, &plain(), suspect.part, None);
            assert!(found.contains(&suspect.part), "{}", input.parts[suspect.part].id);
            sum += number(trials);
        }
        let mean = sum / number(suspects.len());
        assert!(mean < bound + 1.0, "{devices} devices: {mean} trials, bound {bound}");
        assert!(bound - 1e-9 <= mean, "no walk beats the bound: {mean}, {bound}");
        // Halving the suspects one by one takes this many.
        let classes = suspects.iter().map(|one| one.class).max().map_or(0, |most| most + 1);
        assert!(mean <= libm::ceil(libm::log2(number(classes))) + 1e-9, "{devices}: {mean} for {classes}");
    }
}

#[test]
fn one_wrong_answer_anywhere_does_not_hide_the_fault() {
    let input = chain(6);
    let config = Config { by_odds: false, by_minutes: false, ..Config::default() };
    let suspects = Walk::new(&input, &Complaint::new(Symptom::Dead, 0), &config, &[]).suspects();
    let (mut walks, mut found) = (0, 0);
    for suspect in &suspects {
        let (without, _) = walked(&input, Symptom::Dead, &config, suspect.part, None);
        for lie in 0..without {
            let (_, named) = walked(&input, Symptom::Dead, &config, suspect.part, Some(lie));
            walks += 1;
            found += usize::from(named.contains(&suspect.part));
        }
    }
    assert_eq!(found, walks, "of so many walks with one wrong answer");
}

#[test]
fn who_is_not_sure_is_not_asked_again() {
    let input = chain(4);
    let complaint = Complaint::new(Symptom::Dead, 0);
    let first = Walk::new(&input, &complaint, &Config::default(), &[]);
    let trial = first.next().expect("something").trial.id.clone();
    let given = [Given { trial: trial.clone(), answer: Answer::NotSure }];
    let walk = Walk::new(&input, &complaint, &Config::default(), &given);
    assert_eq!(walk.left().len(), first.left().len());
    assert_ne!(walk.next().expect("something else").trial.id, trial);
}

#[test]
fn what_stands_beside_another_is_found_too() {
    let input = branched(8);
    let complaint = Complaint::new(Symptom::Crackle, 0);
    let beside = ["X3", "XL3", "X8"].map(|id| input.part(id));
    let suspects = Walk::new(&input, &complaint, &plain(), &[]).suspects();
    for part in beside.into_iter().flatten() {
        assert!(suspects.iter().any(|one| one.part == part), "{}", input.parts[part].id);
        let (_, found) = walked(&input, Symptom::Crackle, &plain(), part, None);
        assert!(found.contains(&part), "{}", input.parts[part].id);
    }
}
