//! Quote, invoice and change order: what a client pays, with figures that are worked out elsewhere.

use change::{Became, RevisionChange};
use estimate::{ClientGroup, Money, Prices, Quote, Title};

use crate::block::{Block, Cell, Table, cell, figures, pair, share, tick, ticks, wide};
use crate::part::Part;
use crate::sheet::Lie;
use crate::{PapersInput, text};

/// A quote and the prices it was made with.
#[derive(Debug, Clone, Copy)]
pub struct Priced<'a> {
    /// The quote.
    pub quote: &'a Quote,
    /// The prices: currency, terms, what is excluded.
    pub prices: &'a Prices,
}

/// A change and what carrying it out costs.
#[derive(Debug, Clone, Copy)]
pub struct ChangeOrder<'a> {
    /// The revision before.
    pub from: &'a str,
    /// What changes.
    pub change: &'a RevisionChange,
    /// What carrying it out costs.
    pub priced: Priced<'a>,
}

/// The quote; an empty page where nothing is priced, which the set leaves out.
pub(crate) fn quote(input: &PapersInput<'_>) -> Part {
    let mut part = Part::blocks(input, "quote", text::QUOTE, "-QUO", Lie::Portrait, Vec::new());
    if let Some(priced) = input.priced {
        let mut blocks = head(text::QUOTE, &priced, input);
        blocks.push(Block::Table(lines(&priced, "quote")));
        blocks.push(Block::Table(sums(&priced)));
        blocks.push(Block::Pairs(payment(&priced), 1, 38.0, 11.0));
        if !priced.quote.choices.is_empty() {
            blocks.push(Block::Head(text::OPTIONS.to_owned(), text::OPTIONS_NOTE.to_owned()));
            blocks.push(Block::Table(options(&priced)));
        }
        blocks.extend(words(&priced));
        blocks.push(Block::Sign(vec![text::PLAYER_SIGNS, text::WORKSHOP_SIGNS, text::DATE_BLANK]));
        part.body = crate::part::Body::Blocks(blocks);
    }
    part
}

/// The invoice: the same figures, no options, nothing to sign.
pub(crate) fn invoice(input: &PapersInput<'_>) -> Part {
    let mut part = Part::blocks(input, "invoice", text::INVOICE, "-INV", Lie::Portrait, Vec::new());
    if let Some(priced) = input.priced {
        let mut blocks = head(text::INVOICE, &priced, input);
        blocks.push(Block::Table(lines(&priced, "")));
        blocks.push(Block::Table(sums(&priced)));
        let shown = |sum| priced.prices.currency.shown(sum);
        let totals = &priced.quote.totals;
        if totals.deposit != Money::ZERO {
            let rows = vec![
                pair(text::DEPOSIT_PAID, cell(shown(totals.deposit))),
                pair(text::STILL_TO_PAY, cell(shown(totals.balance)).bold()),
            ];
            blocks.push(Block::Pairs(rows, 1, 70.0, 11.0));
        }
        blocks.extend(gaps(priced.quote));
        part.body = crate::part::Body::Blocks(blocks);
    }
    part
}

/// The change order.
pub(crate) fn change_order(input: &PapersInput<'_>) -> Part {
    let mut part = Part::blocks(input, "change-order", text::CHANGE_ORDER, "-CHG", Lie::Portrait, Vec::new());
    if let Some(order) = input.change {
        let priced = order.priced;
        let mut blocks = head(text::CHANGE_ORDER, &priced, input);
        blocks.push(Block::Words(text::changed_from(order.from)));
        blocks.push(Block::Table(changes(order.change)));
        blocks.push(Block::Head(text::CHANGED_LEADS.to_owned(), String::new()));
        blocks.push(Block::Table(leads(order.change)));
        blocks.push(Block::Pairs(beside(order.change), 1, 38.0, 11.0));
        blocks.push(Block::Head(text::CHANGE_COSTS.to_owned(), String::new()));
        blocks.push(Block::Table(lines(&priced, "")));
        blocks.push(Block::Table(sums(&priced)));
        blocks.extend(gaps(priced.quote));
        blocks.push(Block::Sign(vec![text::PLAYER_SIGNS, text::WORKSHOP_SIGNS, text::DATE_BLANK]));
        part.body = crate::part::Body::Blocks(blocks);
    }
    part
}

/// What is to pay, for other papers.
pub(crate) fn to_pay(priced: &Priced<'_>) -> Cell {
    let sum = priced.prices.currency.shown(priced.quote.totals.to_pay);
    let code = &priced.prices.currency.code;
    let words =
        if priced.quote.is_at_least() { text::sum_at_least(&sum, code) } else { format!("{sum} {code}") };
    cell(words).bold().line(text::WITH_TAX)
}

