//! Leads of a cable that is made for something else.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::LeadClass;

use super::CUSTOM;
use crate::group::together;
use crate::words::list;
use crate::{Page, Rule};

const ID: &str = "lead-cable";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "cable that is made for something else",
    severity: Severity::Stop,
    since: "0.2",
    pains: &[],
    limits: &[],
    page: Page {
        what: "What goes along each lead against what its cable is made for, as the catalogue has it. A stop where one of the \
               two is mains; elsewhere a look.",
        why: "Mains on a cable that is not made for it is a danger to life. Signal on a cable without a screen hums; a supply \
              on a thin screened core loses volts.",
        source: CUSTOM,
        example: "L07 carries signal, and its cable is DC cable.",
        remedy: "give the lead a cable that is made for what it carries. Work on mains is for a competent person, after the \
                 local code",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let mut out = Vec::new();
    for severity in [Severity::Stop, Severity::Look] {
        let mut cases = Vec::new();
        for lead in &design.leads {
            let Some(cable) = lead.cable.as_ref().filter(|cable| !cable.carries.is_empty()) else { continue };
            let mains = lead.class == LeadClass::Mains || cable.carries.contains(&LeadClass::Mains);
            let severe = if mains { Severity::Stop } else { Severity::Look };
            if cable.carries.contains(&lead.class) || severe != severity {
                continue;
            }
            let made: Vec<String> = cable.carries.iter().map(|class| class.word().to_owned()).collect();
            let says = format!(
                "lead {} carries {}, and its cable, {}, is made for {}",
                lead.tag,
                lead.class.word(),
                cable.title,
                list(&made)
            );
            let case = Finding::new(ID, severity, says)
                .about(lead.ends.iter().map(|end| &end.port.device))
                .on_leads([&lead.tag])
                .at(Field::lead(&lead.name, "cable"), "")
                .with(Evidence::words(lead.class.word(), list(&made)));
            cases.push(case);
        }
        let tags: Vec<String> = cases.iter().flat_map(|case| case.leads.clone()).collect();
        out.extend(together(cases, |_| {
            format!("the cable of leads {} is made for something else", list(&tags))
        }));
    }
    out
}
