//! WAV of every common kind and rate.

use takes::signals::{Side, played};
use takes::wav::{Depth, read};
use takes::{Has, hear};

use crate::recorded::{Lot, file, straight, with_noise};

#[test]
fn every_kind_is_the_same_recording() {
    let samples: Vec<f64> = played(44_100, Side::Left).into_iter().take(60_000).collect();
    for (depth, bits, is_float, within) in [
        (Depth::Pcm16, 16, false, 2e-5),
        (Depth::Pcm24, 24, false, 1e-7),
        (Depth::Pcm32, 32, false, 1e-9),
        (Depth::Float32, 32, true, 1e-7),
    ] {
        let silence = vec![0.0; samples.len()];
        let recording = read(&file(44_100, depth, &[&samples, &silence])).expect("a WAV file");
        assert_eq!((recording.bits, recording.is_float, recording.channels.len()), (bits, is_float, 2));
        let worst =
            recording.channels[0].iter().zip(&samples).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        assert!(worst < within, "{depth:?}: {worst}");
        assert!(recording.channels[1].iter().all(|value| value.abs() <= 0.0));
    }
}

/// A file as other recorders write it: head, chunks, samples.
fn by_hand(head: &[u8], before: &[u8], form: &[u8], size: u32, data: &[u8]) -> Vec<u8> {
    let chunk = |name: &[u8; 4], size: u32, data: &[u8]| -> Vec<u8> {
        [name.as_slice(), &size.to_le_bytes(), data].concat()
    };
    let form = chunk(b"fmt ", u32::try_from(form.len()).expect("small"), form);
    [head, &[0xFF; 4], b"WAVE", before, &form, &chunk(b"data", size, data)].concat()
}

fn form(code: u16, channels: u16, rate: u32, bits: u16, bytes: u16) -> Vec<u8> {
    let block = channels * bytes;
    [
        code.to_le_bytes().as_slice(),
        &channels.to_le_bytes(),
        &rate.to_le_bytes(),
        &(rate * u32::from(block)).to_le_bytes(),
        &block.to_le_bytes(),
        &bits.to_le_bytes(),
    ]
    .concat()
}

#[test]
fn what_recorders_do_to_the_format_is_read() {
    let samples = [0_i16, 16_384, -32_768, 32_767];
    let data: Vec<u8> = samples.iter().flat_map(|value| value.to_le_bytes()).collect();
    let expected = [0.0, 0.5, -1.0, 32_767.0 / 32_768.0];
    let plain = form(1, 1, 48_000, 16, 2);
    let odd = [b"bext".as_slice(), &3u32.to_le_bytes(), &[1, 2, 3, 0]].concat();
    let size = u32::try_from(data.len()).expect("small");
    for (what, file) in [
        ("plain", by_hand(b"RIFF", &[], &plain, size, &data)),
        ("an odd chunk before", by_hand(b"RIFF", &odd, &plain, size, &data)),
        ("streamed, size all ones", by_hand(b"RIFF", &[], &plain, u32::MAX, &data)),
        ("streamed, size zero", by_hand(b"RIFF", &[], &plain, 0, &data)),
        ("RF64", by_hand(b"RF64", &[], &plain, u32::MAX, &data)),
        ("half a sample more", by_hand(b"RIFF", &[], &plain, size + 1, &[data.clone(), vec![7]].concat())),
    ] {
        let recording = read(&file).unwrap_or_else(|refusal| panic!("{what}: {refusal}"));
        assert_eq!(recording.channels, [expected.to_vec()], "{what}");
    }
    // 24 bit in blocks of 4 bytes, as extensible: the sample stands in the upper three.
    let long = [form(0xFFFE, 1, 96_000, 32, 4), vec![22, 0, 24, 0, 4, 0, 0, 0, 1, 0], vec![0; 14]].concat();
    let data: Vec<u8> =
        [0x4000_0000_i32, -0x8000_0000].iter().flat_map(|value| value.to_le_bytes()).collect();
    let recording = read(&by_hand(b"RIFF", &[], &long, 8, &data)).expect("extensible");
    assert_eq!((recording.rate, recording.channels), (96_000, vec![vec![0.5, -1.0]]));
    let doubles: Vec<u8> = [0.25_f64, -2.0].iter().flat_map(|value| value.to_le_bytes()).collect();
    let recording =
        read(&by_hand(b"RIFF", &[], &form(3, 1, 44_100, 64, 8), 16, &doubles)).expect("float of 64");
    assert_eq!(recording.channels, [vec![0.25, -2.0]]);
    let bytes =
        read(&by_hand(b"RIFF", &[], &form(1, 2, 44_100, 8, 1), 4, &[128, 0, 192, 128])).expect("8 bit");
    assert_eq!(bytes.channels, [vec![0.0, 0.5], vec![-1.0, 0.0]]);
}

#[test]
fn signals_are_found_at_every_rate() {
    for (rate, depth) in [
        (44_100, Depth::Pcm16),
        (48_000, Depth::Pcm24),
        (88_200, Depth::Pcm24),
        (96_000, Depth::Float32),
        (192_000, Depth::Pcm32),
    ] {
        let mut lot = Lot(u64::from(rate));
        let right = with_noise(played(rate, Side::Right), 1e-5, &mut lot);
        let file = file(rate, depth, &[&straight(rate, &mut lot), &right]);
        let heard =
            hear(&read(&file).expect("a WAV file")).unwrap_or_else(|refusal| panic!("{rate}: {refusal}"));
        assert!(
            heard.found.drift.abs() < 1e-7 && heard.found.start.abs() < 0.05,
            "{rate}: {:?}",
            heard.found
        );
        assert_eq!([heard.channels[0].has, heard.channels[1].has], [Has::Left, Has::Right], "{rate}");
        // −6 dB is played.
        assert!((heard.channels[0].tone_db + 6.0206).abs() < 0.01, "{rate}: {}", heard.channels[0].tone_db);
    }
}
