//! What the engine says.

use faults::{Complaint, Config, Symptom, Walk, around};

use crate::chain::chain;

#[test]
fn a_device_at_fault_is_played_past_and_the_way_that_loses_least_stands_first() {
    let input = chain(4);
    let broken = [input.part("D2").expect("it is there")];
    let ways = around(&input, &Complaint::new(Symptom::Dead, 0), &broken);
    assert_eq!(ways[0].act, "spare lead from OUT of D1 to IN of D3");
    assert_eq!(ways[0].without, ["D2"]);
    assert!(ways[0].needs_spare);
    assert_eq!(ways[1].act, "guitar into IN of D3");
    assert_eq!(ways[1].without, ["D1", "D2"]);
}

#[test]
fn a_lead_at_fault_is_replaced_and_nothing_is_lost() {
    let input = chain(3);
    let broken = [input.part("L02").expect("it is there")];
    let ways = around(&input, &Complaint::new(Symptom::Dead, 0), &broken);
    assert_eq!((ways[0].act.as_str(), ways[0].without.len()), ("a spare lead in place of L02", 0));
}

/// A wireless receiver on the board is what is played: nobody plays without it.
#[test]
fn a_source_on_the_board_is_lost_on_no_way() {
    let mut input = chain(3);
    input.sources[0].id = "D1".to_owned();
    let broken: Vec<usize> = ["L02", "L03"].map(|id| input.part(id).expect("it is there")).to_vec();
    let ways = around(&input, &Complaint::new(Symptom::Dead, 0), &broken);
    let straight = ways.iter().find(|way| way.act.starts_with("D1 straight into amp")).expect("a way");
    assert_eq!(straight.without, ["D2", "D3"]);
}

#[test]
fn a_trial_says_what_to_do_first_and_what_it_takes() {
    let input = chain(4);
    let walk = Walk::new(&input, &Complaint::new(Symptom::Dead, 0), &Config::default(), &[]);
    let next = walk.next().expect("something");
    assert!(next.trial.act.starts_with("Plug the guitar straight into IN of D"), "{}", next.trial.act);
    assert_eq!(next.trial.question, "Sound?");
    assert!(next.trial.first.as_deref().is_some_and(|first| first.starts_with("turn the amp down, pull L0")));
    assert!(0.3 < next.yes && next.yes < 0.7, "{}", next.yes);
}
