//! What a carrier takes.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};

use super::CUSTOM;
use super::mass::whole;
use crate::asked::Asked;
use crate::compare::{above, too_much};
use crate::words::{BOARD, shown};
use crate::{Page, Rule};

const ID: &str = "baggage-mass";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "mass within what the brief or the carrier takes",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[49],
    limits: &["carrier_mass", "carrier_mass_look"],
    page: Page {
        what: "The sum of all masses with the case against the limit of the brief, or, for a board that flies, \
               against the usual limit of one piece of baggage.",
        why: "A case that is refused at check-in is a lost show.",
        source: CUSTOM,
        example: "The board flies and weighs 24.1 kg with its case; 23 kg are taken.",
        remedy: "shed mass, or agree another limit; before a flight read the carrier's own rules, or book it as freight",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut asked = Asked::default();
    let sum = whole(design, &mut asked);
    let flies = rig.brief.carried.as_deref() == Some("air");
    let limit = match rig.brief.mass_limit {
        Some(limit) => limit,
        None if flies || rig.brief.carried.is_none() => design.limits.carrier_mass,
        None => return Vec::new(),
    };
    let decided = rig.brief.mass_limit.is_some() || flies;
    if !decided {
        // Only a board that would be too heavy for a flight makes the question worth asking.
        if !above(sum.get(), limit.get()) {
            return Vec::new();
        }
        let mut asked = Asked::default();
        asked.lack(Field::new(["brief", "carried"]));
        return asked
            .cannot_judge(ID, &format!("whether {} may travel", shown(sum)), [BOARD])
            .into_iter()
            .collect();
    }
    let look = limit * design.limits.carrier_mass_look.get();
    let complete = asked.complete();
    if let Some((severity, passed)) = too_much(sum, look, limit)
        && (complete || severity == Severity::Stop)
    {
        let least = if complete { "" } else { "at least " };
        let field = if rig.brief.mass_limit.is_some() { "mass_limit" } else { "carried" };
        return vec![
            Finding::new(
                ID,
                severity,
                format!("the board weighs {least}{}, {} allowed", shown(sum), shown(limit)),
            )
            .about([BOARD])
            .at(Field::new(["brief", field]), "")
            .with(Evidence::at_most(sum, passed))
            .assuming(asked.assumed),
        ];
    }
    asked.cannot_judge(ID, "the mass against its limit", [BOARD]).into_iter().collect()
}
