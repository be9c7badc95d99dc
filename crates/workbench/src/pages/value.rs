//! Numbers that can be asked where they come from.

use finding::Field;
use maud::{Markup, html};
use percent_encoding::{AsciiSet, utf8_percent_encode};
use quantity::{Length, LengthUnit};
use rig::{Known, Provenance};

use super::frame::Head;
use super::marks::letter;

/// The parts of an address as one word for links and forms: parts with `/` between, `%` and `/` escaped.
pub(crate) fn packed(field: &Field) -> String {
    field
        .parts()
        .iter()
        .map(|part| part.replace('%', "%25").replace('/', "%2F"))
        .collect::<Vec<_>>()
        .join("/")
}

/// The address that a packed word stands for.
pub(crate) fn unpacked(word: &str) -> Field {
    Field::new(word.split('/').map(|part| part.replace("%2F", "/").replace("%25", "%")))
}

/// Text for the query of an address.
pub(crate) fn query(text: &str) -> String {
    utf8_percent_encode(text, PLAIN).to_string()
}

/// What is not written as it is: all but what RFC 3986 calls unreserved.
const PLAIN: &AsciiSet =
    &percent_encoding::NON_ALPHANUMERIC.remove(b'-').remove(b'_').remove(b'.').remove(b'~');

/// A figure with the minus sign of print.
pub(crate) fn minus(figure: impl AsRef<str>) -> String {
    figure.as_ref().replace('-', "\u{2212}")
}

/// The same in a sentence: signs before figures, no hyphen of a word or of a date.
pub(crate) fn minus_in(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    let mut letters = words.chars().peekable();
    let mut before = ' ';
    while let Some(letter) = letters.next() {
        let is_sign =
            letter == '-' && !before.is_alphanumeric() && letters.peek().is_some_and(char::is_ascii_digit);
        out.push(if is_sign { '\u{2212}' } else { letter });
        before = letter;
    }
    out
}

/// A length in the unit of the page: figure and unit. Inches as the nearest 1/64.
pub(crate) fn length(length: Length, unit: LengthUnit) -> (String, &'static str) {
    match unit {
        LengthUnit::Millimetre => {
            let text = length.to_string();
            let figure = minus(text.trim_end_matches(" mm"));
            // What is drawn to a tenth is read to a tenth; the value itself stays exact.
            let figure = if figure.len() > 7 { length.figure_mm(1) } else { figure };
            (thousands(&figure), "mm")
        }
        LengthUnit::Inch => {
            const STEP: i64 = 396_875;
            let steps = (length.nm() + STEP / 2).div_euclid(STEP);
            let text = Length::from_nm(steps * STEP).display(LengthUnit::Inch);
            (minus(text.trim_end_matches(" in")), "in")
        }
    }
}

/// A figure of an engine in millimetres as a length to the whole millimetre, with its unit.
pub(crate) fn rounded(mm: f64, unit: LengthUnit) -> String {
    let (figure, unit) = length(Length::from_mm_rounded(mm.round()), unit);
    format!("{figure} {unit}")
}

/// A thin space between thousands, from five figures on.
fn thousands(figure: &str) -> String {
    let (whole, rest) = figure.split_once('.').map_or((figure, None), |(whole, rest)| (whole, Some(rest)));
    let digits = whole.trim_start_matches('\u{2212}').len();
    if digits < 5 {
        return figure.to_owned();
    }
    let (head, tail) = whole.split_at(whole.len() - 3);
    let rest = rest.map(|rest| format!(".{rest}")).unwrap_or_default();
    format!("{head}\u{202f}{tail}{rest}")
}

/// A text quantity with its figure and its unit apart: `120 mA`.
fn apart(text: &str) -> (&str, &str) {
    text.rsplit_once(' ').unwrap_or((text, ""))
}

/// A written value as a link to where it comes from.
pub(crate) fn asked(head: &Head, field: &Field, figure: &str, unit: &str, from: Provenance) -> Markup {
    let to = format!("/job/{}/where?field={}", head.job, query(&packed(field)));
    html! {
        a.val .assumed[from == Provenance::Assumed] href=(to) data-where="" { (figure) }
        @if !unit.is_empty() { " " span.unit { (unit) } }
    }
}

/// A known value with its letter, or the sign for unknown.
pub(crate) fn known<T: ToString>(head: &Head, field: &Field, known: &Known<T>) -> Markup {
    match &known.value {
        Some(value) => {
            let text = minus(value.to_string());
            let (figure, unit) = apart(&text);
            html! { (asked(head, field, figure, unit, known.from)) " " (letter(known.from)) }
        }
        None => {
            html! { (asked(head, field, "unknown", "", Provenance::Unknown)) " " (letter(Provenance::Unknown)) }
        }
    }
}

/// A known length in the unit of the page.
pub(crate) fn known_length(head: &Head, field: &Field, value: &Known<Length>) -> Markup {
    match value.value {
        Some(value_of) => {
            let (figure, unit) = length(value_of, head.unit);
            html! { (asked(head, field, &figure, unit, value.from)) " " (letter(value.from)) }
        }
        None => {
            html! { (asked(head, field, "unknown", "", Provenance::Unknown)) " " (letter(Provenance::Unknown)) }
        }
    }
}

/// A figure that follows from others, as a link to how.
pub(crate) fn derived(head: &Head, what: &str, of: &str, figure: &str, unit: &str) -> Markup {
    let to = format!("/job/{}/where?sum={}&of={}", head.job, what, query(of));
    html! {
        a.val href=(to) data-where="" { (figure) }
        @if !unit.is_empty() { " " span.unit { (unit) } }
    }
}

/// The same for a length.
pub(crate) fn derived_length(head: &Head, what: &str, of: &str, value: Length) -> Markup {
    let (figure, unit) = length(value, head.unit);
    derived(head, what, of, &figure, unit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_come_back_as_they_were() {
        for parts in [vec!["device", "A/1 %2F", "power", "current"], vec!["lead", "A1.OUT > A2.IN", "cut"]] {
            let field = Field::new(parts);
            assert_eq!(unpacked(&packed(&field)), field);
        }
    }

    #[test]
    fn lengths_are_shown_in_the_unit_asked_for() {
        assert_eq!(length(Length::from_mm(-12), LengthUnit::Millimetre), ("\u{2212}12".into(), "mm"));
        assert_eq!(length(Length::from_nm(120_650_000), LengthUnit::Inch), ("4 3/4".into(), "in"));
        assert_eq!(length(Length::from_mm(1), LengthUnit::Inch), ("3/64".into(), "in"));
    }

    #[test]
    fn only_a_sign_before_a_figure_becomes_a_minus() {
        assert_eq!(
            super::minus_in("brick-load rests on -3 mm, 2026-05-14"),
            "brick-load rests on \u{2212}3 mm, 2026-05-14"
        );
    }
}
