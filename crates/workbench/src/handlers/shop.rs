//! The Shop.

use std::sync::Arc;

use axum::extract::{Form as Fields, RawQuery, State};
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};
use document::edit::read_plain_text;
use finding::{Change, Edit, Field};

use super::asked::Pairs;
use super::off::off;
use super::{Query, search};
use crate::act::Form;
use crate::bench::Bench;
use crate::error::Refusal;
use crate::pages::drawn::thumb;
use crate::pages::findings::open;
use crate::pages::shop::{JobCard, Shop};
use crate::read::Opened;

pub(crate) async fn show(
    State(bench): State<Arc<Bench>>,
    RawQuery(query): RawQuery,
) -> Result<Response, Refusal> {
    off(move || {
        let query = Query::of(&query.unwrap_or_default());
        let told = bench.told().map(str::to_owned);
        let shop = shop(&bench, &query, told)?;
        count(&bench, &shop);
        Ok(Html(shop.html()).into_response())
    })
    .await
}

/// Asks the engines of the jobs on a page, beside the answer: the next look has the counts that the jobs themselves have.
fn count(bench: &Arc<Bench>, shop: &Shop) {
    let names: Vec<String> = shop.jobs.iter().map(|job| job.name.clone()).collect();
    let bench = Arc::clone(bench);
    tokio::task::spawn_blocking(move || {
        for name in names {
            if let Ok(opened) = bench.look(&name)
                && let Ok(read) = &opened.read
            {
                read.all_findings();
            }
        }
    });
}

/// How many jobs a page shows.
const SHOWN: usize = 24;

/// What a job is called, read without deriving anything of it.
pub(super) fn title(bench: &Bench, name: &str) -> String {
    label(bench, name).title
}

/// What a job is called, and by what else it is found.
fn label(bench: &Bench, name: &str) -> Label {
    // A pipe in the place of a document is told on its card.
    let text =
        bench.store.document(name).ok().and_then(|path| read_plain_text(&path).ok()).unwrap_or_default();
    let own = text.lines().skip_while(|line| line.trim() != "[job]").skip(1);
    let own: Vec<&str> = own.take_while(|line| !line.starts_with('[')).collect();
    let value = |key: &str| {
        let found = own.iter().find_map(|line| line.trim().strip_prefix(key)?.trim_start().strip_prefix('='));
        found.map(|value| value.trim().trim_matches('"').to_owned()).filter(|value| !value.is_empty())
    };
    let title = value("title").unwrap_or_else(|| name.to_owned());
    Label {
        name: name.to_owned(),
        title,
        about: [value("number"), value("player")].into_iter().flatten().collect(),
    }
}

/// A job by its names.
struct Label {
    name: String,
    title: String,
    about: Vec<String>,
}

impl Label {
    fn goes_by(&self, words: &str) -> bool {
        let all = format!("{} {} {}", self.name, self.title, self.about.join(" ")).to_lowercase();
        words.to_lowercase().split_whitespace().all(|word| all.contains(word))
    }
}

fn shop(bench: &Bench, query: &Query, said: Option<String>) -> Result<Shop, Refusal> {
    let words = query.get("words").unwrap_or("").to_owned();
    let find = query.get("find").unwrap_or("").trim().to_owned();
    let all = bench.store.jobs()?;
    let many = all.len();
    let mut found: Vec<Label> =
        all.iter().map(|job| label(bench, &job.name)).filter(|job| job.goes_by(&find)).collect();
    if query.get("sort") == Some("changed") {
        let stamp = |job: &Label| std::cmp::Reverse(bench.stamp(&job.name).map(|(when, _)| when));
        found.sort_by_cached_key(stamp);
    }
    let count = found.len();
    let pages = count.div_ceil(SHOWN).max(1);
    let page = query.get("page").and_then(|page| page.parse::<usize>().ok()).unwrap_or(1).clamp(1, pages);
    let shown = found.iter().skip((page - 1) * SHOWN).take(SHOWN);
    let jobs = shown.map(|job| drawn_card(bench, &job.name)).collect();
    let entries =
        document::Catalogue::of_shop(bench.store.folder()).map(|own| own.entries()).unwrap_or_default();
    let kinds = entries.len();
    let known = if words.trim().is_empty() { Vec::new() } else { search(entries, &words) };
    Ok(Shop {
        folder: bench.store.folder().display().to_string(),
        jobs,
        many,
        count,
        find,
        by_change: query.get("sort") == Some("changed"),
        page,
        pages,
        beginnings: bench.papers.beginnings().into_iter().map(|(name, _)| name).collect(),
        words,
        found: known,
        kinds,
        said,
        is_for_phones: bench.is_for_phones(),
        title: query.get("title").unwrap_or("").to_owned(),
        again: query.get("again").is_some(),
    })
}

/// The card of a job: drawn once for each text, and kept.
fn drawn_card(bench: &Bench, name: &str) -> JobCard {
    let key = bench.stamp(name).map(|stamp| (stamp, bench.store.overlay_stamp()));
    if let Some(card) = key.as_ref().and_then(|key| bench.card(name, key)) {
        return card;
    }
    let (card, is_final) = match bench.look(name) {
        // What the engines say is counted beside the answer; until then the card is made anew.
        Ok(opened) => (card(&opened), opened.read.as_ref().is_ok_and(crate::read::Read::is_heard)),
        Err(error) => (unreadable(name.to_owned(), error.to_string()), false),
    };
    if let Some(key) = key.filter(|_| is_final) {
        bench.keep_card(name, key, &card);
    }
    card
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
                drawing: Some(thumb(&drawing)),
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
            // The form comes again, with what was typed.
            ("", "") => {
                return asked_again(&bench, "", "A job has a title: say what the rig is called.", false);
            }
            ("", title) if form.get("again").is_none() && is_called(&bench, title)? => {
                let why = format!(
                    "There is a job called “{title}” already. Create another of that title, or change it."
                );
                return asked_again(&bench, title, &why, true);
            }
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

/// Whether a job has this title.
fn is_called(bench: &Bench, title: &str) -> Result<bool, Refusal> {
    let jobs = bench.store.jobs()?;
    Ok(jobs.iter().any(|job| label(bench, &job.name).title.to_lowercase() == title.to_lowercase()))
}

/// The shop again, with why no job was made and what was typed.
fn asked_again(bench: &Bench, title: &str, why: &str, again: bool) -> Result<Response, Refusal> {
    let title = crate::pages::value::query(title);
    let query = Query::of(&if again { format!("title={title}&again=yes") } else { format!("title={title}") });
    let page = shop(bench, &query, Some(why.to_owned()))?.html();
    Ok((StatusCode::UNPROCESSABLE_ENTITY, Html(page)).into_response())
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
