//! Words that were given up stay given up: a retired word, or a retired name in code, is refused with what to say
//! instead.
//!
//! A word is found whole and in any case, in code, comments, messages and pages; an underscore ends a word, so
//! `is_old` holds `old`. A name is refused only where it is an identifier of Rust. An exception names a file or a folder
//! and its reason, and goes when nothing is left that needs it.

use std::collections::BTreeSet;

use anyhow::Result;

use super::{Project, Remark};
use crate::rust::tokens::tokens;

/// Lines `WORD = INSTEAD` or `name IDENTIFIER = INSTEAD`, each followed by its exceptions, `  except PATH: REASON`.
const TABLE: &str = "xtask/tables/retired.txt";

/// The page that explains each of them.
const GLOSSARY: &str = "STYLE.md";

/// Files that have to name what is retired.
const EXEMPT: &[&str] = &["xtask/src/tidy/retired.rs", GLOSSARY];

const EXTENSIONS: &[&str] = &["rs", "md", "typ", "toml", "py", "js"];

/// A line of the table.
#[derive(Debug)]
struct Retired<'a> {
    words: &'a str,
    instead: &'a str,
    is_name: bool,
    line: usize,
    exceptions: Vec<Exception<'a>>,
}

#[derive(Debug)]
struct Exception<'a> {
    path: &'a str,
    line: usize,
}

impl Exception<'_> {
    /// Whether the exception is this file, or a folder around it.
    fn holds(&self, path: &str) -> bool {
        path.strip_prefix(self.path).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    }
}

pub(super) fn check(project: &Project) -> Result<Vec<Remark>> {
    let tree = &project.tree;
    let read = |path: &str| if tree.has(path) { tree.text(path) } else { Ok(String::new()) };
    let (table, glossary) = (read(TABLE)?, read(GLOSSARY)?);
    let mut texts = tree.texts(EXTENSIONS)?;
    texts.retain(|(path, _)| !EXEMPT.contains(path));
    Ok(judge(&texts, &table, &glossary))
}

fn judge(texts: &[(&str, String)], table: &str, glossary: &str) -> Vec<Remark> {
    let (retired, mut remarks) = entries(table);
    let mut needed: BTreeSet<usize> = BTreeSet::new();
    for entry in &retired {
        if lines_with(entry.words, glossary).is_empty() {
            let what = format!("`{}` is not in the glossary", entry.words);
            remarks.push(Remark::new(TABLE, entry.line, what, format!("a word that {GLOSSARY} explains")));
        }
        for (path, text) in texts {
            let lines =
                if entry.is_name { uses(entry.words, path, text) } else { lines_with(entry.words, text) };
            let excepted: Vec<usize> =
                entry.exceptions.iter().filter(|one| one.holds(path)).map(|one| one.line).collect();
            if excepted.is_empty() {
                let what = format!("the retired `{}`", entry.words);
                remarks
                    .extend(lines.iter().map(|line| Remark::new(path, *line, what.as_str(), entry.instead)));
            } else if !lines.is_empty() {
                needed.extend(excepted);
            }
        }
        for exception in entry.exceptions.iter().filter(|one| !needed.contains(&one.line)) {
            let what = format!("`{}` does not stand in `{}` any more", entry.words, exception.path);
            remarks.push(Remark::new(
                TABLE,
                exception.line,
                what,
                "exceptions that are needed; strike the line",
            ));
        }
    }
    remarks
}

