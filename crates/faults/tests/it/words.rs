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
