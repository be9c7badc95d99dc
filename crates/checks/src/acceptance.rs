//! Applying what the builder answers for, and saying which answers no longer hold.
//!
//! An answer covers cases, and a finding is answered for when all of its cases are: where one cause touches three
//! devices and the answer names two, the finding stays open.

use design::Design;
use finding::{Acceptance, Change, Edit, Field, Finding, Scope, Severity, Touched};
use rig::{LeadClass, Rig, Role};

use crate::explain::nearest;
use crate::rules::{ACCEPTANCE, rule};
use crate::words::list;

/// Marks what is answered for and returns what is to be said of the answers themselves.
pub(crate) fn apply(design: &Design, findings: &mut [Finding]) -> Vec<Finding> {
    let mut out = Vec::new();
    // The narrowest answers count first, so that a wide one is left over when nothing is left to it.
    let mut order: Vec<&rig::Acceptance> = design.rig.acceptances.iter().collect();
    order.sort_by_key(|answer| match answer.covers() {
        Scope::Devices(_) => 0,
        Scope::Class(_) => 1,
        Scope::WholeJob => 2,
    });
    let mut given: Vec<Vec<Acceptance>> = vec![Vec::new(); findings.len()];
    for answer in order {
        out.extend(one(design, answer, findings, &mut given));
    }
    for (finding, given) in findings.iter_mut().zip(given) {
        let is_whole = match finding.touched.as_slice() {
            [] => !given.is_empty(),
            cases => cases.iter().all(|case| case.answered),
        };
        if is_whole {
            finding.accepted = joined(given);
        } else if let done @ 1.. = finding.touched.iter().filter(|case| case.answered).count() {
            // The line names all of them, so it says how many of them are no longer open.
            finding.message += &format!(" ({done} of {} answered for)", finding.touched.len());
        }
    }
    for finding in &mut out {
        ACCEPTANCE.page.source.clone_into(&mut finding.source);
    }
    out
}

/// Several answers to the cases of one finding, as one.
fn joined(given: Vec<Acceptance>) -> Option<Acceptance> {
    let mut given = given.into_iter();
    let mut whole = given.next()?;
    for more in given {
        whole.reason = format!("{}; {}", whole.reason, more.reason);
        if whole.by != more.by {
            let both: Vec<String> = whole.by.into_iter().chain(more.by).collect();
            whole.by = (!both.is_empty()).then(|| list(&both));
        }
        if let (Scope::Devices(devices), Scope::Devices(others)) = (&mut whole.covers, more.covers) {
            devices.extend(others);
            crate::group::in_order(devices);
        }
    }
    Some(whole)
}

