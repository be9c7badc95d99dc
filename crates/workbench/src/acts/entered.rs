//! What people type where a field has one unit: `9`, `9,5`, `15/64`, `5 3/4`, `12k`, `9 v`.

/// A text with a unit: a bare number, with a point or a comma or as a fraction, gets this one; a unit in other capitals is
/// written as it is spelt, and `12k` is kilo of it. Anything else stays as it is, and so does every text where there is no
/// unit: what it says is judged by whoever reads the document.
pub(crate) fn with_unit(text: &str, unit: &str) -> String {
    let text = text.trim();
    if unit.is_empty() {
        return text.to_owned();
    }
    let plain = plain(text);
    let end = plain.find(|c: char| !is_of_number(c)).unwrap_or(plain.len());
    let (number, rest) = plain.split_at(end);
    let (number, rest) = (number.trim_end(), rest.trim());
    if !is_number(number) {
        return text.to_owned();
    }
    let number = number.replace(',', ".");
    if rest.is_empty() || rest.to_lowercase() == unit.to_lowercase() {
        return format!("{number} {unit}");
    }
    match prefix(rest).filter(|_| PREFIXED.contains(&unit)) {
        Some(prefix) => format!("{number} {prefix}{unit}"),
        None => text.to_owned(),
    }
}

/// Units of which people write the prefix alone: `470k`, `22n`.
const PREFIXED: &[&str] = &["Ω", "F", "H", "Hz", "s"];

fn prefix(text: &str) -> Option<&'static str> {
    Some(match text {
        "k" | "K" => "k",
        "M" => "M",
        "G" => "G",
        "m" => "m",
        "u" | "µ" | "μ" => "µ",
        "n" => "n",
        "p" => "p",
        _ => return None,
    })
}

fn is_of_number(c: char) -> bool {
    c.is_ascii_digit() || matches!(c, '.' | ',' | '/' | '+' | '-' | ' ')
}

