//! Where the chores speak: remarks are data and go to stdout, all else to stderr.

/// Tells the person at the terminal something.
#[expect(clippy::print_stderr, reason = "the one place where the chores talk to the terminal")]
pub(crate) fn say(text: &str) {
    eprintln!("{text}");
}

/// Prints one line of what a chore found.
#[expect(clippy::print_stdout, reason = "the one place where the chores print what they found")]
pub(crate) fn print(text: &str) {
    println!("{text}");
}
