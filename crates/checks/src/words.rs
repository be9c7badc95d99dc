//! How messages name things: lists of tags, and figures.

use finding::Figure;
use quantity::Length;

/// A figure as findings show it.
pub(crate) fn shown(figure: impl Into<Figure>) -> String {
    figure.into().to_string()
}

/// A length and the one it is held against; with more digits where they would read the same.
pub(crate) fn against(found: Length, limit: Length) -> (String, String) {
    let (a, b) = (shown(found), shown(limit));
    if a == b && found != limit { (found.to_string(), limit.to_string()) } else { (a, b) }
}

/// `A4`, `A4 and A5`, `A4, A5 and A6`.
pub(crate) fn list<S: AsRef<str>>(names: &[S]) -> String {
    match names {
        [] => "nothing".to_owned(),
        [one] => one.as_ref().to_owned(),
        [front @ .., last] => {
            let front: Vec<&str> = front.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", front.join(", "), last.as_ref())
        }
    }
}

/// As [`list`] for a few names; of more, how many: `A1, A2, A3 and 4 more`.
pub(crate) fn some<S: AsRef<str>>(names: &[S], rest: &str) -> String {
    const NAMED: usize = 6;
    if names.len() <= NAMED {
        return list(names);
    }
    let mut short: Vec<String> = names.iter().take(NAMED - 1).map(|name| name.as_ref().to_owned()).collect();
    short.push(format!("{} {rest}", names.len() - (NAMED - 1)));
    list(&short)
}

/// The name by which findings speak of the board as a whole.
pub(crate) const BOARD: &str = "board";
