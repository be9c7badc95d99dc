//! What is printed reads back as the very same value, and no text makes a reader panic.

use proptest::prelude::*;
use quantity::{
    Area, Decibels, Farads, Grams, Henries, Hertz, Length, LengthUnit, Milliamps, Ohms, Quantity, Ratio,
    Seconds, TEXT_LIMIT, VoltAmps, Volts, Watts, Window,
};

const LIMIT_NM: i64 = 1_000_000_000_000;

/// Lengths as they come: any, on the 64ths, on the decimal inches, and small ones.
fn nanometres() -> impl Strategy<Value = i64> {
    prop_oneof![
        -LIMIT_NM..=LIMIT_NM,
        (-2_500_000_i64..=2_500_000).prop_map(|n| n * 396_875),
        (-LIMIT_NM / 127..=LIMIT_NM / 127).prop_map(|n| n * 127),
        -1000_i64..=1000,
    ]
}

/// Doubles of every size that is read, round figures among them.
fn values() -> impl Strategy<Value = f64> {
    let size = prop_oneof![
        (1.0..10.0_f64, -30_i32..30).prop_map(|(m, e)| format!("{m}e{e}").parse().expect("a double")),
        (1_u32..10_000, -12_i32..9).prop_map(|(m, e)| format!("{m}e{e}").parse().expect("a double")),
        Just(0.0),
        Just(1e-30),
        Just(1e30),
    ];
    (size, any::<bool>())
        .prop_map(|(size, negative): (f64, bool)| if negative { -size } else { size })
        .prop_filter("in range", |v| v.abs() < 1e-300 || (1e-30..=1e30).contains(&v.abs()))
}

fn check<Q: Quantity + PartialEq + std::fmt::Debug>(value: &Q) -> Result<(), TestCaseError> {
    let text = value.to_string();
    prop_assert!(text.chars().count() <= TEXT_LIMIT || Q::NAME == Window::NAME, "{}", text);
    let back = Q::parse(&text);
    prop_assert_eq!(back.as_ref(), Ok(value), "{}", text);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(500) })]

    #[test]
    fn lengths(nm in nanometres()) {
        let length = Length::from_nm(nm);
        check(&length)?;
        prop_assert_eq!(length.figure_mm(6).replace('\u{2212}', "-").parse::<f64>().ok(), Some(length.as_mm()));
        let inches = length.display(LengthUnit::Inch);
        let back = Length::parse(&inches);
        prop_assert!(back.is_ok(), "{}: {:?}", inches, back);
        let off = (back.unwrap_or_default() - length).abs();
        let exact = nm % 396_875 == 0 || nm % 127 == 0;
        prop_assert!(off <= Length::from_nm(if exact { 0 } else { 63 }), "{} is off by {}", inches, off);
    }

    #[test]
    fn scalars(value in values()) {
        check(&Volts::of(value))?;
        check(&Milliamps::of(value))?;
        check(&Watts::of(value))?;
        check(&VoltAmps::of(value))?;
        check(&Ohms::of(value))?;
        check(&Farads::of(value))?;
        check(&Henries::of(value))?;
        check(&Hertz::of(value))?;
        check(&Seconds::of(value))?;
        check(&Grams::of(value))?;
        check(&Decibels::of(value))?;
        check(&Ratio::of(value))?;
        check(&Area::of(value))?;
    }

    #[test]
    fn windows(a in values(), b in values()) {
        let (a, b) = (Volts::of(a), Volts::of(b));
        check(&Window::new(a.min(b), a.max(b)).expect("in order"))?;
    }

    #[test]
    fn order_is_that_of_the_values(a in values(), b in values()) {
        prop_assert_eq!(Some(Ohms::of(a).cmp(&Ohms::of(b))), (a + 0.0).partial_cmp(&(b + 0.0)));
    }

    #[test]
    fn prefixes_shift_the_point(digits in "[0-9]{1,12}", part in "[0-9]{1,12}") {
        let wanted = |exponent: &str| format!("{digits}.{part}e{exponent}").parse::<f64>().ok().map(f64::to_bits);
        let read = |unit: &str| Ohms::parse(&format!("{digits}.{part} {unit}")).ok().map(|o| o.get().to_bits());
        prop_assert_eq!(read("kΩ"), wanted("3"));
        prop_assert_eq!(read("mohm"), wanted("-3"));
    }

    #[test]
    fn any_text_is_answered(text in prop_oneof![any::<String>(), "[-−+0-9./, ]{0,70}(mm|in|V|kΩ| to 9 V|)"]) {
        // Whatever reads must also read back; whatever does not must have something to say.
        match Length::parse(&text) {
            Ok(length) => check(&length)?,
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
        match Window::parse(&text) {
            Ok(window) => check(&window)?,
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
        match Ohms::parse(&text) {
            Ok(ohms) => check(&ohms)?,
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }
}
