//! Legends as single strokes, for a cutter or an engraver that knows no fonts.

use crate::model::Point;

/// Height of the grid that letters are drawn on; a letter is [`WIDE`] wide.
const HIGH: f64 = 6.0;
const WIDE: f64 = 4.0;
/// From one letter to the next.
const STEP: f64 = 5.6;

/// The strokes of a letter: points of the grid as two digits, x from the left and y from the foot; a blank lifts the tool.
fn strokes(letter: char) -> Option<&'static str> {
    Some(match letter {
        ' ' => "",
        'A' => "00 26 40|12 32",
        'B' => "00 06 36 45 44 33 03|33 42 41 30 00",
        'C' => "45 36 16 05 01 10 30 41",
        'D' => "00 06 26 44 42 20 00",
        'E' => "46 06 00 40|03 33",
        'F' => "46 06 00|03 33",
        'G' => "45 36 16 05 01 10 30 41 43 23",
        'H' => "00 06|40 46|03 43",
        'I' => "20 26|10 30|16 36",
        'J' => "46 41 30 10 01",
        'K' => "00 06|46 03 40",
        'L' => "06 00 40",
        'M' => "00 06 23 46 40",
        'N' => "00 06 40 46",
        'O' => "10 01 05 16 36 45 41 30 10",
        'P' => "00 06 36 45 44 33 03",
        'Q' => "10 01 05 16 36 45 41 30 10|22 40",
        'R' => "00 06 36 45 44 33 03|23 40",
        'S' => "45 36 16 05 04 13 33 42 41 30 10 01",
        'T' => "20 26|06 46",
        'U' => "06 01 10 30 41 46",
        'V' => "06 20 46",
        'W' => "06 10 23 30 46",
        'X' => "00 46|06 40",
        'Y' => "06 23 46|23 20",
        'Z' => "06 46 00 40",
        '0' => "10 01 05 16 36 45 41 30 10|01 45",
        '1' => "14 26 20|10 30",
        '2' => "05 16 36 45 44 00 40",
        '3' => "05 16 36 45 44 33 42 41 30 10 01|13 33",
        '4' => "30 36 02 42",
        '5' => "46 06 03 33 42 41 30 10 01",
        '6' => "45 36 16 05 01 10 30 41 42 33 03",
        '7' => "06 46 10",
        '8' => "13 04 05 16 36 45 44 33 13 02 01 10 30 41 42 33",
        '9' => "01 10 30 41 45 36 16 05 04 13 43",
        '-' | '−' | '–' => "13 33",
        '_' => "00 40",
        '+' => "21 25|03 43",
        '/' => "00 46",
        '.' => "20 21",
        ',' => "10 21",
        ':' => "21 22|24 25",
        '(' => "36 24 22 30",
        ')' => "16 24 22 10",
        '\'' | '’' => "24 26",
        '&' => "40 14 15 26 35 34 02 01 10 20 42",
        '#' => "10 16|30 36|02 42|04 44",
        '=' => "02 42|04 44",
        '>' => "05 43 01",
        '<' => "45 03 41",
        '→' => "03 43|35 43 31",
        '←' => "03 43|15 03 11",
        _ => return None,
    })
}

/// How wide a text of this height is.
pub(crate) fn wide(text: &str, height: f64) -> f64 {
    let count = f64::from(u32::try_from(text.chars().count()).unwrap_or(u32::MAX));
    ((count - 1.0).max(0.0) * STEP + WIDE) * height / HIGH
}

/// The strokes of a text with its foot in the middle at a place; small letters as capitals. `None` where a letter has no
/// strokes: the text is then written as text, which the reader's font may have.
pub(crate) fn engraved(text: &str, foot: Point, height: f64) -> Option<Vec<Vec<Point>>> {
    let k = height / HIGH;
    let mut left = foot.x - wide(text, height) / 2.0;
    let mut out = Vec::new();
    for letter in text.chars().flat_map(char::to_uppercase) {
        for stroke in strokes(letter)?.split('|').filter(|stroke| !stroke.is_empty()) {
            let points = stroke.split(' ').filter_map(|pair| {
                let mut digits = pair.chars().filter_map(|c| c.to_digit(10)).map(f64::from);
                Some(Point::new(left + digits.next()? * k, foot.y - digits.next()? * k))
            });
            out.push(points.collect());
        }
        left += STEP * k;
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_letter_keeps_to_its_cell_and_no_two_are_alike() {
        let all: Vec<char> = ('A'..='Z').chain('0'..='9').chain("-_+/.,:()'&#=<>→←".chars()).collect();
        for (index, letter) in all.iter().enumerate() {
            let drawn = engraved(&letter.to_string(), Point::new(0.0, 0.0), HIGH).expect("it has strokes");
            assert!(!drawn.is_empty(), "{letter}");
            for point in drawn.iter().flatten() {
                assert!(
                    (-2.0..=2.0).contains(&point.x) && (-6.0..=0.0).contains(&point.y),
                    "{letter}: {point:?}"
                );
            }
            for other in &all[..index] {
                assert_ne!(strokes(*letter), strokes(*other), "{letter} and {other}");
            }
        }
        assert_eq!(engraved("Ж", Point::new(0.0, 0.0), HIGH), None, "what it has not is left to a font");
    }
}
