//! `boardwright order`.

use std::fmt::Write;

use anyhow::bail;
use design::Design;
use document::edit::is_there;
use estimate::{Amount, Missing, Order, OrderLine, Prices};
use schemars::JsonSchema;
use serde::Serialize;
use store::{HistoryStep, STOCK};

use super::priced::of_shop;
use super::quote::jobs;
use crate::args::{OrderOptions, QuoteFormat};
use crate::shell::{self, Outcome};

pub(crate) fn run(options: &OrderOptions) -> anyhow::Result<Outcome> {
    if !options.shop.is_dir() {
        bail!("`{}` is not a folder", options.shop.display());
    }
    if options.undo {
        let written = shell::open_shop(&options.shop)?.step(STOCK, None, HistoryStep::Undo)?;
        shell::say(&format!("taken back: {}", written.name));
        return Ok(Outcome::Clean);
    }
    let priced = of_shop(&options.shop)?;
    if !priced.known {
        bail!("`{}` has no prices.toml: it says who sells what", options.shop.display());
    }
    if let Some([item, packs]) = options.received.as_deref() {
        return receive(options, &priced.prices, item, packs);
    }
    let all = jobs(&options.shop)?;
    if let Some(unknown) = options.jobs.iter().find(|job| !all.contains(job)) {
        bail!("the shop has no job `{unknown}`; there are {}", all.join(", "));
    }
    let wanted = all.iter().filter(|job| options.jobs.is_empty() || options.jobs.contains(job));
    let mut designs = Vec::new();
    for job in wanted {
        let shop = Some(options.shop.as_path()).filter(|shop| is_there(&shop.join("shop.toml")));
        let read = document::read(&options.shop.join(job), shop)?;
        designs.push((job.clone(), design::derive(read.rig, read.limits).laid()));
    }
    let laid: Vec<(String, &Design)> = designs.iter().map(|(job, design)| (job.clone(), design)).collect();
    let (orders, missing) = workbench::orders_of(&options.shop, &laid, &priced.prices)?;
    let text = match options.format {
        QuoteFormat::Text => told(&orders, &missing, &priced.prices),
        QuoteFormat::Csv => estimate::orders_csv(&orders, &priced.prices.currency),
        QuoteFormat::Json => serde_json::to_string_pretty(&answer(&orders, &missing, &priced.prices))? + "\n",
    };
    shell::data(&text)?;
    Ok(Outcome::Clean)
}

fn told(orders: &[Order], missing: &[Missing], prices: &Prices) -> String {
    let money = |sum| prices.currency.shown(sum);
    let mut out = String::new();
    for order in orders {
        let _ = writeln!(out, "{}: {} {}", order.supplier, money(order.cost), prices.currency.code);
        for line in &order.lines {
            let jobs: Vec<String> = line
                .jobs
                .iter()
                .filter(|(_, amount)| 0 < amount.units())
                .map(|(job, amount)| format!("{job} {}", amount.words()))
                .collect();
            let number = line.number.as_deref().unwrap_or("-");
            let _ = writeln!(
                out,
                "  {:<34} {number:<12} want {:>9}  stock {:>9}  buy {:>3} × {:<9} {:>10}  price of {}; {}",
                line.item,
                line.wanted.words(),
                line.in_stock.words(),
                line.packs,
                line.pack.words(),
                money(line.cost),
                line.date,
                jobs.join(", ")
            );
        }
    }
    for gap in missing {
        let _ = writeln!(out, "not counted: {} (`{}`): {}", gap.title, gap.key, gap.why);
    }
    if out.is_empty() {
        out.push_str("nothing to order\n");
    }
    out
}

/// Name and version of the form of the lists.
const SCHEMA: &str = "boardwright.orders.1";

/// What `boardwright order --format json` prints: what to order from each supplier.
#[derive(Serialize, JsonSchema)]
pub(crate) struct Answer<'a> {
    /// Name and version of this form.
    #[schemars(extend("const" = SCHEMA))]
    schema: &'static str,
    /// Code of the currency.
    currency: &'a str,
    /// Decimals of the currency: a sum is in units of a tenth to the power of that.
    decimals: u32,
    /// One list for each supplier.
    orders: Vec<List<'a>>,
    /// Needs without an item.
    missing: Vec<estimate::wire::Missing<'a>>,
}

/// What to order from one supplier.
#[derive(Serialize, JsonSchema)]
struct List<'a> {
    /// The supplier.
    supplier: &'a str,
    /// What the whole list costs, minor units.
    cost_minor: i64,
    /// Its lines.
    lines: Vec<Line<'a>>,
}

/// One item to order.
#[derive(Serialize, JsonSchema)]
struct Line<'a> {
    /// What price files and stock know it by.
    key: &'a str,
    /// Name of the item.
    item: &'a str,
    /// The supplier's number for it.
    number: Option<&'a str>,
    /// What the jobs need, in `unit`.
    wanted: i64,
    /// What stock covers, in `unit`.
    in_stock: i64,
    /// What is left to buy, in `unit`.
    to_buy: i64,
    /// What is in one pack, in `unit`.
    pack: i64,
    /// The unit of the four, and of what each job wants.
    #[schemars(extend("enum" = ["pieces", "nm"]))]
    unit: &'static str,
    /// Packs to order.
    packs: i64,
    /// What one pack costs, minor units.
    price_minor: i64,
    /// What they cost together, minor units.
    cost_minor: i64,
    /// The day of the price.
    date: &'a str,
    /// Which jobs want it.
    jobs: Vec<Job<'a>>,
}

/// What one job wants of an item.
#[derive(Serialize, JsonSchema)]
struct Job<'a> {
    /// Folder of the job.
    job: &'a str,
    /// How much, in `unit` of the line.
    wanted: i64,
}

fn answer<'a>(orders: &'a [Order], missing: &'a [Missing], prices: &'a Prices) -> Answer<'a> {
    let list = |order: &'a Order| List {
        supplier: &order.supplier,
        cost_minor: order.cost.0,
        lines: order.lines.iter().map(line).collect(),
    };
    Answer {
        schema: SCHEMA,
        currency: &prices.currency.code,
        decimals: prices.currency.decimals,
        orders: orders.iter().map(list).collect(),
        missing: missing.iter().map(Into::into).collect(),
    }
}

fn line(line: &OrderLine) -> Line<'_> {
    Line {
        key: &line.key,
        item: &line.item,
        number: line.number.as_deref(),
        wanted: line.wanted.units(),
        in_stock: line.in_stock.units(),
        to_buy: line.to_buy.units(),
        pack: line.pack.units(),
        unit: match line.pack {
            Amount::Pieces(_) => "pieces",
            Amount::Length(_) => "nm",
        },
        packs: line.packs,
        price_minor: line.price.0,
        cost_minor: line.cost.0,
        date: &line.date,
        jobs: line.jobs.iter().map(|(job, amount)| Job { job, wanted: amount.units() }).collect(),
    }
}

/// Books packs in as one entry of the journal.
fn receive(options: &OrderOptions, prices: &Prices, name: &str, packs: &str) -> anyhow::Result<Outcome> {
    let entry = workbench::receive(&shell::open_shop(&options.shop)?, prices, name, packs)?;
    shell::say(&format!(
        "booked: {entry}; `boardwright order {} --undo` takes it back",
        options.shop.display()
    ));
    Ok(Outcome::Clean)
}
