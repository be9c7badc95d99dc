//! The Shop.

use std::sync::Arc;

use axum::extract::{Form as Fields, RawQuery, State};
use axum::http::header;
use axum::response::{Html, IntoResponse, Redirect, Response};
use finding::{Change, Edit, Field};

use super::asked::Pairs;
use super::off::off;
use super::{Query, search};
use crate::act::Form;
use crate::bench::Bench;
use crate::error::Refusal;
use crate::pages::drawn::still;
use crate::pages::findings::open;
use crate::pages::shop::{JobCard, Shop};
use crate::read::Opened;

pub(crate) async fn show(
    State(bench): State<Arc<Bench>>,
    RawQuery(query): RawQuery,
) -> Result<Response, Refusal> {
    off(move || {
        let query = Query::of(&query.unwrap_or_default());
        let words = query.get("words").unwrap_or("").to_owned();
        let told = bench.told().map(str::to_owned);
        Ok(Html(shop(&bench, words, told)?.html()).into_response())
    })
    .await
}

fn shop(bench: &Bench, words: String, said: Option<String>) -> Result<Shop, Refusal> {
    let mut jobs = Vec::new();
    let mut entries = None;
    for job in bench.store.jobs()? {
        let opened = match bench.look(&job.name) {
            Ok(opened) => opened,
            Err(error) => {
                jobs.push(unreadable(job.name, error.to_string()));
                continue;
            }
        };
        if let Ok(read) = &opened.read
            && entries.is_none()
        {
            entries = Some(read.job.catalogue.entries());
        }
        jobs.push(card(&opened));
    }
    let entries = match entries {
        Some(entries) => entries,
        None => {
            document::Catalogue::of_shop(bench.store.folder()).map(|own| own.entries()).unwrap_or_default()
        }
    };
    let kinds = entries.len();
    let found = if words.trim().is_empty() { Vec::new() } else { search(entries, &words) };
    Ok(Shop {
        folder: bench.store.folder().display().to_string(),
        jobs,
        beginnings: bench.papers.beginnings().into_iter().map(|(name, _)| name).collect(),
        words,
        found,
        kinds,
        said,
        is_for_phones: bench.is_for_phones(),
    })
}

fn card(opened: &Opened) -> JobCard {
    match &opened.read {
        Ok(read) => {
            let job = &read.design.rig.job;
            let extent = read.design.rig.board.extent();
            let long = extent.width.as_mm().max(extent.depth.as_mm() * 1.6);
            let drawing = drawing::plan(&read.design, None, crate::pages::drawn::scale_for(long, 110.0));
            JobCard {
                name: opened.name.clone(),
                title: job.title.clone(),
                player: job.player.clone(),
                number: job.number.clone(),
                drawing: Some(still(&drawing, "drawing small")),
                open: open(read.findings()),
                trouble: None,
            }
        }
        Err(trouble) => unreadable(opened.name.clone(), trouble.said.clone()),
    }
}

fn unreadable(name: String, why: String) -> JobCard {
    JobCard {
        title: name.clone(),
        name,
        player: None,
        number: None,
        drawing: None,
        open: [0; 3],
        trouble: Some(why),
    }
}

/// A new job, blank or from an example.
pub(crate) async fn make(
    State(bench): State<Arc<Bench>>,
    Fields(pairs): Fields<Pairs>,
) -> Result<Response, Refusal> {
    off(move || {
        let form = Form::new(pairs);
        let name = form.get("name").unwrap_or("").trim();
        let from = form.get("from").unwrap_or("");
        let beginnings = bench.papers.beginnings();
        let text = beginnings
            .iter()
            .find(|(known, _)| known == from)
            .or(beginnings.first())
            .map(|(_, text)| text.clone())
            .ok_or_else(|| Refusal::missing("there is nothing to begin from"))?;
        let title = form.get("title").unwrap_or("").trim();
        let text = if title.is_empty() {
            text
        } else {
            let edit = Edit::new("", [Change::set(Field::new(["job", "title"]), title)]);
            document::edit::apply(&text, &edit).map_err(|error| Refusal::senseless(error.to_string()))?
        };
        let name = match (name, title) {
            ("", "") if beginnings.iter().skip(1).any(|(known, _)| known == from) => {
                bench.store.create_titled(from, &text)?
            }
            ("", "") => return Err(Refusal::senseless("say what the rig is called")),
            ("", title) => bench.store.create_titled(title, &text)?,
            (name, _) => {
                bench.store.create(name, &text)?;
                name.to_owned()
            }
        };
        Ok(Redirect::to(&format!("/job/{}/brief", crate::pages::value::query(&name))).into_response())
    })
    .await
}

/// Millimetres or inches, kept by the browser.
pub(crate) async fn unit(Fields(pairs): Fields<Pairs>) -> Response {
    let form = Form::new(pairs);
    let unit = if form.get("unit") == Some("inch") { "inch" } else { "mm" };
    // Back to where it was pressed, on this server only.
    let here = form
        .get("here")
        .filter(|here| here.starts_with("/job/") && !here.contains(['\r', '\n', '\\']))
        .unwrap_or("/");
    let cookie = format!("unit={unit}; Path=/; SameSite=Strict; Max-Age=31536000");
    ([(header::SET_COOKIE, cookie)], Redirect::to(here)).into_response()
}
