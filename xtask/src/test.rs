//! `cargo xtask test`: what the tests need, then the tests.

use std::path::Path;

use anyhow::Result;

use crate::{needs, process};

/// Provides what the tests need and runs them, with more arguments for `cargo test`.
///
/// The checks against the outside find their Python in `BOARDWRIGHT_PYTHON`.
pub fn run(root: &Path, arguments: &[String]) -> Result<()> {
    let python = needs::provide(root)?;
    let mut command = process::cargo(root, &["test", "--workspace"]);
    process::run(command.args(arguments).env("BOARDWRIGHT_PYTHON", python))
}
