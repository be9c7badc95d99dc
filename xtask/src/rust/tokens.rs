//! The words and marks of a source text, comments and literals left out.

/// A word or a mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Token<'a> {
    /// A name, keyword or number, or a single mark.
    pub(crate) text: &'a str,
    /// Counted from one.
    pub(crate) line: usize,
    /// Whether it is a name or keyword.
    pub(crate) is_word: bool,
}

/// All tokens of a text, in order.
///
/// Of a string only the names within `{}` remain, since `format!("{name}")` uses what it names.
pub(crate) fn tokens(text: &str) -> Vec<Token<'_>> {
    let mut reader = Reader { text, at: 0, line: 1, found: Vec::new() };
    while reader.step() {}
    reader.found
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
    line: usize,
    found: Vec<Token<'a>>,
}

impl<'a> Reader<'a> {
    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    /// Goes on by so many bytes, and counts the lines among them.
    fn pass(&mut self, bytes: usize) -> &'a str {
        let passed = &self.text[self.at..self.at + bytes];
        self.line += passed.matches('\n').count();
        self.at += bytes;
        passed
    }

    fn step(&mut self) -> bool {
        let rest = self.rest();
        let Some(first) = rest.chars().next() else { return false };
        if rest.starts_with("//") {
            self.pass(rest.find('\n').unwrap_or(rest.len()));
        } else if rest.starts_with("/*") {
            self.pass(block_comment(rest));
        } else if let Some((opening, hashes)) = raw_string(rest) {
            let closing = format!("\"{}", "#".repeat(hashes));
            let body = &rest[opening..];
            let end = body.find(&closing).map_or(rest.len(), |at| opening + at + closing.len());
            self.literal(end);
        } else if rest.starts_with("b\"") || rest.starts_with("c\"") {
            self.literal(1 + string(&rest[1..]));
        } else if first == '"' {
            self.literal(string(rest));
        } else if rest.starts_with("b'") {
            self.pass(1 + character(&rest[1..]).unwrap_or(1));
        } else if first == '\'' {
            // A lifetime is a mark and a word.
            self.pass(character(rest).unwrap_or(1));
        } else if first == '_' || first.is_alphabetic() {
            let length = rest.find(|letter: char| letter != '_' && !letter.is_alphanumeric());
            self.take(length.unwrap_or(rest.len()), true);
        } else if first.is_ascii_digit() {
            let length = rest.find(|letter: char| letter != '_' && !letter.is_alphanumeric());
            self.take(length.unwrap_or(rest.len()), false);
        } else if first.is_whitespace() {
            self.pass(first.len_utf8());
        } else {
            self.take(first.len_utf8(), false);
        }
        true
    }

    fn take(&mut self, bytes: usize, is_word: bool) {
        let line = self.line;
        let text = self.pass(bytes);
        self.found.push(Token { text, line, is_word });
    }

    /// Passes a string, and keeps the names that it takes in.
    fn literal(&mut self, bytes: usize) {
        let line = self.line;
        let text = self.pass(bytes);
        for (at, _) in text.match_indices('{') {
            let after = &text[at + 1..];
            let length =
                after.find(|letter: char| letter != '_' && !letter.is_alphanumeric()).unwrap_or(after.len());
            let name = &after[..length];
            if name.starts_with(|first: char| first == '_' || first.is_alphabetic()) {
                self.found.push(Token { text: name, line, is_word: true });
            }
        }
    }
}

/// Bytes of a block comment, with those nested in it.
fn block_comment(text: &str) -> usize {
    let mut depth = 0_usize;
    let mut at = 0;
    while at < text.len() {
        let rest = &text[at..];
        if rest.starts_with("/*") {
            depth += 1;
            at += 2;
        } else if rest.starts_with("*/") {
            depth -= 1;
            at += 2;
            if depth == 0 {
                return at;
            }
        } else {
            at += rest.chars().next().map_or(1, char::len_utf8);
        }
    }
    text.len()
}

/// Bytes of the opening of a raw string with its number of hashes, if the text begins with one.
fn raw_string(text: &str) -> Option<(usize, usize)> {
    let prefix = ["br", "cr", "r"].into_iter().find(|prefix| text.starts_with(prefix))?;
    let after = &text[prefix.len()..];
    let hashes = after.len() - after.trim_start_matches('#').len();
    after[hashes..].starts_with('"').then(|| (prefix.len() + hashes + 1, hashes))
}

/// Bytes of the string that the text begins with.
fn string(text: &str) -> usize {
    let mut escaped = false;
    for (at, letter) in text.char_indices().skip(1) {
        match letter {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return at + 1,
            _ => {}
        }
    }
    text.len()
}

/// Bytes of the character literal that the text begins with; nothing when it is a lifetime.
fn character(text: &str) -> Option<usize> {
    let mut letters = text.char_indices().skip(1);
    let (_, first) = letters.next()?;
    if first == '\\' {
        letters.next()?;
        return letters.find(|(_, letter)| *letter == '\'').map(|(at, _)| at + 1);
    }
    letters.next().filter(|(_, letter)| *letter == '\'').map(|(at, _)| at + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(text: &str) -> String {
        tokens(text).iter().map(|token| token.text).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn words_and_marks_remain() {
        for (text, expected) in [
            ("fn a() -> u8 { 1_0 }", "fn a ( ) - > u8 { 1_0 }"),
            ("a // b\nc /* d /* e */ f */ g", "a c g"),
            ("f(\"x y\", 'z', '\\'', b'q', '\\u{41}')", "f ( , , , , )"),
            ("struct S<'a>(&'a str);", "struct S < a > ( & a str ) ;"),
            ("r#\"a \" b\"# c r\"d\" e", "c e"),
            ("format!(\"{name:>3} {} {0} {{no}\")", "format ! ( name no )"),
            ("\"a \\\" b\" c", "c"),
        ] {
            assert_eq!(told(text), expected, "{text}");
        }
    }

    #[test]
    fn lines_are_counted_through_strings_and_comments() {
        let lines: Vec<usize> = tokens("a\n\"x\ny\" b /*\n*/ c").iter().map(|token| token.line).collect();
        assert_eq!(lines, [1, 3, 4]);
    }
}
