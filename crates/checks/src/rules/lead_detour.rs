//! Leads that go far around to pass a deck.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Length;

use super::CUSTOM;
use crate::holes::holes;
use crate::words::{BOARD, shown, some};
use crate::{Page, Rule};

const ID: &str = "lead-detour";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "leads that go far around to pass a deck",
    severity: Severity::Note,
    since: "0.1",
    pains: &[48],
    limits: &[],
    page: Page {
        what: "Every deck that leads pass: whether one of them is more than 1.6 times as long as the shortest route along \
               the edges of the board, and whether another passage would shorten them. The leads are laid through it \
               before it is proposed.",
        why: "A lead around half the board picks up noise, loses treble and fills the passages that are there.",
        source: CUSTOM,
        example: "D01 goes 975 mm to pass deck main, 394 mm would do: a passage in the middle saves 1.8 m over six leads.",
        remedy: "cut the passage, or move the supply nearer to the one that is there",
    },
    check,
};

/// Less cable saved is not worth a hole. *Common practice, no source.*
const WORTH: Length = Length::from_mm(300);

fn check(design: &Design) -> Vec<Finding> {
    let mut out = Vec::new();
    for hole in holes(design) {
        let saves = Length::from_mm_rounded(hole.proposed.saves_mm.round());
        if saves < WORTH {
            continue;
        }
        let lack = hole.lack().map(|lack| format!("{lack}: ")).unwrap_or_default();
        let those = some(&hole.proposed.leads, "leads");
        let says = format!("{lack}{} would save {} of cable in {those}", hole.words(), shown(saves));
        out.push(
            Finding::new(ID, Severity::Note, says)
                .about([BOARD])
                .on_leads(hole.proposed.leads.clone())
                .with(Evidence::at_most(saves, WORTH))
                .at(Field::of("board", "deck", "").below(&hole.deck.name), "")
                .cured_by(hole.edit()),
        );
    }
    out
}
