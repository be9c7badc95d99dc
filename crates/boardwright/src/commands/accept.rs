//! `boardwright accept`.

use anyhow::bail;
use finding::Scope;

use crate::args::Accept;
use crate::loaded::{Loaded, load};
use crate::shell::{self, Outcome};
use crate::written;

pub(crate) fn run(options: &Accept) -> anyhow::Result<Outcome> {
    let loaded = load(&options.rig)?;
    if options.reason.trim().is_empty() {
        bail!("a reason is missing; write why you answer for it");
    }
    let covers = match &options.class {
        _ if options.whole_job => Scope::WholeJob,
        Some(class) => Scope::Class(class.clone()),
        None => {
            let mut devices = options.devices.clone();
            devices.sort();
            devices.dedup();
            Scope::Devices(devices)
        }
    };
    let Some(rule) = checks::rule(&options.rule) else {
        let near = checks::near_rules(&options.rule);
        let hint =
            if near.is_empty() { String::new() } else { format!("; did you mean {}?", near.join(" or ")) };
        bail!("there is no rule {}{hint}", options.rule);
    };
    let mut edit =
        document::edit::answer(loaded.job.text(), rule.id, &covers, &options.reason, options.by.as_deref())?;
    edit.name = format!("answer for {}", rule.id);
    // The answer is tried before it is written: what matches nothing is not put into the document.
    let answered = covered(&loaded, rule.id, &covers, &options.reason)?;
    written::write(&options.rig, &loaded, &edit)?;
    for message in answered {
        shell::say(&format!("answered for, on {covers}: {message}"));
    }
    Ok(Outcome::Clean)
}

/// What the answer covers when it is added to those that are there.
fn covered(loaded: &Loaded, rule: &str, covers: &Scope, reason: &str) -> anyhow::Result<Vec<String>> {
    let mut rig = loaded.design.rig.clone();
    let limits = &loaded.design.limits;
    let found = |rig: &rig::Rig| checks::check(&design::derive(rig.clone(), limits.clone()).laid());
    rig.acceptances.retain(|answer| answer.rule != rule || answer.covers() != *covers);
    let index = rig.acceptances.iter().map(|answer| answer.index + 1).max().unwrap_or_default();
    let (devices, class) = match covers {
        Scope::Devices(devices) => (devices.clone(), None),
        Scope::Class(class) => (Vec::new(), Some(class.clone())),
        Scope::WholeJob => (Vec::new(), None),
    };
    let before = answered_of(&found(&rig), rule);
    rig.acceptances.push(rig::Acceptance {
        rule: rule.to_owned(),
        devices,
        class,
        whole_job: *covers == Scope::WholeJob,
        reason: reason.to_owned(),
        by: None,
        index,
    });
    let own = index.to_string();
    let findings = found(&rig);
    let complaint = findings.iter().find(|finding| {
        finding.rule == "acceptance"
            && finding.marks.iter().any(|mark| mark.field.parts().get(1) == Some(&own))
    });
    if let Some(complaint) = complaint {
        bail!("{}", complaint.message);
    }
    let mut cases = answered_of(&findings, rule);
    cases.retain(|case| !before.contains(case));
    if cases.is_empty() {
        bail!("{rule} is answered for already where {covers} is concerned; this would add nothing");
    }
    Ok(cases)
}

/// The cases of a rule that are answered for.
fn answered_of(findings: &[finding::Finding], rule: &str) -> Vec<String> {
    let of_rule = findings.iter().filter(|finding| finding.rule == rule);
    of_rule.flat_map(finding::Finding::cases).filter(|case| case.answered).map(|case| case.message).collect()
}
