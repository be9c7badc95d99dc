//! Cards for the case.

use faults::{Complaint, Config, Symptom, Walk, card};

use crate::chain::chain;

#[test]
fn every_part_is_in_one_region_and_a_card_of_three_trials_has_eight_at_most() {
    for devices in [1, 2, 5, 10, 20] {
        let input = chain(devices);
        let complaint = Complaint::new(Symptom::Dead, 0);
        let card = card(&input, &complaint, 3);
        assert!(card.regions.len() <= 8 && card.steps.len() + 1 == card.regions.len());
        let mut parts: Vec<usize> = card.regions.iter().flat_map(|region| region.parts.clone()).collect();
        parts.sort_unstable();
        let walk = Walk::new(&input, &complaint, &Config::default(), &[]);
        let mut all: Vec<usize> = walk.suspects().iter().map(|one| one.part).collect();
        all.sort_unstable();
        assert_eq!(parts, all, "{devices} devices");
        // With one device there is no trial, and nothing to play past.
        assert!(
            devices == 1 || card.regions.iter().any(|region| region.tonight.is_some()),
            "{devices} devices"
        );
    }
}