/// Applies one answer; gives what is wrong with it.
fn one(
    design: &Design,
    answer: &rig::Acceptance,
    findings: &mut [Finding],
    given: &mut [Vec<Acceptance>],
) -> Option<Finding> {
    let rig = &design.rig;
    let id = &answer.rule;
    let covers = answer.covers();
    let about = match &covers {
        Scope::Devices(devices) if devices.is_empty() => String::new(),
        Scope::Devices(devices) => format!(" for {}", list(devices)),
        wide => format!(" for {wide}"),
    };
    let index = answer.index.to_string();
    let key = match &covers {
        Scope::Devices(_) => "devices",
        Scope::Class(_) => "class",
        Scope::WholeJob => "whole_job",
    };
    let say = |key: &str, message: String| {
        let edit = Edit {
            name: format!("remove the answer to {id}{about}"),
            changes: vec![Change::remove(Field::of("accept", &index, ""))],
        };
        Finding::new(ACCEPTANCE.id, Severity::Look, message)
            .about(answer.devices.iter().cloned())
            .at(Field::of("accept", &index, key), "")
            .remedy(ACCEPTANCE.page.remedy)
            .cured_by(edit)
    };
    if rule(id).is_none() {
        let hint = nearest(id).map(|near| format!(", perhaps {near} is meant")).unwrap_or_default();
        return Some(say("rule", format!("the answer names rule {id}, which does not exist{hint}")));
    }
    let unknown: Vec<&String> = answer.devices.iter().filter(|name| !is_named(rig, name)).collect();
    if !unknown.is_empty() {
        let what = if unknown.len() == 1 { "a device" } else { "devices" };
        return Some(say(
            key,
            format!("the answer to {id} names {}, {what} not in this rig", list(&unknown)),
        ));
    }
    let matched = |case: &Touched| is_covered(design, &covers, case);
    let is_new = |finding: &Finding, given: &[Acceptance], case: &Touched| {
        matched(case) && !case.answered && (!finding.touched.is_empty() || given.is_empty())
    };
    let mut used: Vec<&str> = Vec::new();
    let (mut any, mut fresh) = (false, false);
    for (finding, given) in findings.iter().zip(given.iter()).filter(|(finding, _)| finding.rule == id) {
        for case in finding.cases().iter().filter(|case| matched(case)) {
            any = true;
            fresh |= is_new(finding, given, case);
            used.extend(answer.devices.iter().filter(|name| case.devices.contains(name)).map(String::as_str));
        }
    }
    if !any {
        // One thing found on several devices is answered for when all of them are named.
        let cases = findings.iter().filter(|finding| finding.rule == id).flat_map(Finding::cases);
        let in_part = |case: &Touched| {
            !answer.devices.is_empty() && answer.devices.iter().all(|name| case.devices.contains(name))
        };
        if let Some(case) = cases.into_iter().find(in_part) {
            let all = list(&case.devices);
            return Some(say(
                key,
                format!(
                    "the answer to {id}{about} does not cover what is found on {all} at once; name them all"
                ),
            ));
        }
        return Some(say(
            key,
            format!("the answer to {id}{about} matches nothing that is found{}", there(findings, id)),
        ));
    }
    if !fresh {
        return Some(say(key, format!("{id}{about} is answered twice")));
    }
    if answer.reason.trim().is_empty() {
        let mut finding =
            say("reason", format!("the answer to {id}{about} gives no reason, so it does not count"));
        finding.edit = None;
        return Some(finding);
    }
    let accepted =
        Acceptance { reason: answer.reason.clone(), by: answer.by.clone(), covers: covers.clone() };
    for (finding, given) in
        findings.iter_mut().zip(given.iter_mut()).filter(|(finding, _)| finding.rule == id)
    {
        let takes = finding.cases().iter().any(|case| is_new(finding, given, case));
        for case in finding.touched.iter_mut().filter(|case| matched(case)) {
            case.answered = true;
        }
        if takes {
            given.push(accepted.clone());
        }
    }
    let idle: Vec<&String> = answer.devices.iter().filter(|name| !used.contains(&name.as_str())).collect();
    (!idle.is_empty()).then(|| {
        let mut finding =
            say(key, format!("the answer to {id} names {}, of which {id} finds nothing", list(&idle)));
        // The rest of the answer still holds.
        finding.edit = None;
        finding
    })
}

/// What the rule finds instead, so that the answer can be put right.
fn there(findings: &[Finding], id: &str) -> String {
    const NAMED: usize = 3;
    let open: Vec<String> = findings
        .iter()
        .filter(|finding| finding.rule == id)
        .take(NAMED)
        .map(|finding| list(&finding.devices))
        .collect();
    if open.is_empty() { String::new() } else { format!("; it is found on {}", open.join(", or on ")) }
}

/// Whether an answer covers a case.
fn is_covered(design: &Design, covers: &Scope, case: &Touched) -> bool {
    match covers {
        Scope::WholeJob => true,
        Scope::Devices(devices) => {
            !devices.is_empty() && case.devices.iter().all(|device| devices.contains(device))
        }
        Scope::Class(class) => {
            let role = |role: Role| match role {
                Role::Pedal => "pedal",
                Role::Brick => "brick",
                Role::Panel => "panel",
                Role::Strip => "strip",
                Role::Other => "other",
            };
            let of_role =
                |tag: &String| design.rig.device(tag).is_some_and(|device| role(device.role) == class);
            // A finding may bear one leg of a lead.
            let of_class =
                |part: &String| design.lead_of(part).is_some_and(|lead| lead_class(lead.class) == *class);
            case.devices.iter().any(of_role) || case.leads.iter().any(of_class)
        }
    }
}

/// The word of a class of leads in answers: `dc`, and `ac` for whatever low-voltage alternating current is called.
fn lead_class(class: LeadClass) -> String {
    let word = class.word().to_lowercase();
    if word.split(' ').any(|part| part == "ac") { "ac".to_owned() } else { word }
}

/// Whether a name stands for something of the rig that findings speak of.
fn is_named(rig: &Rig, name: &str) -> bool {
    name == crate::words::BOARD
        || rig.device(name).is_some()
        || rig.source(name).is_some()
        || rig.sink(name).is_some()
        || rig.runs.iter().any(|run| run.name == name)
        || rig.brief.countries.iter().any(|country| country == name)
}
