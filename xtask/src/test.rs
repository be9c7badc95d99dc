//! `cargo xtask test`: what the tests need, then the tests.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::{Mutex, PoisonError};

use anyhow::{Context as _, Result, bail};
use serde_json::Value;

use crate::needs::{self, Install};
use crate::{console, process};

/// Programs of tests that run beside each other. Most of them wait at times, for a browser or another solver, and many have
/// one test that takes longest.
const BESIDE: usize = 2;

/// What takes longest begins first, by the folder it lies in and the name of the test.
const LONG: [&str; 5] = ["workbench browser", "external it", "boardwright it", "verdict it", "checks it"];

/// A program of tests.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Program {
    /// The folder of its package, and the name of the test: `signal it`.
    name: String,
    /// The package's folder, where it runs.
    folder: PathBuf,
    file: PathBuf,
}

/// Sees to it that what the tests need is there, and runs them; with more arguments, as `cargo test` takes them.
///
/// The checks against the outside find their Python in `BOARDWRIGHT_PYTHON`.
pub fn run(root: &Path, install: Install, arguments: &[String]) -> Result<()> {
    let python = needs::provide(root, install)?;
    if !arguments.is_empty() {
        let mut command = process::cargo(root, &["test", "--workspace"]);
        return process::run(command.args(arguments).env("BOARDWRIGHT_PYTHON", python));
    }
    let built = process::stdout(&mut process::cargo(
        root,
        &["test", "--workspace", "--no-run", "--message-format=json-render-diagnostics"],
    ))?;
    let programs = in_order(programs(&String::from_utf8_lossy(&built))?);
    let failed = beside(&programs, &python);
    if !failed.is_empty() {
        bail!("tests failed in {}", failed.join(", "));
    }
    process::run(&mut process::cargo(root, &["test", "--workspace", "--doc"]))
}

/// The programs of tests in what cargo tells of a build, one message to a line.
fn programs(told: &str) -> Result<BTreeSet<Program>> {
    let mut out = BTreeSet::new();
    for line in told.lines().filter(|line| line.starts_with('{')) {
        let message: Value = serde_json::from_str(line).context("cargo told something that is no JSON")?;
        let is_test = message["profile"]["test"] == Value::Bool(true);
        let Some(file) = message["executable"].as_str().filter(|_| is_test) else { continue };
        let manifest = PathBuf::from(message["manifest_path"].as_str().context("a program of no package")?);
        let folder = manifest.parent().context("a package of no folder")?.to_path_buf();
        let package = folder.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        let name = format!("{package} {}", message["target"]["name"].as_str().unwrap_or_default());
        out.insert(Program { name, folder, file: file.into() });
    }
    Ok(out)
}

/// Those that take longest first, the others by name.
fn in_order(programs: BTreeSet<Program>) -> Vec<Program> {
    let mut out: Vec<Program> = programs.into_iter().collect();
    out.sort_by_key(|program| LONG.iter().position(|name| *name == program.name).unwrap_or(LONG.len()));
    out
}

/// Runs them, so many at a time, shows what each printed once it has ended, and names those that failed.
fn beside(programs: &[Program], python: &Path) -> Vec<String> {
    let (next, failed) = (Mutex::new(programs.iter()), Mutex::new(Vec::new()));
    let take = || next.lock().unwrap_or_else(PoisonError::into_inner).next();
    std::thread::scope(|scope| {
        for _ in 0..BESIDE {
            scope.spawn(|| {
                while let Some(program) = take() {
                    let (passed, told) = one(program, python);
                    // Held while it is shown, so that what two of them printed stays apart.
                    let mut failed = failed.lock().unwrap_or_else(PoisonError::into_inner);
                    console::say(&told);
                    if !passed {
                        failed.push(program.name.clone());
                    }
                }
            });
        }
    });
    failed.into_inner().unwrap_or_else(PoisonError::into_inner)
}

/// Runs one, as cargo would: whether it passed, and what it printed.
fn one(program: &Program, python: &Path) -> (bool, String) {
    let mut command = Command::new(&program.file);
    command
        .current_dir(&program.folder)
        .env("CARGO_MANIFEST_DIR", &program.folder)
        .env("BOARDWRIGHT_PYTHON", python)
        .stdin(Stdio::null());
    let mut told = format!("== tests of {}\n", program.name);
    match command.output() {
        Ok(output) => {
            for part in [&output.stdout, &output.stderr] {
                let _ = write!(told, "{}", String::from_utf8_lossy(part));
            }
            (output.status.success(), told)
        }
        Err(error) => (false, format!("{told}cannot start {}: {error}", program.file.display())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TOLD: &str = r#"{"reason":"compiler-artifact","manifest_path":"/w/crates/rig/Cargo.toml","target":{"name":"it"},"profile":{"test":true},"executable":"/w/t/it-1"}
{"reason":"compiler-artifact","manifest_path":"/w/crates/rig/Cargo.toml","target":{"name":"rig"},"profile":{"test":false},"executable":null}
{"reason":"compiler-artifact","manifest_path":"/w/crates/workbench/Cargo.toml","target":{"name":"browser"},"profile":{"test":true},"executable":"/w/t/browser-1"}
{"reason":"build-finished","success":true}
"#;

    #[test]
    fn programs_of_tests_are_told_apart_and_the_long_ones_begin() {
        let found = in_order(programs(TOLD).unwrap());
        let names: Vec<&str> = found.iter().map(|program| program.name.as_str()).collect();
        assert_eq!(names, ["workbench browser", "rig it"]);
        assert_eq!(found[1].folder, Path::new("/w/crates/rig"));
    }

    #[cfg(unix)]
    #[test]
    fn what_fails_is_named_and_the_others_run() {
        let program = |name: &str, file: &str| Program {
            name: name.to_owned(),
            folder: PathBuf::from("/"),
            file: PathBuf::from(file),
        };
        let programs = [program("good", "true"), program("bad", "false"), program("lost", "no-such-program")];
        let mut failed = beside(&programs, Path::new(""));
        failed.sort();
        assert_eq!(failed, ["bad", "lost"]);
    }
}
