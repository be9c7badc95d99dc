//! The cure of a feed that is wrong: the best other feed for the devices concerned, found by the power engine.

use design::Design;
use finding::{Edit, Finding, Severity};
use power::{Config, Outcome, Status, verify};

/// The rules whose stops another feed may cure.
const RULES: &[&str] = &[
    "no-feed",
    "outlet-load",
    "outlet-setting",
    "supply-nature",
    "supply-voltage",
    "supply-sign",
    "shared-outlet",
    "unisolated-outlet",
    "positive-ground",
    "pair",
];

/// Adds the edit to a stop of such a rule, where there is one. Tells whether one was looked for.
pub(crate) fn add(design: &Design, finding: &mut Finding) -> bool {
    if finding.severity != Severity::Stop || finding.edit.is_some() || !RULES.contains(&finding.rule) {
        return false;
    }
    if let Some(edit) = others_stay(design, &finding.devices).or_else(|| all_anew(design)) {
        finding.remedy = format!("{}; or {}", edit.name, finding.remedy);
        finding.edit = Some(edit);
    }
    true
}

/// Other feeds for these devices only; everything that is fed now stays as it is.
fn others_stay(design: &Design, tags: &[String]) -> Option<Edit> {
    let mut input = design.power_input().clone();
    for need in &mut input.needs {
        if let Some(present) = &mut need.present {
            present.locked |= !tags.contains(&need.tag);
        }
    }
    let concerned: Vec<usize> = (0..input.needs.len())
        .filter(|index| input.needs[*index].present.is_some() || tags.contains(&input.needs[*index].tag))
        .collect();
    let input = input.only(&concerned);
    let mut named: Vec<&str> = Vec::new();
    let free = input.needs.iter().filter(|need| need.lock().is_none());
    // What hangs nowhere yet is given something, what hangs somewhere something else.
    let is_fed = free.clone().any(|need| need.present.is_some());
    for need in free {
        named.push(&need.tag);
    }
    if named.is_empty() {
        return None;
    }
    let edit = written(&input, &power::solve(&input, &Config { conflicts: 0, ..Config::standard() }))?;
    let named = crate::words::list(&named);
    let name = if is_fed {
        format!("feed {named} from another outlet")
    } else {
        format!("give {named} the best free outlet")
    };
    Some(Edit { name, ..edit })
}

/// All feeds anew, locked ones apart.
fn all_anew(design: &Design) -> Option<Edit> {
    let edit = written(design.power_input(), design.feeds())?;
    Some(Edit { name: "give all devices the best outlets".to_owned(), ..edit })
}

/// The edit of an outcome that serves every device and stands up to the verifier.
fn written(input: &power::Input, outcome: &Outcome) -> Option<Edit> {
    let served = outcome.unserved.is_empty() && matches!(outcome.status, Status::Proven | Status::Feasible);
    let sound = served && verify::verify(input, &outcome.allocation).breaches.is_empty();
    let edit = power::edits(outcome);
    (sound && !edit.changes.is_empty()).then_some(edit)
}
