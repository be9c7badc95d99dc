//! What cannot be used is refused, with what was found and what to do.

use takes::signals::{Side, played};
use takes::wav::{Depth, read};
use takes::{Refusal, compare, hear};

use crate::recorded::{Lot, after, file, heard, straight, with_noise};

const RATE: u32 = 48_000;

fn refused(channels: &[&[f64]]) -> (Refusal, String) {
    let refusal = heard(RATE, channels).expect_err("it is of no use");
    let words = refusal.to_string();
    (refusal, words)
}

fn scaled(signal: &[f64], factor: f64) -> Vec<f64> {
    signal.iter().map(|value| value * factor).collect()
}

#[test]
fn silence_is_refused() {
    let (refusal, words) = refused(&[&vec![0.0; 25 * 48_000]]);
    assert!(matches!(refusal, Refusal::Silent { .. }), "{words}");
    assert!(words.contains("from tip to tip"), "{words}");
}

#[test]
fn noise_alone_and_music_are_not_the_signals() {
    let mut lot = Lot(11);
    let (refusal, words) = refused(&[&with_noise(vec![0.0; 40 * 48_000], 0.05, &mut lot)]);
    assert_eq!(refusal, Refusal::NotThere, "{words}");
    // Sliding chords.
    let music: Vec<f64> = (0..30 * 48_000)
        .map(|n| {
            let t = f64::from(n) / 48_000.0;
            let bend = 110.0 * libm::exp2(libm::floor(4.0 * t) % 12.0 / 12.0);
            [1.0, 1.26, 1.5]
                .iter()
                .map(|ratio| 0.1 * libm::sin(std::f64::consts::TAU * bend * ratio * t))
                .sum()
        })
        .collect();
    assert_eq!(refused(&[&music]).0, Refusal::NotThere);
}

#[test]
fn too_quiet_is_refused_with_both_levels() {
    let mut lot = Lot(12);
    let quiet = with_noise(scaled(&played(RATE, Side::Left), 0.004), 1e-3, &mut lot);
    let (refusal, words) = refused(&[&quiet]);
    assert!(matches!(refusal, Refusal::Quiet { .. }), "{words}");
}

#[test]
fn clipped_is_refused_and_told_where() {
    let loud: Vec<f64> =
        played(RATE, Side::Left).iter().map(|value| (3.0 * value).clamp(-1.0, 1.0)).collect();
    let (refusal, words) = refused(&[&after(0.5, RATE, &loud)]);
    let Refusal::Clipped { count, seconds } = refusal else { panic!("{words}") };
    assert!(1000 < count && (seconds - 1.0).abs() < 0.1, "{words}");
    assert!(words.contains("gain down"), "{words}");
}

#[test]
fn a_recording_that_stops_or_begins_within_the_signals_is_refused() {
    let mut lot = Lot(13);
    let all = straight(RATE, &mut lot);
    let (refusal, words) = refused(&[&all[..18 * 48_000]]);
    let Refusal::Ends { missing } = refusal else { panic!("{words}") };
    assert!((missing - 5.0).abs() < 0.3, "{words}");
    let (refusal, words) = refused(&[&all[5 * 48_000..]]);
    let Refusal::Begins { missing } = refusal else { panic!("{words}") };
    assert!((missing - 5.0).abs() < 0.3, "{words}");
    let (refusal, words) = refused(&[&with_noise(vec![0.0; 48_000], 0.1, &mut lot)]);
    assert!(matches!(refusal, Refusal::Short { .. }), "{words}");
}

#[test]
fn a_wrong_rate_is_named_with_the_right_one() {
    for (made, stated) in [(44_100, 48_000), (48_000, 44_100), (96_000, 48_000)] {
        let mut lot = Lot(14);
        let samples = straight(made, &mut lot);
        let refusal = hear(&read(&file(stated, Depth::Pcm24, &[&samples])).expect("a WAV file"));
        let Err(Refusal::Rate { stated: said, likely, .. }) = refusal else { panic!("{made}: {refusal:?}") };
        assert_eq!((said, likely), (stated, made));
    }
}

#[test]
fn swapped_sides_and_swapped_files_are_refused() {
    let mut lot = Lot(15);
    let (left, right) = (straight(RATE, &mut lot), with_noise(played(RATE, Side::Right), 1e-5, &mut lot));
    assert_eq!(refused(&[&right, &left]).0, Refusal::Sides);
    let one = heard(RATE, &[&left]).expect("it is read");
    assert_eq!(compare(&one, &one), Err(Refusal::Same));
}

#[test]
fn what_is_no_recording_says_what_it_is() {
    for (bytes, word) in [
        (b"".to_vec(), "RIFF"),
        (b"ID3 something else".to_vec(), "RIFF"),
        (b"RIFF\0\0\0\0AVI LIST".to_vec(), "WAVE"),
        (b"RIFF\0\0\0\0WAVE".to_vec(), "how its samples are written"),
    ] {
        let words = read(&bytes).expect_err("no WAV").to_string();
        assert!(words.contains(word), "{words}");
    }
    let low = file(22_050, Depth::Pcm16, &[&[0.0; 10]]);
    assert!(read(&low).expect_err("too low").to_string().contains("22050 Hz"));
    let silence = [0.0; 10];
    let many = file(48_000, Depth::Pcm16, &[&silence, &silence, &silence]);
    assert!(read(&many).expect_err("three").to_string().contains("3 channels"));
}
