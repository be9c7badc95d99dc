//! Leads that run outside the board.

use design::{Design, rests_on};
use finding::{Evidence, Field, Finding, Severity};
use quantity::Length;

use super::CUSTOM;
use crate::compare::{Basis, longer};
use crate::group::{leads_of, together};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "lead-over-edge";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "leads that run outside the board",
    severity: Severity::Look,
    since: "0.1",
    pains: &[41, 48],
    limits: &[],
    page: Page {
        what: "Every lead that is laid, seen from above: how far it runs outside the outline of the deck, or outside the \
               smallest rectangle around all decks where there are several.",
        why: "What hangs over the edge is crushed in the case or torn off by a hand.",
        source: CUSTOM,
        example: "D01 goes from the underside to A1.DC around the back edge, 10 mm outside the board: the deck has no passage.",
        remedy: "give the deck a passage, or move or turn the device, so that the lead stays inside",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let outline = Outline::of(design);
    let mut out = Vec::new();
    for laid in &design.routes().outcome.leads {
        let Some(lead) = design.lead_of(&laid.id) else { continue };
        let far = laid.path.iter().map(|at| outline.beyond(at[0], at[1])).fold(0.0, f64::max);
        let far = Length::from_mm_rounded(far.round());
        if !longer(far, Length::ZERO, Basis::Measured) {
            continue;
        }
        let ends: Vec<&String> = lead.ends.iter().map(|end| &end.port.device).collect();
        let mut finding = Finding::new(
            ID,
            Severity::Look,
            format!("lead {} runs {} outside the board", laid.id, shown(far)),
        )
        .on_leads([&laid.id])
        .about(ends.iter().copied())
        .with(Evidence::at_most(far, Length::ZERO))
        .assuming(rests_on(design, lead));
        for end in ends {
            finding = finding.at(Field::device(end, "place"), "");
        }
        out.push(finding);
    }
    let told = together(out, |cases| format!("leads {} run outside the board", leads_of(cases)));
    told.into_iter().collect()
}

/// What counts as the board, seen from above: rectangles, in millimetres.
struct Outline(Vec<[f64; 4]>);

impl Outline {
    fn of(design: &Design) -> Self {
        let decks = &design.rig.board.decks;
        let rects = decks.iter().flat_map(rig::Deck::shape_on_board);
        let rects: Vec<[f64; 4]> = rects
            .map(|rect| [rect.x, rect.y, rect.x + rect.width, rect.y + rect.depth].map(Length::as_mm))
            .collect();
        if decks.len() < 2 {
            return Self(rects);
        }
        // From one deck to another a lead goes through the air between them: that is inside.
        let around =
            rects.into_iter().reduce(|a, b| [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])]);
        Self(around.into_iter().collect())
    }

    /// How far a point lies outside.
    fn beyond(&self, x: f64, y: f64) -> f64 {
        let apart = |[left, front, right, back]: &[f64; 4]| {
            let (dx, dy) = ((left - x).max(x - right).max(0.0), (front - y).max(y - back).max(0.0));
            libm::hypot(dx, dy)
        };
        self.0.iter().map(apart).reduce(f64::min).unwrap_or(0.0)
    }
}