/// Figures as the pages show them, in plain signs: no thin spaces between thousands, a hyphen for the minus.
fn plain(text: &str) -> String {
    let is_thin = |c: char| matches!(c, '\u{202f}' | '\u{2009}' | '\u{a0}');
    let between = |before: Option<char>, after: Option<char>| {
        [before, after].into_iter().all(|c| c.is_some_and(|c| c.is_ascii_digit()))
    };
    let all: Vec<char> = text.chars().collect();
    let mut out = String::new();
    for (index, &c) in all.iter().enumerate() {
        let before = index.checked_sub(1).and_then(|index| all.get(index)).copied();
        match c {
            '\u{2212}' => out.push('-'),
            c if is_thin(c) && between(before, all.get(index + 1).copied()) => {}
            c if is_thin(c) => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// `12`, `12.5`, `,5`, `3/4`, `5 3/4`, `5-3/4`, with a sign or without.
fn is_number(text: &str) -> bool {
    let text = text.strip_prefix(['-', '+']).unwrap_or(text).trim_start();
    let is_whole = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let Some((front, bottom)) = text.split_once('/') else {
        let (whole, part) = text.split_once(['.', ',']).unwrap_or((text, "0"));
        return !text.is_empty() && (whole.is_empty() || is_whole(whole)) && is_whole(part);
    };
    let is_top = match front.split_once([' ', '-']) {
        Some((whole, top)) => is_whole(whole) && is_whole(top.trim_start()),
        None => is_whole(front),
    };
    is_top && is_whole(bottom)
}

/// A date as a document writes it, `2026-05-12`: from that, `12.5.2026`, `12 May 2026` or `May 12, 2026`.
///
/// Days and months as figures with `/` between are refused: half the world reads them the other way round.
pub(crate) fn date(text: &str) -> Result<String, String> {
    let refused = || format!("{text} is not a date; write 2026-05-12 or 12 May 2026");
    let words: Vec<&str> = text.split([' ', ',', '.', '-']).filter(|word| !word.is_empty()).collect();
    let [a, b, c] = words[..] else { return Err(refused()) };
    let whole = |word: &str| word.parse::<u32>().ok();
    let found = if a.len() == 4 {
        (whole(a), whole(b), whole(c))
    } else if let Some(month) = month(b) {
        (whole(c), Some(month), whole(a))
    } else if let Some(month) = month(a) {
        (whole(c), Some(month), whole(b))
    } else if text.contains('.') {
        (whole(c), whole(b), whole(a))
    } else {
        return Err(refused());
    };
    match found {
        (Some(year @ 1900..=2999), Some(month @ 1..=12), Some(day))
            if (1..=days(year, month)).contains(&day) =>
        {
            Ok(format!("{year}-{month:02}-{day:02}"))
        }
        _ => Err(refused()),
    }
}

/// The month that a word begins: `May`, `sept`.
fn month(word: &str) -> Option<u32> {
    const MONTHS: [&str; 12] = [
        "january",
        "february",
        "march",
        "april",
        "may",
        "june",
        "july",
        "august",
        "september",
        "october",
        "november",
        "december",
    ];
    let word = word.to_lowercase();
    let is_it = |name: &&str| {
        3 <= word.len() && (name.starts_with(&word) || (word == "sept" && **name == *"september"))
    };
    MONTHS.iter().position(is_it).and_then(|at| u32::try_from(at + 1).ok())
}

/// Days of a month in the calendar of today.
fn days(year: u32, month: u32) -> u32 {
    let is_leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        2 if is_leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

#[cfg(test)]
mod tests {
    use super::{date, with_unit};

    #[test]
    fn a_bare_number_gets_the_unit_and_nothing_else_does() {
        for (text, unit, wanted) in [
            (" 9 ", "V", "9 V"),
            ("9,5", "mm", "9.5 mm"),
            (".5", "mm", ".5 mm"),
            ("-12", "mm", "-12 mm"),
            ("\u{2212}12", "mm", "-12 mm"),
            ("10\u{202f}250", "mm", "10250 mm"),
            ("9 V", "mA", "9 V"),
            ("15/64", "in", "15/64 in"),
            ("5 3/4", "in", "5 3/4 in"),
            ("5-3/4", "in", "5-3/4 in"),
            ("15.75", "in", "15.75 in"),
            ("5 3/4 in", "mm", "5 3/4 in"),
            ("9 v", "V", "9 V"),
            ("120MA", "mA", "120 mA"),
            ("12k", "Ω", "12 kΩ"),
            ("1M", "Ω", "1 MΩ"),
            ("22n", "F", "22 nF"),
            ("22n", "V", "22n"),
            ("1 MΩ", "Ω", "1 MΩ"),
            ("5 3", "in", "5 3"),
            ("3/", "in", "3/"),
            ("wide", "mm", "wide"),
            ("9", "", "9"),
            ("inf", "V", "inf"),
            ("1,5 kg", "kg", "1.5 kg"),
            ("", "V", ""),
        ] {
            assert_eq!(with_unit(text, unit), wanted, "{text}");
        }
    }

    #[test]
    fn a_date_is_a_date() {
        for (text, wanted) in [
            ("2026-05-12", Some("2026-05-12")),
            ("12 May 2026", Some("2026-05-12")),
            ("May 12, 2026", Some("2026-05-12")),
            ("3 sept 2026", Some("2026-09-03")),
            ("12.5.2026", Some("2026-05-12")),
            ("29.2.2024", Some("2024-02-29")),
            ("29.2.2026", None),
            ("31 April 2026", None),
            ("5/12/2026", None),
            ("tomorrow", None),
            ("12 May", None),
            ("0.5.2026", None),
            ("12 Mai 2026", None),
        ] {
            assert_eq!(date(text).ok().as_deref(), wanted, "{text}");
        }
    }
}
