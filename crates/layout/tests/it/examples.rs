//! The examples, from unplaced to arranged: better than the hand that placed them, by the terms shown, and by the rules.

use finding::{Finding, Severity};
use layout::verify::verify;
use layout::{Config, NeverCancelled, NoProgress, measure, solve};

use crate::boards::{EXAMPLES, input, job};

/// The rules whose word the engine gives: what it says fits, they must not stop.
const RULES: [&str; 8] = [
    "board-edge",
    "board-parts",
    "clear-height",
    "clearance",
    "lid-height",
    "not-placed",
    "socket-covered",
    "switch-distance",
];

fn config() -> Config {
    Config { moves: 320_000, relax: false, ..Config::standard() }
}

/// Stops of the rules of fit.
fn stops(rig: &rig::Rig, limits: &rig::Limits) -> Vec<String> {
    let design = design::derive(rig.clone(), limits.clone()).laid_on(design::Routes::none());
    let stops = |finding: &&Finding| finding.severity == Severity::Stop && RULES.contains(&finding.rule);
    checks::check(&design)
        .iter()
        .filter(stops)
        .map(|finding| format!("{} {}", finding.rule, finding.message))
        .collect()
}

#[test]
fn what_fits_fits_by_the_rules_too_and_is_better_than_by_hand() {
    let mut told = String::new();
    for name in EXAMPLES.into_iter().flat_map(|name| [name.to_owned(), format!("{name}-corrected")]) {
        let job = job(&name);
        let input = input(&job);
        let hand = measure(&input, &config());
        let outcome = solve(&input.clone().unplaced(), &config(), &NoProgress, &NeverCancelled);
        assert_eq!(
            hand.feasible,
            stops(&job.rig, &job.limits).is_empty(),
            "{name} by hand: {:?}",
            hand.breaches
        );
        if !outcome.feasible {
            // As first drawn two of them cannot fit with the plugs and the supply they name, and by hand they do not.
            assert!(!name.ends_with("corrected") && !hand.feasible, "{name}: {:?}", outcome.breaches);
            told += &format!("{name}: does not fit; {}\n", outcome.proof.as_deref().unwrap_or("not proven"));
            continue;
        }
        assert!(outcome.proof.is_none(), "{name}");
        assert_eq!(verify(&input.rig, &outcome.rig, &input.limits), [], "{name}");
        assert_eq!(stops(&outcome.rig, &input.limits), Vec::<String>::new(), "{name}");
        assert!(outcome.total < hand.total, "{name}: {} by hand, {} found", hand.total, outcome.total);
        // Written into the document and read again, it is the same placement.
        let text = document::edit::apply(job.text(), &outcome.edit).expect("the edit applies");
        let again = document::read_text("rig.toml", &text, None).expect("it reads");
        assert_eq!(stops(&again.rig, &again.limits), Vec::<String>::new(), "{name} as written");
        let read_back = measure(&crate::boards::input(&again), &config());
        assert!(read_back.feasible, "{name}: {:?}", read_back.breaches);
        assert!((read_back.total - outcome.total).abs() < 1e-6, "{name}: {} written", read_back.total);
        told += &format!("{name}: arranged\n");
    }
    insta::assert_snapshot!(told);
}
