//! The command line: reads a job, calls the crates, shows what they say.
//!
//! Data goes to standard output, everything else to standard error. Exit codes: 0 clean, 1 findings of
//! severity *stop*, 2 input that cannot be read, 3 a bug.

mod args;
mod commands;
mod loaded;
mod render;
mod shell;
mod written;

use std::process::ExitCode;

use clap::Parser;

use args::{Arguments, Command};
use shell::Outcome;

/// Engines make and drop many lists of a few kilobytes, which the C library’s allocator is slow at.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    std::panic::set_hook(Box::new(shell::report_a_bug));
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => return shell::usage(&error),
    };
    let result = std::panic::catch_unwind(|| run(arguments.command));
    match result {
        Ok(Ok(outcome)) => outcome.into(),
        Ok(Err(error)) => {
            shell::complain(&error);
            Outcome::Unreadable.into()
        }
        Err(_) => Outcome::Bug.into(),
    }
}

fn run(command: Command) -> anyhow::Result<Outcome> {
    match command {
        Command::Check(options) => commands::check::run(&options),
        Command::Explain(options) => commands::explain::run(&options),
        Command::Accept(options) => commands::accept::run(&options),
        Command::Arrange(options) => commands::arrange::run(&options),
        Command::Feed(options) => commands::feed::run(&options),
        Command::Fault(options) => commands::fault::run(&options),
        Command::Signal(options) => commands::signal::run(&options),
        Command::Leads(options) => commands::leads::run(&options),
        Command::Kinds(options) => commands::kinds::run(&options),
        Command::Stock(options) => commands::stock::run(&options),
        Command::Shop(command) => commands::shop::run(&command),
        Command::Measure(options) => commands::measure::run(&options),
        Command::Number(options) => commands::number::run(&options),
        Command::Quote(options) => commands::quote::run(&options),
        Command::Change(options) => commands::change::run(&options),
        Command::Order(options) => commands::order::run(&options),
        Command::Photo(options) => commands::photo::run(&options),
        Command::Take(options) => commands::take::run(&options),
        Command::Test(options) => commands::test::run(&options),
        Command::Papers(options) => commands::papers::run(&options),
        Command::Export(options) => commands::export::run(&options),
        Command::New(options) => commands::new::run(&options),
        Command::Bench(options) => commands::bench::run(&options),
        Command::Generate(options) => commands::generate::run(&options),
    }
}
