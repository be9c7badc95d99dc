//! Text measured with the real font, cleaned, fitted and broken into lines.

use std::sync::OnceLock;

use ttf_parser::Face;

use crate::model::Weight;

/// 8 pt, the smallest type on paper, in millimetres.
pub const SMALL: f64 = 2.822;
/// 8 pt, running text.
pub const BODY: f64 = 2.822;
/// 9 pt, heads.
pub const HEAD: f64 = 3.175;
/// 11 pt, what is read at the bench.
pub const BENCH: f64 = 3.881;
/// 12 pt, tags of devices.
pub const TAG: f64 = 4.233;

/// Height of capitals and figures, in parts of the type's size (Noto Sans: 1462 of 2048).
pub(crate) const CAPITAL: f64 = 0.714;
/// How far letters reach below the baseline, in parts of the size.
pub(crate) const DESCENT: f64 = 0.22;
/// What a glyph that no embedded font has is reckoned to take.
const UNKNOWN_GLYPH: f64 = 1.0;
/// More characters of one text than this are never drawn.
const LONGEST: usize = 400;
/// More marks than this on one letter are left out: towers of them would leave the line.
const MARKS: usize = 2;
const DOTS: char = '…';

struct Faces {
    regular: Option<Face<'static>>,
    bold: Option<Face<'static>>,
    fallback: Option<Face<'static>>,
    fallback_bold: Option<Face<'static>>,
}

fn faces() -> &'static Faces {
    static FACES: OnceLock<Faces> = OnceLock::new();
    FACES.get_or_init(|| Faces {
        regular: Face::parse(notosans::REGULAR_TTF, 0).ok(),
        bold: Face::parse(notosans::BOLD_TTF, 0).ok(),
        fallback: Face::parse(dejavu::sans::regular(), 0).ok(),
        fallback_bold: Face::parse(dejavu::sans::bold(), 0).ok(),
    })
}

/// How far one character moves the pen, in parts of the size.
fn advance(c: char, weight: Weight) -> f64 {
    let faces = faces();
    let order = match weight {
        Weight::Regular => [&faces.regular, &faces.fallback],
        Weight::Bold => [&faces.bold, &faces.fallback_bold],
    };
    order
        .into_iter()
        .flatten()
        .find_map(|face| {
            let glyph = face.glyph_index(c)?;
            Some(f64::from(face.glyph_hor_advance(glyph)?) / f64::from(face.units_per_em()))
        })
        .unwrap_or(UNKNOWN_GLYPH)
}

/// The width of one line of text, in the unit of `size`. Kerning is left out; it only narrows.
pub fn width(text: &str, size: f64, weight: Weight) -> f64 {
    text.chars().map(|c| advance(c, weight)).sum::<f64>() * size
}

/// The text as it may be drawn: no control characters, no marks that turn the direction of writing, white
/// space as single blanks, no towers of accents; what is too long to be looked at ends in `…`.
pub fn clean(text: &str) -> String {
    let mut out = String::new();
    let (mut blank, mut marks, mut kept) = (false, 0, 0);
    for c in text.trim().chars() {
        if c.is_whitespace() || c.is_control() {
            blank = !out.is_empty();
            continue;
        }
        if is_invisible(c) {
            continue;
        }
        marks = if is_mark(c) { marks + 1 } else { 0 };
        if marks > MARKS {
            continue;
        }
        if kept == LONGEST {
            out.push(DOTS);
            break;
        }
        if blank {
            out.push(' ');
            blank = false;
        }
        out.push(c);
        kept += 1;
    }
    out
}

/// Marks of direction, joiners, byte-order marks, tags, private use and what is no character.
fn is_invisible(c: char) -> bool {
    matches!(c,
        '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}' | '\u{e000}'..='\u{f8ff}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}'
        | '\u{fff0}'..='\u{ffff}' | '\u{e0000}'..='\u{10ffff}')
}

fn is_mark(c: char) -> bool {
    matches!(c,
        '\u{300}'..='\u{36f}' | '\u{483}'..='\u{489}' | '\u{1ab0}'..='\u{1aff}' | '\u{1dc0}'..='\u{1dff}'
        | '\u{20d0}'..='\u{20ff}' | '\u{fe20}'..='\u{fe2f}')
}

/// The text, shortened with `…` where it is wider than `most`; empty when not even one letter fits.
pub fn fit(text: &str, size: f64, weight: Weight, most: f64) -> String {
    let text = clean(text);
    if width(&text, size, weight) <= most {
        return text;
    }
    let room = most - advance(DOTS, weight) * size;
    let (mut used, mut end) = (0.0, 0);
    for (at, c) in text.char_indices() {
        used += advance(c, weight) * size;
        if used > room {
            break;
        }
        end = at + c.len_utf8();
    }
    let kept = text[..end].trim_end();
    if kept.is_empty() { String::new() } else { format!("{kept}{DOTS}") }
}

/// The text in at most `lines` lines no wider than `most`; the last one is shortened where it must be.
pub fn wrap(text: &str, size: f64, weight: Weight, most: f64, lines: usize) -> Vec<String> {
    let text = clean(text);
    let mut out: Vec<String> = Vec::new();
    let mut words = text.split(' ').filter(|word| !word.is_empty()).peekable();
    while let Some(word) = words.next() {
        if out.len() + 1 == lines {
            let mut rest = word.to_owned();
            for word in words.by_ref() {
                rest.push(' ');
                rest.push_str(word);
            }
            out.push(fit(&rest, size, weight, most));
            break;
        }
        if lines == 0 {
            break;
        }
        let mut line = word.to_owned();
        while let Some(next) = words.peek() {
            let longer = format!("{line} {next}");
            if width(&longer, size, weight) > most {
                break;
            }
            line = longer;
            words.next();
        }
        out.push(fit(&line, size, weight, most));
    }
    out.retain(|line| !line.is_empty());
    out
}
