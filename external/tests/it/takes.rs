//! Recordings of a board, read by us and by SciPy; windows and full scale by their tables.

use std::f64::consts::TAU;

use serde_json::Value;
use takes::signals::{Side, played};
use takes::spectrum::{BLACKMAN_HARRIS, HANN, Window};
use takes::wav::{Depth, read, write};
use takes::{Heard, Take};

/// A number by lot between −1 and 1 (Lehmer's generator with Park and Miller's figures).
fn lot(seed: &mut u64) -> f64 {
    *seed = *seed * 48_271 % 2_147_483_647;
    f64::from(u32::try_from(*seed).expect("31 bits")) / 1_073_741_823.5 - 1.0
}

/// A low pass with a resonance, in the time domain (a state-variable filter), and then a little of the second and third order.
fn board(rate: u32, samples: &[f64], seed: &mut u64) -> Vec<f64> {
    let g = libm::tan(TAU / 2.0 * 4_200.0 / f64::from(rate));
    let k = 0.4;
    let (mut one, mut two) = (0.0, 0.0);
    samples
        .iter()
        .map(|input| {
            let high = (input - (g + k) * one - two) / (1.0 + g * (g + k));
            let band = g * high + one;
            one = g * high + band;
            let low = g * band + two;
            two = g * band + low;
            0.7 * low + 0.01 * low * low + 0.02 * low * low * low + 2e-5 * (lot(seed) + lot(seed))
        })
        .collect()
}

fn recorded(folder: &std::path::Path, name: &str, rate: u32, depth: Depth, samples: &[f64]) -> Heard {
    let path = folder.join(name);
    let mut file = std::io::Cursor::new(Vec::new());
    write(&mut file, rate, depth, &[samples]).expect("it is written");
    std::fs::write(&path, file.get_ref()).expect("it is written");
    takes::hear(&read(file.get_ref()).expect("a WAV file")).expect("a recording of the signals")
}

/// Ours, and what the peer says of the same two files.
fn both(rate: u32, depth: Depth) -> (Heard, Take, Value) {
    let folder = tempfile::tempdir().expect("a folder");
    let mut seed = u64::from(rate);
    let signals = played(rate, Side::Left);
    let late = vec![0.0; 30_000];
    let through = [late.clone(), board(rate, &signals, &mut seed)].concat();
    let straight: Vec<f64> =
        signals.iter().map(|value| value + 6e-6 * (lot(&mut seed) + lot(&mut seed))).collect();
    let heard = recorded(folder.path(), "board.wav", rate, depth, &through);
    let reference = recorded(folder.path(), "straight.wav", rate, Depth::Pcm24, &straight);
    let take = takes::compare(&heard, &reference).expect("two recordings").remove(0);
    let path = |name: &str| folder.path().join(name).display().to_string();
    let (fine, text) = external::peer("takes/peer.py", &[&path("board.wav"), &path("straight.wav")], "");
    assert!(fine, "{text}");
    (heard, take, serde_json::from_str(&text).expect("JSON"))
}

/// What differs more than it may.
fn faults(heard: &Heard, take: &Take, peer: &Value) -> Vec<String> {
    let mut out = Vec::new();
    let mut held = |what: &str, own: f64, theirs: &Value, within: f64| {
        let theirs = theirs.as_f64().expect("a number");
        if within < (own - theirs).abs() {
            out.push(format!("{what}: {own:.4}, the peer has {theirs:.4}"));
        }
    };
    let grid = signal::grid::frequencies();
    for (hertz, theirs) in peer["change"].as_object().expect("a table") {
        let f: f64 = hertz.parse().expect("a number");
        // Between two frequencies of the grid, along the logarithm.
        let at = grid.partition_point(|other| *other <= f).clamp(1, grid.len() - 1);
        let share = libm::log(f / grid[at - 1]) / libm::log(grid[at] / grid[at - 1]);
        let own = take.change_db[at - 1] + share * (take.change_db[at] - take.change_db[at - 1]);
        held(&format!("{hertz} Hz"), own, theirs, 0.05);
    }
    let noise = heard.channels[0].noise;
    held("noise", noise.flat_db, &peer["noise"], 0.1);
    held("noise, A-weighted", noise.weighted_db, &peer["noise_a"], 0.1);
    held("noise over the straight lead", take.noise_over_db.0, &peer["noise_over"], 0.1);
    held("the same, A-weighted", take.noise_over_db.1, &peer["noise_a_over"], 0.1);
    for (order, theirs) in peer["orders"].as_object().expect("a table").iter().take(2) {
        let at: usize = order.parse().expect("a number");
        held(&format!("order {order}"), take.distortion[1][at - 2].board_db, theirs, 0.2);
    }
    out
}

