//! A value of a rig as a number, whatever its type: what can be read, written and shown of it.

use quantity::{
    Decibels, Farads, Grams, Henries, Length, Milliamps, Ohms, Ratio, Seconds, Volts, Watts, Window,
};
use rig::{Known, Provenance, Size, Word};

/// One value of a rig. A word is its number in its vocabulary, *no* is 0 and *yes* 1.
pub(crate) trait Cell {
    /// The value, `None` when nobody knows it.
    fn now(&self) -> Option<f64>;
    /// Where it comes from.
    fn from(&self) -> Provenance;
    /// Takes another value; it stays assumed.
    fn put(&mut self, value: f64);
    /// How a value is shown: what a tape or a meter reads, no finer.
    fn shows(&self) -> fn(f64) -> String;
    /// What a document writes, as a number.
    fn read(&self, text: &str) -> Option<f64>;
    /// Whether it is a word or a yes and no, between which there is nothing.
    fn is_word(&self) -> bool {
        false
    }
}

macro_rules! number {
    ($($name:ident: $get:expr, $make:expr, $round:expr;)*) => { $(
        impl Cell for Known<$name> {
            fn now(&self) -> Option<f64> { self.value.map($get) }
            fn from(&self) -> Provenance { self.from }
            fn put(&mut self, value: f64) { *self = Self { value: $make(value), from: Provenance::Assumed }; }
            fn shows(&self) -> fn(f64) -> String { |value| $make($round(value)).map_or_else(String::new, |value| value.to_string()) }
            fn read(&self, text: &str) -> Option<f64> { text.parse::<$name>().ok().map($get) }
        }
    )* };
}

number! {
    Length: Length::as_mm, |mm: f64| Some(Length::from_mm_rounded(mm)), half;
    Grams: Grams::get, Grams::new, two_figures;
    Ohms: Ohms::get, Ohms::new, two_figures;
    Farads: Farads::get, Farads::new, two_figures;
    Henries: Henries::get, Henries::new, two_figures;
    Volts: Volts::get, Volts::new, two_figures;
    Milliamps: Milliamps::get, Milliamps::new, two_figures;
    Seconds: Seconds::get, Seconds::new, two_figures;
    Decibels: Decibels::get, Decibels::new, two_figures;
    Ratio: Ratio::get, Ratio::new, two_figures;
    Watts: Watts::get, Watts::new, two_figures;
    Window: |window: Window| window.high().get(), |volts: f64| Volts::new(volts).map(Window::exactly), two_figures;
}

macro_rules! word {
    ($($name:ident)*) => { $(
        impl Cell for Known<rig::$name> {
            fn now(&self) -> Option<f64> { self.value.and_then(|value| place(<rig::$name as Word>::WORDS, value.word())) }
            fn from(&self) -> Provenance { self.from }
            fn put(&mut self, value: f64) {
                *self = Self { value: <rig::$name as Word>::of(at(<rig::$name as Word>::WORDS, value)), from: Provenance::Assumed };
            }
            fn shows(&self) -> fn(f64) -> String { |value| at(<rig::$name as Word>::WORDS, value).to_owned() }
            fn read(&self, text: &str) -> Option<f64> { place(<rig::$name as Word>::WORDS, text) }
            fn is_word(&self) -> bool { true }
        }
    )* };
}

word! { Bypass Nature Sign Class Isolation Wiper MidiJack Normal InsertWiring FastenKind Lie Held PickupKind }

impl Cell for Known<bool> {
    fn now(&self) -> Option<f64> {
        self.value.map(|is| f64::from(u8::from(is)))
    }
    fn from(&self) -> Provenance {
        self.from
    }
    fn put(&mut self, value: f64) {
        *self = Self::new(0.5 < value, Provenance::Assumed);
    }
    fn shows(&self) -> fn(f64) -> String {
        |value| if 0.5 < value { "yes" } else { "no" }.to_owned()
    }
    fn read(&self, text: &str) -> Option<f64> {
        place(&["no", "yes"], text)
    }
    fn is_word(&self) -> bool {
        true
    }
}

/// One side of a body.
pub(crate) struct Side<'a> {
    pub(crate) size: &'a mut Known<Size>,
    pub(crate) axis: usize,
}

impl Side<'_> {
    fn of(size: &mut Size, axis: usize) -> &mut Length {
        match axis {
            0 => &mut size.width,
            1 => &mut size.depth,
            _ => &mut size.height,
        }
    }
}

impl Cell for Side<'_> {
    fn now(&self) -> Option<f64> {
        self.size.value.map(|mut size| Self::of(&mut size, self.axis).as_mm())
    }
    fn from(&self) -> Provenance {
        self.size.from
    }
    /// Of a body of which nothing is known, the other sides are those of a compact one until they are said.
    fn put(&mut self, value: f64) {
        const COMPACT: Size =
            Size { width: Length::from_mm(73), depth: Length::from_mm(129), height: Length::from_mm(59) };
        let mut size = self.size.value.unwrap_or(COMPACT);
        *Self::of(&mut size, self.axis) = Length::from_mm_rounded(value);
        *self.size = Known::new(size, Provenance::Assumed);
    }
    fn shows(&self) -> fn(f64) -> String {
        |value| Length::from_mm_rounded(half(value)).to_string()
    }
    fn read(&self, text: &str) -> Option<f64> {
        text.parse::<Length>().ok().map(Length::as_mm)
    }
}

/// To the half millimetre.
fn half(mm: f64) -> f64 {
    (mm * 2.0).round() / 2.0
}

/// To two figures, through a decimal, so that no stray binary digits are shown.
fn two_figures(value: f64) -> f64 {
    format!("{value:.1e}").parse().unwrap_or(value)
}

fn place(words: &[&str], word: &str) -> Option<f64> {
    let at = words.iter().position(|known| *known == word)?;
    u8::try_from(at).ok().map(f64::from)
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place in a short list")]
fn at<'a>(words: &[&'a str], value: f64) -> &'a str {
    words.get(value.round().max(0.0) as usize).copied().unwrap_or_default()
}
