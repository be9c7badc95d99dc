//! `boardwright quote`.

use std::fmt::Write;
use std::path::Path;

use anyhow::bail;
use design::Design;
use document::edit::is_there;
use estimate::{BandInput, ClientGroup, LikeJob, Money, Prices, Quote, Title};
use rig::Role;
use schemars::JsonSchema;
use serde::Serialize;

use super::priced::{Priced, priced, quote_of};
use super::stock;
use crate::args::{QuoteFormat, QuoteOptions};
use crate::loaded::load;
use crate::shell::{self, Outcome};

/// What stands in place of money where a shop has no price file.
const NOTHING_PRICED: &str = "no prices.toml in this shop: nothing is priced";

pub(crate) fn run(options: &QuoteOptions) -> anyhow::Result<Outcome> {
    let loaded = load(&options.rig)?;
    let prices = priced(&options.rig, loaded.job.text())?;
    // A quote that is read says so where its sums would stand.
    if !prices.known && (options.band || options.format != QuoteFormat::Text) {
        shell::say(NOTHING_PRICED);
    }
    let design = &loaded.design;
    if let Some(sum) = design.rig.quote.discount_sum
        && prices.known
        && sum.minor(prices.prices.currency.decimals).is_none()
    {
        let code = &prices.prices.currency.code;
        bail!("`quote.discount_sum` is {sum}; {code} has {} decimals", prices.prices.currency.decimals);
    }
    let text = if options.band {
        band(options, design, &prices)?
    } else {
        let quote = quote_of(design, &prices);
        match options.format {
            QuoteFormat::Json => {
                serde_json::to_string_pretty(&estimate::quote_json(&quote, &prices.prices))? + "\n"
            }
            QuoteFormat::Csv => estimate::quote_csv(&quote, &prices.prices),
            QuoteFormat::Text => told(&quote, &prices),
        }
    };
    shell::data(&text)?;
    Ok(Outcome::Clean)
}

