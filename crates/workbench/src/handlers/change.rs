//! Change: from a revision to the draft, or from the draft to a trial; the change order.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use document::Family;

use super::off::off;
use super::{Query, kinds};
use crate::acts::proposals::asked;
use crate::bench::Bench;
use crate::changing::compared;
use crate::error::Refusal;
use crate::pages::change::{Change, Seen};
use crate::pages::frame::{Head, Page};
use crate::papers::Order;
use crate::read::Read;

pub(crate) fn page(bench: &Bench, head: Head, read: &Read, query: &Query) -> Page {
    // A list that cannot be read is shown as none; freezing then tells why.
    let revisions = bench.store.revisions(&head.job).unwrap_or_default();
    let wanted = query.get("from").filter(|from| revisions.iter().any(|entry| entry.letter == *from));
    let letter = wanted.or(revisions.last().map(|entry| entry.letter.as_str())).map(str::to_owned);
    let ask = asked(|name| query.get(name));
    let is_trial = !matches!(ask, Ok(None));
    let seen = match ask {
        Err(why) => Err(why),
        Ok(Some(ask)) => trial(bench, &head.job, read, &ask).map(Some),
        Ok(None) => match &letter {
            Some(letter) => since(bench, &head.job, read, letter).map(Some),
            None => Ok(None),
        },
    };
    let change = Change {
        head: &head,
        rig: &read.design.rig,
        revisions: &revisions,
        letter: letter.as_deref(),
        query,
        is_trial,
        seen: &seen,
        kinds: kinds(&read.job, Family::Device),
        papers: bench.papers.list(),
    };
    let (tools, main, side) = (change.tools(), change.main(), change.side());
    Page { tools, main: Some(main), side, sums: None, head }
}

/// The draft, and what a trial would make of it.
fn trial(bench: &Bench, job: &str, read: &Read, ask: &verdict::WhatIf) -> Result<Seen, String> {
    let edit = verdict::what_if(&read.job, read.all_findings(), ask)?;
    let text = document::edit::apply(read.job.text(), &edit).map_err(|error| error.to_string())?;
    let after = bench.tried(job, &text)?;
    let compared = compared(bench, job, None, read, &after)?;
    let drawn = crate::pages::drawn::pair(read.laid(), after.laid(), &compared.change);
    Ok(Seen { from: "the draft".to_owned(), to: edit.name, compared, drawn })
}

/// A frozen revision, and what the draft makes of it.
fn since(bench: &Bench, job: &str, read: &Read, letter: &str) -> Result<Seen, String> {
    let before = bench.frozen(job, letter).ok_or_else(|| unread(letter))?;
    let compared = compared(bench, job, Some(letter), &before, read)?;
    let drawn = crate::pages::drawn::pair(before.laid(), read.laid(), &compared.change);
    Ok(Seen { from: format!("revision {letter}"), to: "the draft".to_owned(), compared, drawn })
}

fn unread(letter: &str) -> String {
    format!("revision {letter} cannot be read today; its document is kept as it was, see Papers")
}

/// The change order from a frozen revision to the draft.
pub(crate) async fn order(
    State(bench): State<Arc<Bench>>,
    Path((job, file)): Path<(String, String)>,
) -> Result<Response, Refusal> {
    off(move || {
        let letter = file.strip_suffix(".pdf").unwrap_or(&file);
        let opened = bench.look(&job)?;
        let read = opened.read.as_ref().map_err(|trouble| Refusal::senseless(trouble.said.clone()))?;
        let before = bench.frozen(&job, letter).ok_or_else(|| Refusal::missing(unread(letter)))?;
        let found = compared(&bench, &job, Some(letter), &before, read).map_err(Refusal::senseless)?;
        let revisions = bench.store.revisions(&job)?;
        let shelf = crate::stock::shelf_of(bench.store.folder(), &job)
            .map_err(|error| Refusal::senseless(error.to_string()))?;
        let record = crate::tested::record(&bench.store, &job, read.laid())?;
        let from = read.printed_from(&revisions, (&record, &[]), &shelf, (bench.store.folder(), &job));
        let [whole_before, whole_after] = &found.whole;
        let name = format!("revision {letter}");
        let order = Order {
            from: &name,
            before: before.laid(),
            change: &found.change,
            quote: &found.quote,
            prices: &found.prices,
            whole: [whole_before, whole_after],
            repriced: &found.repriced,
        };
        let printed = bench.papers.change_order(&from, &order).map_err(Refusal::senseless)?;
        let name = format!("inline; filename=\"{job}-change-order-{letter}.pdf\"");
        let headers =
            [(header::CONTENT_TYPE, "application/pdf".to_owned()), (header::CONTENT_DISPOSITION, name)];
        Ok((headers, printed.pdf).into_response())
    })
    .await
}
