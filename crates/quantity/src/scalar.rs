//! The quantities that are one finite `f64`: voltage, current, resistance and the rest.

use std::cmp::Ordering;
use std::fmt;
use std::hash::{Hash, Hasher};
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};
use std::str::FromStr;

use crate::number::{self, Decimal, TEXT_LIMIT, Unit, Words};
use crate::{ParseError, Quantity};

/// The sizes that are read, in the unit held inside; everything between prints in less than [`TEXT_LIMIT`].
const SMALLEST: f64 = 1e-30;
const LARGEST: f64 = 1e30;
const ALLOWED: &str = "zero, or between 1e-30 and 1e30 in size";

/// Keeps a computed value finite: infinities become the largest double, what is no number becomes zero.
fn tame(value: f64) -> f64 {
    if value.is_nan() { 0.0 } else { value.clamp(f64::MIN, f64::MAX) + 0.0 }
}

/// Reads a scalar in one of its units, with the words of the quantity that wants it.
pub(crate) fn read(text: &str, units: &[Unit], words: Words) -> Result<f64, ParseError> {
    let text = words.trim(text, TEXT_LIMIT)?;
    let (number, unit) = words.split(text)?;
    let (negative, digits) = number::sign(number);
    let decimal = Decimal::read(digits).ok_or_else(|| words.not_a_number(text))?;
    let unit = words.unit(text, unit, units)?;
    let size = decimal.in_unit(unit).ok_or_else(|| words.not_a_number(text))?;
    if size != 0.0 && !(SMALLEST..=LARGEST).contains(&size) {
        return Err(words.out_of_range(text, ALLOWED));
    }
    Ok(if negative { -size } else { size })
}

/// A unit that figures are printed in.
const fn shown(name: &'static str, exponent: i32) -> Unit {
    Unit { name, factor: 1, exponent, shown: true }
}

/// A unit that is read, but never printed.
const fn read_only(name: &'static str, factor: u64, exponent: i32) -> Unit {
    Unit { name, factor, exponent, shown: false }
}

/// Makes one scalar: the type, its arithmetic, its reader and its printer.
/// Units are listed from large to small; `own` is the unit of the held value.
macro_rules! scalar {
    (
        $(#[$doc:meta])*
        $name:ident, own $own:literal, called $called:literal, example $example:literal,
        written $written:literal, units $units:expr
    ) => {
        $(#[$doc])*
        ///
        /// Always finite and never minus zero, so it has a total order. Either sign is possible;
        /// bounds on the value belong to whoever reads a document. Arithmetic never leaves the finite
        /// range: what overflows becomes ±`f64::MAX`, what is no number becomes zero.
        /// Sizes from 1e-30 to 1e30 (and zero) print as text that reads back as the very same value.
        #[derive(Debug, Clone, Copy, Default)]
        pub struct $name(f64);

        impl $name {
            /// Zero.
            pub const ZERO: Self = Self(0.0);
            pub(crate) const TABLE: &'static [Unit] = &$units;

            #[doc = concat!("From a value in ", $own, "; `None` if it is not finite.")]
            pub fn new(value: f64) -> Option<Self> {
                value.is_finite().then_some(Self(value + 0.0))
            }

            #[doc = concat!("From a value in ", $own, ", for constants in code.")]
            ///
            /// # Panics
            /// If the value is not finite; in a `const` that is an error of the compiler.
            pub const fn of(value: f64) -> Self {
                assert!(value.is_finite(), "a quantity is a finite number");
                Self(value + 0.0)
            }

            #[doc = concat!("The value in ", $own, ".")]
            pub const fn get(self) -> f64 {
                self.0
            }
        }

        impl PartialEq for $name {
            fn eq(&self, other: &Self) -> bool {
                self.0.to_bits() == other.0.to_bits()
            }
        }

        impl Eq for $name {}

        impl PartialOrd for $name {
            fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
                Some(self.cmp(other))
            }
        }

        impl Ord for $name {
            fn cmp(&self, other: &Self) -> Ordering {
                self.0.total_cmp(&other.0)
            }
        }

        impl Hash for $name {
            fn hash<H: Hasher>(&self, state: &mut H) {
                self.0.to_bits().hash(state);
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(tame(self.0 + other.0))
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(tame(self.0 - other.0))
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(tame(-self.0))
            }
        }

        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                *self = *self + other;
            }
        }

        impl SubAssign for $name {
            fn sub_assign(&mut self, other: Self) {
                *self = *self - other;
            }
        }

        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                items.fold(Self::ZERO, Add::add)
            }
        }

        /// A factor that is not a number gives zero.
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(tame(self.0 * factor))
            }
        }

        /// How many times the other goes into this one; finite: by zero it is ±`f64::MAX`,
        /// zero by zero is zero.
        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                tame(self.0 / other.0)
            }
        }

        impl Quantity for $name {
            const NAME: &'static str = $called;
            const EXAMPLE: &'static str = $example;
            const UNITS: &'static str = $written;
        }

        #[doc = concat!("Reads a plain decimal with ", $written, ", such as ", $example, ".")]
        impl FromStr for $name {
            type Err = ParseError;
            fn from_str(text: &str) -> Result<Self, ParseError> {
                Ok(Self(tame(read(text, Self::TABLE, Words::of::<Self>())?)))
            }
        }

        /// In the unit that leaves a figure of one or more, with the fewest digits that read back the same.
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&number::show(self.0, Self::TABLE))
            }
        }
    };
}

