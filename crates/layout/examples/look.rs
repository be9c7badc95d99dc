//! The examples by hand and arranged, by the figures that a builder looks at first.
//!
//! `cargo run -p layout --example look [MOVES] [NAME...]`

use std::time::Instant;

use layout::verify::{Rows, rows};
use layout::{Config, Never, Outcome, Silent, Terms, measure, solve};

#[path = "../tests/it/boards.rs"]
#[expect(dead_code, reason = "the tests use more of it")]
mod boards;

fn print(name: &str, outcome: &Outcome) {
    let Rows { pairs: equal, near_misses: near, .. } = rows(&outcome.rig);
    print!("{name:<9} pairs {equal:>3} near {near:>2}");
    for (term, value) in Terms::NAMES.iter().zip(outcome.terms.raw()) {
        print!(" {term} {value:.0}");
    }
    println!(" total {:.0} fits {}", outcome.total, outcome.feasible);
}

fn main() {
    let mut args = std::env::args().skip(1);
    let moves = args.next().and_then(|text| text.parse().ok()).unwrap_or(320_000);
    let only: Vec<String> = args.collect();
    for name in boards::EXAMPLES.map(|name| format!("{name}-corrected")) {
        if !only.is_empty() && !only.iter().any(|only| name.starts_with(only.as_str())) {
            continue;
        }
        let job = boards::job(&name);
        let input = boards::input(&job);
        let config = Config { moves, alternatives: 0, relax: false, ..Config::of_shop(&job.limits) };
        println!("{name}");
        print("by hand", &measure(&input, &config));
        let from = Instant::now();
        let outcome = solve(&input.unplaced(), &config, &Silent, &Never);
        print(&format!("{:.1} s", from.elapsed().as_secs_f64()), &outcome);
    }
}
