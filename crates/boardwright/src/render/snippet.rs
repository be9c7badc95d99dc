//! The one file that speaks to the snippet renderer.

use std::collections::BTreeMap;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use document::{At, Files};
use finding::Severity;

/// One message with places in files.
pub(crate) struct Message<'a> {
    /// How bad; problems of reading are `None`.
    pub(crate) severity: Option<Severity>,
    /// Rule id, when a rule says it.
    pub(crate) id: Option<&'a str>,
    /// The headline.
    pub(crate) title: String,
    /// Places with labels, the main one first.
    pub(crate) places: Vec<(At, String)>,
    /// Remarks below.
    pub(crate) notes: Vec<String>,
    /// What to do.
    pub(crate) help: Option<String>,
}

/// Renders messages one after the other.
pub(crate) fn render(messages: &[Message<'_>], files: &Files, colour: bool) -> String {
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    let renderer = renderer.term_width(110);
    let mut out = String::new();
    for message in messages {
        let groups = groups(message, files);
        out.push_str(&renderer.render(&groups));
        out.push_str("\n\n");
    }
    out
}

/// A place with its number in the message.
type Numbered<'a> = (usize, &'a (At, String));

fn groups<'a>(message: &'a Message<'a>, files: &'a Files) -> Vec<Group<'a>> {
    let level = match message.severity {
        None => Level::ERROR,
        Some(Severity::Stop) => Level::ERROR.with_name("stop"),
        Some(Severity::Look) => Level::WARNING.with_name("look"),
        Some(Severity::Note) => Level::NOTE.with_name("note"),
    };
    let title = level.primary_title(message.title.as_str());
    let title = match message.id {
        Some(id) => title.id(id),
        None => title,
    };
    let mut by_file: BTreeMap<usize, Vec<Numbered<'_>>> = BTreeMap::new();
    for (index, place) in message.places.iter().enumerate() {
        by_file.entry(place.0.file).or_default().push((index, place));
    }
    let main_file = message.places.first().map(|(at, _)| at.file);
    let mut group = Group::with_title(title);
    let mut order: Vec<usize> = by_file.keys().copied().collect();
    order.sort_by_key(|file| (Some(*file) != main_file, *file));
    for file in order {
        let Some(source) = files.0.get(file) else { continue };
        let mut snippet = Snippet::source(source.text.as_str()).path(source.name.as_str());
        for (index, (at, label)) in &by_file[&file] {
            let kind = if *index == 0 { AnnotationKind::Primary } else { AnnotationKind::Context };
            let span = first_line(&source.text, at);
            let annotation = kind.span(span);
            snippet = snippet.annotation(if label.is_empty() {
                annotation
            } else {
                annotation.label(label.as_str())
            });
        }
        group = group.element(snippet);
    }
    for note in &message.notes {
        group = group.element(Level::NOTE.no_name().message(note.as_str()));
    }
    let mut groups = vec![group];
    if let Some(help) = &message.help {
        groups.push(Group::with_title(Level::HELP.secondary_title(help.as_str())));
    }
    groups
}

/// A place cut to its first line, on character boundaries: whole tables would drown the message.
fn first_line(text: &str, at: &At) -> std::ops::Range<usize> {
    let mut start = at.start.min(text.len());
    while !text.is_char_boundary(start) {
        start -= 1;
    }
    let mut end = at.end.clamp(start, text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let line = text[start..end].find(['\n', '\r']).map_or(end, |length| start + length);
    // Very long lines are not shown whole either.
    let mut end = line.min(start + 200);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    start..end.max(start)
}
