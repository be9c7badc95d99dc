//! Problems of reading, as text.

use document::{Files, Problem};

use super::snippet::{Message, render};

/// At most so many are shown; the rest usually follows from the first.
const SHOWN: usize = 20;

/// Problems with the lines they stand in.
pub(crate) fn text(problems: &[Problem], files: &Files, colour: bool) -> String {
    let messages: Vec<Message<'_>> = problems
        .iter()
        .take(SHOWN)
        .map(|problem| Message {
            severity: None,
            id: None,
            title: problem.message.clone(),
            places: vec![(problem.at.clone(), String::new())],
            notes: Vec::new(),
            help: problem.help.clone(),
        })
        .collect();
    let mut out = render(&messages, files, colour);
    let name = files.0.first().map_or("the document", |file| file.name.as_str());
    let count = problems.len();
    if SHOWN < count {
        out.push_str(&format!("{count} problems in {name}, the first {SHOWN} are shown\n"));
    } else if count == 1 {
        out.push_str(&format!("1 problem in {name}\n"));
    } else {
        out.push_str(&format!("{count} problems in {name}\n"));
    }
    out
}
