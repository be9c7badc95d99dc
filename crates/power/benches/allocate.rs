//! Boards of thirty devices on thirty-two outlets, with pairs and sharing; small rigs, possible and impossible; sixty
//! devices on thirty-two outlets.

use criterion::{Criterion, criterion_group, criterion_main};
use power::{Config, Input, solve};
use rig::Limits;
use std::hint::black_box;

/// The allocator of the program, so that what is measured is what users run.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

#[path = "../tests/it/overfull.rs"]
mod overfull;
#[path = "../tests/it/rigs.rs"]
mod rigs;

fn boards(bench: &mut Criterion) {
    let inputs: Vec<Input> =
        (0..8).map(|seed| Input::from_rig(&rigs::board(seed), &Limits::default())).collect();
    let all = Config::standard();
    let three = Config { nodes_length: 0, ..Config::standard() };
    let mut group = bench.benchmark_group("eight boards of 30 devices on 32 outlets");
    group.sample_size(10);
    for (name, config) in [("first three objectives", &three), ("all four objectives", &all)] {
        group.bench_function(name, |bench| {
            bench.iter(|| inputs.iter().for_each(|input| drop(black_box(solve(input, config)))));
        });
    }
    group.finish();
}

fn small(bench: &mut Criterion) {
    let inputs: Vec<Input> =
        (0..20).map(|seed| Input::from_rig(&rigs::small(seed, 7, 2), &Limits::default())).collect();
    bench.bench_function("twenty small rigs, some impossible", |bench| {
        bench.iter(|| inputs.iter().for_each(|input| drop(black_box(solve(input, &Config::standard())))));
    });
    let inputs: Vec<Input> =
        (0..20).map(|seed| Input::from_rig(&rigs::crowded(seed), &Limits::default())).collect();
    bench.bench_function("twenty crowded rigs", |bench| {
        bench.iter(|| inputs.iter().for_each(|input| drop(black_box(solve(input, &Config::standard())))));
    });
}

/// Sixty devices on thirty-two outlets: impossible, with the conflicts and what would help without buying anything.
fn too_many(bench: &mut Criterion) {
    let mut group = bench.benchmark_group("60 devices on 32 outlets, impossible");
    group.sample_size(10);
    for analogue in [10, 50, 80] {
        let input = Input::from_rig(&overfull::overfull(0, analogue), &Limits::default());
        group.bench_function(format!("{analogue} of a hundred analogue"), |bench| {
            bench.iter(|| black_box(solve(&input, &Config::standard())));
        });
    }
    group.finish();
}

criterion_group!(benches, boards, small, too_many);
criterion_main!(benches);
