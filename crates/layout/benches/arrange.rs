//! First answers and good ones on boards of twelve to twenty devices, and how the cost grows to sixty.

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use layout::{Cancel, Config, NeverCancelled, NoProgress, Progress, Report, solve};
use std::hint::black_box;
use std::sync::atomic::{AtomicBool, Ordering};

/// The allocator of the program, so that what is measured is what users run.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

#[path = "../tests/it/boards.rs"]
#[expect(dead_code, reason = "the tests use more of it")]
mod boards;

/// Ends the search at the first answer that fits.
#[derive(Default)]
struct First(AtomicBool);

impl Progress for First {
    fn round(&self, report: &Report) {
        self.0.store(report.best.is_some(), Ordering::Relaxed);
    }
}

impl Cancel for First {
    fn is_cancelled(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

fn examples(bench: &mut Criterion) {
    let mut group = bench.benchmark_group("examples, unplaced");
    group.sample_size(10);
    for name in boards::EXAMPLES.map(|name| format!("{name}-corrected")) {
        let input = boards::input(&boards::job(&name)).unplaced();
        let config = Config { relax: false, ..Config::standard() };
        group.bench_function(BenchmarkId::new("first", &name), |bench| {
            bench.iter(|| {
                let first = First::default();
                black_box(solve(&input, &config, &first, &first))
            });
        });
        group.bench_function(BenchmarkId::new("good", &name), |bench| {
            bench.iter(|| black_box(solve(&input, &config, &NoProgress, &NeverCancelled)));
        });
    }
    group.finish();
}

fn growth(bench: &mut Criterion) {
    let mut group = bench.benchmark_group("a chain of devices, 20 000 moves");
    group.sample_size(10);
    for count in [10, 20, 40, 60] {
        let input = boards::input(&boards::read(&boards::chain(count)));
        let config = Config { moves: 20_000, relax: false, ..Config::standard() };
        group.bench_function(BenchmarkId::from_parameter(count), |bench| {
            bench.iter(|| black_box(solve(&input, &config, &NoProgress, &NeverCancelled)));
        });
    }
    group.finish();
}

criterion_group!(benches, examples, growth);
criterion_main!(benches);
