//! Leads that are bent too sharp.

use design::{Design, rests_on};
use finding::{Evidence, Field, Finding, Severity};
use quantity::Length;

use super::CUSTOM;
use crate::compare::{Basis, shorter};
use crate::group::{leads_of, together};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "lead-bend";
/// A figure that is right on the limit is not below it.
const HAIR: f64 = 1e-3;

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "leads that are bent too sharp",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[48],
    limits: &["bend_radius_look", "bend_radius_stop"],
    page: Page {
        what: "The sharpest bend of every lead that is laid, as a multiple of its cable's diameter.",
        why: "A sharp bend crushes the screen and breaks strands at the plug; the lead fails on the road.",
        source: CUSTOM,
        example: "L07 is bent to 5 mm where it leaves A3.OUT; its cable of 4 mm needs 16 mm.",
        remedy: "turn the exit of the plug, fit a lower plug, make room in front of it, or use thinner cable",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let routes = design.routes();
    let limits = &design.limits;
    let mut out = Vec::new();
    for laid in &routes.outcome.leads {
        let wanted = &routes.input.leads[laid.lead];
        let Some(lead) = design.lead_of(&laid.id) else { continue };
        let times = laid.tightest_mm / wanted.diameter_mm.max(0.1);
        let severity = if times < limits.bend_radius_stop.get() - HAIR {
            Severity::Stop
        } else if shorter(
            Length::from_mm_rounded(laid.tightest_mm),
            Length::from_mm_rounded(wanted.diameter_mm * limits.bend_radius_look.get()),
            Basis::Measured,
        ) {
            Severity::Look
        } else {
            continue;
        };
        let limit =
            if severity == Severity::Stop { limits.bend_radius_stop } else { limits.bend_radius_look };
        let least = tenths(wanted.diameter_mm * limit.get());
        let ends: Vec<&String> = lead.ends.iter().map(|end| &end.port.device).collect();
        let mut finding = Finding::new(
            ID,
            severity,
            format!(
                "lead {}: bend radius {}, minimum {}",
                laid.id,
                shown(Length::from_mm_rounded(laid.tightest_mm)),
                shown(Length::from_mm_rounded(wanted.diameter_mm * limits.bend_radius_look.get()))
            ),
        )
        .on_leads([&laid.id])
        .about(ends.iter().copied())
        .with(Evidence::at_least(tenths(laid.tightest_mm), least))
        .assuming(rests_on(design, lead));
        for end in ends {
            finding = finding.at(Field::device(end, "place"), "");
        }
        out.push(finding);
    }
    let told = together(out, |cases| format!("leads {} are bent too sharp", leads_of(cases)));
    told.into_iter().collect()
}

/// To a tenth of a millimetre: no bend is laid more exactly.
fn tenths(mm: f64) -> Length {
    Length::from_mm_rounded((mm * 10.0).round() / 10.0)
}
