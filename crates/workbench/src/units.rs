//! Lengths within sentences, in the unit of the page: what engines say of millimetres is read in inches where somebody
//! works in them.

use quantity::{Length, LengthUnit};

/// How fine an inch is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Fine {
    /// To 1/64, as on a tape: places, moves.
    Tape,
    /// To a thousandth, where a figure stands beside its limit or a drill is chosen by it.
    Calliper,
}

/// A sentence with its lengths in the unit of the page.
pub(crate) fn in_unit(text: &str, unit: LengthUnit, fine: Fine) -> String {
    if unit == LengthUnit::Millimetre {
        return text.to_owned();
    }
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find(" mm") {
        let (before, after) = (&rest[..at], &rest[at + 3..]);
        // Square millimetres and words that begin so are no lengths.
        let is_unit = !after.starts_with(|c: char| c.is_alphanumeric() || c == '²' || c == '³');
        let start = figures(before);
        let chain = &before[start..];
        if is_unit && !chain.is_empty() {
            out.push_str(&before[..start]);
            let all: Vec<String> = chain.split(" × ").map(|figure| inches(figure, fine)).collect();
            out.push_str(&all.join(" × "));
            out.push_str(" in");
        } else {
            out.push_str(&rest[..at + 3]);
        }
        rest = after;
    }
    out + rest
}

/// Where the figures at the end of a text begin: `50 × 30` counts as one.
fn figures(text: &str) -> usize {
    let mut start = text.len();
    loop {
        let own = text[..start]
            .char_indices()
            .rev()
            .take_while(|(_, c)| c.is_ascii_digit() || matches!(c, '.' | '-' | '\u{2212}' | '\u{202f}'))
            .last()
            .map_or(start, |(at, _)| at);
        if own == start {
            // A sign with nothing before it belongs to the sentence.
            return if start < text.len() && text[start..].starts_with(" × ") {
                start + " × ".len()
            } else {
                start
            };
        }
        start = own;
        match text[..start].strip_suffix(" × ") {
            Some(front) => start = front.len(),
            None => return start,
        }
    }
}

fn inches(figure: &str, fine: Fine) -> String {
    let plain: String =
        figure.chars().filter(|c| *c != '\u{202f}').map(|c| if c == '\u{2212}' { '-' } else { c }).collect();
    let Ok(value) = format!("{plain} mm").parse::<Length>() else { return figure.to_owned() };
    match fine {
        Fine::Tape => crate::pages::value::length(value, LengthUnit::Inch).0,
        Fine::Calliper => crate::pages::value::minus(thousandths(value)),
    }
}

/// Inches to a thousandth.
pub(crate) fn thousandths(value: Length) -> String {
    let text = format!("{:.3}", value.as_mm() / 25.4);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_in_sentences_follow_the_unit() {
        for (text, tape, fine) in [
            ("move A2 68 mm left", "move A2 2 43/64 in left", "move A2 2.677 in left"),
            ("2.9 mm found, 3 mm least", "7/64 in found, 1/8 in least", "0.114 in found, 0.118 in least"),
            (
                "place A1 at 25.4 mm, \u{2212}12.7 mm",
                "place A1 at 1 in, \u{2212}1/2 in",
                "place A1 at 1 in, \u{2212}0.5 in",
            ),
            ("50.8 × 25.4 mm", "2 × 1 in", "2 × 1 in"),
            ("0.75 mm² of copper, 12 mmHg", "0.75 mm² of copper, 12 mmHg", "0.75 mm² of copper, 12 mmHg"),
            ("none of it mm", "none of it mm", "none of it mm"),
            ("10\u{202f}160 mm", "400 in", "400 in"),
        ] {
            assert_eq!(in_unit(text, LengthUnit::Inch, Fine::Tape), tape);
            assert_eq!(in_unit(text, LengthUnit::Inch, Fine::Calliper), fine);
            assert_eq!(in_unit(text, LengthUnit::Millimetre, Fine::Tape), text);
        }
    }
}
