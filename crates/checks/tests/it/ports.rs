//! Ports as runs name them: small rigs that are right or wrong, each with what is said of it.
//!
//! A case is a folder with `rig.toml` and `expected.txt`. Expected is either each problem of the reader, with its
//! place, the text it stands under and what is advised; or the stops of the rules about ports, or `clean`, with the
//! leads that the runs make.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use document::{ReadError, read_text};
use finding::Severity;

/// The rules that ports are judged by.
const RULES: [&str; 4] = ["port-unconnected", "port-doubly-fed", "insert-open", "insert-swapped"];

#[test]
fn every_case_is_told_as_expected() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/ports");
    let mut cases: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the cases are there")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    cases.sort();
    assert!(20 < cases.len(), "the cases are there");
    let mut wrong = String::new();
    for case in cases {
        let text = std::fs::read_to_string(case.join("rig.toml")).expect("the rig is there");
        let expected = std::fs::read_to_string(case.join("expected.txt")).unwrap_or_default();
        let found = outcome(&text);
        if found != expected {
            let _ = writeln!(wrong, "== {}\nexpected:\n{expected}found:\n{found}", case.display());
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

fn outcome(text: &str) -> String {
    let mut out = String::new();
    match read_text("rig.toml", text, None) {
        Err(ReadError::Problems { problems, files }) => {
            for problem in problems {
                let under = &files.0[problem.at.file].text[problem.at.start..problem.at.end];
                let under = under.lines().next().unwrap_or_default();
                let _ = writeln!(
                    out,
                    "refused {} under {under}\n  {}",
                    files.place(&problem.at),
                    problem.message
                );
                if let Some(help) = problem.help {
                    let _ = writeln!(out, "  {help}");
                }
            }
        }
        Err(other) => {
            let _ = writeln!(out, "{other}");
        }
        Ok(job) => {
            let findings =
                checks::check(&design::derive(job.rig.clone(), job.limits).laid_on(design::Routes::none()));
            let stops: Vec<_> = findings
                .iter()
                .filter(|finding| finding.severity == Severity::Stop && RULES.contains(&finding.rule))
                .collect();
            if stops.is_empty() {
                out.push_str("clean\n");
            }
            for finding in stops {
                let _ = writeln!(out, "stop {}: {}", finding.rule, finding.message);
            }
            for (from, to) in job.rig.runs.iter().flat_map(rig::Run::steps) {
                let _ = writeln!(out, "lead {from} to {to}");
            }
        }
    }
    out
}
