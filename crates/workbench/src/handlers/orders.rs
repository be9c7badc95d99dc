//! Orders of the shop.

use std::sync::Arc;

use axum::extract::{Form as Fields, RawQuery, State};
use axum::http::header;
use axum::response::{Html, IntoResponse, Redirect, Response};
use estimate::Prices;
use store::HistoryStep;

use super::Query;
use super::asked::Pairs;
use super::off::off;
use crate::act::Form;
use crate::bench::Bench;
use crate::error::Refusal;
use crate::pages::orders::{OrderJob, Orders};
use crate::read::Opened;

/// With so many jobs, all of them are counted unless somebody says which.
const ALL: usize = 12;

pub(crate) async fn show(
    State(bench): State<Arc<Bench>>,
    RawQuery(query): RawQuery,
) -> Result<Response, Refusal> {
    off(move || {
        let query = Query::of(&query.unwrap_or_default());
        let said = query.get("said").map(str::to_owned);
        Ok(Html(page(&bench, &query.all("job"), said)?.html()).into_response())
    })
    .await
}

/// The lists as rows of a spreadsheet.
pub(crate) async fn rows(
    State(bench): State<Arc<Bench>>,
    RawQuery(query): RawQuery,
) -> Result<Response, Refusal> {
    off(move || {
        let page = page(&bench, &Query::of(&query.unwrap_or_default()).all("job"), None)?;
        let Some(currency) = &page.currency else {
            return Err(Refusal::senseless("the shop has no prices.toml"));
        };
        let text = format!("\u{feff}{}", estimate::orders_csv(&page.lists, currency));
        let head = [
            (header::CONTENT_TYPE, "text/csv; charset=utf-8"),
            (header::CONTENT_DISPOSITION, "attachment; filename=\"orders.csv\""),
        ];
        Ok((head, text).into_response())
    })
    .await
}

/// Books in what came, or takes the last change of the stock back.
pub(crate) async fn act(
    State(bench): State<Arc<Bench>>,
    RawQuery(query): RawQuery,
    Fields(pairs): Fields<Pairs>,
) -> Result<Response, Refusal> {
    off(move || {
        let form = Form::new(pairs);
        let prices = prices(&bench)?;
        let done = match form.get("what") {
            Some("back") => crate::stock::restock(&bench.store, HistoryStep::Undo)
                .map(|back| format!("taken back: {}", back.name)),
            _ => match &prices {
                Some(prices) => {
                    let (item, packs) =
                        (form.get("item").unwrap_or_default(), form.get("packs").unwrap_or_default());
                    crate::orders::receive(&bench.store, prices, item, packs)
                        .map(|entry| format!("booked: {entry}"))
                }
                None => return Err(Refusal::senseless("the shop has no prices.toml")),
            },
        };
        let names = Query::of(&query.unwrap_or_default()).all("job");
        match done {
            Ok(said) => {
                let mut to = "/orders?".to_owned();
                for (key, value) in names.iter().map(|job| ("job", job)).chain([("said", &said)]) {
                    to += &format!("{key}={}&", crate::pages::value::query(value));
                }
                Ok(Redirect::to(to.trim_end_matches('&')).into_response())
            }
            Err(error) => {
                let refusal = Refusal::from(error);
                let mut page = page(&bench, &names, None)?;
                page.refused = Some(refusal.why().to_owned());
                Ok((refusal.status(), Html(page.html())).into_response())
            }
        }
    })
    .await
}

fn prices(bench: &Bench) -> Result<Option<Prices>, Refusal> {
    document::prices_in(bench.store.folder()).map_err(|error| Refusal::senseless(error.to_string()))
}

fn page(bench: &Bench, names: &[String], said: Option<String>) -> Result<Orders, Refusal> {
    let all = bench.store.jobs()?;
    let is_chosen = |name: &str| {
        if names.is_empty() { all.len() <= ALL } else { names.iter().any(|own| own == name) }
    };
    let mut opened: Vec<Arc<Opened>> = Vec::new();
    let mut jobs = Vec::new();
    for job in &all {
        let mut one = OrderJob {
            name: job.name.clone(),
            title: super::shop::title(bench, &job.name),
            chosen: is_chosen(&job.name),
            trouble: None,
        };
        if one.chosen {
            match bench.look(&job.name) {
                Ok(read) => {
                    one.trouble = read.read.as_ref().err().map(|trouble| trouble.said.clone());
                    opened.push(read);
                }
                Err(error) => one.trouble = Some(error.to_string()),
            }
        }
        jobs.push(one);
    }
    let designs: Vec<(String, &design::Design)> = opened
        .iter()
        .filter_map(|own| own.read.as_ref().ok().map(|read| (own.name.clone(), read.laid())))
        .collect();
    let prices = prices(bench)?;
    let (lists, missing) = match &prices {
        Some(prices) => crate::orders::orders_of(bench.store.folder(), &designs, prices)
            .map_err(|error| Refusal::senseless(error.to_string()))?,
        None => Default::default(),
    };
    Ok(Orders {
        jobs,
        lists,
        missing,
        currency: prices.map(|prices| prices.currency),
        last: crate::stock::last_booking(&bench.store),
        said,
        refused: None,
    })
}