fn head(title: &'static str, priced: &Priced<'_>, input: &PapersInput<'_>) -> Vec<Block> {
    let terms = &priced.quote.terms;
    let mut rows = Vec::new();
    for (label, value) in [
        (text::WORKSHOP, &terms.workshop),
        (text::PLAYER, &terms.client),
        (text::NUMBER, &terms.number),
        (text::DATE, &terms.date),
    ] {
        if let Some(value) = value {
            rows.push(pair(label, cell(value.clone())));
        }
    }
    let requirements = &input.design.rig.brief.requirements;
    if let (Some(first), Some(last)) = (requirements.first(), requirements.last()) {
        rows.push(pair(text::BUILT_TO, cell(text::requirements_range(&first.id, &last.id))));
    }
    let mut out = vec![Block::Title(title)];
    if let Some(note) = &priced.prices.note {
        out.push(Block::Faint(note.clone()));
    }
    out.push(Block::Pairs(rows, 2, 30.0, 11.0));
    out
}

fn quantity(of: Title) -> String {
    match of {
        Title::Amount(amount) => amount.words(),
        Title::Set => text::ONE_SET.to_owned(),
        Title::Minutes(minutes) => text::hours(minutes),
    }
}

/// The lines in their groups.
fn lines(priced: &Priced<'_>, file: &'static str) -> Table {
    let Priced { quote, prices } = priced;
    let mut table = Table::new(
        file,
        11.0,
        vec![
            share(text::ITEM, 1.0),
            figures(text::QUANTITY, "", 22.0),
            figures(text::EACH, "", 24.0),
            figures(text::LINE_SUM, "", 28.0),
        ],
    );
    for (at, group) in ClientGroup::ALL.into_iter().enumerate() {
        let of_it: Vec<_> = quote.lines.iter().filter(|line| line.group == group).collect();
        if of_it.is_empty() {
            continue;
        }
        let own = group == ClientGroup::Own;
        let sum = if own { text::NO_CHARGE.to_owned() } else { prices.currency.shown(quote.sum(group)) };
        table.group(format!("{} {}", at + 1, group.title()), sum);
        for line in of_it {
            let each = line.each.map_or(String::new(), |each| prices.currency.shown(each));
            let net = match (own, line.at_least) {
                (true, _) => cell(""),
                (_, true) if line.net == Money::ZERO => cell(text::NO_PRICE).faint(),
                (_, true) => cell(prices.currency.shown(line.net)).line(text::AT_LEAST),
                (_, false) => cell(prices.currency.shown(line.net)),
            };
            table.row([cell(line.title.clone()), cell(quantity(line.quantity)), cell(each), net]);
        }
    }
    table
}

fn sums(priced: &Priced<'_>) -> Table {
    let Priced { quote, prices } = priced;
    let totals = &quote.totals;
    let shown = |sum| cell(prices.currency.shown(sum));
    let mut table = Table::new("", 11.0, vec![share(text::SUMS, 1.0), figures("", "", 60.0)]).keep();
    table.row([cell(text::SUM_OF_LINES), shown(totals.lines)]);
    if totals.discount != Money::ZERO {
        let why = quote.terms.discount_for.as_deref();
        table.row([cell(text::discount(why)), shown(-totals.discount)]);
        table.row([cell(text::NET), shown(totals.net)]);
    }
    for tax in &totals.taxes {
        let rate = tax.rate.map_or_else(|| text::RATE_UNKNOWN.to_owned(), |rate| rate.to_string());
        let basis = prices.currency.shown(tax.basis);
        table.row([cell(text::tax_of(&tax.title, &rate, &basis)), shown(tax.tax)]);
    }
    if totals.rounding != Money::ZERO {
        table.row([cell(text::ROUNDING), cell(prices.currency.signed(totals.rounding))]);
    }
    table.row([cell(text::TO_PAY).bold(), to_pay(priced)]);
    table
}

fn payment(priced: &Priced<'_>) -> Vec<crate::block::Pair> {
    let Priced { quote, prices } = priced;
    let shown = |sum| prices.currency.shown(sum);
    let mut rows = Vec::new();
    if quote.totals.deposit != Money::ZERO {
        let share = prices.deposit.to_string();
        let deposit = cell(shown(quote.totals.deposit)).bold().line(text::with_signature(&share));
        rows.push(pair(text::DEPOSIT, deposit));
        rows.push(pair(text::BALANCE_DUE, cell(shown(quote.totals.balance)).bold().line(text::ON_HANDOVER)));
    }
    if !quote.valid.is_empty() {
        rows.push(pair(text::VALID, cell(quote.valid.clone())));
    }
    if let Some(ready) = &quote.terms.ready {
        rows.push(pair(text::READY, cell(ready.clone())));
    }
    rows
}

fn options(priced: &Priced<'_>) -> Table {
    let Priced { quote, prices } = priced;
    let signed = |sum| cell(prices.currency.signed(sum));
    let mut table = Table::new(
        "options",
        11.0,
        vec![
            ticks(text::TICK_WANTED),
            wide("", 8.0),
            share(text::OPTION, 1.0),
            figures(text::NET, "", 24.0),
            figures(text::TAX, "", 22.0),
            figures(text::DIFFERENCE, "", 26.0),
            figures(text::TO_PAY, "", 26.0),
        ],
    );
    for choice in &quote.choices {
        let difference = signed(choice.difference).bold();
        let difference = if choice.at_least { difference.line(text::AT_LEAST) } else { difference };
        table.row([
            tick(),
            cell(choice.letter.clone()).bold(),
            cell(choice.title.clone()),
            signed(choice.net),
            signed(choice.tax),
            difference,
            cell(prices.currency.shown(choice.to_pay)),
        ]);
    }
    table
}

