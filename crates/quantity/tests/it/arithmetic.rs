//! Sums, products, order, and the ends of the ranges.

use std::collections::BTreeSet;

use quantity::{Decibels, Length, Milliamps, Ohms, Volts, Watts};

#[test]
fn lengths_stop_at_the_ends() {
    let (top, bottom) = (Length::from_nm(i64::MAX), Length::from_nm(i64::MIN));
    let step = Length::from_nm(1);
    assert_eq!(top + step, top);
    assert_eq!(bottom - step, bottom);
    assert_eq!(-bottom, top);
    assert_eq!(bottom.abs(), top);
    assert_eq!(top * -2, bottom);
    assert_eq!(Length::from_mm(i64::MAX), top);
    assert_eq!([top, top].into_iter().sum::<Length>(), top);
    assert_eq!(bottom.to_string(), "-9223372036854.775808 mm");
}

#[test]
fn lengths_add_up() {
    let mut length = Length::from_mm(10);
    length += Length::from_mm(5);
    length -= Length::from_mm(1);
    assert_eq!(length, Length::from_mm(14));
    assert_eq!(length.half(), Length::from_mm(7));
    assert_eq!(Length::from_nm(-3).half(), Length::from_nm(-1));
    assert_eq!((-length).abs(), length);
    assert_eq!(length * 3, Length::from_mm(42));
    assert_eq!(length.nm(), 14_000_000);
    assert!((length.as_mm() - 14.0).abs() < 1e-12);
    assert!(Length::from_mm(-1) < Length::default());
}

#[test]
fn scalars_stay_finite() {
    let top = Volts::of(f64::MAX);
    assert_eq!(top + top, top);
    assert_eq!(-top - top, -top);
    assert_eq!(top * 10.0, top);
    assert_eq!(top * f64::NEG_INFINITY, -top);
    assert_eq!(top * f64::NAN, Volts::ZERO);
    assert_eq!([top, top].into_iter().sum::<Volts>(), top);
    assert_eq!((top / Volts::ZERO).to_bits(), f64::MAX.to_bits());
    assert_eq!((Volts::ZERO / Volts::ZERO).to_bits(), 0);
    assert_eq!(top * Milliamps::of(f64::MAX), Watts::of(f64::MAX));
    for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert_eq!(Ohms::new(value), None);
    }
}

#[test]
fn minus_zero_is_zero() {
    for zero in [Volts::of(-0.0), -Volts::ZERO, Volts::ZERO * -1.0, Volts::new(-0.0).expect("finite")] {
        assert_eq!(zero, Volts::default());
        assert_eq!(zero.get().to_bits(), 0);
    }
    assert_eq!("-0 V".parse(), Ok(Volts::ZERO));
}

#[test]
fn scalars_are_ordered() {
    let sorted: Vec<f64> = [3.0, -20.0, 0.0, -0.5, 1e9]
        .map(Decibels::of)
        .into_iter()
        .collect::<BTreeSet<_>>()
        .into_iter()
        .map(Decibels::get)
        .collect();
    assert!(sorted.is_sorted() && sorted.len() == 5);
    assert_eq!(Volts::of(9.0).max(Volts::of(12.0)), Volts::of(12.0));
    assert_eq!(Volts::of(9.0).min(Volts::of(-12.0)), Volts::of(-12.0));
}

#[test]
fn power_from_voltage_and_current() {
    assert_eq!(Volts::of(9.0) * Milliamps::of(100.0), Watts::of(0.9));
    assert_eq!(Milliamps::of(500.0) * Volts::of(18.0), Watts::of(9.0));
    let mut sum = Milliamps::of(100.0);
    sum += Milliamps::of(20.0);
    sum -= Milliamps::of(60.0);
    assert_eq!(sum, Milliamps::of(60.0));
    assert!((sum / Milliamps::of(120.0) - 0.5).abs() < 1e-15);
}
