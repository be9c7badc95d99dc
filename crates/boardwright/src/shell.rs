//! The only place that prints.

use anyhow::Context as _;
use std::io::{IsTerminal, Write};
use std::process::ExitCode;

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// Nothing stands in the way.
    Clean,
    /// There are open findings of severity *stop*.
    Stop,
    /// The input cannot be read.
    Unreadable,
    /// The program is at fault.
    Bug,
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        Self::from(match outcome {
            Outcome::Clean => 0,
            Outcome::Stop => 1,
            Outcome::Unreadable => 2,
            Outcome::Bug => 3,
        })
    }
}

/// Writes data to standard output. A closed pipe (`| head`) is no error.
pub(crate) fn data(text: &str) -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
        other => other,
    }
}

/// Says something to the person, on standard error.
pub(crate) fn say(text: &str) {
    // There is nobody left to tell when standard error is closed.
    let _ = writeln!(std::io::stderr().lock(), "{text}");
}

/// Opens a shop, and says what is wrong with it and what to do.
pub(crate) fn open_shop(folder: &std::path::Path) -> Result<store::Store, store::StoreError> {
    let store = store::Store::open(folder)?;
    if let Some(told) = store.told() {
        say(&format!("boardwright: {told}"));
    }
    Ok(store)
}

/// The journal of a shop; nothing where it has none yet. To look makes none.
pub(crate) fn journal_of(shop: &std::path::Path) -> anyhow::Result<Option<store::Store>> {
    if !store::has_journal(shop) {
        return Ok(None);
    }
    let opened = open_shop(shop);
    Ok(Some(opened.with_context(|| format!("cannot read the journal of `{}`", shop.display()))?))
}

/// Shows how far something is, on one line that the next overwrites; only when a person watches.
pub(crate) fn progress(text: &str) {
    let mut err = std::io::stderr().lock();
    if err.is_terminal() {
        // Best effort: without a terminal there is nobody to show it to. Clearing to the end of the line is ECMA-48's EL.
        let _ = write!(err, "\r{text}\x1b[K");
        let _ = err.flush();
    }
}

/// An answer that the second check does not find is not given; `undone` is what was not done with it.
pub(crate) fn agreed(breaches: &[String], undone: &str) -> anyhow::Result<()> {
    anyhow::ensure!(
        breaches.is_empty(),
        "a fault of this program: the second check does not agree ({}). Nothing was {undone}; please report it with the \
         document",
        breaches.join("; ")
    );
    Ok(())
}

/// Whether text shown to the person may be coloured.
pub(crate) fn may_colour(data: bool) -> bool {
    let terminal = if data { std::io::stdout().is_terminal() } else { std::io::stderr().is_terminal() };
    terminal && std::env::var_os("NO_COLOR").is_none()
}

/// Shows why a command could not go on.
pub(crate) fn complain(error: &anyhow::Error) {
    if let Some(document::ReadError::Problems { problems, files }) = error.downcast_ref() {
        say(crate::render::problems::text(problems, files, may_colour(false)).trim_end());
        return;
    }
    say(&format!("boardwright: {error:#}"));
}

/// Shows help or a wrong use of the command line.
pub(crate) fn usage(error: &clap::Error) -> ExitCode {
    let text = error.render();
    if error.use_stderr() {
        if may_colour(false) {
            say(text.ansi().to_string().trim_end());
        } else {
            say(text.to_string().trim_end());
        }
        return Outcome::Unreadable.into();
    }
    match data(&text.to_string()) {
        Ok(()) => Outcome::Clean.into(),
        Err(_) => Outcome::Unreadable.into(),
    }
}

/// The panic hook: a bug has its own exit code and asks for a report.
pub(crate) fn report_a_bug(panic: &std::panic::PanicHookInfo<'_>) {
    let place = panic.location().map_or_else(String::new, |at| format!(" at {}:{}", at.file(), at.line()));
    let what = panic
        .payload()
        .downcast_ref::<&str>()
        .map(|text| (*text).to_owned())
        .or_else(|| panic.payload().downcast_ref::<String>().cloned())
        .unwrap_or_default();
    say(&format!(
        "boardwright: this is a bug in the program{place}: {what}\nYour files are as they were. Please report it with the document that brought it about."
    ));
}