#[test]
fn scipy_reads_the_same_response_noise_and_orders() {
    for (rate, depth) in [(44_100, Depth::Pcm16), (48_000, Depth::Pcm24), (96_000, Depth::Float32)] {
        let (heard, take, peer) = both(rate, depth);
        assert_eq!(faults(&heard, &take, &peer), Vec::<String>::new(), "{rate} Hz, by takes::compare");
    }
}

/// Ours reads two channels, finds the signals by itself, corrects the clock and names hum; the peer reads one and does less.
#[test]
#[expect(clippy::disallowed_methods, reason = "two programs are timed one after the other, in one run")]
fn a_minute_of_two_channels_takes_less_than_scipy_takes_for_one() {
    let rate = 96_000;
    let mut seed = 5;
    let sides = [Side::Left, Side::Right].map(|side| {
        let mut samples = vec![0.0; 20 * 96_000];
        samples.extend(played(rate, side));
        samples.resize(60 * 96_000, 0.0);
        samples.iter().map(|value| value + 1e-5 * lot(&mut seed)).collect::<Vec<f64>>()
    });
    let mut file = std::io::Cursor::new(Vec::new());
    write(&mut file, rate, Depth::Pcm16, &[&sides[0], &sides[1]]).expect("it is written");
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("minute.wav");
    std::fs::write(&path, file.get_ref()).expect("it is written");
    let began = std::time::Instant::now();
    let heard = takes::hear(&read(file.get_ref()).expect("a WAV file")).expect("a recording of the signals");
    let own = began.elapsed().as_secs_f64();
    assert_eq!(heard.channels.len(), 2);
    let (fine, text) = external::peer("takes/peer.py", &["--time", &path.display().to_string()], "");
    assert!(fine, "{text}");
    // What follows the first line are warnings.
    let theirs: f64 = text.lines().next().unwrap_or_default().parse().expect("seconds");
    println!("60 s, 96 kHz, stereo: {own:.2} s; SciPy {theirs:.2} s for one channel");
    assert!(own < theirs, "takes::hear: {own} s, the peer {theirs} s");
}

#[test]
fn a_tenth_of_a_decibel_is_noticed() {
    let (heard, mut take, peer) = both(48_000, Depth::Pcm24);
    for db in &mut take.change_db {
        *db += 0.1;
    }
    let found = faults(&heard, &take, &peer);
    assert!(15 < found.len() && found.iter().all(|line| line.contains("Hz")), "takes::compare: {found:?}");
}

#[test]
fn windows_have_the_constants_of_the_table() {
    // Coherent gain and equivalent noise bandwidth, as printed.
    for (window, gain, bins) in [(HANN, 0.50, 1.50), (BLACKMAN_HARRIS, 0.36, 2.00)] {
        let own = Window::constants(window, 4096);
        assert!((own.0 - gain).abs() < 0.005 && (own.1 - bins).abs() < 0.005, "{own:?}");
    }
}

#[test]
fn a_sine_that_reaches_full_scale_is_0_dbfs() {
    let tone = |size: f64| -> Vec<f64> {
        (0..3 * 48_000).map(|n| size * libm::sin(TAU * 997.0 * f64::from(n) / 48_000.0)).collect()
    };
    assert!(takes::noise(&tone(1.0), 48_000).flat_db.abs() < 0.001);
    assert!((takes::noise(&tone(0.1), 48_000).flat_db + 20.0).abs() < 0.001);
}
