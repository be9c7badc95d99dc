//! Times: what a delay does where branches meet, and how long MIDI takes.

/// First notch in hertz where a signal meets itself later by `seconds`, 1/(2Δt).
///
/// Two equal parts in phase cancel where the delay is half a period. Infinite without delay.
pub fn first_notch(seconds: f64) -> f64 {
    1.0 / (2.0 * seconds)
}

/// Frequencies up to a limit where two equal signals cancel, the one later by `seconds`: (2k+1)/(2Δt) where they are of
/// equal polarity, k/Δt where they are of opposite polarity, nought included. Without delay equal ones never cancel, and
/// opposite ones everywhere, told as nought.
pub fn notches(seconds: f64, opposite: bool, limit: f64, most: usize) -> Vec<f64> {
    let first = if opposite { 0.0 } else { first_notch(seconds) };
    if seconds <= 0.0 {
        return if opposite { vec![0.0] } else { Vec::new() };
    }
    std::iter::successors(Some(first), |hertz| Some(hertz + 1.0 / seconds))
        .take_while(|hertz| *hertz <= limit)
        .take(most)
        .collect()
}

/// Bits per second of a MIDI line. `[src:MIDI-1.0]`
pub const MIDI_BAUD: f64 = 31_250.0;

/// Bits of one byte on the line: start, eight data, stop. `[src:MIDI-1.0]`
pub const MIDI_BITS: f64 = 10.0;

/// Seconds that this many MIDI bytes take on the line: 320 µs each. `[src:MIDI-1.0]`
pub fn midi_bytes(bytes: u32) -> f64 {
    f64::from(bytes) * MIDI_BITS / MIDI_BAUD
}

/// The two bytes of a program change: status with channel 1 to 16, and the program, 0 on the wire.
/// `None` outside 1–16 or 0–127. `[src:MIDI-1.0]`
pub fn program_change(channel: u8, program: u8) -> Option<[u8; 2]> {
    ((1..=16).contains(&channel) && program < 128).then(|| [0xC0 | (channel - 1), program])
}

/// The program on the wire of one that a device shows counted from `first` (0 or 1). `[src:MIDI-1.0]`
pub fn program_of_shown(shown: u8, first: u8) -> Option<u8> {
    shown.checked_sub(first).filter(|program| *program < 128)
}
