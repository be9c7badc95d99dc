//! Files that were damaged are read or refused; none ends the program, and none takes more than it holds.

use takes::hear;
use takes::signals::{Side, played};
use takes::wav::{Depth, read};

use crate::recorded::{Lot, file};

/// Damaged files; each hundredth is long enough for the signals to be looked for.
const FILES: usize = 10_000;

#[test]
fn ten_thousand_damaged_files() {
    let long = file(44_100, Depth::Pcm16, &[&played(44_100, Side::Left)]);
    let short = &long[..6_000];
    let mut lot = Lot(99);
    let (mut fine, mut refused) = (0, 0);
    for number in 0..FILES {
        let mut bytes = if number % 500 == 0 { long.clone() } else { short.to_vec() };
        for _ in 0..=lot.below(6) {
            // Most of it in the head, where it matters.
            let at = if lot.below(3) == 0 { lot.below(bytes.len()) } else { lot.below(64.min(bytes.len())) };
            match lot.below(5) {
                0 => bytes[at] = lot.next().to_le_bytes()[0],
                1 => bytes[at] ^= 1 << lot.below(8),
                2 => bytes.truncate(at.max(1)),
                3 => bytes.insert(at, lot.next().to_le_bytes()[0]),
                _ => {
                    let value = [0, 1, 0x7F, 0x80, 0xFF][lot.below(5)];
                    let end = (at + 4).min(bytes.len());
                    bytes[at..end].fill(value);
                }
            }
        }
        match read(&bytes) {
            Ok(recording) => {
                let held: usize = recording.channels.iter().map(Vec::len).sum();
                assert!(held <= bytes.len(), "{number}: {held} samples of {} bytes", bytes.len());
                fine += 1;
                match hear(&recording) {
                    Ok(heard) => assert!(heard.found.start.is_finite(), "{number}"),
                    Err(refusal) => assert!(!refusal.to_string().is_empty(), "{number}"),
                }
            }
            Err(_) => refused += 1,
        }
    }
    assert!(1000 < fine && 1000 < refused, "{fine} read, {refused} refused");
}
