//! A question at sixty devices: suspects, trials and the next best one, from nothing.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use faults::{Answer, Complaint, Config, Given, Symptom, Walk, around};

#[path = "../tests/it/chain.rs"]
mod chain;

use chain::chain;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn question(criterion: &mut Criterion) {
    let input = chain(60);
    for symptom in [Symptom::Dead, Symptom::Crackle] {
        let complaint = Complaint::new(symptom, 0);
        let given = [Given { trial: "into:D30.IN".into(), answer: Answer::Yes }];
        criterion.bench_function(&format!("question at 60 devices, {}", symptom.word()), |bench| {
            bench.iter(|| {
                let walk = Walk::new(black_box(&input), &complaint, &Config::default(), &given);
                walk.next().map(|next| next.bits)
            });
        });
    }
    let complaint = Complaint::new(Symptom::Dead, 0);
    let broken = [input.part("D30").unwrap_or(0)];
    criterion.bench_function("ways around at 60 devices", |bench| {
        bench.iter(|| around(black_box(&input), &complaint, &broken).len());
    });
}

criterion_group!(benches, question);
criterion_main!(benches);
