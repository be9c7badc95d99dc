//! The names that jobs may have. A job's title is free text; its name is a folder's.

use std::path::{Path, PathBuf};

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

use crate::StoreError;

/// The name under which the shop's stock of cable is journaled: no job can have it.
pub const STOCK: &str = "~stock";

/// What the program keeps in a shop folder beside jobs.
const KEPT: [&str; 3] = ["catalogue", "papers", "pictures"];

/// Names of devices: Windows opens them instead of a folder, whatever follows their first point.
const DEVICES: [&str; 6] = ["con", "prn", "aux", "nul", "conin$", "conout$"];

/// Whether a name may be a job's that is there already: it never leaves the shop folder.
pub fn check(name: &str) -> Result<(), StoreError> {
    let wrong = if name.is_empty() {
        "it is empty"
    } else if 80 < name.len() {
        "it is too long"
    } else if name.starts_with('.') {
        "it begins with a dot"
    } else if !name.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.')) {
        "it holds a character that not every disk takes"
    } else {
        return Ok(());
    };
    Err(StoreError::Name { name: name.to_owned(), why: wrong })
}

/// Where a job's document is in a shop folder; `None` for a name that no document has.
pub(crate) fn place(folder: &Path, job: &str) -> Option<PathBuf> {
    if job == STOCK {
        return Some(folder.join("stock.toml"));
    }
    check(job).ok().map(|()| folder.join(job).join("rig.toml"))
}

/// Whether a new job may have a name: on any system, beside everything the program keeps, and in any command.
pub fn check_new(name: &str) -> Result<(), StoreError> {
    check(name)?;
    let low = name.to_ascii_lowercase();
    let wrong = if !name.starts_with(|c: char| c.is_ascii_alphanumeric()) {
        "it does not begin with a letter or digit"
    } else if name.ends_with('.') {
        "it ends with a dot"
    } else if KEPT.contains(&low.as_str()) {
        "the program keeps that name for a folder of its own"
    } else if has_ending(&low, "toml") {
        "it reads like one of the shop’s own files"
    } else if is_device(&low) {
        "Windows keeps that name for a device"
    } else {
        return Ok(());
    };
    Err(StoreError::Name { name: name.to_owned(), why: wrong })
}

/// The most letters of a folder's name that is made from a title.
const MADE: usize = 48;

/// Letters that are no other letter with a mark, in the letters of a folder's name.
const LETTERS: &[(char, &str)] = &[
    ('ß', "ss"),
    ('æ', "ae"),
    ('œ', "oe"),
    ('ø', "o"),
    ('ł', "l"),
    ('đ', "d"),
    ('ð', "d"),
    ('þ', "th"),
    ('ı', "i"),
];

/// The name of a new job from its title in any letters: small letters and digits, a hyphen for all between. `job` where the
/// title has no letter that a folder's name takes.
pub(crate) fn from_title(title: &str) -> String {
    let mut name = String::new();
    for letter in title.nfkd().flat_map(char::to_lowercase) {
        if letter.is_ascii_alphanumeric() {
            name.push(letter);
        } else if let Some((_, letters)) = LETTERS.iter().find(|(of, _)| *of == letter) {
            name.push_str(letters);
        } else if !is_combining_mark(letter)
            && !matches!(letter, '\'' | '’')
            && !name.is_empty()
            && !name.ends_with('-')
        {
            name.push('-');
        }
    }
    name.truncate(MADE);
    let name = name.trim_end_matches('-');
    let name = if name.is_empty() { "job" } else { name };
    if check_new(name).is_ok() { name.to_owned() } else { format!("{name}-board") }
}

fn has_ending(name: &str, ending: &str) -> bool {
    name.rsplit_once('.').is_some_and(|(_, last)| last == ending)
}

fn is_device(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or(name);
    let is_port = ["com", "lpt"].iter().any(|port| {
        stem.strip_prefix(port)
            .is_some_and(|rest| rest.len() == 1 && rest.bytes().all(|b| b.is_ascii_digit()))
    });
    is_port || DEVICES.contains(&stem)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_title_makes_a_name_that_is_taken() {
        for (title, wanted) in [
            ("Anna’s Board", "annas-board"),
            ("  Weiße Straße №2 ", "weisse-strasse-no2"),
            ("Łódź/Ærø: café", "lodz-aero-cafe"),
            ("Доска", "job"),
            ("音板 3", "3"),
            ("con", "con-board"),
            ("catalogue", "catalogue-board"),
            ("rig.toml", "rig-toml"),
            ("~stock", "stock"),
            ("...", "job"),
        ] {
            assert_eq!(from_title(title), wanted, "{title}");
            check_new(&from_title(title)).expect("a name that is taken");
        }
        let long = from_title(&"loud ".repeat(40));
        assert!(long.len() <= MADE && check_new(&long).is_ok(), "{long}");
    }
}
