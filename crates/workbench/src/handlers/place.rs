//! A place of a job: as a page, or as the fragments that changed.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, RawQuery, State};
use axum::http::HeaderMap;
use axum::response::{Html, IntoResponse, Redirect, Response};
use maud::html;
use quantity::LengthUnit;

use super::off::{has, off, wants_data};
use super::{Query, head, unit_of};
use crate::bench::Bench;
use crate::error::Refusal;
use crate::pages::frame::{Page, Place};
use crate::read::{Opened, Trouble};

pub(crate) async fn home(Path(job): Path<String>) -> Redirect {
    Redirect::to(&format!("/job/{}/deck", crate::pages::value::query(&job)))
}

pub(crate) async fn nowhere() -> Refusal {
    Refusal::missing("there is nothing at this address")
}

pub(crate) async fn show(
    State(bench): State<Arc<Bench>>,
    Path((job, place)): Path<(String, String)>,
    RawQuery(query): RawQuery,
    headers: HeaderMap,
) -> Result<Response, Refusal> {
    let data = wants_data(&headers);
    let place = Place::of(&place).ok_or_else(|| Refusal::missing(format!("there is no place `{place}`")))?;
    let unit = unit_of(&headers);
    let have = has(&headers);
    off(move || {
        let opened = bench.look(&job).map_err(|error| Refusal::from(error).told_as_data(data))?;
        let page = page(&bench, &opened, place, &Query::of(&query.unwrap_or_default()), unit);
        if place == Place::Path {
            super::path::advise(&bench, &opened);
        }
        Ok(if data {
            Json(page.data(&have, None)).into_response()
        } else {
            Html(page.html()).into_response()
        })
    })
    .await
}

/// The page of a place.
pub(crate) fn page(bench: &Bench, opened: &Opened, place: Place, query: &Query, unit: LengthUnit) -> Page {
    let head = head(opened, place, query, unit);
    let read = match &opened.read {
        Ok(read) => read,
        Err(trouble) => return unreadable(head, trouble, &opened.state.text),
    };
    match place {
        Place::Brief => super::brief::page(head, read),
        Place::Gear => super::gear::page(bench, head, read, query),
        Place::Path => super::path::page(head, read, query),
        Place::Deck => super::deck::page(head, read, query),
        Place::Panel => super::panel::page(head, read),
        Place::Power => super::power::page(head, read, query),
        Place::Leads => super::leads::page(bench, head, read, query),
        Place::Build => super::build::page(bench, head, read, query),
        Place::Test => super::test::page(bench, head, read, query),
        Place::Papers => super::papers::page(bench, head, read, query),
        Place::Change => super::change::page(bench, head, read, query),
    }
}

/// What stands in place of everything when the document cannot be read: the problems, and a way back.
fn unreadable(head: crate::pages::frame::Head, trouble: &Trouble, text: &str) -> Page {
    let main = html! {
        div.page {
            h2 { "The document cannot be read" }
            p { (trouble.said) }
            ol.problems {
                @for problem in &trouble.problems {
                    li {
                        b { (trouble.files.place(&problem.at)) } " " (problem.message)
                        @if let Some(help) = &problem.help { p.faint { (help) } }
                    }
                }
            }
            p { "Undo takes the last change back, also one that another program made." }
            pre { (text) }
        }
    };
    Page { head, tools: html! {}, main: Some(main), side: html! {}, sums: None }
}

pub(crate) async fn drag(
    State(bench): State<Arc<Bench>>,
    Path((job, tag)): Path<(String, String)>,
    RawQuery(query): RawQuery,
) -> Result<Response, Refusal> {
    off(move || {
        let opened = bench.look(&job).map_err(|error| Refusal::from(error).told_as_data(true))?;
        let query = Query::of(&query.unwrap_or_default());
        let found = opened.read.as_ref().ok().and_then(|read| {
            crate::drag::drag(&read.design.rig, &read.design.limits, &tag, query.get("deck"))
        });
        let missing = || Refusal::missing(format!("{tag} has no size to be moved by")).told_as_data(true);
        Ok(Json(found.ok_or_else(missing)?).into_response())
    })
    .await
}

/// What each outlet would cost a device.
pub(crate) async fn moves(
    State(bench): State<Arc<Bench>>,
    Path((job, tag)): Path<(String, String)>,
) -> Result<Response, Refusal> {
    off(move || {
        let opened = bench.look(&job).map_err(|error| Refusal::from(error).told_as_data(true))?;
        let read = opened.read.as_ref().map_err(|trouble| Refusal::senseless(trouble.said.clone()))?;
        let moves = power::moves(read.design.power_input(), &tag);
        let rows: Vec<serde_json::Value> = moves
            .iter()
            .map(|found| {
                let (stop, look) = (!found.breaches.is_empty(), !found.looks.is_empty());
                let cost = if stop {
                    "stop"
                } else if look {
                    "look"
                } else {
                    "pass"
                };
                serde_json::json!({ "outlet": found.outlet, "cost": cost, "words": found.words() })
            })
            .collect();
        Ok(Json(rows).into_response())
    })
    .await
}
