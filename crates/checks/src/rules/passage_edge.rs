//! Holes that leads pass through.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};

use super::CUSTOM;
use crate::asked::Asked;
use crate::words::{BOARD, list};
use crate::{Page, Rule};

const ID: &str = "passage-edge";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "holes in a deck without a lined edge",
    severity: Severity::Look,
    since: "0.1",
    pains: &[48],
    limits: &[],
    page: Page {
        what: "Every passage of every deck: its edge must be lined with a grommet.",
        why: "A sharp edge cuts a lead within a season, and the short shows only when the board is moved.",
        source: CUSTOM,
        example: "The hole for the loom to the upper deck has a bare edge.",
        remedy: "line the edge, and put the grommet on the bill of materials",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let mut asked = Asked::default();
    let mut bare = Vec::new();
    for deck in &design.rig.board.decks {
        for passage in &deck.passages {
            let field = Field::of("board", "deck", "")
                .below(&deck.name)
                .below("passage")
                .below(&passage.name)
                .below("grommet");
            if asked.value(passage.grommet, field.clone()) == Some(false) {
                bare.push((format!("{} of deck {}", passage.name, deck.name), field));
            }
        }
    }
    let mut out = Vec::new();
    if !bare.is_empty() {
        let names: Vec<&String> = bare.iter().map(|(name, _)| name).collect();
        let (passage, has) = if bare.len() == 1 { ("passage", "has") } else { ("passages", "have") };
        let mut finding =
            Finding::new(ID, Severity::Look, format!("{passage} {} {has} no grommet", list(&names)))
                .about([BOARD])
                .with(Evidence::words("bare edge", "lined edge"));
        for (_, field) in &bare {
            finding = finding.at(field.clone(), "");
        }
        out.push(finding);
    }
    out.extend(asked.cannot_judge(ID, "the edges of passages", [BOARD]));
    out
}
