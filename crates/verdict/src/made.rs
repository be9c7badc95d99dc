//! Leads that are made: which of them a proposal has made again, and which stay.

use design::{Clocking, Design, Lead, clocking};
use finding::{Change, Field, Finding, Severity};
use rig::Rig;

/// The rule that says of a made lead that it no longer reaches.
const SHORT: &str = "lead-short";

/// A made lead that has to be made again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remade {
    /// Its number.
    pub lead: String,
    /// Why, in words: by how much it is too short, or what of its plugs is otherwise.
    pub why: String,
}

/// The made leads of a design that are to be made again after a proposal, and those that stay. `said` are the open findings
/// on what the proposal leaves: a lead is too short where the check says so, and nowhere else.
pub(crate) fn sorted<'a>(
    before: &Design,
    after: &Design,
    said: impl Iterator<Item = &'a Finding>,
) -> (Vec<Remade>, Vec<String>) {
    let short: Vec<&Finding> = said.filter(|finding| is_short(finding)).collect();
    let (mut remade, mut stay) = (Vec::new(), Vec::new());
    for lead in before.leads.iter().filter(|lead| lead.made || lead.fitted) {
        match why(lead, before, after, &short) {
            Some(why) => remade.push(Remade { lead: lead.tag.clone(), why }),
            None => stay.push(lead.tag.clone()),
        }
    }
    (remade, stay)
}

/// What takes from leads that they are made; their numbers stay.
pub(crate) fn unmaking(rig: &Rig, remade: &[Remade]) -> Vec<Change> {
    let mut changes = Vec::new();
    for lead in rig::leads(rig).into_iter().filter(|lead| remade.iter().any(|again| again.lead == lead.tag)) {
        let Some(spec) = &lead.spec else { continue };
        let said = [("cut", spec.cut.is_some()), ("legs", !spec.legs.is_empty()), ("fitted", spec.fitted)];
        let said = said.into_iter().filter(|(_, is_said)| *is_said);
        changes.extend(said.map(|(key, _)| Change::remove(Field::lead(&spec.name(), key))));
    }
    changes
}

fn why(lead: &Lead, before: &Design, after: &Design, short: &[&Finding]) -> Option<String> {
    if let Some(short) = short.iter().find(|finding| finding.leads.contains(&lead.tag)) {
        // Several that are too short are one finding; what is said here is said of this one.
        let own = short.cases().into_iter().find(|case| case.leads.contains(&lead.tag));
        return Some(own.map_or_else(|| short.message.clone(), |case| case.message));
    }
    let now = after.leads.iter().find(|now| now.tag == lead.tag)?;
    for end in &lead.ends {
        let Some(then) = now.ends.iter().find(|then| then.port == end.port) else { continue };
        let id = |plug: &rig::PlugSpec| plug.plug.as_ref().map(|plug| plug.id.clone());
        if let (Some(was), Some(is)) = (id(&end.plug), id(&then.plug))
            && was != is
        {
            return Some(format!("plug {is} at {} in place of {was}", end.port));
        }
        if let (Some(was), Some(is)) = (end.plug.exit, then.plug.exit)
            && was != is
        {
            return Some(format!(
                "cable leaves {} to the {}, not to the {}",
                end.port,
                is.word(),
                was.word()
            ));
        }
    }
    match (clocking(&before.rig, lead), clocking(&after.rig, now)) {
        (Clocking::Turned(was), Clocking::Turned(is)) if was != is => {
            Some(format!("lead {}: plugs turned by {is}° against each other, made with {was}°", lead.tag))
        }
        _ => None,
    }
}

/// Whether a finding is an open stop on a made lead that no longer reaches.
pub(crate) fn is_short(finding: &Finding) -> bool {
    finding.rule == SHORT && finding.severity == Severity::Stop && finding.accepted.is_none()
}
