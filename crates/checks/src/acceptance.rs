//! Applying what the builder answers for, and saying which acceptances no longer hold.

use finding::{Acceptance, Change, Edit, Field, Finding, Severity};
use rig::Rig;

use crate::explain::nearest;
use crate::rules::{ACCEPTANCE, rule};
use crate::words::list;

/// Marks accepted findings and returns what is to be said of the acceptances themselves.
pub(crate) fn apply(rig: &Rig, findings: &mut [Finding]) -> Vec<Finding> {
    let mut out = Vec::new();
    for acceptance in &rig.acceptances {
        let mut devices = acceptance.devices.clone();
        devices.sort();
        devices.dedup();
        let about = if devices.is_empty() { String::new() } else { format!(" for {}", list(&devices)) };
        let id = &acceptance.rule;
        let index = acceptance.index.to_string();
        let say = |key: &str, message: String| {
            let edit = Edit {
                name: format!("take the acceptance of {id}{about} away"),
                changes: vec![Change::remove(Field::of("accept", &index, ""))],
            };
            Finding::new(ACCEPTANCE.id, Severity::Look, message)
                .about(devices.iter().cloned())
                .at(Field::of("accept", &index, key), "")
                .remedy(ACCEPTANCE.page.remedy)
                .cured_by(edit)
        };
        if rule(id).is_none() {
            let hint = nearest(id).map(|near| format!(", perhaps {near} is meant")).unwrap_or_default();
            out.push(say("rule", format!("acceptance names the rule {id}, which does not exist{hint}")));
            continue;
        }
        let strangers: Vec<&String> = devices.iter().filter(|name| !is_named(rig, name)).collect();
        if !strangers.is_empty() {
            out.push(say(
                "devices",
                format!("acceptance of {id} names {}, which the rig does not have", list(&strangers)),
            ));
            continue;
        }
        match findings.iter_mut().find(|finding| finding.rule == id && finding.devices == devices) {
            None => out.push(say("rule", format!("acceptance of {id}{about} matches nothing that is found"))),
            Some(finding) if finding.accepted.is_some() => {
                out.push(say("rule", format!("{id}{about} is accepted twice")));
            }
            Some(_) if acceptance.reason.trim().is_empty() => {
                let mut finding =
                    say("reason", format!("acceptance of {id}{about} gives no reason, so it does not count"));
                finding.edit = None;
                out.push(finding);
            }
            Some(finding) => {
                finding.accepted =
                    Some(Acceptance { reason: acceptance.reason.clone(), by: acceptance.by.clone() });
            }
        }
    }
    for finding in &mut out {
        ACCEPTANCE.page.source.clone_into(&mut finding.source);
    }
    out
}

/// Whether a name stands for something of the rig that findings speak of.
fn is_named(rig: &Rig, name: &str) -> bool {
    name == crate::words::BOARD
        || rig.device(name).is_some()
        || rig.source(name).is_some()
        || rig.sink(name).is_some()
        || rig.runs.iter().any(|run| run.name == name)
}