/// What is not included, the terms, and what has no price.
fn words(priced: &Priced<'_>) -> Vec<Block> {
    let Priced { quote, prices } = priced;
    let mut out = Vec::new();
    let excluded: Vec<String> = prices.excluded.iter().chain(&quote.terms.excluded).cloned().collect();
    if !excluded.is_empty() {
        out.push(Block::Boxed(text::NOT_INCLUDED.to_owned(), excluded, 11.0));
    }
    if !prices.terms.is_empty() {
        out.push(Block::Boxed(text::TERMS.to_owned(), prices.terms.clone(), 11.0));
    }
    out.extend(gaps(quote));
    out
}

fn gaps(quote: &Quote) -> Option<Block> {
    let gaps: Vec<String> = quote.missing.iter().map(|gap| gap.title.clone()).collect();
    (!gaps.is_empty()).then(|| Block::Boxed(text::WITHOUT_PRICE.to_owned(), vec![gaps.join(" · ")], 11.0))
}

/// Devices, board, runs, feeds, outlets and holes that differ.
fn changes(change: &RevisionChange) -> Table {
    let mut table = Table::new(
        "changes",
        11.0,
        vec![wide(text::WHAT, 34.0), share(text::BEFORE, 1.0), share(text::AFTER, 1.0)],
    );
    for device in &change.devices {
        let name = format!("{} {}", device.tag, device.title);
        let rows: Vec<_> = device.kind.iter().chain(&device.place).collect();
        match device.moved {
            change::Moved::New => table.row([cell(device.tag.clone()).bold(), cell(text::DASH), cell(name)]),
            change::Moved::Gone => table.row([cell(device.tag.clone()).bold(), cell(name), cell(text::DASH)]),
            change::Moved::Moves | change::Moved::Stands => {
                for words in rows {
                    table.row([
                        cell(device.tag.clone()).bold(),
                        cell(words.before.clone()),
                        cell(words.after.clone()),
                    ]);
                }
                let values = device.values.len();
                if 0 < values {
                    table.row([cell(device.tag.clone()).bold(), cell(""), cell(text::values_differ(values))]);
                }
            }
        }
    }
    let side = |words: &str| cell(if words.is_empty() { text::DASH } else { words });
    let named = [("", &change.board), (text::RUN_OF, &change.runs), (text::FEED_OF, &change.feeds)];
    for (what, words) in named.into_iter().flat_map(|(what, all)| all.iter().map(move |words| (what, words)))
    {
        let of = format!("{what} {}", words.of);
        table.row([cell(of.trim()), side(&words.before), side(&words.after)]);
    }
    for outlet in &change.outlets {
        table.row([cell(text::outlet_of(&outlet.outlet)), side(&outlet.before), side(&outlet.after)]);
    }
    table.none = text::NONE;
    table
}

/// Every lead that does not stay.
fn leads(change: &RevisionChange) -> Table {
    let mut table = Table::new(
        "changed-leads",
        11.0,
        vec![
            wide(text::LEAD_SHORT, 16.0),
            wide(text::BECAME, 22.0),
            share(text::JOINS, 1.0),
            share(text::WHY, 1.0),
        ],
    );
    for lead in change.leads.iter().filter(|lead| lead.became != Became::Stays || lead.renumbered) {
        let mm = |length: quantity::Length| format!("{:.0} mm", length.as_mm().floor());
        let why = match &lead.became {
            Became::Stays => text::RENUMBERED.to_owned(),
            Became::Reaches { spare } => text::to_spare(&mm(*spare)),
            Became::Remade { why } | Became::Altered { how: why } => why.clone(),
            Became::New => String::new(),
            Became::Gone { offcut } => offcut.map_or(String::new(), |offcut| text::offcut_of(&mm(offcut))),
        };
        table.row([cell(lead.tag()).bold(), cell(lead.became.word()), cell(lead.name.clone()), cell(why)]);
    }
    table.none = text::ALL_LEADS_STAY;
    table
}

fn beside(change: &RevisionChange) -> Vec<crate::block::Pair> {
    let titles = |names: &[&str]| {
        let title = |name: &&str| {
            let kind = crate::PAPERS.iter().find(|kind| kind.name == *name);
            kind.map_or_else(|| (*name).to_owned(), |kind| kind.title.to_owned())
        };
        if names.is_empty() {
            text::DASH.to_owned()
        } else {
            names.iter().map(title).collect::<Vec<_>>().join(", ")
        }
    };
    vec![
        pair(text::HOLES, cell(text::holes_changed(change.drilled.len(), change.blanked.len()))),
        pair(text::LABELS, cell(text::labels_changed(change.labels_on.len(), change.labels_off.len()))),
        pair(text::PAPERS_VOID, cell(titles(&change.void))),
        pair(text::PAPERS_GOOD, cell(titles(&change.good))),
        pair(text::TESTS_AGAIN, cell(text::tests_changed(change.tests.len(), change.tests_stand))),
    ]
}
