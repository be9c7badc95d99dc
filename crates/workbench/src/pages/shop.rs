//! The Shop: the jobs with a small true drawing of each, and the catalogue.

use document::{Entry, Family};
use maud::{Markup, html};

use super::frame::bare;
use super::marks::counted;
use super::value::query;

/// One job.
pub(crate) struct JobCard {
    pub(crate) name: String,
    pub(crate) title: String,
    pub(crate) player: Option<String>,
    pub(crate) number: Option<String>,
    pub(crate) drawing: Option<Markup>,
    pub(crate) open: [usize; 3],
    pub(crate) trouble: Option<String>,
}

/// The page.
pub(crate) struct Shop {
    pub(crate) folder: String,
    pub(crate) jobs: Vec<JobCard>,
    pub(crate) beginnings: Vec<String>,
    pub(crate) words: String,
    pub(crate) found: Vec<Entry>,
    pub(crate) kinds: usize,
    pub(crate) said: Option<String>,
    /// Whether a phone can come in.
    pub(crate) is_for_phones: bool,
}

impl Shop {
    pub(crate) fn html(&self) -> String {
        bare(
            "Shop",
            &html! {
                div.page.shop {
                    h1 { "Shop" }
                    p.faint { "Everything stays in this folder: " code { (self.folder) } }
                    @if let Some(said) = &self.said { p.warn role="alert" { (said) } }
                    section aria-labelledby="jobs-head" {
                        h2 #jobs-head { "Jobs" span { (self.jobs.len()) } }
                        @if self.jobs.is_empty() { p { "No job yet. Begin one of your own below, or look around in a copy of an example." } }
                        ul.jobs { @for job in &self.jobs { (card(job)) } }
                    }
                    section.panel aria-labelledby="new-head" {
                        h2 #new-head { "New job" }
                        form.row method="post" action="/jobs" {
                            label { "What the rig is called " input name="title" required maxlength="120" placeholder="Anna’s board"; }
                            label { "Begin from " select name="from" { @for name in &self.beginnings { option { (name) } } } }
                            label { "Folder, if not named after it " input name="name" maxlength="80" pattern="[A-Za-z0-9][A-Za-z0-9._\\-]*"; }
                            button.btn.first type="submit" { "Create job" }
                        }
                        details.examples open[self.jobs.is_empty()] {
                            summary { "Copies of examples" }
                            form.row method="post" action="/jobs" aria-label="Copy an example" {
                                @for name in self.beginnings.iter().skip(1) { button.btn.small name="from" value=(name) type="submit" { (name) } }
                            }
                        }
                    }
                    section.panel aria-labelledby="catalogue-head" {
                        h2 #catalogue-head { "Catalogue" span { (self.kinds) " kinds" } }
                        form.search method="get" action="/" role="search" {
                            label { "Search " input type="search" name="words" value=(self.words); }
                            button.btn type="submit" { "Search" }
                        }
                        @if !self.found.is_empty() {
                            table.list { thead { tr { th scope="col" { "Kind" } th scope="col" { "Of" } th scope="col" { "What it is" } } }
                                tbody { @for entry in &self.found { tr { th scope="row" { (entry.id) } td { (family(entry.family)) } td { (entry.title) } } } }
                            }
                        } @else if !self.words.is_empty() { p.none { "Nothing goes by these words." } }
                    }
                    section.panel aria-labelledby="phone-head" {
                        h2 #phone-head { "A phone at the bench" }
                        @if self.is_for_phones {
                            form.row method="post" action="/phone" {
                                button.btn.first name="may" value="look" type="submit" { "Let a phone look" }
                                button.btn name="may" value="change" type="submit" { "Let a phone tick and change" }
                            }
                        } @else {
                            p.faint { "This workbench listens on this machine alone. Started as " code { "boardwright bench --listen 0.0.0.0 --token-file FILE" } " it lets phones of the same network in." }
                        }
                    }
                    p.faint { "Stock is in stock.toml and prices in prices.toml, both in this folder." }
                }
            },
        )
    }
}

fn card(job: &JobCard) -> Markup {
    html! {
        li {
            a.job-card href={ "/job/" (query(&job.name)) "/deck" } {
                div.picture { @if let Some(drawing) = &job.drawing { (drawing) } @else { p { "cannot be read" } } }
                h3 { (job.title) }
                p.faint { (job.number.as_deref().unwrap_or(&job.name)) @if let Some(player) = &job.player { ", " (player) } }
                @if let Some(trouble) = &job.trouble { p.stop-word { (trouble) } }
                @else {
                    p.counts {
                        @for (of, count) in [finding::Severity::Stop, finding::Severity::Look, finding::Severity::Note].into_iter().zip(job.open) { (counted(of, count)) }
                    }
                }
            }
        }
    }
}

fn family(family: Family) -> &'static str {
    match family {
        Family::Device => "device",
        Family::Board => "board",
        Family::Plug => "plug",
        Family::Connector => "connector",
        Family::Cable => "cable",
        Family::Pickup => "pickup",
        Family::Input => "input",
    }
}
