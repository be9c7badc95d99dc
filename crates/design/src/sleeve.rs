//! Number sleeves on leads: the digits of a lead's number as colours.

/// A colour of IEC 60757, as far as numbers are marked with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Colour {
    /// 0.
    Black,
    /// 1.
    Brown,
    /// 2.
    Red,
    /// 3.
    Orange,
    /// 4.
    Yellow,
    /// 5.
    Green,
    /// 6.
    Blue,
    /// 7.
    Violet,
    /// 8.
    Grey,
    /// 9.
    White,
}

/// Colours in the order of the digits they stand for (resistor code of IEC 60062).
pub const DIGITS: [Colour; 10] = [
    Colour::Black,
    Colour::Brown,
    Colour::Red,
    Colour::Orange,
    Colour::Yellow,
    Colour::Green,
    Colour::Blue,
    Colour::Violet,
    Colour::Grey,
    Colour::White,
];

impl Colour {
    /// Its letters after IEC 60757.
    pub fn letters(self) -> &'static str {
        match self {
            Self::Black => "BK",
            Self::Brown => "BN",
            Self::Red => "RD",
            Self::Orange => "OG",
            Self::Yellow => "YE",
            Self::Green => "GN",
            Self::Blue => "BU",
            Self::Violet => "VT",
            Self::Grey => "GY",
            Self::White => "WH",
        }
    }
}

/// The sleeves for a lead's number, first digit first: `L07` is black, violet. Letters have none.
pub fn sleeves(tag: &str) -> Vec<Colour> {
    tag.chars().filter_map(|c| c.to_digit(10)).map(|digit| DIGITS[digit as usize]).collect()
}
