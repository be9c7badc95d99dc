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
    /// A DC lead.
    Pink,
    /// A control lead.
    Turquoise,
    /// A low-voltage AC lead.
    Gold,
    /// A mains lead.
    Silver,
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
            Self::Pink => "PK",
            Self::Turquoise => "TQ",
            Self::Gold => "GD",
            Self::Silver => "SR",
        }
    }
}

/// The sleeve that comes before the digits of a class, so that no two leads of a board have the same: no digit has its
/// colour. Signal leads, of which there are most, have none. *Common practice, no source.*
fn of_class(letters: &str) -> Option<Colour> {
    match letters {
        "D" => Some(Colour::Pink),
        "K" => Some(Colour::Turquoise),
        "AC" => Some(Colour::Gold),
        "M" => Some(Colour::Silver),
        _ => None,
    }
}

/// The sleeves for a lead's number, that of its class first, then digit by digit: `L07` is black, violet; `D07` is pink,
/// black, violet.
pub fn sleeves(tag: &str) -> Vec<Colour> {
    let letters: String = tag.chars().take_while(|c| !c.is_ascii_digit()).collect();
    let digits = tag.chars().filter_map(|c| c.to_digit(10)).map(|digit| DIGITS[digit as usize]);
    of_class(&letters).into_iter().chain(digits).collect()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use rig::LeadClass;

    use super::*;

    #[test]
    fn no_two_leads_have_the_same_sleeves() {
        let mut seen: BTreeMap<Vec<Colour>, String> = BTreeMap::new();
        for class in LeadClass::ALL {
            for number in 1..=120 {
                let tag = format!("{}{number:02}", class.letters());
                if let Some(other) = seen.insert(sleeves(&tag), tag.clone()) {
                    panic!("{other} and {tag} have the same sleeves");
                }
            }
        }
        assert_eq!(sleeves("D07"), [Colour::Pink, Colour::Black, Colour::Violet]);
    }
}
