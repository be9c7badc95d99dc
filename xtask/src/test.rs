//! `cargo xtask test`: what the tests need, then the tests.

use std::path::Path;

use anyhow::Result;

use crate::needs::{self, Install};
use crate::process;

/// Sees to it that what the tests need is there, and runs them, with more arguments for `cargo test`.
///
/// The checks against the outside find their Python in `BOARDWRIGHT_PYTHON`.
pub fn run(root: &Path, install: Install, arguments: &[String]) -> Result<()> {
    let python = needs::provide(root, install)?;
    let mut command = process::cargo(root, &["test", "--workspace"]);
    process::run(command.args(arguments).env("BOARDWRIGHT_PYTHON", python))
}
