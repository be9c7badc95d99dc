//! As much of Markdown as the chores read: fenced blocks, code spans, links.

/// A line of a text, with what it stands in. The fence lines themselves are left out.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Line<'a> {
    /// Counted from one.
    pub(crate) number: usize,
    /// Without the line end.
    pub(crate) text: &'a str,
    /// The info string of the fenced block around the line, if it is in one.
    pub(crate) fence: Option<&'a str>,
}

/// The lines of a text, fences followed.
pub(crate) fn lines(text: &str) -> Vec<Line<'_>> {
    let mut open: Option<(char, usize, &str)> = None;
    let mut found = Vec::new();
    for (index, line) in text.lines().enumerate() {
        match (open, fence(line)) {
            (None, Some(opening)) => open = Some(opening),
            (Some((mark, length, _)), Some((closing_mark, closing_length, info)))
                if closing_mark == mark && closing_length >= length && info.is_empty() =>
            {
                open = None;
            }
            _ => found.push(Line { number: index + 1, text: line, fence: open.map(|(_, _, info)| info) }),
        }
    }
    found
}

/// Mark, length and info string, if the line is a fence.
fn fence(line: &str) -> Option<(char, usize, &str)> {
    let line = line.trim();
    let mark = line.chars().next().filter(|mark| matches!(mark, '`' | '~'))?;
    let rest = line.trim_start_matches(mark);
    let length = line.len() - rest.len();
    // A code span that starts a line is not a fence.
    (length >= 3 && !rest.contains('`')).then(|| (mark, length, rest.trim()))
}

/// The code spans of one line, without their backticks.
pub(crate) fn code_spans(line: &str) -> Vec<&str> {
    let mut spans = Vec::new();
    let mut rest = line;
    while let Some(start) = rest.find('`') {
        let inside = rest[start..].trim_start_matches('`');
        let ticks = &rest[start..rest.len() - inside.len()];
        match inside.find(ticks) {
            Some(end) => {
                spans.push(inside[..end].trim());
                rest = &inside[end + ticks.len()..];
            }
            None => rest = inside,
        }
    }
    spans
}

/// The targets of the links of one line, without title and anchor.
pub(crate) fn links(line: &str) -> Vec<&str> {
    line.match_indices("](")
        .filter_map(|(at, opening)| {
            let inside = &line[at + opening.len()..];
            let target = inside[..inside.find(')')?].split_whitespace().next()?;
            target.split('#').next().filter(|target| !target.is_empty())
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fences_carry_their_info_string() {
        let text = "before\n```arrows\na -> b\n```\nafter\n````text\n```\n````\n";
        let seen: Vec<_> = lines(text).into_iter().map(|l| (l.number, l.text, l.fence)).collect();
        assert_eq!(
            seen,
            [
                (1, "before", None),
                (3, "a -> b", Some("arrows")),
                (5, "after", None),
                (7, "```", Some("text"))
            ]
        );
    }

    #[test]
    fn code_spans_are_found() {
        assert_eq!(code_spans("see `a/b.rs` and ``c`d`` or `open"), ["a/b.rs", "c`d"]);
        assert!(code_spans("nothing here").is_empty());
    }

    #[test]
    fn links_are_found() {
        assert_eq!(links("[a](docs/a.md#part \"A\") and [b](#here), [c](c.md)"), ["docs/a.md", "c.md"]);
    }
}
