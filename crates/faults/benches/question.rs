//! A question at sixty devices: suspects, trials and the next best one, from nothing.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use faults::{Answer, Complaint, Config, Given, Symptom, Walk, around};

#[path = "../tests/it/chain.rs"]
mod chain;

use chain::{branched, chain};

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn question(criterion: &mut Criterion) {
    let told = |trial: &str, answer| Given { trial: trial.into(), answer };
    let halved = vec![told("into:D30.IN", Answer::Yes)];
    // As many left as are still followed to the end.
    let fewer = vec![told("into:D30.IN", Answer::Yes), told("into:D6.IN", Answer::No)];
    let input = chain(60);
    for (name, input) in [("in a row", &input), ("in branches", &branched(60))] {
        for symptom in [Symptom::Dead, Symptom::Crackle] {
            for (given, left) in [(&halved, "half"), (&fewer, "fewer")] {
                let complaint = Complaint::new(symptom, 0);
                let title = format!("question at 60 devices {name}, {left} left, {}", symptom.word());
                criterion.bench_function(&title, |bench| {
                    bench.iter(|| {
                        let walk = Walk::new(black_box(input), &complaint, &Config::default(), given);
                        walk.next().map(|next| next.bits)
                    });
                });
            }
        }
    }
    let complaint = Complaint::new(Symptom::Dead, 0);
    let broken = [input.part("D30").unwrap_or(0)];
    criterion.bench_function("ways around at 60 devices", |bench| {
        bench.iter(|| around(black_box(&input), &complaint, &broken).len());
    });
}

criterion_group!(benches, question);
criterion_main!(benches);
