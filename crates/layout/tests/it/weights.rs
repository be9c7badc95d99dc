//! What counts how much is the workshop's.

use layout::{Config, Terms, Weights, measure};
use quantity::Ratio;
use rig::Limits;

use crate::boards::{example, input, job};

#[test]
fn shares_of_the_settings_scale_the_usual_weights() {
    assert_eq!(Weights::from_limits(&Limits::default()), Weights::STANDARD);
    let limits = Limits { weight_lead: Ratio::of(2.0), weight_looks: Ratio::of(0.0), ..Limits::default() };
    let weights = Weights::from_limits(&limits);
    assert_eq!(weights, Weights { lead: 2.0 * Weights::STANDARD.lead, looks: 0.0, ..Weights::STANDARD });
}

#[test]
fn every_term_has_a_share_among_the_settings() {
    for (place, name) in Terms::NAMES.iter().enumerate() {
        let mut limits = Limits::default();
        let key = format!("weight_{name}");
        limits.set(&key, "50 %").expect("there is such a key").expect("a share");
        let (usual, shared) = (Weights::STANDARD.each(), Weights::from_limits(&limits).each());
        for other in 0..Terms::COUNT {
            let share = if other == place { 0.5 } else { 1.0 };
            assert!((shared[other] - share * usual[other]).abs() < 1e-9, "{key}: {}", Terms::NAMES[other]);
        }
    }
}

#[test]
fn the_settings_file_says_the_shares() {
    let text =
        std::fs::read_to_string(example("church-bass-corrected").join("rig.toml")).expect("an example");
    let settings = "[limits]\nweight_reach = \"50 %\"\nweight_crossings = \"0 %\"\n";
    let job = document::read_text("rig.toml", &text, Some(settings)).expect("it reads");
    let weights = Config::of_shop(&job.limits).weights;
    let usual = Weights::STANDARD;
    assert_eq!(weights, Weights { reach: 0.5 * usual.reach, crossings: 0.0, ..usual });
}

#[test]
fn a_term_that_counts_twice_is_twice_in_the_total() {
    let input = input(&job("church-bass-corrected"));
    let usual = measure(&input, &Config::standard());
    let limits = Limits { weight_lead: Ratio::of(2.0), ..Limits::default() };
    let other = measure(&input, &Config::of_shop(&limits));
    assert_eq!(usual.terms, other.terms);
    let more = other.total - usual.total;
    assert!(0.0 < more && (more - usual.terms.weighted(&usual.weights)[0]).abs() < 1e-6, "{more}");
}
