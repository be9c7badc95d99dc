//! Weak and strong signals in one loom.

use std::collections::BTreeSet;

use design::{Design, Lead};
use finding::{Evidence, Field, Finding, Severity};
use quantity::{Decibels, Ohms};

use super::CUSTOM;
use crate::{Page, Rule};

const ID: &str = "loom-level";
/// From here on the giver counts as weak: a lead in its loom feeds into it. *Common practice, no source.*
const HIGH_IMPEDANCE: Ohms = Ohms::of(10e3);

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "weak and strong signals in one loom",
    severity: Severity::Look,
    since: "0.1",
    pains: &[20],
    limits: &["loom_level_look"],
    page: Page {
        what: "The leads of every loom that is laid: the level at a bare pickup's or another high-impedance giver's lead \
               against that of each other signal lead in it, in every state in use, with devices at their largest gain.",
        why: "What comes out feeds back into what goes in; with enough gain between them the rig squeals.",
        source: CUSTOM,
        example: "L01 from the guitar and L19 behind the high-gain drive lie in one loom, 46 dB apart.",
        remedy: "tie the two in looms of their own, or put a buffer before the loom",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let mut out = Vec::new();
    let looms = &design.routes().outcome.looms;
    if looms.is_empty() {
        return out;
    }
    let states: BTreeSet<&str> = design.signal().levels.iter().map(|level| level.state.as_str()).collect();
    for loom in looms {
        let leads: Vec<&Lead> = loom.leads.iter().filter_map(|id| design.lead_of(id)).collect();
        for weak in leads.iter().filter(|lead| is_weak(design, lead)) {
            // The strongest other lead of the loom, over all states.
            let mut worst: Option<(f64, &Lead, &str)> = None;
            for state in &states {
                let Some(here) = level_on(design, weak, state) else { continue };
                for lead in leads.iter().filter(|lead| lead.tag != weak.tag) {
                    let Some(there) = level_on(design, lead, state) else { continue };
                    if worst.is_none_or(|known| known.0 < there - here) {
                        worst = Some((there - here, lead, state));
                    }
                }
            }
            let Some((over, strong, state)) = worst else { continue };
            if !crate::compare::over(Decibels::of(over), design.limits.loom_level_look) {
                continue;
            }
            let mut finding = Finding::new(
                ID,
                Severity::Look,
                format!(
                    "leads {} and {} lie in one loom, {over:.0} dB apart {}",
                    weak.tag,
                    strong.tag,
                    signal::in_state_words(state)
                ),
            )
            .on_leads([&weak.tag, &strong.tag])
            .about([&weak.to().port.device, &strong.from().port.device])
            .with(Evidence::at_most(Decibels::of(over), design.limits.loom_level_look));
            for port in [&weak.to().port, &strong.from().port] {
                finding = finding.at(Field::device(&port.device, "place"), "");
            }
            out.push(finding);
        }
    }
    out
}

/// The level on a lead in a state, in dBu: that at the first input along its run that listens.
fn level_on(design: &Design, lead: &Lead, state: &str) -> Option<f64> {
    let run = design.rig.runs.iter().find(|run| Some(&run.name) == lead.run.as_ref())?;
    let after = run.steps().skip_while(|(from, to)| **from != lead.from().port || **to != lead.to().port);
    after.into_iter().find_map(|(_, to)| {
        let port = if to.port.is_empty() { to.device.clone() } else { to.to_string() };
        let levels = design.signal().levels.iter().filter(|level| level.state == state && level.port == port);
        levels.filter_map(|level| level.dbu).reduce(f64::max)
    })
}

/// Whether what gives into a lead is weak: a bare pickup, or an output of high impedance.
fn is_weak(design: &Design, lead: &Lead) -> bool {
    let port = &lead.from().port;
    match design.rig.source(&port.device).filter(|_| port.port.is_empty()) {
        Some(source) => source.pickup.kind.value != Some(rig::PickupKind::Active),
        None => design
            .rig
            .port(port)
            .and_then(|port| port.z.value)
            .is_some_and(|impedance| HIGH_IMPEDANCE.get() <= impedance.get()),
    }
}
