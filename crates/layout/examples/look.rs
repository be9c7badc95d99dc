//! The examples by hand and arranged, by the figures that a builder looks at first.
//!
//! `cargo run -p layout --example look [MOVES] [NAME...]`

use std::time::Instant;

use layout::{Config, Never, Outcome, Silent, Terms, measure, solve};
use rig::Rig;

#[path = "../tests/it/boards.rs"]
#[expect(dead_code, reason = "the tests use more of it")]
mod boards;

/// Pairs of foot-worked devices of one deck with one front edge, and those that miss it by under 25 mm.
fn pairs(rig: &Rig) -> (usize, usize) {
    let at = |device: &rig::Device| {
        let place = device.place.as_ref().filter(|place| place.deck != rig::FLOOR && !place.under)?;
        (!device.outside && device.is_touched()).then(|| (place.deck.clone(), place.y))
    };
    let fronts: Vec<_> = rig.devices.iter().filter_map(at).collect();
    let (mut equal, mut near) = (0, 0);
    for (index, a) in fronts.iter().enumerate() {
        for b in fronts[index + 1..].iter().filter(|b| a.0 == b.0) {
            let apart = (a.1 - b.1).abs().as_mm();
            equal += usize::from(apart == 0.0);
            near += usize::from(0.0 < apart && apart < 25.0);
        }
    }
    (equal, near)
}

fn print(name: &str, outcome: &Outcome) {
    let (equal, near) = pairs(&outcome.rig);
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
        let config =
            Config { moves, alternatives: 0, relax: false, ..Config::of_shop(&job.limits) };
        println!("{name}");
        print("by hand", &measure(&input, &config));
        let from = Instant::now();
        let outcome = solve(&input.unplaced(), &config, &Silent, &Never);
        print(&format!("{:.1} s", from.elapsed().as_secs_f64()), &outcome);
        if std::env::var_os("PLACES").is_some() {
            for solid in outcome.boxes.iter().filter(|solid| solid.owner.device().is_some()) {
                let mm = |at: [quantity::Length; 3]| at.map(quantity::Length::as_mm);
                println!("box {} {} {:?} {:?}", solid.class.word(), solid.owner.device().unwrap_or(""), mm(solid.low), mm(solid.high));
            }
        }
    }
}
