//! MIDI and phantom power against their standards.

use signal::phantom::p48_pin_milliamps;
use signal::timing::{first_notch, midi_bytes, program_change, program_of_shown};

#[test]
fn midi_bytes_and_numbers() {
    // MIDI 1.0: 31.25 kbaud, ten bits a byte: 320 µs; program change of two bytes 640 µs; shown 37 is 0x24.
    assert!((midi_bytes(1) - 320e-6).abs() < 1e-12);
    assert!((midi_bytes(2) - 640e-6).abs() < 1e-12);
    assert_eq!(program_of_shown(37, 1), Some(0x24));
    assert_eq!(program_change(1, 0x24), Some([0xC0, 0x24]));
    assert_eq!(program_change(16, 127), Some([0xCF, 0x7F]));
    assert_eq!(program_change(17, 0), None);
}

#[test]
fn midi_on_small_jacks() {
    // MIDI Association RP-054 (2018): type A is tip to pin 5, ring to pin 4, sleeve to pin 2; the page of the rule says so.
    let page = checks::explain("midi-jack").expect("a rule");
    assert!(page.contains("type A (tip to pin 5, ring to pin 4)") && page.contains("RP-054"), "{page}");
    let format = document::format_page();
    assert!(format.contains("Type A: tip to pin 5, ring to pin 4."), "the document says the same");
}

#[test]
fn phantom_currents() {
    // IEC 61938: 48 V behind 6.81 kΩ a leg; both legs shorted 14.097 mA, published as less than 15.
    assert!((2.0 * p48_pin_milliamps(0.0) - 14.097).abs() < 1e-3);
    assert!((p48_pin_milliamps(0.0) - 7.0485).abs() < 1e-3);
}

#[test]
fn notches_of_a_late_branch() {
    // 1/(2Δt): 1 ms cancels at 500 Hz, 0.2 ms at 2.5 kHz.
    assert!((first_notch(1e-3) - 500.0).abs() < 1e-9);
    assert!((first_notch(0.2e-3) - 2500.0).abs() < 1e-9);
}
