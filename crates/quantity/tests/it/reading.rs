//! Texts that read, and what they print as.

use std::fmt::Debug;

use quantity::{
    Area, Decibels, Farads, Grams, Henries, Hertz, Length, LengthUnit, Milliamps, Ohms, Quantity, Ratio,
    Seconds, VoltAmps, Volts, Watts, Window,
};

/// Each case: what is written, the value wanted, what is printed.
fn check<Q: Quantity + PartialEq + Debug>(cases: &[(&str, Q, &str)]) {
    for (written, wanted, printed) in cases {
        let read = Q::parse(written).unwrap_or_else(|error| panic!("{written}: {error}"));
        assert_eq!(&read, wanted, "{written}");
        assert_eq!(&read.to_string(), printed, "{written}");
        assert_eq!(&Q::parse(printed).expect(printed), wanted, "{printed} reads back");
    }
    for example in Q::EXAMPLE.split(" or ") {
        Q::parse(example).unwrap_or_else(|error| panic!("the example of {}: {error}", Q::NAME));
    }
}

#[test]
fn lengths() {
    let nm = Length::from_nm;
    check(&[
        ("52 mm", Length::from_mm(52), "52 mm"),
        ("52mm", Length::from_mm(52), "52 mm"),
        ("  52\u{a0}mm ", Length::from_mm(52), "52 mm"),
        ("12.70 mm", nm(12_700_000), "12.7 mm"),
        ("+5.2 cm", Length::from_mm(52), "52 mm"),
        ("0.3 m", Length::from_mm(300), "300 mm"),
        ("35 µm", nm(35_000), "0.035 mm"),
        ("35 μm", nm(35_000), "0.035 mm"),
        ("0.001um", nm(1), "0.000001 mm"),
        ("1 in", nm(25_400_000), "25.4 mm"),
        (".5 inch", nm(12_700_000), "12.7 mm"),
        ("1.5\"", nm(38_100_000), "38.1 mm"),
        ("1/64 in", nm(396_875), "0.396875 mm"),
        ("3/4 in", nm(19_050_000), "19.05 mm"),
        ("4 3/4 in", nm(120_650_000), "120.65 mm"),
        ("4-3/4 in", nm(120_650_000), "120.65 mm"),
        ("4-3/4\"", nm(120_650_000), "120.65 mm"),
        ("-4 3/4 in", nm(-120_650_000), "-120.65 mm"),
        ("7/4 in", nm(44_450_000), "44.45 mm"),
        ("2/254 in", nm(200_000), "0.2 mm"),
        ("-0 mm", Length::ZERO, "0 mm"),
        (".0 mm", Length::ZERO, "0 mm"),
        ("\u{2212}12.7 mm", nm(-12_700_000), "-12.7 mm"),
        ("1000 m", Length::from_mm(1_000_000), "1000000 mm"),
        ("-1000 m", Length::from_mm(-1_000_000), "-1000000 mm"),
        ("52.00000000000000000000000000000000000000000000000000 mm", Length::from_mm(52), "52 mm"),
        ("0000000000000000000000000000000000000000000000000052 mm", Length::from_mm(52), "52 mm"),
    ]);
}

#[test]
fn lengths_in_inches() {
    for (written, inches) in [
        ("120.65 mm", "4 3/4 in"),
        ("19.05 mm", "3/4 in"),
        ("-19.05 mm", "-3/4 in"),
        ("-120.65 mm", "-4 3/4 in"),
        ("1/64 in", "1/64 in"),
        ("2/64 in", "1/32 in"),
        ("101.6 mm", "4 in"),
        ("0 mm", "0 in"),
        ("0.1 in", "0.1 in"),
        ("0.127 µm", "0.000005 in"),
        ("1 mm", "0.03937 in"),
        ("-0.001 µm", "0 in"),
    ] {
        assert_eq!(written.parse::<Length>().expect(written).display(LengthUnit::Inch), inches, "{written}");
    }
    assert_eq!(Length::from_mm(3).display(LengthUnit::Millimetre), "3 mm");
}

#[test]
fn figures_for_drawings() {
    for (nm, decimals, figure) in [
        (12_700_000, 0, "13"),
        (12_500_000, 0, "13"),
        (12_499_999, 0, "12"),
        (12_700_000, 1, "12.7"),
        (12_000_000, 2, "12.00"),
        (-12_500_000, 0, "\u{2212}13"),
        (-50_000, 1, "\u{2212}0.1"),
        (-49_999, 1, "0.0"),
        (-1, 0, "0"),
        (50_000, 2, "0.05"),
        (1, 6, "0.000001"),
        (1, 99, "0.000001"),
        (i64::MAX, 0, "9223372036855"),
        (i64::MIN, 6, "\u{2212}9223372036854.775808"),
    ] {
        assert_eq!(Length::from_nm(nm).figure_mm(decimals), figure, "{nm} nm to {decimals}");
    }
}

