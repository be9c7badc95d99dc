//! One module per place: parse the request, call a crate, fill the page.

pub(crate) mod arrange;
pub(crate) mod asked;
pub(crate) mod brief;
pub(crate) mod build;
pub(crate) mod change;
pub(crate) mod deck;
pub(crate) mod edit;
pub(crate) mod enter;
pub(crate) mod events;
pub(crate) mod fault;
pub(crate) mod gear;
pub(crate) mod kinds;
pub(crate) mod leads;
pub(crate) mod off;
pub(crate) mod orders;
pub(crate) mod panel;
pub(crate) mod papers;
pub(crate) mod path;
pub(crate) mod phone;
pub(crate) mod photo;
pub(crate) mod place;
pub(crate) mod power;
pub(crate) mod print;
pub(crate) mod shop;
pub(crate) mod stock;
pub(crate) mod test;
pub(crate) mod tested;
pub(crate) mod whence;

use axum::http::HeaderMap;
use document::{Entry, Family, Job};
use quantity::LengthUnit;

use crate::pages::frame::{Head, Place};
use crate::read::{Opened, Read};
use crate::units::{Fine, in_unit};

/// The query of an address, taken apart.
#[derive(Debug, Clone, Default)]
pub(crate) struct Query {
    pub(crate) raw: String,
    /// Whether the answer should come at once, without what takes long; that is asked for next.
    pub(crate) quick: bool,
    pairs: Vec<(String, String)>,
}

impl Query {
    pub(crate) fn of(raw: &str) -> Self {
        let pairs = form_urlencoded::parse(raw.as_bytes()).into_owned().collect();
        Self { raw: raw.to_owned(), quick: false, pairs }
    }

    /// Each value that is given to a name.
    pub(crate) fn all(&self, name: &str) -> Vec<String> {
        self.pairs.iter().filter(|(key, _)| key == name).map(|(_, value)| value.clone()).collect()
    }

    pub(crate) fn get(&self, name: &str) -> Option<&str> {
        self.pairs.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str())
    }
}

/// The unit of length a browser wants.
pub(crate) fn unit_of(headers: &HeaderMap) -> LengthUnit {
    match crate::cookies::cookie(headers, "unit").as_deref() {
        Some("inch") => LengthUnit::Inch,
        _ => LengthUnit::Millimetre,
    }
}

/// What every part of a page knows.
pub(crate) fn head(opened: &Opened, place: Place, query: &Query, unit: LengthUnit) -> Head {
    let read = opened.read.as_ref().ok();
    let job = read.map(|read| &read.design.rig.job);
    let findings = read.map(|read| read.findings_for(query.quick)).unwrap_or_default();
    Head {
        job: opened.name.clone(),
        title: job.map_or_else(|| opened.name.clone(), |job| job.title.clone()),
        number: job.and_then(|job| job.number.clone()),
        player: job.and_then(|job| job.player.clone()),
        letter: job.and_then(|job| job.revision.clone()),
        revision: opened.state.version,
        undo: opened.state.undo.as_deref().map(|name| in_unit(name, unit, Fine::Tape)),
        redo: opened.state.redo.as_deref().map(|name| in_unit(name, unit, Fine::Tape)),
        unit,
        place,
        query: query.raw.clone(),
        later: query.quick && read.is_some_and(|read| !read.is_heard()),
        open: crate::pages::findings::open(findings),
        by_place: crate::pages::findings::by_place(findings),
    }
}

/// The kinds of one family, in order.
pub(crate) fn kinds(job: &Job, family: Family) -> Vec<Entry> {
    job.catalogue.entries().into_iter().filter(|entry| entry.family == family).collect()
}

/// Entries that go by all of some words.
pub(crate) fn search(entries: Vec<Entry>, words: &str) -> Vec<Entry> {
    let words: Vec<String> = words.split_whitespace().map(str::to_lowercase).collect();
    entries
        .into_iter()
        .filter(|entry| {
            let all = format!("{} {} {}", entry.id, entry.title, entry.search.join(" ")).to_lowercase();
            words.iter().all(|word| all.contains(word))
        })
        .collect()
}

/// The findings beside a place, with nothing picked.
pub(crate) fn beside(head: &Head, read: &Read, picked: Option<&str>) -> maud::Markup {
    crate::pages::findings::beside(head, &read.job, read.findings_for(head.later), picked)
}

#[cfg(test)]
mod tests {
    use super::Query;

    #[test]
    fn a_query_is_taken_apart() {
        let query = Query::of("pick=A%2F1&deck=main+deck&odd=%zz");
        assert_eq!(query.get("pick"), Some("A/1"));
        assert_eq!(query.get("deck"), Some("main deck"));
        assert_eq!(query.get("odd"), Some("%zz"));
    }
}
