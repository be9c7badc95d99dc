//! Label sheets at true size, for a tape and for wrap-around labels.

use design::{LabelKind, labels as all_labels};
use drawing::{Media, check_bar, label_pages};

use crate::block::{Table, cell, figures, share, wide};
use crate::part::{Body, Part, Placed};
use crate::sheet::{INSET, Lie};
use crate::words::tenths;
use crate::{PapersInput, text};

/// Length of a wrap-around label along the cable. *Common practice, no source.*
const WRAP_MM: f64 = 25.0;

/// The labels for a tape: what is bound.
pub(crate) fn labels(input: &PapersInput<'_>) -> Part {
    let roll = Media::Roll { wide: input.tape_mm };
    let mut part = printed(input, roll, &text::label_roll(input.tape_mm), text::LABEL_ROLL_NOTE);
    part.files.push(table(&all_labels(input.design)));
    part
}

/// The same labels to wrap around: loose, for who has no tape.
pub(crate) fn wrapped(input: &PapersInput<'_>) -> Part {
    let wrap = Media::Wrap { long: WRAP_MM };
    let part = printed(input, wrap, &text::label_wrap(WRAP_MM), text::LABEL_WRAP_NOTE);
    Part { name: "labels-wrap", title: text::LABELS_WRAP.to_owned(), ..part }
}

fn printed(input: &PapersInput<'_>, media: Media, head: &str, note: &str) -> Part {
    let mut part = Part::blocks(input, "labels", text::LABELS, "-LAB", Lie::Portrait, Vec::new());
    let labels = all_labels(input.design);
    let (wide, high) = part.sheet.room();
    let (left, top) = (part.sheet.left + INSET, part.sheet.top + INSET);
    let mut pages = Vec::new();
    for drawing in label_pages(&labels, media, wide, high - 24.0) {
        let bar = check_bar();
        pages.push(Placed {
            words: vec![
                (left, top + 5.0, head.to_owned(), 13.0, true, false),
                (left, top + 10.0, note.to_owned(), 9.0, false, true),
            ],
            drawings: vec![
                (drawing, left, top + 13.5, None),
                (bar, left, part.sheet.strip_top() - 6.0, None),
            ],
        });
    }
    if pages.is_empty() {
        let words = (left, top + 5.0, text::NO_LABELS.to_owned(), 11.0, false, false);
        pages.push(Placed { words: vec![words], ..Placed::default() });
    }
    part.body = Body::Placed(pages);
    part
}

/// Labels as values, for a printer's own program.
fn table(labels: &[design::Label]) -> Table {
    let mut table = Table::new(
        "labels",
        9.0,
        vec![
            wide(text::LABEL_FOR, 30.0),
            wide(text::LABEL_KIND, 30.0),
            share(text::LABEL_FIRST, 1.0),
            share(text::LABEL_SECOND, 1.0),
            share(text::LABEL_THIRD, 1.0),
            share(text::LABEL_FOURTH, 1.0),
            figures(text::CABLE, text::MM, 20.0),
        ],
    );
    for label in labels {
        let line = |index: usize| cell(label.lines.get(index).cloned().unwrap_or_default());
        let kind = match label.kind {
            LabelKind::LeadEnd => text::LABEL_LEAD_END,
            LabelKind::Device => text::DEVICE,
            LabelKind::Outlet => text::OUTLET,
            LabelKind::Jack => text::LABEL_JACK,
        };
        let around = if label.kind == LabelKind::LeadEnd { tenths(label.around) } else { cell("") };
        table.row([cell(label.of.clone()), cell(kind), line(0), line(1), line(2), line(3), around]);
    }
    table
}
