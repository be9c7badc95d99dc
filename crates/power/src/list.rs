//! Names one after the other.

/// Names as a list: `A, B and C`.
pub(crate) fn list<S: AsRef<str>>(names: &[S]) -> String {
    match names {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [first @ .., last] => {
            let first: Vec<&str> = first.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", first.join(", "), last.as_ref())
        }
    }
}

/// A small number as people write it.
pub(crate) fn number(amount: usize) -> String {
    const WORDS: [&str; 11] =
        ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"];
    WORDS.get(amount).map_or_else(|| amount.to_string(), |word| (*word).to_owned())
}
