//! `boardwright change`.

use std::fmt::Write;
use std::path::Path;

use anyhow::{Error, bail};
use change::{Became, FindingChange, Hole, Moved, RevisionChange, Side, compare};
use design::Design;
use estimate::{Money, Prices, Quote};
use finding::Finding;
use quantity::Length;
use schemars::JsonSchema;
use serde::Serialize;

use super::priced::{Priced, priced, quote_of};
use super::quote::hours;
use super::stock;
use crate::args::{ChangeOptions, OutcomeFormat, Rig};
use crate::loaded::{document_path, load};
use crate::shell::{self, Outcome};

/// One side as read.
pub(crate) struct Read {
    /// What it is called.
    pub(crate) name: String,
    pub(crate) design: Design,
    findings: Vec<Finding>,
    /// What the whole of it costs.
    pub(crate) quote: Quote,
    /// The prices it is quoted at: those of its day where it is frozen.
    priced: Priced,
}

/// A change with its money.
pub(crate) struct Priceable {
    pub(crate) before: Read,
    pub(crate) after: Read,
    pub(crate) change: RevisionChange,
    /// What carrying it out costs.
    pub(crate) quote: Quote,
    /// What the whole of the side before would cost at the prices of the side after.
    pub(crate) repriced: Quote,
    /// The prices of the side after.
    pub(crate) prices: Prices,
    /// Whether there are prices.
    pub(crate) known: bool,
}

impl Priceable {
    /// What of the difference of the whole job comes from prices alone that differ between the two sides.
    fn price_rise(&self) -> Money {
        self.repriced.totals.to_pay - self.before.quote.totals.to_pay
    }

    /// Whether the job has a discount, which was agreed on the whole and is not taken off what comes later.
    pub(crate) fn is_discounted(&self) -> bool {
        let quote = &self.after.design.rig.quote;
        quote.discount.is_some() || quote.discount_sum.is_some()
    }
}

pub(crate) fn run(options: &ChangeOptions) -> anyhow::Result<Outcome> {
    let from = options.from.as_deref().unwrap_or("draft");
    let found = match &options.what_if {
        None => find(&options.rig, from, &options.to)?,
        Some(ask) => tried(&options.rig, from, ask)?,
    };
    let text = match options.format {
        OutcomeFormat::Json => serde_json::to_string_pretty(&answer(&found))? + "\n",
        OutcomeFormat::Text => told(&found),
    };
    shell::data(&text)?;
    let new_stop = |change: &FindingChange| {
        change.after.as_ref().is_some_and(|case| case.severity == finding::Severity::Stop)
    };
    Ok(if found.change.findings.iter().any(new_stop) { Outcome::Stop } else { Outcome::Clean })
}

/// Reads both sides, compares them, and prices what it takes.
pub(crate) fn find(rig: &Rig, from: &str, to: &str) -> anyhow::Result<Priceable> {
    let text = std::fs::read_to_string(document_path(rig)?)?;
    let today = priced(rig, &text)?;
    Ok(between(side(rig, from, &today)?, side(rig, to, &today)?))
}

/// What a trial on the draft would change.
fn tried(rig: &Rig, from: &str, ask: &str) -> anyhow::Result<Priceable> {
    let ask: verdict::WhatIf = ask.parse().map_err(anyhow::Error::msg)?;
    let loaded = load(rig)?;
    let today = priced(rig, loaded.job.text())?;
    let edit = verdict::what_if(&loaded.job, &loaded.findings, &ask).map_err(anyhow::Error::msg)?;
    let text = document::edit::apply(loaded.job.text(), &edit)?;
    let after = derived(edit.name, loaded.job.with_text(&text)?, &today);
    Ok(between(side(rig, from, &today)?, after))
}

fn between(before: Read, after: Read) -> Priceable {
    let change = compare(
        &Side { design: &before.design, findings: &before.findings },
        &Side { design: &after.design, findings: &after.findings },
    );
    let quote = change::quote(
        &after.design,
        (&change.needs, &change.acts),
        &after.priced.prices,
        &after.priced.on_hand,
    );
    let repriced = quote_of(&before.design, &after.priced);
    let (prices, known) = (after.priced.prices.clone(), after.priced.known);
    Priceable { before, after, change, quote, repriced, prices, known }
}

