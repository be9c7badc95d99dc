//! Gear: the table, and the ways to add a device.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use document::Family;

use super::off::off;
use super::{Query, beside, kinds, search};
use crate::bench::Bench;
use crate::error::Refusal;
use crate::pages::frame::{Head, Page};
use crate::pages::gear::{Gear, Open};
use crate::read::Read;

/// How many kinds a search shows.
const SHOWN: usize = 24;

pub(crate) fn page(bench: &Bench, head: Head, read: &Read, query: &Query) -> Page {
    let open = match query.get("add") {
        Some("catalogue") => {
            let words = query.get("words").unwrap_or("").to_owned();
            let mut found = search(kinds(&read.job, Family::Device), &words);
            let more = found.len().saturating_sub(SHOWN);
            found.truncate(SHOWN);
            let jobs = crate::here::jobs(bench);
            let usual = found.iter().map(|entry| crate::here::usual(&jobs, &entry.id)).collect();
            Open::Add { words, found, usual, more }
        }
        Some("measure") => Open::Measure,
        Some("first") => Open::First(read.first().clone()),
        Some("photo") => Open::Photo,
        Some("paste") => Open::Paste { rows: String::new(), sheet: crate::paste::Sheet::default() },
        _ => Open::Nothing,
    };
    with(head, read, query.get("pick"), open)
}

/// The devices as rows for a spreadsheet, with the headings that pasted rows are understood by.
pub(crate) async fn rows(
    State(bench): State<Arc<Bench>>,
    Path(job): Path<String>,
) -> Result<Response, Refusal> {
    off(move || {
        let opened = bench.look(&job)?;
        let read = opened.read.as_ref().map_err(|trouble| Refusal::senseless(trouble.said.clone()))?;
        let heads = [
            (header::CONTENT_TYPE, "text/csv; charset=utf-8"),
            (header::CONTENT_DISPOSITION, "attachment; filename=\"gear.csv\""),
        ];
        Ok((heads, crate::paste::rows_out(&read.design.rig)).into_response())
    })
    .await
}

pub(super) fn with(head: Head, read: &Read, pick: Option<&str>, open: Open) -> Page {
    let picked = pick.and_then(|tag| read.design.rig.device(tag));
    let gear = Gear {
        head: &head,
        job: &read.job,
        devices: &read.design.rig.devices,
        picked,
        open,
        connectors: kinds(&read.job, Family::Connector),
        kinds: if picked.is_some() { kinds(&read.job, Family::Device) } else { Vec::new() },
    };
    let (tools, main) = (gear.tools(), gear.main());
    let side = beside(&head, read, picked.map(|device| device.tag.as_str()));
    Page { tools, main: Some(main), side, sums: None, head }
}
