//! `cargo xtask gap FILE [SECONDS]`: published assignment problems through the search core of the power allocation.

use std::os::unix::process::CommandExt as _;
use std::path::Path;

use anyhow::{Context as _, Result};

use crate::process;

/// Solves every problem of the file and prints JSON: `problems[]` with `value`, `proven` and `wall_ms`. A problem that takes
/// longer than `seconds` is stopped; what was found by then is printed.
///
/// The work is an example of the crate `power`: this crate stands alone and links none of the product. It takes the place
/// of this process, so that whoever stops this stops it, and it prints the best it has.
pub fn run(root: &Path, file: &Path, seconds: Option<u64>) -> Result<()> {
    let file = std::path::absolute(file).with_context(|| format!("{} is no path", file.display()))?;
    let mut command =
        process::cargo(root, &["run", "--quiet", "--package", "power", "--example", "gap", "--"]);
    command.arg(file).args(seconds.map(|seconds| seconds.to_string()));
    Err(command.exec()).context("the example does not start")
}
