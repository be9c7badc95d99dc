//! `cargo xtask cut FILE`: published bin packing problems through the cut planner.

use std::path::Path;

use anyhow::{Context as _, Result};

use crate::{console, process};

/// Solves every problem of the file and prints JSON: `problems[]` with `bins`, `proven` and `wall_ms`.
///
/// The work is an example of the crate `leads`: this crate stands alone and links none of the product.
pub fn run(root: &Path, file: &Path) -> Result<()> {
    let file = std::path::absolute(file).with_context(|| format!("{} is no path", file.display()))?;
    let mut command =
        process::cargo(root, &["run", "--quiet", "--package", "leads", "--example", "cut", "--"]);
    let printed = process::stdout(command.arg(file))?;
    console::print(String::from_utf8_lossy(&printed).trim_end());
    Ok(())
}
