//! The band of all 2⁴⁰ states of forty hard-bypass devices, and one state at 301 frequencies.

use criterion::{Criterion, criterion_group, criterion_main};
use signal::model::{Block, EARTH, Model, Part, Terminal, Variant};
use signal::{Sweep, envelope, respond, spice};

/// The allocator of the program, so that what is measured is what users run.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// A guitar, `count` hard-bypass devices with half a metre between, an amp.
fn string(count: usize) -> Model {
    let mut model = Model::new();
    let emf = model.node("EMF");
    let winding = model.node("winding");
    let jack = model.node("jack");
    model.sources.push(Terminal { id: "guitar".into(), node: emf });
    model.add("coil R", emf, winding, Part::Resistor(6050.0));
    model.add("coil L", winding, jack, Part::Inductor(2.2));
    model.add("coil C", jack, EARTH, Part::Capacitor(110e-12));
    model.add("volume", jack, EARTH, Part::Resistor(250e3));
    let tone = model.node("tone");
    model.add("tone pot", jack, tone, Part::Resistor(250e3));
    model.add("tone C", tone, EARTH, Part::Capacitor(22e-9));
    let mut from = jack;
    for number in 0..=count {
        let to = model.node(format!("D{number}.IN"));
        let metres = if number == 0 {
            5.0
        } else if number == count {
            3.0
        } else {
            0.5
        };
        let half = metres * 50e-12 + 15e-12;
        model.add("near", from, EARTH, Part::Capacitor(half));
        model.add("core", from, to, Part::Resistor(0.0842 * metres));
        model.add("far", to, EARTH, Part::Capacitor(half));
        if number == count {
            model.add("amp", to, EARTH, Part::Resistor(1e6));
            model.sinks.push(Terminal { id: "amp".into(), node: to });
            break;
        }
        let out = model.node(format!("D{number}.OUT"));
        let drive = model.node(format!("D{number}.OUT drive"));
        model.add("stray", to, EARTH, Part::Capacitor(15e-12));
        model.add("stray", out, EARTH, Part::Capacitor(15e-12));
        let (mut off, mut on) = (Variant::default(), Variant::default());
        off.add("contact", to, out, Part::Resistor(0.05));
        on.add("input", to, EARTH, Part::Resistor(500e3));
        on.add("output", drive, out, Part::Resistor(if number % 2 == 0 { 1e3 } else { 10e3 }));
        on.stage(format!("D{number}"), vec![to], drive);
        let switch = model.switch(format!("D{number}"), &["bypassed", "engaged"]);
        model.blocks.push(Block { switch, variants: vec![off, on] });
        from = out;
    }
    model
}

fn log_sweep(count: u32) -> Sweep {
    let points = (0..count).map(|k| 20.0 * libm::pow(1000.0, f64::from(k) / f64::from(count - 1)));
    Sweep::new(points.collect())
}

fn bench(criterion: &mut Criterion) {
    let model = string(40);
    let sweep = log_sweep(240);
    criterion.bench_function("band of 2^40 states at 240 frequencies", |bencher| {
        bencher.iter(|| envelope(&model, 0, 0, &sweep, None));
    });
    let sweep = log_sweep(301);
    let off = model.at_rest();
    criterion.bench_function("one state of 40 devices, all off, at 301 frequencies", |bencher| {
        bencher.iter(|| respond(&model, &off, 0, 0, &sweep));
    });
    let half: Vec<u8> = (0..40).map(|number| u8::from(number % 4 == 0)).collect();
    criterion.bench_function("one state of 40 devices, ten on, at 301 frequencies", |bencher| {
        bencher.iter(|| respond(&model, &half, 0, 0, &sweep));
    });
    let small = string(12);
    let off = small.at_rest();
    criterion.bench_function("one state of 12 devices, all off, at 301 frequencies", |bencher| {
        bencher.iter(|| respond(&small, &off, 0, 0, &sweep));
    });
}

/// The same state by ngspice, its start and reading of the file included; left out where it is not installed.
fn beside_ngspice(criterion: &mut Criterion) {
    let model = string(40);
    let file = std::env::temp_dir().join("boardwright-bench.cir");
    let text = spice(&model.circuit(&model.at_rest()), "forty devices, all off", 0);
    let runs = || std::process::Command::new("ngspice").arg("-b").arg(&file).output().is_ok();
    if std::fs::write(&file, text).is_ok() && runs() {
        criterion
            .bench_function("the same state by ngspice at 145 frequencies", |bencher| bencher.iter(runs));
    }
}

criterion_group!(benches, bench, beside_ngspice);
criterion_main!(benches);