#[test]
fn electrical() {
    check(&[
        ("9 V", Volts::of(9.0), "9 V"),
        ("9V", Volts::of(9.0), "9 V"),
        ("775 mV", Volts::of(0.775), "775 mV"),
        ("50 uV", Volts::of(50e-6), "50 µV"),
        ("230 V", Volts::of(230.0), "230 V"),
        ("-15 V", Volts::of(-15.0), "-15 V"),
        ("\u{2212}0 V", Volts::ZERO, "0 V"),
    ]);
    check(&[
        ("100 mA", Milliamps::of(100.0), "100 mA"),
        ("1.5 A", Milliamps::of(1500.0), "1500 mA"),
        ("1.1 A", Milliamps::of(1100.0), "1100 mA"),
        ("20 µA", Milliamps::of(0.02), "0.02 mA"),
        ("0 A", Milliamps::ZERO, "0 mA"),
    ]);
    check(&[
        ("2.7 W", Watts::of(2.7), "2.7 W"),
        ("1.2 kW", Watts::of(1200.0), "1.2 kW"),
        ("250 mW", Watts::of(0.25), "250 mW"),
    ]);
    check(&[
        ("40 cm²", Area::of(40.0), "40 cm²"),
        ("40 cm2", Area::of(40.0), "40 cm²"),
        ("2500 mm²", Area::of(25.0), "25 cm²"),
        ("1 in²", Area::of(6.4516), "6.4516 cm²"),
        ("0.01 m²", Area::of(100.0), "100 cm²"),
    ]);
    check(&[("30 VA", VoltAmps::of(30.0), "30 VA"), ("0.5VA", VoltAmps::of(0.5), "0.5 VA")]);
    check(&[
        ("1 MΩ", Ohms::of(1e6), "1 MΩ"),
        ("1 M\u{2126}", Ohms::of(1e6), "1 MΩ"),
        ("1 Mohm", Ohms::of(1e6), "1 MΩ"),
        ("250k ohm", Ohms::of(250e3), "250 kΩ"),
        ("470 kohm", Ohms::of(470e3), "470 kΩ"),
        ("4.7 kΩ", Ohms::of(4700.0), "4.7 kΩ"),
        ("600 ohms", Ohms::of(600.0), "600 Ω"),
        ("1 ohm", Ohms::of(1.0), "1 Ω"),
        ("30 mΩ", Ohms::of(0.03), "30 mΩ"),
        ("10 GΩ", Ohms::of(10e9), "10 GΩ"),
        ("999.9 Ω", Ohms::of(999.9), "999.9 Ω"),
    ]);
    check(&[
        ("470 pF", Farads::of(470e-12), "470 pF"),
        ("0.47 nF", Farads::of(470e-12), "470 pF"),
        ("22 nF", Farads::of(22e-9), "22 nF"),
        ("4700 uF", Farads::of(4.7e-3), "4700 µF"),
        ("4.7 mF", Farads::of(4.7e-3), "4700 µF"),
        ("1 F", Farads::of(1.0), "1 F"),
        ("0.1 pF", Farads::of(0.1e-12), "0.1 pF"),
    ]);
    check(&[
        ("4.5 H", Henries::of(4.5), "4.5 H"),
        ("100 mH", Henries::of(0.1), "100 mH"),
        ("10 µH", Henries::of(10e-6), "10 µH"),
    ]);
}

#[test]
fn the_rest() {
    check(&[
        ("82.41 Hz", Hertz::of(82.41), "82.41 Hz"),
        ("1.2 kHz", Hertz::of(1200.0), "1.2 kHz"),
        ("2 MHz", Hertz::of(2e6), "2 MHz"),
        ("0.5 Hz", Hertz::of(0.5), "0.5 Hz"),
    ]);
    check(&[
        ("350 ms", Seconds::of(0.35), "350 ms"),
        ("12 µs", Seconds::of(12e-6), "12 µs"),
        ("90 s", Seconds::of(90.0), "90 s"),
    ]);
    check(&[
        ("1.25 kg", Grams::of(1250.0), "1.25 kg"),
        ("350 g", Grams::of(350.0), "350 g"),
        ("500 mg", Grams::of(0.5), "0.5 g"),
        ("1 lb", Grams::of(453.592_37), "453.59237 g"),
        ("1 oz", Grams::of(28.349_523_125), "28.349523125 g"),
        ("16 oz", Grams::of(453.592_37), "453.59237 g"),
        ("2.5 lb", Grams::of(1_133.980_925), "1.133980925 kg"),
    ]);
    check(&[("-6 dB", Decibels::of(-6.0), "-6 dB"), ("+4 dB", Decibels::of(4.0), "4 dB")]);
    check(&[
        ("80 %", Ratio::of(0.8), "80 %"),
        ("5‰", Ratio::of(0.005), "0.5 %"),
        ("100 %", Ratio::of(1.0), "100 %"),
        ("0 %", Ratio::ZERO, "0 %"),
        ("7 %", Ratio::of(0.07), "7 %"),
    ]);
}

#[test]
fn windows() {
    let window = |low, high| Window::new(Volts::of(low), Volts::of(high)).expect("in order");
    check(&[
        ("9 V", Window::exactly(Volts::of(9.0)), "9 V"),
        ("9 V to 18 V", window(9.0, 18.0), "9 V to 18 V"),
        ("9 to 18 V", window(9.0, 18.0), "9 V to 18 V"),
        (" 9  to  18V ", window(9.0, 18.0), "9 V to 18 V"),
        ("9 V to 9 V", window(9.0, 9.0), "9 V"),
        ("500 to 900 mV", window(0.5, 0.9), "500 mV to 900 mV"),
        ("-15 to 15 V", window(-15.0, 15.0), "-15 V to 15 V"),
    ]);
    let wide = window(9.0, 18.0);
    assert_eq!((wide.low(), wide.high()), (Volts::of(9.0), Volts::of(18.0)));
    for (volts, inside) in [(8.999, false), (9.0, true), (12.0, true), (18.0, true), (18.001, false)] {
        assert_eq!(wide.contains(Volts::of(volts)), inside, "{volts}");
    }
    assert_eq!(Window::new(Volts::of(2.0), Volts::of(1.0)), None);
}
