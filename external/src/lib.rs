//! Checks against the outside: published tables and independent programs, each with its source beside it.
//!
//! This crate has no code of its own to ship; [`python`] finds the interpreter that runs the peers.

use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Stdio};

/// A command that runs a Python script of this folder with the peers' packages installed.
///
/// `cargo xtask test` makes the interpreter's environment and names it in `BOARDWRIGHT_PYTHON`.
pub fn python(script: &str) -> Command {
    let interpreter = std::env::var_os("BOARDWRIGHT_PYTHON").unwrap_or_else(|| "python3".into());
    let mut command = Command::new(interpreter);
    command.arg(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(script));
    command
}

/// Runs a script of this folder on a text and tells whether it is content, and what it says.
///
/// # Panics
/// When there is no Python, or it does not take the text.
pub fn peer(script: &str, arguments: &[&str], text: &str) -> (bool, String) {
    let mut child = python(script)
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("Python runs; `cargo xtask test` installs it");
    let mut pipe = child.stdin.take().expect("a pipe");
    let text = text.to_owned();
    // The peer answers while it reads; whoever writes must not wait for it.
    let writer = std::thread::spawn(move || pipe.write_all(text.as_bytes()));
    let out = child.wait_with_output().expect("it ends");
    // One that gives up early says why.
    let is_written = writer.join().expect("it ends").is_ok();
    let said = String::from_utf8_lossy(&out.stdout).into_owned() + &String::from_utf8_lossy(&out.stderr);
    (out.status.success() && is_written, said)
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