/// Hours and minutes: `4 h 15`.
pub(crate) fn hours(minutes: u32) -> String {
    match (minutes / 60, minutes % 60) {
        (0, rest) => format!("{rest} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, rest) => format!("{hours} h {rest:02}"),
    }
}

fn told(quote: &Quote, priced: &Priced) -> String {
    let Priced { prices, known, .. } = priced;
    let money = |sum: Money| prices.currency.shown(sum);
    let mut out = String::new();
    let revision =
        quote.terms.revision.as_deref().map_or("draft".to_owned(), |letter| format!("revision {letter}"));
    let number = quote.terms.number.as_deref().unwrap_or("no number");
    let _ = writeln!(out, "Quote {number}, {revision}: {}", quote.terms.title);
    if let Some(note) = &prices.note {
        let _ = writeln!(out, "{note}");
    }
    for (at, group) in ClientGroup::ALL.into_iter().enumerate() {
        if quote.lines.iter().all(|line| line.group != group) {
            continue;
        }
        let sum = match group {
            ClientGroup::Own => "no charge".to_owned(),
            _ if *known => money(quote.sum(group)),
            _ => String::new(),
        };
        let _ = writeln!(out, "\n{} {:<58} {sum:>12}", at + 1, group.title());
        for line in quote.lines.iter().filter(|line| line.group == group) {
            let quantity = match line.quantity {
                Title::Amount(amount) => amount.words(),
                Title::Set => "1 set".to_owned(),
                Title::Minutes(minutes) => hours(minutes),
            };
            let net = match (group, line.at_least && line.net == Money::ZERO) {
                (ClientGroup::Own, _) => String::new(),
                _ if !known => String::new(),
                (_, true) => "no price".to_owned(),
                (_, false) => money(line.net),
            };
            let least = if line.at_least && line.net != Money::ZERO { " at least" } else { "" };
            let _ = writeln!(out, "  {:<45} {quantity:>9} {net:>12}{least}", line.title);
        }
    }
    if *known {
        sums(&mut out, quote, prices);
    } else {
        let _ = writeln!(out, "\n{NOTHING_PRICED}");
    }
    work(&mut out, quote);
    out
}

fn sums(out: &mut String, quote: &Quote, prices: &Prices) {
    let money = |sum: Money| prices.currency.shown(sum);
    let totals = &quote.totals;
    let mut row = |what: &str, sum: String| {
        let _ = writeln!(out, "{what:<60} {sum:>12}");
    };
    row("\nsum of all lines", money(totals.lines));
    if totals.discount != Money::ZERO {
        let why = quote.terms.discount_for.as_deref().map_or(String::new(), |why| format!(", {why}"));
        row(&format!("discount{why}"), money(-totals.discount));
        if quote.is_discount_cut() {
            row("  (more than all lines together was asked for)", String::new());
        }
        row("net", money(totals.net));
    }
    for tax in &totals.taxes {
        let rate = tax.rate.map_or_else(|| "rate unknown".to_owned(), |rate| rate.to_string());
        row(&format!("{}, {rate} of {}", tax.title, money(tax.basis)), money(tax.tax));
    }
    if totals.rounding != Money::ZERO {
        row("rounding", prices.currency.signed(totals.rounding));
    }
    let least = if quote.is_at_least() { "at least " } else { "" };
    row(&format!("to pay, {least}{}", prices.currency.code), money(totals.to_pay));
    if totals.deposit != Money::ZERO {
        row(&format!("deposit {}, with the signature", prices.deposit), money(totals.deposit));
        row("balance, on handover", money(totals.balance));
    }
    if !quote.valid.is_empty() {
        let _ = writeln!(out, "valid {}", quote.valid);
    }
    for choice in &quote.choices {
        let least = if choice.at_least || quote.is_at_least() { "at least " } else { "" };
        let difference = prices.currency.signed(choice.difference);
        let to_pay = money(choice.to_pay);
        let _ = writeln!(
            out,
            "option {} {:<50} {difference:>12}, to pay {least}{to_pay}",
            choice.letter, choice.title
        );
    }
    for gap in &quote.missing {
        let _ = writeln!(out, "no price: {} (`{}`): {}", gap.title, gap.key, gap.why);
    }
}

fn work(out: &mut String, quote: &Quote) {
    let _ =
        writeln!(out, "\n{:<20} {:>5} {:>8} {:>12} {:>9}", "operation", "n", "planned", "logged", "minutes");
    for line in &quote.work {
        let logged = match line.logged_units {
            0 => "-".to_owned(),
            units => format!("{} in {units}", line.logged),
        };
        let _ = writeln!(
            out,
            "{:<20} {:>5} {:>8} {logged:>12} {:>9}",
            line.operation, line.units, line.planned, line.minutes
        );
    }
    let _ = writeln!(out, "{:<48} {:>9}", "all work", hours(quote.minutes));
}

fn band(options: &QuoteOptions, design: &Design, prices: &Priced) -> anyhow::Result<String> {
    let mut input = band_input(design);
    if let Some(devices) = options.devices {
        input.devices = devices;
    }
    if input.devices == 0 {
        bail!("the brief names no devices yet; say how many with --devices");
    }
    let shop = stock::shop_of(&options.rig);
    let like = match &shop {
        Some(shop) => like_jobs(shop, &stock::job_of(&options.rig)?, prices)?,
        None => Vec::new(),
    };
    let band = estimate::band(&input, &like, &prices.prices);
    if options.format == QuoteFormat::Csv {
        let plain = |sum: Money| prices.prices.currency.plain(sum);
        let row = |what: &str, [least, most]: [String; 2], unit: &str| {
            estimate::csv_row(&[what, &least, &most, unit])
        };
        let mut rows = vec![estimate::csv_row(&["what", "least", "most", "unit"])];
        rows.push(row("deck area", [band.area_mm2; 2].map(|area| area.to_string()), "mm2"));
        rows.push(row("leads", band.leads.map(|count| count.to_string()), "pieces"));
        rows.push(row("work", band.minutes.map(|minutes| minutes.to_string()), "min"));
        if let Some(net) = band.net.filter(|_| prices.known) {
            let what = if band.like.is_empty() { "work without parts and tax" } else { "without tax" };
            rows.push(row(what, net.map(plain), &prices.prices.currency.code));
        }
        return Ok(rows.concat());
    }
    if options.format != QuoteFormat::Text {
        let currency = &prices.prices.currency;
        let value = Band {
            schema: BAND_SCHEMA,
            currency: &currency.code,
            decimals: currency.decimals,
            devices: input.devices,
            area_mm2: band.area_mm2,
            leads: Range::of(band.leads),
            minutes: Range::of(band.minutes),
            net_minor: band.net.map(|net| Range::of(net.map(|sum| sum.0))),
            like: &band.like,
        };
        return Ok(serde_json::to_string_pretty(&value)? + "\n");
    }
    let mut out = format!("{} devices\n", input.devices);
    // From square millimetres to square centimetres.
    let area = if band.area_mm2 == 0 {
        "not known: no sizes".to_owned()
    } else {
        format!("{} cm²", band.area_mm2 / 100)
    };
    let _ = writeln!(out, "deck area   {area}");
    let _ = writeln!(out, "leads       {} to {}", band.leads[0], band.leads[1]);
    let _ = writeln!(out, "work        {} to {}", hours(band.minutes[0]), hours(band.minutes[1]));
    if let Some([low, high]) = band.net.filter(|_| prices.known) {
        let currency = &prices.prices.currency;
        let what = if band.like.is_empty() { ", work alone: parts come on top" } else { "" };
        let (low, high, code) = (currency.shown(low), currency.shown(high), &currency.code);
        let _ = writeln!(out, "without tax {low} to {high} {code}{what}");
    }
    let rests = if band.like.is_empty() {
        "customary figures, no job of this shop is like it".to_owned()
    } else {
        let what =
            if band.far { "no job of this shop is like it; carried over from" } else { "jobs like it:" };
        format!("{what} {}", band.like.join(", "))
    };
    let _ = writeln!(out, "rests on    {rests}");
    Ok(out)
}

/// Name and version of the band's form.
const BAND_SCHEMA: &str = "boardwright.band.1";

/// What `boardwright quote --band --format json` prints: what a job like this takes, before it is drawn.
#[derive(Serialize, JsonSchema)]
pub(crate) struct Band<'a> {
    /// Name and version of this form.
    #[schemars(extend("const" = BAND_SCHEMA))]
    schema: &'static str,
    /// Code of the currency.
    currency: &'a str,
    /// Decimals of the currency: a sum is in units of a tenth to the power of that.
    decimals: u32,
    /// Devices that the client brings.
    devices: u32,
    /// Deck area, mm²; 0 where no size is known.
    area_mm2: i64,
    /// Leads, a count.
    leads: Range<u32>,
    /// Work, minutes.
    minutes: Range<u32>,
    /// Money without tax, minor units; null where the shop has no like job and no rate.
    net_minor: Option<Range<i64>>,
    /// Folders of the jobs that it rests on; none where it rests on customary rates.
    like: &'a [String],
}

