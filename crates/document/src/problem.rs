//! What is wrong with a file, and where.

use std::ops::Range;

/// One file that was read.
#[derive(Debug, Clone)]
pub struct File {
    /// How it is called in messages.
    pub name: String,
    /// Its text.
    pub text: String,
}

/// The files a job was read from. The rig document is the first.
#[derive(Debug, Clone, Default)]
pub struct Files(pub Vec<File>);

/// A place in a file: bytes of its text.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct At {
    /// Index of the file.
    pub file: usize,
    /// First byte.
    pub start: usize,
    /// After the last byte.
    pub end: usize,
}

impl At {
    /// A place.
    pub fn new(file: usize, span: Range<usize>) -> Self {
        Self { file, start: span.start, end: span.end }
    }

    /// Whether another place holds all of this one.
    pub(crate) fn is_within(&self, other: &Self) -> bool {
        self.file == other.file && other.start <= self.start && self.end <= other.end
    }
}

/// Something that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Where.
    pub at: At,
    /// What was found and what is allowed: one lower-case line without a final stop.
    pub message: String,
    /// What to do, when there is something to add.
    pub help: Option<String>,
}

impl Problem {
    /// A problem without further help.
    pub fn new(at: At, message: impl Into<String>) -> Self {
        Self { at, message: message.into(), help: None }
    }

    /// Adds what to do.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }
}

impl Files {
    /// Line and column of a place, both from 1.
    pub fn line_column(&self, at: &At) -> (usize, usize) {
        let Some(file) = self.0.get(at.file) else { return (1, 1) };
        let mut start = at.start.min(file.text.len());
        while !file.text.is_char_boundary(start) {
            start -= 1;
        }
        let before = &file.text[..start];
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().map_or(0, |last| last.chars().count()) + 1;
        (line, column)
    }

    /// `file:line:column` of a place.
    pub fn place(&self, at: &At) -> String {
        let (line, column) = self.line_column(at);
        let name = self.0.get(at.file).map_or("?", |file| file.name.as_str());
        format!("{name}:{line}:{column}")
    }
}

/// The nearest of some words to one that is not among them, when one is near enough to be meant.
pub(crate) fn nearest<'a>(word: &str, among: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    // Very long words are never a slip, and comparing them would cost time.
    if 80 < word.len() {
        return None;
    }
    among
        .map(|other| (strsim::damerau_levenshtein(word, other), other))
        .filter(|(distance, other)| *distance <= 1 + word.chars().count().max(other.chars().count()) / 3)
        .min()
        .map(|(_, other)| other)
}

/// A text as it may be shown in a message: short, on one line, without control characters.
pub(crate) fn shown(text: &str) -> String {
    let mut out: String = text.chars().take(60).map(|c| if c.is_control() { '·' } else { c }).collect();
    if 60 < text.chars().count() {
        out.push('…');
    }
    out
}
