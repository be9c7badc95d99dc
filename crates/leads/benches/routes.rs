//! Sixty leads on two decks: all from scratch, and after one move.

use criterion::{Criterion, criterion_group, criterion_main};
use leads::{preview, solve};
use std::hint::black_box;

/// The allocator of the program, so that what is measured is what users run.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

#[path = "../tests/it/boards.rs"]
mod boards;
#[path = "../tests/it/ends.rs"]
mod ends;

fn routes(bench: &mut Criterion) {
    // Thirty pedals: thirty DC leads and twenty-nine patch leads.
    let input = boards::board(5, 30, 2);
    let outcome = solve(&input);
    let mut moved = input.clone();
    for body in moved.bodies.iter_mut().filter(|body| body.owner == "P07") {
        body.low[0] += 5.0;
        body.high[0] += 5.0;
    }
    for end in moved.leads.iter_mut().flat_map(|lead| [&mut lead.from, &mut lead.to]) {
        if end.port.starts_with("P07.") {
            end.at[0] += 5.0;
        }
    }
    let mut group = bench.benchmark_group("59 leads on two decks");
    group.sample_size(10);
    group.bench_function("from scratch", |bench| bench.iter(|| black_box(solve(&input))));
    group
        .bench_function("after one move", |bench| bench.iter(|| black_box(preview(&moved, &outcome, "P07"))));
    group.finish();
}

criterion_group!(benches, routes);
criterion_main!(benches);
