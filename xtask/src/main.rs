//! `cargo xtask COMMAND`: see `xtask::command` for the commands.

use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    xtask::command::main(&arguments)
}