/// A revision by its letter, `draft`, or another document.
fn side(rig: &Rig, name: &str, today: &Priced) -> anyhow::Result<Read> {
    if name == "draft" {
        let loaded = load(rig)?;
        let quote = quote_of(&loaded.design, today);
        return Ok(Read {
            name: "draft".to_owned(),
            design: loaded.design,
            findings: loaded.findings,
            quote,
            priced: today.clone(),
        });
    }
    let shop = stock::shop_of(rig);
    let mut letters = Vec::new();
    if let Some(shop) = &shop
        && let Some(store) = shell::journal_of(shop)?
    {
        let job = stock::job_of(rig)?;
        letters = store.revisions(&job)?.into_iter().map(|entry| entry.letter).collect();
        if letters.iter().any(|letter| letter == name) {
            let frozen = store.revision(&job, name)?;
            let read = document::read_in_shop(&format!("revision {name} of {job}"), &frozen.text, shop)?;
            let own = workbench::frozen_prices(&store, &job, name).map_err(Error::msg)?;
            let known = own.is_some() || today.known;
            let prices = own.unwrap_or_else(|| today.prices.clone());
            let priced = Priced { prices, known, ..today.clone() };
            return Ok(derived(format!("revision {name}"), read, &priced));
        }
    }
    let path = Path::new(name);
    if path.exists() {
        let read = document::read(path, rig.shop.as_deref())?;
        return Ok(derived(name.to_owned(), read, today));
    }
    let there = if letters.is_empty() {
        "none is frozen".to_owned()
    } else {
        format!("there are {}", letters.join(", "))
    };
    bail!("`{name}` is not a revision of this job ({there}), not `draft`, and not a document")
}

fn derived(name: String, read: document::Job, priced: &Priced) -> Read {
    let design = design::derive(read.rig, read.limits).laid();
    let findings = checks::check(&design);
    let quote = quote_of(&design, priced);
    Read { name, design, findings, quote, priced: priced.clone() }
}

/// What `boardwright change --format json` prints: everything that differs, and what it costs.
#[derive(Serialize, JsonSchema)]
pub(crate) struct Answer<'a> {
    #[serde(flatten)]
    change: change::wire::Change<'a>,
    /// The side before: `draft`, a revision, or a document.
    from: &'a str,
    /// The side after: `draft`, a revision, or a document.
    to: &'a str,
    /// What carrying the change out costs, as a quote.
    work: estimate::wire::Quote<'a>,
    /// The whole job quoted anew against the whole job as it was.
    whole_job: WholeJob,
}

/// The difference of two quotes of the whole job.
#[derive(Serialize, JsonSchema)]
struct WholeJob {
    /// Difference of minutes.
    minutes: i64,
    /// Difference without tax, minor units.
    net_minor: i64,
    /// Difference of tax, minor units.
    tax_minor: i64,
    /// Difference of what is paid, minor units.
    to_pay_minor: i64,
    /// What of that comes from prices alone that differ between the two, minor units.
    prices_minor: i64,
    /// What was to pay before, minor units.
    before_to_pay_minor: i64,
    /// What is to pay after, minor units.
    after_to_pay_minor: i64,
}

fn answer(found: &Priceable) -> Answer<'_> {
    let whole = estimate::difference(&found.before.quote, &found.after.quote);
    Answer {
        change: change::json(&found.change),
        from: &found.before.name,
        to: &found.after.name,
        work: estimate::quote_json(&found.quote, &found.prices),
        whole_job: WholeJob {
            minutes: whole.minutes,
            net_minor: whole.net.0,
            tax_minor: whole.tax.0,
            to_pay_minor: whole.to_pay.0,
            prices_minor: found.price_rise().0,
            before_to_pay_minor: found.before.quote.totals.to_pay.0,
            after_to_pay_minor: found.after.quote.totals.to_pay.0,
        },
    }
}

fn told(found: &Priceable) -> String {
    let Priceable { before, after, change, .. } = found;
    let mut out = format!("Change from {} to {}\n", before.name, after.name);
    if change.is_empty() {
        out.push_str("nothing differs\n");
        return out;
    }
    devices(&mut out, change);
    leads(&mut out, change);
    rest(&mut out, change);
    findings(&mut out, change);
    money(&mut out, found);
    out
}

fn devices(out: &mut String, change: &RevisionChange) {
    for device in &change.devices {
        let what = match device.moved {
            Moved::Stands => "changed",
            moved => moved.word(),
        };
        let _ = writeln!(out, "{:<8} {} {}", what, device.tag, device.title);
        for (key, words) in [("kind", &device.kind), ("place", &device.place)] {
            if let Some(words) = words {
                let _ = writeln!(out, "           {key}: {}, now {}", words.before, words.after);
            }
        }
        for value in &device.values {
            let _ = writeln!(out, "           {}", value.words(&device.tag));
        }
    }
    for (what, all) in [("board", &change.board), ("run", &change.runs), ("feed", &change.feeds)] {
        for words in all {
            let side = |text: &str| if text.is_empty() { "none".to_owned() } else { text.to_owned() };
            let _ =
                writeln!(out, "{what:<8} {}: {} -> {}", words.of, side(&words.before), side(&words.after));
        }
    }
}

