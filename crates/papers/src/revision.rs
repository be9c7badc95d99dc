//! The revision record.

use crate::block::{Block, Table, blank, cell, pair, share, wide};
use crate::part::Part;
use crate::sheet::Lie;
use crate::{PAPERS, PapersInput, text};

/// The paper.
pub(crate) fn revision(input: &PapersInput<'_>) -> Part {
    let job = &input.design.rig.job;
    let letter = job.revision.clone().unwrap_or_else(|| text::DRAFT.to_owned());
    let mut blocks = vec![Block::Title(text::REVISION_RECORD)];
    blocks.push(Block::Pairs(
        vec![
            pair(text::REVISION, cell(letter.clone()).bold()),
            pair(text::DATE, cell(job.date.clone().unwrap_or_else(|| text::DRAFT.to_owned()))),
            pair(text::SUPERSEDES, cell(input.supersedes())),
            pair(text::INPUT, cell(input.input_hash.chars().take(16).collect::<String>())),
        ],
        2,
        28.0,
        11.0,
    ));
    let mut table = Table::new(
        "revisions",
        11.0,
        vec![
            wide(text::REVISION, 20.0),
            wide(text::DATE, 32.0),
            share(text::WHY, 1.2),
            share(text::CHANGED, 1.2),
            share(text::AGREED_BY, 0.8),
        ],
    )
    .grid();
    for note in input.revisions {
        table.row([
            cell(note.letter.clone()).bold(),
            cell(note.date.clone()),
            cell(note.why.clone()),
            blank(),
            cell(note.by.clone().unwrap_or_default()),
        ]);
    }
    if input.revisions.iter().all(|note| note.letter != letter) {
        let date = job.date.clone().unwrap_or_else(|| text::DRAFT.to_owned());
        table.row([cell(letter).bold(), cell(date), blank(), blank(), blank()]);
    }
    blocks.push(Block::Table(table));
    blocks.push(Block::Head(text::CHANGES.to_owned(), text::CHANGES_NOTE.to_owned()));
    let changes = [
        text::CHANGE_DEVICES,
        text::CHANGE_LEADS,
        text::CHANGE_OUTLETS,
        text::CHANGE_HOLES,
        text::CHANGE_HOURS,
    ]
    .map(|label| pair(label, blank()));
    blocks.push(Block::Pairs(changes.to_vec(), 1, 56.0, 11.0));
    let titles: Vec<&str> = PAPERS.iter().map(|kind| kind.title).collect();
    blocks.push(Block::Head(text::REISSUED.to_owned(), String::new()));
    blocks.push(Block::Words(titles.join(" · ")));
    blocks.push(Block::Sign(vec![text::PLAYER_SIGNS, text::WORKSHOP_SIGNS, text::DATE_BLANK]));
    Part::blocks(input, "revision", text::REVISION_RECORD, "-REV", Lie::Portrait, blocks)
}
