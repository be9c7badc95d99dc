//! What is told when an edit was made: its name says what to do, this says that it is done.

/// Verbs of edits and what is done by then.
const VERBS: &[(&str, &str)] = &[
    ("add", "added"),
    ("remove", "removed"),
    ("move", "moved"),
    ("turn", "turned"),
    ("lock", "locked"),
    ("unlock", "unlocked"),
    ("place", "placed"),
    ("feed", "fed"),
    ("insert", "inserted"),
    ("rename", "renamed"),
    ("tie", "tied"),
    ("untie", "untied"),
    ("put", "put"),
    ("take", "taken"),
    ("choose", "chosen"),
    ("make", "made"),
    ("leave", "left"),
    ("change", "changed"),
    ("keep", "kept"),
];

/// Words at which what is worked on ends.
const AFTER: &[&str] =
    &["at", "to", "from", "into", "off", "under", "on", "before", "after", "with", "open", "along"];

/// The name of an edit as what was done: `add A1` is `A1 added`.
pub(crate) fn done(name: &str) -> String {
    let (verb, rest) = name.split_once(' ').unwrap_or((name, ""));
    let Some((_, done)) = VERBS.iter().find(|(known, _)| *known == verb).filter(|_| !rest.is_empty()) else {
        return name.to_owned();
    };
    let words: Vec<&str> = rest.split(' ').collect();
    let is_after = |word: &&str| AFTER.contains(word) || word.starts_with(|c: char| c.is_ascii_digit());
    // What is worked on has a word at least, be it a number.
    let end = words.iter().skip(1).position(is_after).map_or(words.len(), |at| at + 1);
    let (what, how) = words.split_at(end);
    let (what, comma) = match what.join(" ").strip_suffix(',') {
        Some(bare) => (bare.to_owned(), ","),
        None => (what.join(" "), ""),
    };
    let how = if how.is_empty() { String::new() } else { format!("{comma} {}", how.join(" ")) };
    format!("{what} {done}{how}")
}

#[cfg(test)]
mod tests {
    use super::done;

    #[test]
    fn what_was_asked_for_is_told_as_done() {
        for (name, told) in [
            ("add A1", "A1 added"),
            ("add run main", "run main added"),
            ("move B7 60 mm right", "B7 moved 60 mm right"),
            ("place OWN at 12 mm, 3 mm", "OWN placed at 12 mm, 3 mm"),
            ("turn A1 to 90°", "A1 turned to 90°"),
            ("choose the board", "the board chosen"),
            ("insert TUN into run main", "TUN inserted into run main"),
            ("take A1 off the board", "A1 taken off the board"),
            ("rename A1 to DRV", "A1 renamed to DRV"),
            ("add run desk feed, along one Y lead", "run desk feed added, along one Y lead"),
            ("leave music open", "music left open"),
            ("player set to Wim Aldery", "player set to Wim Aldery"),
            ("requirement R1", "requirement R1"),
            ("add 3 rows from a spreadsheet", "3 rows added from a spreadsheet"),
        ] {
            assert_eq!(done(name), told);
        }
    }
}
