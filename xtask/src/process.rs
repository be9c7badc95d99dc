//! Runs other programs, and says which one failed.

use std::ffi::OsString;
use std::path::Path;
use std::process::{Command, Stdio};

use anyhow::{Context as _, Result, bail};

/// Commands of cargo that choose versions, and may not: what is tested is what `Cargo.lock` says.
const CHOOSING: &[&str] = &["bench", "build", "check", "clippy", "doc", "metadata", "run", "test", "tree"];

/// The cargo that runs this chore, to be run in `root`, with the versions of the lock file.
pub(crate) fn cargo(root: &Path, arguments: &[&str]) -> Command {
    let program = std::env::var_os("CARGO").unwrap_or_else(|| OsString::from("cargo"));
    let mut command = Command::new(program);
    if let Some((name, rest)) = arguments.split_first() {
        command.arg(name);
        if CHOOSING.contains(name) {
            command.arg("--locked");
        }
        command.args(rest);
    }
    command.current_dir(root);
    command
}

/// Runs a program with its output shown; anything but success is an error that names the command.
pub(crate) fn run(command: &mut Command) -> Result<()> {
    let status = command.status().with_context(|| format!("cannot start `{}`", line(command)))?;
    if !status.success() {
        bail!("`{}` failed ({status})", line(command));
    }
    Ok(())
}

/// Runs a program and hands back what it printed on stdout, byte for byte; its stderr is shown.
pub(crate) fn stdout(command: &mut Command) -> Result<Vec<u8>> {
    let output = command
        .stderr(Stdio::inherit())
        .output()
        .with_context(|| format!("cannot start `{}`", line(command)))?;
    if !output.status.success() {
        bail!("`{}` failed ({})", line(command), output.status);
    }
    Ok(output.stdout)
}

/// Runs a program without showing anything, and tells whether it was there and succeeded.
pub(crate) fn succeeds(command: &mut Command) -> bool {
    command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|s| s.success())
}

/// The command as a person would type it, with the program's folder left out.
fn line(command: &Command) -> String {
    let program = Path::new(command.get_program());
    let name = program.file_name().unwrap_or(program.as_os_str());
    std::iter::once(name)
        .chain(command.get_args())
        .map(|word| word.to_string_lossy())
        .collect::<Vec<_>>()
        .join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_program_that_cannot_start_is_named() {
        let mut command = Command::new("no-such-folder/no-such-program");
        let error = run(command.args(["do", "this"])).unwrap_err();
        assert_eq!(error.to_string(), "cannot start `no-such-program do this`");
    }

    #[test]
    fn versions_are_those_of_the_lock_file() {
        let told = |arguments: &[&str]| line(&cargo(Path::new("."), arguments));
        assert!(told(&["test", "--workspace"]).ends_with(" test --locked --workspace"));
        assert!(told(&["run", "--", "check"]).ends_with(" run --locked -- check"));
        assert!(told(&["fmt", "--all"]).ends_with(" fmt --all"));
        assert!(told(&["--version"]).ends_with(" --version"));
    }

    #[test]
    fn what_is_printed_comes_back_as_it_is() {
        let printed = stdout(&mut cargo(Path::new("."), &["--version"])).unwrap();
        assert!(printed.starts_with(b"cargo "));
        assert!(!succeeds(&mut cargo(Path::new("."), &["no-such-subcommand"])));
    }

    #[test]
    fn a_program_that_is_not_there_does_not_succeed() {
        assert!(!succeeds(&mut Command::new("no-such-program-of-ours")));
    }
}
