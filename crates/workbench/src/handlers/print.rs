//! What is printed and what is frozen: papers to look at and to take along, revisions.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use finding::{Change, Edit, Field};

use super::asked::Asked;
use super::off::off;
use crate::bench::Bench;
use crate::error::Refusal;
use crate::read::Read;

/// One paper, or all of them in one file.
pub(crate) async fn print(
    State(bench): State<Arc<Bench>>,
    Path((job, file)): Path<(String, String)>,
) -> Result<Response, Refusal> {
    off(move || {
        if file == "all.zip" {
            crate::numbers::issue(&bench, &job)?;
        }
        let opened = bench.look(&job)?;
        let read = opened.read.as_ref().map_err(|trouble| Refusal::senseless(trouble.said.clone()))?;
        let mut papers = bench.papers.list();
        papers.extend(bench.papers.of_money());
        if file == "all.zip" {
            let revisions = bench.store.revisions(&job)?;
            let shelf = crate::stock::shelf_of(bench.store.folder(), &job)
                .map_err(|error| Refusal::senseless(error.to_string()))?;
            let record = crate::tested::record(&bench.store, &job, read.laid())?;
            let plots = crate::recordings::drawn(&bench.takes(&job, read));
            let made = bench
                .papers
                .all(&read.printed_from(&revisions, (&record, &plots), &shelf, (bench.store.folder(), &job)))
                .map_err(Refusal::senseless)?;
            let files: Vec<(String, &[u8])> =
                made.iter().map(|(name, bytes)| (name.clone(), bytes.as_slice())).collect();
            let name = format!("attachment; filename=\"{job}-papers.zip\"");
            let headers =
                [(header::CONTENT_TYPE, "application/zip".to_owned()), (header::CONTENT_DISPOSITION, name)];
            let archive =
                crate::zip::archive(&files).map_err(|error| Refusal::senseless(error.to_string()))?;
            return Ok((headers, archive).into_response());
        }
        if file == "quote.csv" {
            return csv(&bench, &job, read);
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

/// The quote as rows.
fn csv(bench: &Bench, job: &str, read: &Read) -> Result<Response, Refusal> {
    let prices = crate::changing::prices_for(bench, job, read).map_err(Refusal::senseless)?;
    let prices = prices.ok_or_else(|| {
        Refusal::missing("the shop has no prices.toml, or it cannot be read: it says what things cost")
    })?;
    let sense = |error: document::ReadError| Refusal::senseless(error.to_string());
    let on_hand = crate::stock::stock_of(bench.store.folder()).map_err(sense)?.on_hand();
    let shelf = crate::stock::shelf_of(bench.store.folder(), job).map_err(sense)?;
    let quote = design::quote(read.laid(), &prices, &on_hand, &shelf);
    let name = format!("attachment; filename=\"{job}-quote.csv\"");
    let headers =
        [(header::CONTENT_TYPE, "text/csv; charset=utf-8".to_owned()), (header::CONTENT_DISPOSITION, name)];
    Ok((headers, estimate::quote_csv(&quote, &prices)).into_response())
}

/// A paper about money of a frozen revision, with the figures of its day.
pub(crate) async fn of_revision(
    State(bench): State<Arc<Bench>>,
    Path((job, letter, file)): Path<(String, String, String)>,
) -> Result<Response, Refusal> {
    off(move || {
        let papers = bench.papers.of_money();
        let paper = file.strip_suffix(".pdf").and_then(|name| papers.iter().find(|paper| paper.name == name));
        let paper =
            paper.ok_or_else(|| Refusal::missing(format!("there is no paper `{file}` of a revision")))?;
        let gone = || Refusal::missing(format!("revision {letter} cannot be read today"));
        let read = bench.frozen(&job, &letter).ok_or_else(gone)?;
        let printed = bench.print(&job, paper.name, &read).map_err(Refusal::senseless)?;
        let name = format!("inline; filename=\"{job}-{}-{letter}.pdf\"", paper.name);
        let headers =
            [(header::CONTENT_TYPE, "application/pdf".to_owned()), (header::CONTENT_DISPOSITION, name)];
        Ok((headers, printed.pdf.clone()).into_response())
    })
    .await
}

/// The letter after this one: `A`, `B` to `Z`, `AA`.
fn next_letter(letter: &str) -> String {
    let mut digits: Vec<u8> = letter.bytes().filter(u8::is_ascii_uppercase).collect();
    for digit in digits.iter_mut().rev() {
        if *digit < b'Z' {
            *digit += 1;
            return String::from_utf8_lossy(&digits).into_owned();
        }
        *digit = b'A';
    }
    digits.insert(0, b'A');
    String::from_utf8_lossy(&digits).into_owned()
}

/// Freezes what stands there under its letter; the document goes on as a draft of the next.
pub(crate) async fn freeze(asked: Asked) -> Result<Response, Refusal> {
    asked.done(freeze_now).await
}

fn freeze_now(asked: &Asked) -> Result<Response, Refusal> {
    let Asked { bench, job, form, .. } = asked;
    let base = asked.base()?;
    let opened = bench.look(job)?;
    if opened.state.version != base {
        return Err(store::StoreError::Stale { base, now: opened.state.version }.into());
    }
    crate::numbers::issue(bench, job)?;
    // Issuing numbers is an edit of its own.
    let opened = bench.look(job)?;
    let base = opened.state.version;
    let read = opened.read.as_ref().map_err(|trouble| Refusal::senseless(trouble.said.clone()))?;
    let letter = form.need("letter").map_err(Refusal::senseless)?.trim();
    if letter.is_empty() || 3 < letter.len() || !letter.bytes().all(|byte| byte.is_ascii_uppercase()) {
        return Err(Refusal::senseless("a revision is named by one to three capital letters"));
    }
    let why = form.need("why").map_err(Refusal::senseless)?.trim();
    if why.is_empty() {
        return Err(Refusal::senseless("write why this revision is made"));
    }
    let by = form.get("by").map(str::trim).filter(|by| !by.is_empty());
    let of = |is: fn(&str) -> bool| -> String {
        let files = read.job.files.0.iter().skip(1).filter(|file| is(&file.name));
        files.fold(String::new(), |out, file| out + "# " + last(&file.name) + "\n" + &file.text + "\n")
    };
    let frozen = store::Revision {
        text: opened.state.text.clone(),
        kinds: of(|name| !name.ends_with("shop.toml")),
        settings: of(|name| name.ends_with("shop.toml")),
        program: env!("CARGO_PKG_VERSION").to_owned(),
    };
    bench.store.freeze(job, letter, why, by, &frozen)?;
    if let Ok(prices) = document::edit::read_plain_text(&bench.store.folder().join("prices.toml")) {
        bench.store.freeze_prices(job, letter, &prices)?;
    }
    let next = next_letter(letter);
    let revision = Change::set(Field::new(["job", "revision"]), &next);
    let edit = Edit::new(format!("begin revision {next}"), [revision]);
    let done = bench.edit(job, base, asked.client(), &edit)?;
    Ok(asked.answer(&done.opened, Some(&done.said(&format!("revision {letter} is frozen")))))
}

/// The document of a frozen revision again, as one edit.
pub(crate) async fn back(asked: Asked) -> Result<Response, Refusal> {
    asked
        .done(|asked| {
            let base = asked.base()?;
            let letter = asked.form.need("letter").map_err(Refusal::senseless)?;
            let done = asked.bench.back_to(&asked.job, base, asked.client(), letter)?;
            Ok(asked.answer(
                &done.opened,
                Some(&done.said(&format!("back to revision {letter}; Undo brings the draft again"))),
            ))
        })
        .await
}

/// A file's name without the folders before it.
fn last(name: &str) -> &str {
    name.rsplit('/').next().unwrap_or(name)
}

/// The document of a frozen revision, as it was.
pub(crate) async fn frozen(
    State(bench): State<Arc<Bench>>,
    Path((job, letter)): Path<(String, String)>,
) -> Result<Response, Refusal> {
    off(move || {
        let frozen = bench.store.revision(&job, &letter)?;
        Ok(([(header::CONTENT_TYPE, "text/plain; charset=utf-8")], frozen.text).into_response())
    })
    .await
}

#[cfg(test)]
mod tests {
    use super::next_letter;

    #[test]
    fn letters_count_on() {
        let next: Vec<String> = ["A", "Y", "Z", "AZ", ""].iter().map(|letter| next_letter(letter)).collect();
        assert_eq!(next, ["B", "Z", "AA", "BA", "A"]);
    }
}
