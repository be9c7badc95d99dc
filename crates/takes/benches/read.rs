//! A recording of 60 s, 96 kHz, two channels, read from its bytes.

use criterion::{Criterion, criterion_group, criterion_main};
use takes::hear;
use takes::signals::{Side, played};
use takes::wav::{Depth, read, write};

/// The allocator of the program, so that what is measured is what users run.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn minute(criterion: &mut Criterion) {
    let rate = 96_000;
    let sides = [Side::Left, Side::Right].map(|side| {
        // Hiss that is no silence, by a simple generator.
        let mut seed = 1_u32;
        let mut samples = vec![0.0; 20 * 96_000];
        samples.extend(played(rate, side));
        samples.resize(60 * 96_000, 0.0);
        for value in &mut samples {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            *value += 1e-5 * (f64::from(seed) / 2_147_483_648.0 - 1.0);
        }
        samples
    });
    let mut file = std::io::Cursor::new(Vec::new());
    write(&mut file, rate, Depth::Pcm24, &[&sides[0], &sides[1]]).expect("it is written");
    let bytes = file.into_inner();
    criterion.bench_function("60 s, 96 kHz, stereo", |bencher| {
        bencher.iter(|| hear(&read(&bytes).expect("a WAV file")).expect("the signals"));
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = minute
}
criterion_main!(benches);
