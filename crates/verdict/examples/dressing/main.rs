//! How well the leads of boards are dressed, in figures and pictures.
//!
//! `cargo run -p verdict --example dressing -- OUT DOCUMENT…`: a line for each document, and an SVG of it in `OUT`.
//! With `--arrange MOVES OUT DOCUMENT…` each document is arranged first and written to `OUT` where that passes.

mod figures;
mod picture;

use std::path::{Path, PathBuf};
use std::time::Instant;

use figures::Figures;
use layout::{Config, Input, NeverCancelled, NoProgress};

fn main() {
    let mut arguments: Vec<String> = std::env::args().skip(1).collect();
    if arguments.first().is_some_and(|first| first == "--arrange") {
        let moves = arguments[1].parse().expect("a number of moves");
        arguments[3..].iter().for_each(|path| arrange(Path::new(&arguments[2]), path, moves));
        return;
    }
    let out = PathBuf::from(arguments.remove(0));
    let mut whole = Figures::default();
    say(format_args!("{}", Figures::HEAD));
    for path in &arguments {
        let Some(job) = read(path) else { continue };
        let design = design::derive(job.rig, job.limits);
        let input = design.routes_input();
        let mut least = f64::INFINITY;
        let mut outcome = leads::solve(&input);
        for _ in 0..3 {
            let begun = now();
            outcome = leads::solve(&input);
            least = least.min(begun.elapsed().as_secs_f64() * 1000.0);
        }
        let name = name(path);
        let figures = Figures::of(&input, &outcome, least);
        say(format_args!("{}", figures.line(&name)));
        for line in &figures.worst {
            say(format_args!("    {line}"));
        }
        let breaches = leads::verify::verify(&input, &outcome).breaches;
        for breach in &breaches {
            say(format_args!("    BREACH {}: {}", breach.lead, breach.what));
        }
        for failed in &outcome.failed {
            say(format_args!("    FAILED {}: {}", failed.id, failed.why));
        }
        std::fs::write(out.join(format!("{name}.svg")), picture::svg(&input, &outcome)).expect("written");
        whole.add(&figures);
    }
    say(format_args!("{}", whole.line("ALL")));
}

fn read(path: &str) -> Option<document::Job> {
    match document::read(Path::new(path), None) {
        Ok(job) => Some(job),
        Err(error) => {
            say(format_args!("{path}: {error}"));
            None
        }
    }
}

/// The folder of a `rig.toml`, else the file's own name.
fn name(path: &str) -> String {
    let path = Path::new(path);
    let stem = path.file_stem().unwrap_or_default();
    let own = if stem == "rig" { path.parent().and_then(Path::file_name).unwrap_or(stem) } else { stem };
    own.to_string_lossy().into_owned()
}

fn arrange(out: &Path, path: &str, moves: u64) {
    let Some(job) = read(path) else { return };
    let today = checks::check(&design::derive(job.rig.clone(), job.limits.clone()).laid());
    let input = Input::from_rig(&job.rig, &job.limits)
        .with_stock(job.catalogue.plugs())
        .with_boards(job.catalogue.boards());
    let config = Config { moves, alternatives: 1, relax: false, ..Config::standard() };
    let arranged = verdict::arrange(&job, &today, &input, &config, &NoProgress, &NeverCancelled);
    say(format_args!("{}: {}", name(path), if arranged.fits() { "fits" } else { "does not fit" }));
    if arranged.fits()
        && let Ok(text) = document::edit::apply(job.text(), &arranged.outcome.edit)
    {
        std::fs::write(out.join(format!("{}-arranged.toml", name(path))), text).expect("written");
    }
}

#[expect(clippy::print_stdout, reason = "the figures are data on stdout")]
fn say(line: std::fmt::Arguments<'_>) {
    println!("{line}");
}

#[expect(clippy::disallowed_methods, reason = "the time is what is reported; nothing is decided by it")]
fn now() -> Instant {
    Instant::now()
}
