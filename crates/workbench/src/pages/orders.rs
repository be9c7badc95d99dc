//! Orders: one list for each supplier over the jobs of the shop, and what came.

use estimate::{Amount, Currency, Missing, Order, OrderLine};
use maud::{Markup, html};

use super::frame::bare;
use super::value::query;

/// A job that may be ordered for.
#[derive(Debug, Clone)]
pub(crate) struct OrderJob {
    pub(crate) name: String,
    pub(crate) title: String,
    /// Whether the lists are for it.
    pub(crate) chosen: bool,
    /// Why nothing can be counted for it.
    pub(crate) trouble: Option<String>,
}

/// The page.
pub(crate) struct Orders {
    pub(crate) jobs: Vec<OrderJob>,
    pub(crate) lists: Vec<Order>,
    pub(crate) missing: Vec<Missing>,
    /// `None` where the shop has no prices.
    pub(crate) currency: Option<Currency>,
    /// The last change of the stock, which can be taken back.
    pub(crate) last: Option<String>,
    pub(crate) said: Option<String>,
    pub(crate) refused: Option<String>,
}

impl Orders {
    pub(crate) fn html(&self) -> String {
        let to_buy = self.lists.iter().flat_map(|order| &order.lines).filter(|line| 0 < line.packs).count();
        bare(
            "Orders",
            &html! {
                div.page.orders {
                    h1 { "Orders" }
                    p.faint { "One list for each supplier, over the jobs that are ticked. What stock covers is not bought again." }
                    @if let Some(said) = &self.said { p.note role="status" { (said) } }
                    @if let Some(refused) = &self.refused { p.warn role="alert" { (refused) } }
                    section.panel aria-labelledby="for-head" {
                        h2 #for-head { "For" span { (self.chosen().count()) " of " (self.jobs.len()) " jobs" } }
                        form.row method="get" action="/orders" {
                            @for job in &self.jobs {
                                label { input type="checkbox" name="job" value=(job.name) checked[job.chosen]; " " (job.title) }
                            }
                            button.btn.first type="submit" { "List" }
                            @if !self.lists.is_empty() { a.btn href={ "/orders.csv?" (self.jobs_query()) } { "CSV" } }
                        }
                        @for job in self.jobs.iter().filter(|job| job.trouble.is_some()) {
                            p.warn { (job.title) ": " (job.trouble.as_deref().unwrap_or_default()) }
                        }
                    }
                    @match &self.currency {
                        None => { p.none { "The shop has no prices.toml: it says who sells what, in which packs, at what price." } }
                        Some(currency) => {
                            @for order in &self.lists { (self.list(order, currency)) }
                            @if !self.missing.is_empty() {
                                section.panel aria-labelledby="missing-head" {
                                    h2 #missing-head { "Not counted" span { (self.missing.len()) } }
                                    ul { @for gap in &self.missing { li { (gap.title) ": " (gap.why) } } }
                                }
                            }
                            @if to_buy == 0 && self.chosen().next().is_some() { p.none { "Nothing to order: stock covers it." } }
                        }
                    }
                    @if let Some(last) = &self.last {
                        form.row method="post" action={ "/orders?" (self.jobs_query()) } {
                            button.btn name="what" value="back" type="submit" { "Take back: " (last) }
                        }
                    }
                    p { a href="/" { "Shop" } }
                }
            },
        )
    }

    fn chosen(&self) -> impl Iterator<Item = &OrderJob> {
        self.jobs.iter().filter(|job| job.chosen)
    }

    fn jobs_query(&self) -> String {
        self.chosen().map(|job| format!("job={}", query(&job.name))).collect::<Vec<_>>().join("&")
    }

    fn list(&self, order: &Order, currency: &Currency) -> Markup {
        let id = format!("of-{}", query(&order.supplier));
        let numbers = order.lines.iter().any(|line| line.number.is_some());
        html! {
            section.panel aria-labelledby=(id) {
                h2 id=(id) { (order.supplier) span { (currency.shown(order.cost)) " " (currency.code) ", without tax" } }
                div.wide tabindex="0" role="region" aria-label={ "List for " (order.supplier) } {
                    table.list.stack {
                        thead { tr {
                            th scope="col" { "Item" } @if numbers { th scope="col" { "Number" } } th.n scope="col" { "Wanted" } th.n scope="col" { "In stock" }
                            th.n scope="col" { "Packs" } th scope="col" { "Of" } th.n scope="col" { "Cost" } th scope="col" { "Price of" }
                            th scope="col" { "For" } th scope="col" { "Came" }
                        } }
                        tbody { @for line in &order.lines { (self.line(line, currency, numbers)) } }
                    }
                }
            }
        }
    }

    fn line(&self, line: &OrderLine, currency: &Currency, numbers: bool) -> Markup {
        let many = 1 < self.chosen().count();
        let jobs = line.jobs.iter().filter(|(_, amount)| 0 < amount.units());
        let jobs: Vec<String> = jobs
            .map(|(job, amount)| {
                if many {
                    format!("{} {}", self.title(job), amount.words())
                } else {
                    self.title(job).to_owned()
                }
            })
            .collect();
        let packs = line.packs.max(1);
        html! {
            tr.covered[line.packs == 0] {
                th scope="row" { (line.item) }
                @if numbers { td data-th="Number" { (line.number.as_deref().unwrap_or("–")) } }
                td.n data-th="Wanted" { (line.wanted.words()) }
                td.n data-th="In stock" { (held(line.in_stock)) }
                td.n data-th="Packs" { b { (line.packs) } }
                td data-th="Of" { (line.pack.words()) }
                td.n data-th="Cost" { (currency.shown(line.cost)) }
                td data-th="Price of" { (line.date) }
                td.wide data-th="For" { (jobs.join(", ")) }
                td.wide {
                    form.row method="post" action={ "/orders?" (self.jobs_query()) } {
                        input type="hidden" name="item" value=(line.item);
                        input type="number" name="packs" value=(packs) min="1" max=(crate::orders::MOST_PACKS) aria-label={ "Packs of " (line.item) " that came" };
                        button.btn.small name="what" value="came" type="submit" { "Book in" }
                    }
                }
            }
        }
    }

    fn title(&self, job: &str) -> &str {
        self.jobs.iter().find(|own| own.name == job).map_or("", |own| own.title.as_str())
    }
}

fn held(amount: Amount) -> String {
    if amount.units() == 0 { "none".to_owned() } else { amount.words() }
}