/// The entries of the table, and what is wrong with its lines.
fn entries(table: &str) -> (Vec<Retired<'_>>, Vec<Remark>) {
    let (mut found, mut remarks): (Vec<Retired<'_>>, Vec<Remark>) = (Vec::new(), Vec::new());
    for (index, line) in table.lines().enumerate() {
        let number = index + 1;
        if line.trim().is_empty() || line.starts_with('#') {
            continue;
        }
        if let Some(exception) = line.trim_start().strip_prefix("except ") {
            let named = exception.split_once(':').filter(|(_, reason)| !reason.trim().is_empty());
            match (named, found.last_mut()) {
                (Some((path, _)), Some(entry)) => {
                    let path = path.trim().trim_end_matches('/');
                    entry.exceptions.push(Exception { path, line: number });
                }
                _ => remarks.push(Remark::new(
                    TABLE,
                    number,
                    "an exception without a reason",
                    "`  except PATH: REASON`, below a word",
                )),
            }
            continue;
        }
        let Some((words, instead)) = line.split_once(" = ") else {
            remarks.push(Remark::new(
                TABLE,
                number,
                format!("`{line}`"),
                "`WORD = INSTEAD` or `name IDENTIFIER = INSTEAD`",
            ));
            continue;
        };
        let name = words.trim().strip_prefix("name ");
        found.push(Retired {
            words: name.unwrap_or(words).trim(),
            instead: instead.trim(),
            is_name: name.is_some(),
            line: number,
            exceptions: Vec::new(),
        });
    }
    (found, remarks)
}

/// The lines in which the words stand whole, in any case.
fn lines_with(words: &str, text: &str) -> Vec<usize> {
    let wanted = words.to_lowercase();
    let stands = |line: &str| {
        line.match_indices(wanted.as_str())
            .any(|(at, found)| is_end(&line[..at], found) && is_end(found, &line[at + found.len()..]))
    };
    let lines = text.lines().enumerate();
    lines.filter(|(_, line)| stands(&line.to_lowercase())).map(|(index, _)| index + 1).collect()
}

/// Whether a word ends between two parts of a line. A mark such as ‰ stands whole wherever it stands.
fn is_end(left: &str, right: &str) -> bool {
    let is_letter = |letter: Option<char>| letter.is_some_and(char::is_alphanumeric);
    !(is_letter(left.chars().next_back()) && is_letter(right.chars().next()))
}

/// The lines of a Rust file in which the identifier is used.
fn uses(name: &str, path: &str, text: &str) -> Vec<usize> {
    if !path.to_lowercase().ends_with(".rs") || !text.contains(name) {
        return Vec::new();
    }
    let named = tokens(text).into_iter().filter(|token| token.is_word && token.text == name);
    let mut lines: Vec<usize> = named.map(|token| token.line).collect();
    lines.dedup();
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    const GLOSSARY_PAGE: &str = "| zero | the number | nought |\n| `cost` | | dear, ‰, mind eyes |";

    fn told(path: &str, text: &str, table: &str) -> Vec<String> {
        judge(&[(path, text.to_owned())], table, GLOSSARY_PAGE).iter().map(ToString::to_string).collect()
    }

    #[test]
    fn fires() {
        for text in ["// nought", "below nought,", "\"Nought.\"", "let is_nought = 1;", "NOUGHT"] {
            let told = told("a.rs", &format!("//! A.\n{text}"), "nought = zero");
            assert_eq!(told, ["a.rs:2: the retired `nought`, allowed: zero"], "{text}");
        }
        assert_eq!(told("a.md", "Wash hands, mind eyes.\n40‰", "mind eyes = protect\n‰ = %").len(), 2);
        assert_eq!(told("a.rs", "let dear = 1;\ndear + f(dear)", "name dear = cost").len(), 2);
        assert_eq!(told("a.rs", "format!(\"{dear}\")", "name dear = cost").len(), 1);
    }

    #[test]
    fn silent() {
        for text in ["noughts", "a thoughtless thing", "zero", ""] {
            assert_eq!(told("a.rs", text, "nought = zero"), Vec::<String>::new(), "{text}");
        }
        for (path, text) in
            [("a.rs", "// a dear one"), ("a.rs", "\"dear\""), ("a.md", "dear"), ("a.rs", "endear")]
        {
            assert_eq!(told(path, text, "name dear = cost"), Vec::<String>::new(), "{text}");
        }
        let excepted = "# The table.\n\nnought = zero\n  except crates/a: read from old files\n";
        assert_eq!(told("crates/a/src/b.rs", "nought", excepted), Vec::<String>::new());
    }

    #[test]
    fn an_exception_has_a_reason_and_is_needed() {
        let stale = told("crates/a/b.rs", "zero", "nought = zero\n  except crates/a: old files");
        assert!(
            stale[0].contains("retired.txt:2: `nought` does not stand in `crates/a` any more"),
            "{stale:?}"
        );
        let other = told("crates/ab/b.rs", "nought", "nought = zero\n  except crates/a: old files");
        assert_eq!(other.len(), 2, "a folder is whole: {other:?}");
        assert!(told("a.rs", "", "nought = zero\n  except crates/a:").concat().contains("without a reason"));
        assert!(told("a.rs", "", "  except crates/a: why").concat().contains("without a reason"));
        assert!(told("a.rs", "", "nought").concat().contains("WORD = INSTEAD"));
    }

    #[test]
    fn a_retired_word_is_in_the_glossary() {
        assert!(told("a.rs", "", "flats = shallow_crossings")[0].contains("`flats` is not in the glossary"));
    }
}
