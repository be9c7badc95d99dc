//! Quote, invoice and change order: what a client pays, with figures that are worked out elsewhere.

use change::{Became, RevisionChange};
use design::Design;
use drawing::{Drawing, Scale};
use estimate::{ClientGroup, Money, Prices, Quote, Title};

use crate::block::{Block, Cell, Table, cell, figures, pair, share, tick, ticks, wide};
use crate::part::Part;
use crate::sheet::{INVOICE_SUFFIX, Lie};
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
    /// The design before.
    pub before: &'a Design,
    /// What changes.
    pub change: &'a RevisionChange,
    /// What carrying it out costs.
    pub priced: Priced<'a>,
    /// The whole job before and after, each at the prices of its day.
    pub whole: [&'a Quote; 2],
    /// The whole job before at the prices of the job after.
    pub repriced: &'a Quote,
}

/// The quote; an empty page where nothing is priced, which the set leaves out.
pub(crate) fn quote(input: &PapersInput<'_>) -> Part {
    let mut part = Part::blocks(input, "quote", text::QUOTE, "-QUO", Lie::Portrait, Vec::new());
    if let Some(priced) = input.priced {
        let mut blocks = head(text::QUOTE, &priced, input);
        blocks.push(Block::Table(lines(&priced, "quote")));
        blocks.push(Block::Table(sums(&priced, "quote-sums")));
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
    let mut part = Part::blocks(input, "invoice", text::INVOICE, INVOICE_SUFFIX, Lie::Portrait, Vec::new());
    if let Some(priced) = input.priced {
        let mut blocks = head(text::INVOICE, &priced, input);
        blocks.push(Block::Table(lines(&priced, "")));
        blocks.push(Block::Table(sums(&priced, "")));
        let shown = |sum| priced.prices.currency.shown(sum);
        let totals = &priced.quote.totals;
        if totals.deposit != Money::ZERO {
            let rows = vec![
                pair(text::DEPOSIT_PAID, cell(shown(totals.deposit))),
                pair(text::STILL_TO_PAY, cell(shown(totals.balance)).bold()),
            ];
            blocks.push(Block::Pairs(rows, 1, 70.0, 11.0));
        }
        if !priced.prices.terms.is_empty() {
            blocks.push(Block::Boxed(text::TERMS.to_owned(), priced.prices.terms.clone(), 11.0));
        }
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
        blocks.extend(new_stops(order.change));
        blocks.extend(drawn(&order, input.design, part.sheet.room().0 - 1.5));
        blocks.push(Block::Table(changes(order.change)));
        blocks.push(Block::Head(text::CHANGED_LEADS.to_owned(), String::new()));
        blocks.push(Block::Table(leads(order.change)));
        blocks.push(Block::Pairs(beside(order.change), 1, 38.0, 11.0));
        blocks.push(Block::Head(text::CHANGE_COSTS.to_owned(), String::new()));
        blocks.push(Block::Table(lines(&priced, "")));
        blocks.push(Block::Table(sums(&priced, "")));
        if input.design.rig.quote.discount.is_some() || input.design.rig.quote.discount_sum.is_some() {
            blocks.push(Block::Words(text::NO_DISCOUNT.to_owned()));
        }
        blocks.push(Block::Pairs(whole(&order), 1, 38.0, 11.0));
        blocks.extend(gaps(priced.quote));
        blocks.push(Block::Sign(vec![text::PLAYER_SIGNS, text::WORKSHOP_SIGNS, text::DATE_BLANK]));
        part.body = crate::part::Body::Blocks(blocks);
    }
    part
}

/// Room for each of the two plans, one above the other.
const PLAN: f64 = 104.0;

/// The board before and after, at one scale: beside one another where both have the room, else one above the other.
fn drawn(order: &ChangeOrder<'_>, after: &Design, wide: f64) -> Vec<Block> {
    let draw = |scale: Scale| drawing::compared(order.before, after, order.change, scale);
    let fits = |pair: &[Drawing; 2]| {
        pair.iter().all(|drawing| drawing.width_mm <= wide && drawing.height_mm <= PLAN)
    };
    let mut all = crate::sheet::scales().map(|scale| (draw(scale), scale));
    let Some((pair, scale)) = all.find(|(pair, _)| fits(pair)) else { return Vec::new() };
    let [before, after] = pair;
    let heads = [text::BEFORE, text::AFTER].map(|word| format!("{word} {scale}"));
    let [head_before, head_after] = heads;
    if before.width_mm + after.width_mm + BETWEEN <= wide {
        return vec![Block::Beside([(before, head_before), (after, head_after)])];
    }
    vec![Block::Figure(before, head_before), Block::Figure(after, head_after)]
}

/// Room between two plans.
const BETWEEN: f64 = 8.0;

/// Stops that the change brings, in a frame before everything that is signed for.
fn new_stops(change: &RevisionChange) -> Option<Block> {
    let is_stop = |case: &change::Case| case.severity == finding::Severity::Stop;
    let fresh = change.findings.iter().filter(|finding| !finding.before.as_ref().is_some_and(is_stop));
    let stops: Vec<String> = fresh
        .filter_map(|finding| finding.after.as_ref().filter(|case| is_stop(case)))
        .map(|case| case.message.clone())
        .collect();
    (!stops.is_empty()).then(|| Block::Boxed(text::NEW_STOPS.to_owned(), stops, 11.0))
}

/// What the whole job costs before and after, and what of the difference comes from prices alone.
fn whole(order: &ChangeOrder<'_>) -> Vec<crate::block::Pair> {
    let currency = &order.priced.prices.currency;
    let sum = |quote: &Quote| {
        let sum = currency.shown(quote.totals.to_pay);
        if quote.is_at_least() {
            text::sum_at_least(&sum, &currency.code)
        } else {
            format!("{sum} {}", currency.code)
        }
    };
    let [before, after] = order.whole;
    let mut rows = vec![
        pair(text::WHOLE_BEFORE, cell(sum(before))),
        pair(text::WHOLE_AFTER, cell(sum(after)).bold().line(text::WHOLE_NOTE)),
    ];
    let rise = order.repriced.totals.to_pay - before.totals.to_pay;
    if rise != Money::ZERO {
        rows.push(pair(text::PRICES_DIFFER, cell(currency.signed(rise))));
    }
    rows
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

fn sums(priced: &Priced<'_>, file: &'static str) -> Table {
    let Priced { quote, prices } = priced;
    let totals = &quote.totals;
    let shown = |sum| cell(prices.currency.shown(sum));
    let mut table = Table::new(file, 11.0, vec![share(text::SUMS, 1.0), figures("", "", 60.0)]).keep();
    table.row([cell(text::SUM_OF_LINES), shown(totals.lines)]);
    if totals.discount != Money::ZERO {
        let why = quote.terms.discount_for.as_deref();
        let words = cell(text::discount(why));
        let words = if quote.is_discount_cut() { words.line(text::DISCOUNT_CUT) } else { words };
        table.row([words, shown(-totals.discount)]);
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
            if choice.at_least || quote.is_at_least() {
                cell(prices.currency.shown(choice.to_pay)).line(text::AT_LEAST)
            } else {
                cell(prices.currency.shown(choice.to_pay))
            },
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
        match device.moved {
            change::Moved::New => table.row([cell(device.tag.clone()).bold(), cell(text::DASH), cell(name)]),
            change::Moved::Gone => table.row([cell(device.tag.clone()).bold(), cell(name), cell(text::DASH)]),
            change::Moved::Moves | change::Moved::Stands => {
                let mut row = |what: &str, before: &str, after: &str| {
                    table.row([cell(device.tag.clone()).bold().line(what), cell(before), cell(after)]);
                };
                if let Some(kind) = &device.kind {
                    // Two kinds may have one title: then their names in the catalogue tell them apart.
                    let named = device.title_before != device.title;
                    let side = |title: &str, kind: &str| {
                        if named { title.to_owned() } else { text::of_kind(title, kind) }
                    };
                    let before = side(&device.title_before, &kind.before);
                    row("", &before, &side(&device.title, &kind.after));
                }
                if let Some(place) = &device.place {
                    row(text::PLACE, &place.before, &place.after);
                }
                // What a value is; where it comes from is on other papers.
                for value in device.values.iter().filter(|value| !is_aside(value)) {
                    let [name, before, after] = value.parts(&device.tag);
                    row(&name, &before, &after);
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

/// Whether a value is told elsewhere or is no matter of a change order: its source, and the title.
fn is_aside(value: &change::Value) -> bool {
    value.key.rsplit('.').next() == Some("from") || value.key == "title"
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
    // What lies as it lay is no matter of a change order, however it is drawn.
    let lies = |lead: &change::LeadChange| matches!(lead.became, Became::Stays | Became::Redrawn { .. });
    for lead in change.leads.iter().filter(|lead| !lies(lead) || lead.renumbered) {
        let mm = |length: quantity::Length| format!("{:.0} mm", length.as_mm().floor());
        let why = match &lead.became {
            Became::Stays => String::new(),
            Became::Redrawn { .. } => text::DRAWN_ANEW.to_owned(),
            Became::Unclear { why } => why.clone(),
            Became::Reaches { spare } => text::to_spare(&mm(*spare)),
            Became::Remade { why } => text::made_anew(why, &cuts(lead)),
            Became::Altered { how } => how.clone(),
            Became::New => cuts(lead),
            Became::Gone { offcut } => offcut.map_or(String::new(), |offcut| text::offcut_of(&mm(offcut))),
        };
        let why = match lead.old_tag() {
            Some(tag) => cell(why).line(text::renumbered(tag)),
            None => cell(why),
        };
        table.row([cell(lead.tag()).bold(), cell(text::became(&lead.became)), cell(lead.name.clone()), why]);
    }
    table.none = text::ALL_LEADS_STAY;
    table
}

/// The lengths that a lead is cut to.
fn cuts(lead: &change::LeadChange) -> String {
    let cuts = lead.after.iter().flat_map(|made| &made.cuts);
    let words = cuts.map(|cut| {
        cut.map_or_else(|| text::LENGTH_OPEN.to_owned(), |length| format!("{:.0} mm", length.as_mm().ceil()))
    });
    words.collect::<Vec<_>>().join(" + ")
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
