//! Which chore a command line asks for, and the exit code it ends with.

use std::path::PathBuf;
use std::process::ExitCode;

use crate::generate::Mode;
use crate::needs::Install;
use crate::package::{self, Profile};
use crate::{ci, console, cut, floorplan, floorplan_table, gap, generate, soak, test, tidy, tree};

const USAGE: &str = "\
usage: cargo xtask COMMAND

  ci [--install]      format, tidy, lints, docs, generated files, package, tests: all that a change must pass
  test [--install] [ARGS…]
                      `cargo test --workspace ARGS…`, once what the tests need is there; with --install it is installed,
                      else what is missing is told
  tidy                hold the tree to its map, its licences and its habits
  generate [--check]  write the generated files, or name the stale ones
  cut FILE            solve the bin packing problems of a file, as JSON
  gap FILE [SECONDS]  solve the generalised assignment problems of a file, so many seconds each, as JSON
  floorplan BLOCKS NETS PL [--outline W,H | --whitespace 0.15] [--pads file|scaled] [--rotate] --moves N --seed S
            [--threads T] [--cancel-after SECONDS] [--until MOVES]
                      place the blocks of a published instance, as JSON
  floorplan-table [--install]
                      write docs/floorplan.md: the published instances beside a general solver
  package [--dev]     the archive to hand out, in target/package; with --dev around the program that the tests built
  soak [SEED [RUN]]   the long runs of the tests, or those with a word in their name, recorded in docs/soak.md

exit codes: 0 all is well, 1 something is not, 2 the command is unknown";

/// The option that lets a chore install what it needs.
const INSTALL: &str = "--install";

/// A chore with what it was given.
#[derive(Debug, PartialEq, Eq)]
enum Command {
    Ci(Install),
    Test(Install, Vec<String>),
    Tidy,
    Generate(Mode),
    Package(Profile),
    Soak(u64, String),
    Gap(PathBuf, Option<u64>),
    Floorplan(Vec<String>),
    FloorplanTable(Install),
    Cut(PathBuf),
}

/// Reads the command line; nothing when it asks for no chore we know.
fn parse(arguments: &[String]) -> Option<Command> {
    let (name, rest) = arguments.split_first()?;
    let rest_words: Vec<&str> = rest.iter().map(String::as_str).collect();
    match (name.as_str(), rest_words.as_slice()) {
        ("ci", []) => Some(Command::Ci(Install::Unasked)),
        ("ci", [INSTALL]) => Some(Command::Ci(Install::Asked)),
        ("test", [INSTALL, ..]) => Some(Command::Test(Install::Asked, rest[1..].to_vec())),
        ("test", _) => Some(Command::Test(Install::Unasked, rest.to_vec())),
        ("tidy", []) => Some(Command::Tidy),
        ("generate", []) => Some(Command::Generate(Mode::Write)),
        ("generate", ["--check"]) => Some(Command::Generate(Mode::Check)),
        ("package", []) => Some(Command::Package(Profile::Release)),
        ("package", ["--dev"]) => Some(Command::Package(Profile::Dev)),
        ("soak", []) => Some(Command::Soak(1, String::new())),
        ("soak", [seed]) => Some(Command::Soak(seed.parse().ok()?, String::new())),
        ("soak", [seed, run]) => Some(Command::Soak(seed.parse().ok()?, (*run).to_owned())),
        ("floorplan", [_, _, _, ..]) => Some(Command::Floorplan(rest.to_vec())),
        ("floorplan-table", []) => Some(Command::FloorplanTable(Install::Unasked)),
        ("floorplan-table", [INSTALL]) => Some(Command::FloorplanTable(Install::Asked)),
        ("cut", [file]) => Some(Command::Cut(PathBuf::from(file))),
        ("gap", [file]) => Some(Command::Gap(PathBuf::from(file), None)),
        ("gap", [file, seconds]) => Some(Command::Gap(PathBuf::from(file), Some(seconds.parse().ok()?))),
        _ => None,
    }
}

/// Runs the chore that the arguments (without the program's name) ask for.
pub fn main(arguments: &[String]) -> ExitCode {
    let Some(command) = parse(arguments) else {
        console::say(USAGE);
        return ExitCode::from(2);
    };
    let done = tree::root().and_then(|root| match command {
        Command::Ci(install) => ci::run(&root, install),
        Command::Test(install, arguments) => test::run(&root, install, &arguments),
        Command::Tidy => tidy::run(&root),
        Command::Generate(mode) => generate::run(&root, mode),
        Command::Cut(file) => cut::run(&root, &file),
        Command::Gap(file, seconds) => gap::run(&root, &file, seconds),
        Command::Floorplan(arguments) => floorplan::run(&root, &arguments),
        Command::FloorplanTable(install) => floorplan_table::run(&root, install),
        Command::Package(profile) => package::run(&root, profile),
        Command::Soak(seed, only) => soak::run(&root, seed, &only),
    });
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            console::say(&format!("xtask: {error:#}"));
            ExitCode::FAILURE
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parsed(line: &str) -> Option<Command> {
        let words: Vec<String> = line.split_whitespace().map(str::to_owned).collect();
        parse(&words)
    }

    #[test]
    fn each_command_is_known() {
        assert_eq!(parsed("ci"), Some(Command::Ci(Install::Unasked)));
        assert_eq!(parsed("ci --install"), Some(Command::Ci(Install::Asked)));
        assert_eq!(parsed("package"), Some(Command::Package(Profile::Release)));
        assert_eq!(parsed("package --dev"), Some(Command::Package(Profile::Dev)));
        assert_eq!(parsed("tidy"), Some(Command::Tidy));
        assert_eq!(parsed("generate"), Some(Command::Generate(Mode::Write)));
        assert_eq!(parsed("generate --check"), Some(Command::Generate(Mode::Check)));
        assert_eq!(parsed("cut a.txt"), Some(Command::Cut(PathBuf::from("a.txt"))));
        assert_eq!(parsed("gap a.txt"), Some(Command::Gap(PathBuf::from("a.txt"), None)));
        assert_eq!(parsed("gap a.txt 10"), Some(Command::Gap(PathBuf::from("a.txt"), Some(10))));
        let words = ["a", "b", "c", "--moves", "9"].map(str::to_owned).to_vec();
        assert_eq!(parsed("floorplan a b c --moves 9"), Some(Command::Floorplan(words)));
        assert_eq!(parsed("floorplan-table"), Some(Command::FloorplanTable(Install::Unasked)));
        assert_eq!(parsed("floorplan-table --install"), Some(Command::FloorplanTable(Install::Asked)));
        let quiet = || vec!["--quiet".to_owned()];
        assert_eq!(parsed("test --quiet"), Some(Command::Test(Install::Unasked, quiet())));
        assert_eq!(parsed("test --install --quiet"), Some(Command::Test(Install::Asked, quiet())));
    }

    #[test]
    fn anything_else_is_not() {
        for line in [
            "",
            "help",
            "ci now",
            "ci --install now",
            "tidy --fix",
            "package --all",
            "generate --all",
            "gap",
            "cut",
            "floorplan a b",
            "floorplan-table now",
        ] {
            assert_eq!(parsed(line), None, "{line}");
        }
    }

    #[test]
    fn an_unknown_command_ends_with_two() {
        assert_eq!(main(&["polish".to_owned()]), ExitCode::from(2));
    }
}
