//! The Shop: the jobs with a small true drawing of each, and the catalogue.

use document::{Entry, Family};
use maud::{Markup, html};

use super::frame::bare;
use super::marks::counted;
use super::value::query;

/// One job.
#[derive(Debug, Clone)]
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
    /// The jobs of this page.
    pub(crate) jobs: Vec<JobCard>,
    /// How many there are, and how many of them are found.
    pub(crate) many: usize,
    pub(crate) count: usize,
    pub(crate) find: String,
    /// Whether the last changed comes first.
    pub(crate) by_change: bool,
    pub(crate) page: usize,
    pub(crate) pages: usize,
    pub(crate) beginnings: Vec<String>,
    pub(crate) words: String,
    pub(crate) found: Vec<Entry>,
    pub(crate) kinds: usize,
    pub(crate) said: Option<String>,
    /// Whether a phone can come in.
    pub(crate) is_for_phones: bool,
    /// What was typed as the title of a new job.
    pub(crate) title: String,
    /// Whether another job of that title may be made.
    pub(crate) again: bool,
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
                        h2 #jobs-head { "Jobs" span { @if self.count < self.many { (self.count) " of " } (self.many) } }
                        @if MANY < self.many { (self.sought()) }
                        @if self.many == 0 { p { "No job yet. Begin one of your own below, or look around in a copy of an example." } }
                        ul.jobs { @for job in &self.jobs { (card(job)) } }
                        @if 1 < self.pages {
                            p.row.pages-of {
                                @if 1 < self.page { a.btn rel="prev" href=(self.at(self.page - 1)) { "Back" } }
                                span { "page " (self.page) " of " (self.pages) }
                                @if self.page < self.pages { a.btn rel="next" href=(self.at(self.page + 1)) { "Next" } }
                            }
                        }
                    }
                    section.panel aria-labelledby="new-head" {
                        h2 #new-head { "New job" }
                        form.row method="post" action="/jobs" {
                            label { "What the rig is called " input name="title" required maxlength="120" placeholder="Anna’s board" value=(self.title) autofocus[self.said.is_some() && !self.title.is_empty()]; }
                            @if self.again { input type="hidden" name="again" value="yes"; }
                            label { "Begin from " select name="from" { @for name in &self.beginnings { option { (name) } } } }
                            label { "Folder, if not named after it " input name="name" maxlength="80" pattern="[A-Za-z0-9][A-Za-z0-9._\\-]*"; }
                            button.btn.first type="submit" { @if self.again { "Create another" } @else { "Create job" } }
                        }
                        details.examples open[self.many == 0] {
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
                    p { a.btn href="/orders" { "Orders" } " what to buy for the jobs, by supplier, and what came" }
                    p.faint { "Stock is in stock.toml and prices in prices.toml, both in this folder." }
                }
            },
        )
    }
}

/// So many jobs are seen at a glance.
const MANY: usize = 8;

impl Shop {
    /// The address of another page of what is sought.
    fn at(&self, page: usize) -> String {
        let sort = if self.by_change { "&sort=changed" } else { "" };
        format!("/?find={}{sort}&page={page}", query(&self.find))
    }

    fn sought(&self) -> Markup {
        html! {
            form.search method="get" action="/" role="search" aria-label="Jobs" {
                label { "Find " input type="search" name="find" value=(self.find) placeholder="title, player, number"; }
                label { "Order " select name="sort" {
                    option value="name" { "by name" }
                    option value="changed" selected[self.by_change] { "last changed first" }
                } }
                button.btn type="submit" { "Find" }
            }
            @if self.count == 0 { p.none { "No job goes by these words." } }
        }
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
