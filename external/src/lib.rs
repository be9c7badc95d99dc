//! Checks against the outside: published tables and independent programs, each with its source beside it.
//!
//! This crate has no code of its own to ship; [`python`] finds the interpreter that runs the peers.

use std::path::PathBuf;
use std::process::Command;

/// A command that runs a Python script of this folder with the peers' packages installed.
///
/// `cargo xtask test` makes the interpreter's environment and names it in `BOARDWRIGHT_PYTHON`.
pub fn python(script: &str) -> Command {
    let interpreter = std::env::var_os("BOARDWRIGHT_PYTHON").unwrap_or_else(|| "python3".into());
    let mut command = Command::new(interpreter);
    command.arg(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(script));
    command
}

/// The folder of an example.
pub fn example(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../examples").join(name)
}

/// Every example, in name order.
pub fn examples() -> Vec<PathBuf> {
    let mut folders: Vec<PathBuf> = std::fs::read_dir(example(""))
        .into_iter()
        .flatten()
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .filter(|path| path.join("rig.toml").is_file())
        .collect();
    folders.sort();
    folders
}