/// The bounds of a figure.
#[derive(Serialize, JsonSchema)]
struct Range<T> {
    /// The lower bound.
    least: T,
    /// The upper bound.
    most: T,
}

impl<T> Range<T> {
    fn of([least, most]: [T; 2]) -> Self {
        Self { least, most }
    }
}

fn brought(design: &Design) -> impl Iterator<Item = &rig::Device> {
    design
        .rig
        .devices
        .iter()
        .filter(|device| !device.outside && matches!(device.role, Role::Pedal | Role::Other))
        .filter(|device| design::is_brought(&design.rig, device))
}

fn band_input(design: &Design) -> BandInput {
    let mut input = BandInput::default();
    for device in brought(design) {
        input.devices += 1;
        if let Some(size) = device.size.value {
            // Whole square millimetres from nanometres.
            let area = i128::from(size.width.nm()) * i128::from(size.depth.nm()) / 1_000_000_000_000;
            input.footprint_mm2 = input.footprint_mm2.saturating_add(i64::try_from(area).unwrap_or(i64::MAX));
            input.sized += 1;
        }
    }
    input
}

/// The shop's other jobs whose devices all have a place; lengths along the straight line do for this.
fn like_jobs(shop: &Path, own: &str, prices: &Priced) -> anyhow::Result<Vec<LikeJob>> {
    let mut out = Vec::new();
    for job in jobs(shop)?.into_iter().filter(|job| job != own) {
        let Ok(read) =
            document::read(&shop.join(&job), Some(shop).filter(|shop| is_there(&shop.join("shop.toml"))))
        else {
            continue;
        };
        let design = design::derive(read.rig, read.limits);
        if brought(&design).any(|device| device.place.is_none()) {
            continue;
        }
        let quote = quote_of(&design, prices);
        out.push(LikeJob {
            name: job,
            devices: u32::try_from(brought(&design).count()).unwrap_or(u32::MAX),
            leads: u32::try_from(design.leads.len()).unwrap_or(u32::MAX),
            minutes: quote.minutes,
            net: quote.totals.net,
        });
    }
    Ok(out)
}

/// The folders of a shop's jobs, in name order.
pub(crate) fn jobs(shop: &Path) -> anyhow::Result<Vec<String>> {
    let mut out: Vec<String> = std::fs::read_dir(shop)?
        .flatten()
        .filter(|entry| is_there(&entry.path().join("rig.toml")))
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    out.sort();
    Ok(out)
}
