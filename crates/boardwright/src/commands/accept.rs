//! `boardwright accept`.

use anyhow::bail;

use crate::args::Accept;
use crate::loaded::load;
use crate::shell::{self, Outcome};
use crate::written;

pub(crate) fn run(options: &Accept) -> anyhow::Result<Outcome> {
    let loaded = load(&options.rig)?;
    let mut devices = options.devices.clone();
    devices.sort();
    devices.dedup();
    if options.reason.trim().is_empty() {
        bail!("a reason is missing; write why you answer for it");
    }
    let Some(finding) = loaded.findings.iter().find(|f| f.rule == options.rule && f.devices == devices)
    else {
        let open: Vec<String> = loaded
            .findings
            .iter()
            .filter(|finding| finding.rule == options.rule)
            .map(|finding| finding.devices.join(","))
            .collect();
        let there = if open.is_empty() {
            format!("the rig has no finding of rule `{}`", options.rule)
        } else {
            format!("findings of rule `{}` are about {}", options.rule, open.join(" or "))
        };
        bail!("no finding of rule `{}` is about {}; {there}", options.rule, devices.join(","));
    };
    let mut edit = document::edit::accept(
        loaded.job.text(),
        finding.rule,
        &devices,
        &options.reason,
        options.by.as_deref(),
    )?;
    edit.name = format!("answer for {}", finding.rule);
    written::write(&options.rig, &loaded, &edit)?;
    shell::say(&format!("accepted: {}", finding.message));
    Ok(Outcome::Clean)
}
