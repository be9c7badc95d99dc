//! Everything that the rules say of forty hard-bypass devices in one run: from the document's rig to the findings, and the
//! full answer of what the signal loses there, advice included.

use std::fmt::Write as _;

use criterion::{Criterion, criterion_group, criterion_main};
use signal::BufferSearch;

/// The allocator of the program, so that what is measured is what users run.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Forty devices that switch hard, every value of their signal measured, in four rows.
fn forty() -> String {
    let mut text = String::from(
        "format = 1\n[job]\ntitle = \"Forty\"\n\
         [source.guitar]\npickup = \"single-coil\"\nlead = \"5 m\"\ncable = \"instrument\"\nplug = \"jack-straight\"\n\
         [sink.amp]\nz = \"1 MΩ\"\nlead = \"3 m\"\ncable = \"instrument\"\nplug = \"jack-straight\"\n\
         [board.deck.main]\nsize = { width = \"1400 mm\", depth = \"800 mm\" }\n\
         [leads]\nsignal = { cable = \"patch-4\", plug = \"jack-flat\" }\n",
    );
    let mut stops = String::from("\"guitar\"");
    for index in 0..40 {
        let _ = write!(
            text,
            "[[device]]\ntag = \"D{index}\"\nkind = \"compact-73x129x59\"\nmass = \"400 g\"\npower = {{ type = \"none\" }}\n\
             signal = {{ bypass = \"hard\", bare_pickup = false, inverts = false, latency = \"0 ms\" }}\n\
             port.IN = {{ z = \"500 kΩ\" }}\nport.OUT = {{ z = \"{} kΩ\" }}\nplace = {{ x = \"{} mm\", y = \"{} mm\" }}\n",
            if index % 2 == 0 { 1 } else { 10 },
            20 + (index % 10) * 130,
            20 + (index / 10) * 180
        );
        let _ = write!(stops, ", \"D{index}\"");
    }
    let _ = write!(text, "[[run]]\nname = \"main\"\nstops = [{stops}, \"amp\"]\n");
    text
}

fn bench(criterion: &mut Criterion) {
    let job = document::read_text("rig.toml", &forty(), None).expect("it reads");
    let derived = || design::derive(job.rig.clone(), job.limits.clone());
    criterion.bench_function("check of forty devices, leads not laid", |bencher| {
        bencher.iter(|| checks::check(&derived()));
    });
    criterion.bench_function("check of forty devices, leads laid", |bencher| {
        bencher.iter(|| checks::check(&derived().laid()));
    });
    let design = derived();
    let (input, config) = (design.signal_input(), design.signal_config());
    criterion.bench_function("signal of forty devices without advice", |bencher| {
        bencher.iter(|| signal::solve_with(&input, &config, BufferSearch::Skip));
    });
    criterion.bench_function("signal of forty devices with advice", |bencher| {
        bencher.iter(|| signal::solve(&input, &config));
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20);
    targets = bench
}
criterion_main!(benches);
