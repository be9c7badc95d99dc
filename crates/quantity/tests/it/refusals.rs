//! Texts that do not read, and what is said about them.

use quantity::{
    Decibels, Farads, Grams, Length, Milliamps, Ohms, ParseError, Quantity, Ratio, Volts, Window,
};

fn refusal<Q: Quantity>(text: &str) -> String {
    match Q::parse(text) {
        Ok(read) => panic!("`{text}` reads as {read}"),
        Err(error) => error.to_string(),
    }
}

#[test]
fn messages() {
    for (said, message) in [
        (
            refusal::<Length>("52"),
            "`52` has no unit; for length add mm, cm, m, µm, in, inch or \", for example 52 mm or 3/4 in",
        ),
        (refusal::<Volts>("9"), "`9` has no unit; for voltage add V, mV or µV, for example 9 V"),
        (
            refusal::<Length>("3 inches"),
            "`inches` in `3 inches` is not a unit of length; did you mean `inch`? \
             Write mm, cm, m, µm, in, inch or \"",
        ),
        (refusal::<Volts>("9 W"), "`W` in `9 W` is not a unit of voltage; write V, mV or µV"),
        (
            refusal::<Length>("1,5 mm"),
            "`1,5 mm` has a comma; write a decimal point, and nothing between thousands",
        ),
        (
            refusal::<Length>("1/3 in"),
            "`1/3 in` is not a whole number of nanometres; write millimetres with up to six decimals \
             or inches in 64ths",
        ),
        (
            refusal::<Length>("3/4 mm"),
            "`3/4 mm` is a fraction of `mm`; fractions go with inches only, write a decimal such as 0.75",
        ),
        (refusal::<Length>("1001 m"), "`1001 m` is out of range; length may be at most 1000 m either way"),
        (refusal::<Decibels>(" "), "nothing is written where level is wanted; write for example -6 dB"),
        (
            refusal::<Volts>("NaN"),
            "`NaN` is not a plain number with its unit (voltage); write for example 9 V",
        ),
        (
            refusal::<Window>("18 V to 9 V"),
            "`18 V to 9 V` runs from 18 V down to 9 V; write the lower voltage first",
        ),
        (
            refusal::<Window>("9-18 V"),
            "`9-18 V` is not a plain number with its unit (voltage); write for example 9 V or 9 V to 18 V",
        ),
        (
            refusal::<Volts>(&"9".repeat(1_000_000)),
            "`999999999999999999999999…` is too long for voltage; at most 64 characters are read",
        ),
    ] {
        assert_eq!(said, message);
    }
}

#[test]
fn the_unit_that_was_meant() {
    fn nearest<Q: Quantity + std::fmt::Debug>(text: &str) -> Option<&'static str> {
        match Q::parse(text) {
            Err(ParseError::UnknownUnit { nearest, .. }) => nearest,
            other => panic!("{text}: {other:?}"),
        }
    }
    assert_eq!(nearest::<Milliamps>("100 ma"), Some("mA"));
    assert_eq!(nearest::<Milliamps>("100 mAh"), None);
    assert_eq!(nearest::<Ohms>("250k"), Some("kΩ"));
    assert_eq!(nearest::<Ohms>("1 M"), Some("MΩ"));
    assert_eq!(nearest::<Ohms>("1 MOHM"), Some("MΩ"));
    assert_eq!(nearest::<Ohms>("1 mOHM"), Some("mΩ"));
    assert_eq!(nearest::<Ohms>("4k7"), None);
    assert_eq!(nearest::<Farads>("47 UF"), Some("µF"));
    assert_eq!(nearest::<Grams>("3 lbs"), Some("lb"));
    assert_eq!(nearest::<Length>("3 MM"), Some("mm"));
}

#[test]
fn no_plain_number() {
    for number in [
        "",
        "+",
        "-",
        "--5",
        "- 5",
        "5.",
        ".",
        "5.5.5",
        "1 000",
        "1e3",
        "1E-3",
        "1e400",
        "inf",
        "NaN",
        "-inf",
        "\u{663}",
        "5\u{663}",
        "\u{ff15}",
        "½",
        "1/0",
        "1/",
        "/2",
        "4 7/4",
        "4 3/0",
        "1.5/2",
        "4 - 3/4",
        "4--3/4",
        "1/2/3",
        "9999999999999999/2",
        "\u{2212}\u{2212}1",
    ] {
        for unit in ["in", "V"] {
            let text = format!("{number} {unit}");
            let read = if unit == "in" {
                Length::parse(&text).map(|read| read.to_string())
            } else {
                Volts::parse(&text).map(|read| read.to_string())
            };
            assert!(matches!(read, Err(ParseError::NotANumber { .. })), "{text}: {read:?}");
        }
    }
}

#[test]
fn lengths_off_the_grid_or_the_map() {
    for text in [
        "0.0000001 mm",
        "0.0001 um",
        "1/7 in",
        "0.0000001 in",
        "0.0000000000000000000000000000000000000000001 m",
    ] {
        assert!(matches!(Length::parse(text), Err(ParseError::NotWholeNanometres { .. })), "{text}");
    }
    let long = format!("{} m", "9".repeat(60));
    for text in [
        "1000.000000001 m",
        "-1000.000000001 m",
        "99999 in",
        "999999999999999 999999999999998/999999999999999 in",
        &long,
    ] {
        assert!(matches!(Length::parse(text), Err(ParseError::OutOfRange { .. })), "{text}");
    }
}

#[test]
fn scalars_beyond_the_range() {
    for text in [format!("{} V", "9".repeat(60)), format!("0.{}1 V", "0".repeat(50))] {
        assert!(matches!(Volts::parse(&text), Err(ParseError::OutOfRange { .. })), "{text}");
    }
}

#[test]
fn ratios_want_their_sign() {
    assert!(matches!(Ratio::parse("0.8"), Err(ParseError::MissingUnit { .. })));
}

#[test]
fn control_characters_stay_out_of_messages() {
    let said = refusal::<Volts>("9 \u{1b}[31m");
    assert!(!said.contains('\u{1b}'), "{said:?}");
}

#[test]
fn windows_say_which_part() {
    assert!(matches!(Window::parse("9 to 18"), Err(ParseError::MissingUnit { .. })));
    assert!(matches!(Window::parse("x to 18 V"), Err(ParseError::NotANumber { .. })));
    assert!(matches!(Window::parse("9 V to"), Err(ParseError::UnknownUnit { .. })));
    assert!(matches!(Window::parse("9 A to 18 V"), Err(ParseError::UnknownUnit { .. })));
}