scalar! {
    /// A voltage, held in volts. Read and printed in V, mV or µV.
    Volts, own "volts", called "voltage", example "9 V",
    written "V, mV or µV", units [shown("V", 0), shown("mV", -3), shown("µV", -6)]
}
scalar! {
    /// A current, held in milliamperes. Read in A, mA or µA and always printed in mA.
    Milliamps, own "milliamperes", called "current", example "120 mA",
    written "mA, A or µA", units [shown("mA", 0), read_only("A", 1, 3), read_only("µA", 1, -3)]
}
scalar! {
    /// A real power, held in watts. Read and printed in W, mW or kW.
    Watts, own "watts", called "power", example "2.7 W",
    written "W, mW or kW", units [shown("kW", 3), shown("W", 0), shown("mW", -3)]
}
scalar! {
    /// An apparent power, held in volt-amperes. Read and printed in VA.
    VoltAmps, own "volt-amperes", called "apparent power", example "30 VA",
    written "VA", units [shown("VA", 0)]
}
scalar! {
    /// A resistance or the size of an impedance, held in ohms.
    /// Read and printed in Ω, mΩ, kΩ, MΩ or GΩ; `ohm` and `ohms` may be written for the sign.
    Ohms, own "ohms", called "resistance", example "1 MΩ or 470 kohm",
    written "Ω, mΩ, kΩ, MΩ, GΩ or the same with `ohm`",
    units [shown("GΩ", 9), shown("MΩ", 6), shown("kΩ", 3), shown("Ω", 0), shown("mΩ", -3)]
}
scalar! {
    /// A capacitance, held in farads. Read in pF, nF, µF, mF or F; printed without mF, as capacitors are marked.
    Farads, own "farads", called "capacitance", example "470 pF",
    written "pF, nF, µF, mF or F",
    units [shown("F", 0), read_only("mF", 1, -3), shown("µF", -6), shown("nF", -9), shown("pF", -12)]
}
scalar! {
    /// An inductance, held in henries. Read and printed in H, mH or µH.
    Henries, own "henries", called "inductance", example "4.5 H",
    written "H, mH or µH", units [shown("H", 0), shown("mH", -3), shown("µH", -6)]
}
scalar! {
    /// A frequency, held in hertz. Read and printed in Hz, kHz or MHz.
    Hertz, own "hertz", called "frequency", example "1.2 kHz",
    written "Hz, kHz or MHz", units [shown("MHz", 6), shown("kHz", 3), shown("Hz", 0)]
}
scalar! {
    /// A time, held in seconds. Read and printed in s, ms or µs.
    Seconds, own "seconds", called "time", example "350 ms",
    written "s, ms or µs", units [shown("s", 0), shown("ms", -3), shown("µs", -6)]
}
scalar! {
    /// A mass, held in grams. Read in g, kg, mg, lb (453.59237 g) or oz (28.349523125 g); printed in g or kg.
    ///
    /// The pound and the ounce are the avoirdupois ones, exact since the agreement of 1959.
    Grams, own "grams", called "mass", example "350 g or 1.25 kg",
    written "g, kg, mg, lb or oz",
    units [
        shown("kg", 3), shown("g", 0), read_only("mg", 1, -3),
        read_only("lb", 45_359_237, -5), read_only("oz", 28_349_523_125, -9),
    ]
}
scalar! {
    /// An area, held in square centimetres. Read in cm², mm², m² or in² (6.4516 cm², exact), also with a plain 2;
    /// printed in cm².
    Area, own "square centimetres", called "area", example "40 cm²",
    written "cm², mm², m² or in²",
    units [
        shown("cm²", 0), read_only("mm²", 1, -2), read_only("m²", 1, 4), read_only("in²", 64_516, -4),
        read_only("cm2", 1, 0), read_only("mm2", 1, -2), read_only("m2", 1, 4), read_only("in2", 64_516, -4),
    ]
}
scalar! {
    /// A level or a gain, held in decibels. Read and printed in dB; what it refers to is said elsewhere.
    Decibels, own "decibels", called "level", example "-6 dB",
    written "dB", units [shown("dB", 0)]
}
scalar! {
    /// A plain ratio, where 1 is the whole. Read in % or ‰ and printed in %.
    Ratio, own "parts of one", called "ratio", example "80 %",
    written "% or ‰", units [shown("%", -2), read_only("‰", 1, -3)]
}

scalar! {
    /// A number of devices. Read and printed in devices; `device` may be written for one.
    Devices, own "devices", called "number of devices", example "4 devices",
    written "devices", units [shown("devices", 0), read_only("device", 1, 0)]
}

/// The power that a voltage and a current make: P = U · I.
fn power(voltage: Volts, current: Milliamps) -> Watts {
    const MILLIAMPS_PER_AMP: f64 = 1000.0;
    Watts(tame(voltage.0 * current.0 / MILLIAMPS_PER_AMP))
}

/// Power, in watts.
impl Mul<Milliamps> for Volts {
    type Output = Watts;
    fn mul(self, current: Milliamps) -> Watts {
        power(self, current)
    }
}

/// Power, in watts.
impl Mul<Volts> for Milliamps {
    type Output = Watts;
    fn mul(self, voltage: Volts) -> Watts {
        power(voltage, self)
    }
}
