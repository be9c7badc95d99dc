//! `cargo xtask ci`: every stage that a change must pass, in order of how soon it can fail.

use std::path::Path;
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result};

use crate::generate::{self, Mode};
use crate::needs::{self, Install};
use crate::package::{self, Profile};
use crate::process::{cargo, run as run_program};
use crate::{console, test, tidy};

type Stage = fn(&Path, Install) -> Result<()>;

/// Name and work of each stage.
const STAGES: &[(&str, Stage)] = &[
    ("format", |root, _| run_program(&mut cargo(root, &["fmt", "--all", "--check"]))),
    ("tidy", |root, _| tidy::run(root)),
    // What the tests need is asked for before anything is compiled for them.
    ("needs", |root, install| needs::provide(root, install).map(drop)),
    ("lints", |root, _| {
        run_program(&mut cargo(root, &["clippy", "--workspace", "--all-targets", "--", "-D", "warnings"]))
    }),
    ("docs", |root, _| {
        run_program(cargo(root, &["doc", "--workspace", "--no-deps"]).env("RUSTDOCFLAGS", "-D warnings"))
    }),
    ("generated files", |root, _| generate::run(root, Mode::Check)),
    ("package", |root, _| package::run(root, Profile::Dev)),
    ("tests", |root, install| test::run(root, install, &[])),
];

/// Runs the stages up to the first that fails, and tells how long each took.
pub fn run(root: &Path, install: Install) -> Result<()> {
    let mut times = Vec::new();
    let mut outcome = Ok(());
    for (name, stage) in STAGES {
        console::say(&format!("== {name}"));
        let started = now();
        let done = stage(root, install).with_context(|| format!("stage `{name}` failed"));
        times.push((*name, started.elapsed(), done.is_ok()));
        if done.is_err() {
            outcome = done;
            break;
        }
    }
    console::say(&table(&times));
    outcome
}

#[expect(clippy::disallowed_methods, reason = "the time a stage takes is told, and decides nothing")]
fn now() -> Instant {
    Instant::now()
}

/// One line per stage that ran.
fn table(times: &[(&str, Duration, bool)]) -> String {
    let mut lines = vec!["== times".to_owned()];
    for (name, time, passed) in times {
        let verdict = if *passed { "passed" } else { "failed" };
        lines.push(format!("{name:<16} {:>8.1} s  {verdict}", time.as_secs_f64()));
    }
    let whole: Duration = times.iter().map(|(_, time, _)| *time).sum();
    lines.push(format!("{:<16} {:>8.1} s", "together", whole.as_secs_f64()));
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_adds_up() {
        let times =
            [("format", Duration::from_millis(1500), true), ("lints", Duration::from_millis(2500), false)];
        assert_eq!(
            table(&times),
            "== times\n\
             format                1.5 s  passed\n\
             lints                 2.5 s  failed\n\
             together              4.0 s"
        );
    }
}
