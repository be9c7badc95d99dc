//! What passes the holes of the decks.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Ratio;

use super::CUSTOM;
use crate::compare::over;
use crate::group::together;
use crate::words::{BOARD, list};
use crate::{Page, Rule};

const ID: &str = "passage-fill";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "passages that are too full",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[38, 48],
    limits: &["passage_fill_look", "passage_fill_stop"],
    page: Page {
        what: "Every passage of a deck: the area of the cables that are laid through it over its own.",
        why: "Leads that are forced through a hole chafe, and none can be changed without pulling the others.",
        source: CUSTOM,
        example: "Nine leads fill 70 % of the hole to the upper deck.",
        remedy: "make the passage wider, give the deck another one, or lead some around the edge",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let limits = &design.limits;
    let mut out = Vec::new();
    for passing in &design.routes().outcome.passing {
        let severity = if limits.passage_fill_stop.get() < passing.fill {
            Severity::Stop
        } else if over(Ratio::of(passing.fill), limits.passage_fill_look) {
            Severity::Look
        } else {
            continue;
        };
        let limit =
            if severity == Severity::Stop { limits.passage_fill_stop } else { limits.passage_fill_look };
        let (deck, hole) = passing.hole.split_once('.').unwrap_or(("", &passing.hole));
        let says = format!(
            "passage {hole} of deck {deck} is filled to {:.0} % by {}",
            passing.fill * 100.0,
            list(&passing.leads)
        );
        out.push(
            Finding::new(ID, severity, says)
                .about([BOARD])
                .on_leads(passing.leads.clone())
                .with(Evidence::at_most(Ratio::of(passing.fill), limit))
                .at(Field::of("board", "deck", "").below(deck).below("passage").below(hole), ""),
        );
    }
    together(out, |cases| format!("{} passages are too full", cases.len())).into_iter().collect()
}
