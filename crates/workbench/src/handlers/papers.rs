//! Papers: previews and downloads.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};

use super::place::off;
use super::{Query, beside};
use crate::bench::{Bench, Read};
use crate::error::Refusal;
use crate::pages::frame::{Head, Page};
use crate::pages::papers::Sheets;

pub(crate) fn page(bench: &Bench, head: Head, read: &Read, query: &Query) -> Page {
    let papers = bench.papers.list();
    let shown = query
        .get("sheet")
        .and_then(|name| papers.iter().find(|paper| paper.name == name))
        .or(papers.first())
        .copied();
    let sheets =
        Sheets { head: &head, shown, open: head.open, stamp: read.inputs.chars().take(12).collect(), papers };
    let (tools, main) = (sheets.tools(), sheets.main());
    let side = beside(&head, read, None);
    Page { tools, main: Some(main), side, sums: None, head }
}

/// One paper, or all of them in one file.
pub(crate) async fn print(
    State(bench): State<Arc<Bench>>,
    Path((job, file)): Path<(String, String)>,
) -> Result<Response, Refusal> {
    off(move || {
        let opened = bench.look(&job)?;
        let read = opened.read.as_ref().map_err(|trouble| Refusal::senseless(trouble.said.clone()))?;
        let papers = bench.papers.list();
        if file == "all.zip" {
            let revisions = bench.store.revisions(&job)?;
            let made = bench.papers.all(&read.printed_from(&revisions)).map_err(Refusal::senseless)?;
            let files: Vec<(String, &[u8])> =
                made.iter().map(|(name, bytes)| (name.clone(), bytes.as_slice())).collect();
            let name = format!("attachment; filename=\"{job}-papers.zip\"");
            let headers =
                [(header::CONTENT_TYPE, "application/zip".to_owned()), (header::CONTENT_DISPOSITION, name)];
            return Ok((headers, crate::zip::archive(&files)).into_response());
        }
        let paper = file
            .strip_suffix(".pdf")
            .and_then(|name| papers.iter().find(|paper| paper.name == name))
            .ok_or_else(|| Refusal::missing(format!("there is no paper `{file}`")))?;
        let printed = bench.print(&job, paper.name, read).map_err(Refusal::senseless)?;
        let name = format!("inline; filename=\"{job}-{}.pdf\"", paper.name);
        let headers =
            [(header::CONTENT_TYPE, "application/pdf".to_owned()), (header::CONTENT_DISPOSITION, name)];
        Ok((headers, printed.pdf.clone()).into_response())
    })
    .await
}