fn leads(out: &mut String, change: &RevisionChange) {
    let stays = change.count(|became| *became == Became::Stays);
    let all = change.leads.iter().filter(|lead| lead.after.is_some()).count();
    let _ = writeln!(out, "\nLeads: {all} after the change, {stays} of them as they are");
    for lead in &change.leads {
        if lead.became == Became::Stays && !lead.renumbered {
            continue;
        }
        let words = lead.words();
        let _ = writeln!(out, "  {:<8} {:<5} {:<32} {words}", lead.became.word(), lead.tag(), lead.name);
    }
}

fn rest(out: &mut String, change: &RevisionChange) {
    for outlet in &change.outlets {
        let side = |text: &str| if text.is_empty() { "not there".to_owned() } else { text.to_owned() };
        let _ =
            writeln!(out, "outlet {}: {} -> {}", outlet.outlet, side(&outlet.before), side(&outlet.after));
    }
    let at = |length: Option<Length>| length.map_or_else(|| "?".to_owned(), |length| length.to_string());
    let mut hole = |verb: &str, hole: &Hole| {
        let (x, y, width) = (at(hole.x), at(hole.y), at(hole.width));
        let _ = writeln!(out, "{verb} {} for {}: {width} at {x}, {y}", hole.plate, hole.of);
    };
    change.blanked.iter().for_each(|one| hole("blank", one));
    change.drilled.iter().for_each(|one| hole("drill", one));
    let (off, on) = (change.labels_off.len(), change.labels_on.len());
    let _ = writeln!(out, "labels: {off} come off, {on} go on");
    let titles = |names: &[&'static str]| {
        let title = |name: &&'static str| {
            papers::PAPERS.iter().find(|kind| kind.name == *name).map_or(*name, |kind| kind.title)
        };
        if names.is_empty() {
            "none".to_owned()
        } else {
            names.iter().map(title).collect::<Vec<_>>().join(", ")
        }
    };
    let _ = writeln!(out, "papers void: {}; still good: {}", titles(&change.void), titles(&change.good));
    let _ = writeln!(out, "tests to make: {}; {} results stand", change.tests.len(), change.tests_stand);
}

fn findings(out: &mut String, change: &RevisionChange) {
    for finding in &change.findings {
        let _ = match (&finding.before, &finding.after) {
            (Some(before), Some(after)) => {
                writeln!(out, "{} was {}: {}", after.severity, before.severity, after.message)
            }
            (None, Some(after)) => writeln!(out, "new {}: {}", after.severity, after.message),
            (Some(before), None) => writeln!(out, "gone {}: {}", before.severity, before.message),
            (None, None) => Ok(()),
        };
    }
}

fn money(out: &mut String, found: &Priceable) {
    let Priceable { before, after, quote, prices, known, .. } = found;
    let _ = writeln!(out, "\nOn the bench: {}", hours(quote.minutes));
    for line in &quote.work {
        let _ = writeln!(out, "  {:<34} {:>3} × {:>9}", line.title, line.units, hours(line.minutes));
    }
    let whole = estimate::difference(&before.quote, &after.quote);
    let minutes = match whole.minutes {
        0 => "no change".to_owned(),
        more => format!("{more:+}").replace('-', "−"),
    };
    let _ = writeln!(out, "minutes of the whole job: {minutes}");
    if !known {
        let _ = writeln!(out, "no prices.toml: money is not counted");
        return;
    }
    let shown = |sum: Money| prices.currency.signed(sum);
    let least = if quote.is_at_least() { "at least " } else { "" };
    let code = &prices.currency.code;
    let _ = writeln!(out, "this change: net {}, tax {}", shown(quote.totals.net), shown(quote.totals.tax));
    let _ = writeln!(out, "to pay on top, {least}{code} {}", shown(quote.totals.to_pay));
    let (then, now) = (before.quote.totals.to_pay, after.quote.totals.to_pay);
    let _ = writeln!(
        out,
        "whole job quoted anew: {} -> {} ({})",
        prices.currency.shown(then),
        prices.currency.shown(now),
        shown(whole.to_pay)
    );
    if found.price_rise() != Money::ZERO {
        let _ = writeln!(
            out,
            "  of that {} because prices differ from those of {}",
            shown(found.price_rise()),
            before.name
        );
    }
    if found.is_discounted() {
        let _ = writeln!(out, "the job's discount is not taken off this change");
    }
    for gap in &quote.missing {
        let _ = writeln!(out, "no price: {} (`{}`): {}", gap.title, gap.key, gap.why);
    }
}
