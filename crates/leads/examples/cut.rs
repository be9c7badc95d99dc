//! Bin packing problems through the cut planner: prints what came of each and how long it took.
//!
//! Two layouts are read. The OR-Library's (J. E. Beasley, Journal of the Operational Research Society 41, 1990): the
//! number of problems, then for each its name, the capacity, the number of items and the best number of bins known, and
//! the sizes. And the one of single problems: the number of items, the capacity, the sizes.

use std::collections::BTreeMap;
use std::process::ExitCode;

use leads::cut::{CutEffort, Piece, Source, plan};
use serde_json::{Value, json};

#[path = "../tests/it/binpack.rs"]
mod binpack;

fn main() -> ExitCode {
    let Some(file) = std::env::args_os().nth(1) else { return refuse("usage: cut FILE") };
    let text = match std::fs::read_to_string(&file) {
        Ok(text) => text,
        Err(error) => return refuse(&format!("{}: {error}", file.display())),
    };
    match binpack::read(&text) {
        Ok(instances) => print(&instances),
        Err(error) => refuse(&format!("{}: {error}", file.display())),
    }
}

#[expect(clippy::print_stderr, reason = "an example speaks to the terminal")]
fn refuse(why: &str) -> ExitCode {
    eprintln!("{why}");
    ExitCode::from(2)
}

#[expect(clippy::print_stdout, reason = "the answer is data on stdout")]
fn print(instances: &[binpack::Instance]) -> ExitCode {
    let problems: Vec<Value> = instances
        .iter()
        .map(|instance| {
            let pieces: Vec<Piece> = (0..)
                .zip(&instance.sizes)
                .map(|(at, &mm): (usize, &i64)| Piece { id: at.to_string(), mm })
                .collect();
            let reel = |at: usize| Source { id: at.to_string(), mm: Some(instance.capacity), reel: true };
            let reels: Vec<Source> = (0..pieces.len()).map(reel).collect();
            let (cuts, wall_ms) = timed(|| plan(&pieces, &reels, 0, 0, &CutEffort::standard()));
            let mut bins: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
            for step in &cuts.steps {
                bins.entry(step.source).or_default().push(step.piece);
            }
            json!({
                "name": instance.name,
                "capacity": instance.capacity,
                "sizes": instance.sizes,
                "bins": cuts.reels,
                "bound": cuts.reels_bound,
                "proven": cuts.is_proven(),
                "packing": bins.into_values().collect::<Vec<_>>(),
                "wall_ms": wall_ms,
            })
        })
        .collect();
    println!("{}", json!({ "problems": problems }));
    ExitCode::SUCCESS
}

/// What a piece of work gave, and the milliseconds it took.
#[expect(clippy::disallowed_methods, reason = "the time is what is reported; nothing is decided by it")]
fn timed<T>(work: impl FnOnce() -> T) -> (T, f64) {
    let start = std::time::Instant::now();
    let done = work();
    (done, start.elapsed().as_secs_f64() * 1e3)
}
