//! Findings, one line each: `file:line:column: severity[rule]: message`.

use std::fmt::Write;

use document::At;

use crate::loaded::Loaded;

/// One line each.
pub(crate) fn findings(loaded: &Loaded) -> String {
    let mut out = String::new();
    for finding in &loaded.findings {
        // One line per finding, whatever it touches.
        let at = finding.marks.first().map_or(At::new(0, 0..0), |mark| loaded.job.locate(&mark.field));
        let accepted = if finding.accepted.is_some() { " (answered)" } else { "" };
        let _ = writeln!(
            out,
            "{}: {}[{}]{accepted}: {}",
            loaded.job.files.place(&at),
            finding.severity,
            finding.rule,
            finding.message
        );
    }
    out
}
