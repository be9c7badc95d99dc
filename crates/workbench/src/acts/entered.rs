//! What people type where a field has one unit.

/// A text with a unit: a bare number, with a point or a comma, gets this one. Anything else stays as it is, and so does every
/// text where there is no unit.
pub(crate) fn with_unit(text: &str, unit: &str) -> String {
    let text = text.trim();
    let bare = text.replace(',', ".");
    if !unit.is_empty() && bare.parse::<f64>().is_ok_and(f64::is_finite) {
        format!("{bare} {unit}")
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::with_unit;

    #[test]
    fn a_bare_number_gets_the_unit_and_nothing_else_does() {
        for (text, unit, wanted) in [
            (" 9 ", "V", "9 V"),
            ("9,5", "mm", "9.5 mm"),
            ("9 V", "mA", "9 V"),
            ("5 3/4 in", "mm", "5 3/4 in"),
            ("9", "", "9"),
            ("inf", "V", "inf"),
            ("1,5 kg", "kg", "1,5 kg"),
            ("", "V", ""),
        ] {
            assert_eq!(with_unit(text, unit), wanted, "{text}");
        }
    }
}
