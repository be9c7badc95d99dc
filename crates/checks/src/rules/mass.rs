//! What one person has to lift.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Grams;

use super::CUSTOM;
use crate::asked::Asked;
use crate::compare::too_much;
use crate::words::{BOARD, shown};
use crate::{Page, Rule};

const ID: &str = "mass";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "what one person has to lift",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[49],
    limits: &["one_person_look", "one_person_stop"],
    page: Page {
        what: "The sum of all masses with the case, shared by those who carry it.",
        why: "Backs, stairs, and a board that is dropped because one hand too few was there.",
        source: CUSTOM,
        example: "Board and case weigh 27 kg, and the player carries alone.",
        remedy: "split the board in two, take a lighter case or brick, or write down a second carrier",
    },
    check,
};

/// What is known of the whole mass; the rest is in what was asked.
pub(super) fn whole(design: &Design, asked: &mut Asked) -> Grams {
    design.mass.items.iter().filter_map(|item| asked.value(item.mass, item.field.clone())).sum()
}

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut asked = Asked::default();
    let sum = whole(design, &mut asked);
    let carriers = rig.brief.carriers.max(1);
    let each = sum * (1.0 / f64::from(carriers));
    let (look, stop) = (design.limits.one_person_look, design.limits.one_person_stop);
    let complete = asked.complete();
    let mut out = Vec::new();
    if let Some((severity, passed)) = too_much(each, look, stop)
        && (complete || severity == Severity::Stop)
    {
        let least = if complete { "" } else { "at least " };
        let who = if carriers == 1 { "one person".to_owned() } else { format!("each of {carriers} people") };
        out.push(
            Finding::new(
                ID,
                severity,
                format!("{who} lifts {least}{}, {} is the limit", shown(each), shown(passed)),
            )
            .about([BOARD])
            .at(Field::new(["brief", "carriers"]), "")
            .with(Evidence::at_most(each, passed))
            .assuming(asked.assumed),
        );
        return out;
    }
    out.extend(asked.cannot_judge(ID, "the mass", [BOARD]));
    out
}
