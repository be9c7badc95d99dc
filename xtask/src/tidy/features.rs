//! The program alone and the tests of the whole workspace ask each package for the same features.
//!
//! Where they do not, cargo builds the package twice, and everything that rests on it: `cargo run` after `cargo test`
//! would compile the typesetter a second time, and so would the documentation. What a test's package asks for is
//! therefore asked for by `crates/boardwright/Cargo.toml` too.

use std::collections::BTreeSet;

use anyhow::Result;

use super::{Project, Remark};
use crate::process;

const MANIFEST: &str = "crates/boardwright/Cargo.toml";

/// Packages that may differ: only the workbench's server rests on them, and it needs no client.
const MAY_DIFFER: &[&str] = &["hyper", "hyper-util"];

pub(super) fn check(project: &Project) -> Result<Vec<Remark>> {
    let asked = |which: &[&str]| {
        let mut command =
            process::cargo(project.tree.root(), &["tree", "--prefix", "none", "--format", "{p}|{f}"]);
        process::stdout(command.args(which)).map(|printed| String::from_utf8_lossy(&printed).into_owned())
    };
    let alone = asked(&["--package", "boardwright", "--edges", "normal,build"])?;
    let tested = asked(&["--workspace", "--edges", "normal,build,dev"])?;
    Ok(judge(&alone, &tested))
}

fn judge(alone: &str, tested: &str) -> Vec<Remark> {
    let tested = lines(tested);
    lines(alone)
        .difference(&tested)
        .filter_map(|line| line.split_once('|'))
        .filter(|(package, _)| !MAY_DIFFER.iter().any(|name| package.split(' ').next() == Some(*name)))
        .map(|(package, features)| {
            let others = tested.iter().filter_map(|line| line.strip_prefix(package)?.strip_prefix('|'));
            let others = others.collect::<Vec<_>>().join("` or `");
            let what = format!(
                "`{package}` has the features `{features}` in the program, and `{others}` beside the tests"
            );
            Remark::new(MANIFEST, 1, what, "the same: ask for what the tests' packages ask for")
        })
        .collect()
}

/// Each package with its features once; a mark that its own packages stand elsewhere is left out.
fn lines(printed: &str) -> BTreeSet<&str> {
    printed.lines().map(|line| line.trim_end_matches(" (*)")).filter(|line| !line.is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fires() {
        let remarks = judge("a v1.0.0|std\nb v1.0.0|\n", "a v1.0.0|extra,std (*)\nb v1.0.0|\n");
        assert_eq!(remarks.len(), 1);
        assert!(remarks[0].what.contains("features `std` in the program, and `extra,std` beside the tests"));
    }

    #[test]
    fn silent() {
        let host_and_target = "a v1.0.0|\na v1.0.0|std\nc v2.0.0|x\nhyper v1.0.0|client\n";
        assert_eq!(judge("a v1.0.0|std (*)\nhyper v1.0.0|\n", host_and_target), []);
    }
}
