//! A quote for other programs: JSON, and the lines as CSV.

use crate::wire::{self, Quantity};
use crate::{
    Amount, BillLine, ChoicePrice, Currency, Money, Order, Prices, Quote, QuoteLine, Title, Totals, WorkLine,
};

/// The quote with its bill and work. Money is in minor units of the currency, lengths in nanometres.
pub fn quote_json<'a>(quote: &'a Quote, prices: &'a Prices) -> wire::Quote<'a> {
    wire::Quote {
        schema: wire::QUOTE_SCHEMA,
        currency: &prices.currency.code,
        decimals: prices.currency.decimals,
        number: quote.terms.number.as_deref(),
        date: quote.terms.date.as_deref(),
        revision: quote.terms.revision.as_deref(),
        valid: &quote.valid,
        at_least: quote.is_at_least(),
        bill: quote.bill.iter().map(bill_line).collect(),
        work: quote.work.iter().map(work_line).collect(),
        lines: quote.lines.iter().map(line).collect(),
        totals: totals(&quote.totals),
        minutes: quote.minutes,
        missing: quote.missing.iter().map(wire::Missing::from).collect(),
        options: quote.choices.iter().map(choice).collect(),
    }
}

fn amount(amount: Amount) -> Quantity {
    match amount {
        Amount::Pieces(count) => Quantity::Pieces(count),
        Amount::Length(length) => Quantity::Nm(length.nm()),
    }
}

fn bill_line(line: &BillLine) -> wire::BillLine<'_> {
    wire::BillLine {
        key: &line.need.key,
        title: &line.need.title,
        group: line.need.group.word(),
        theirs: line.need.theirs,
        needed: amount(line.need.needed),
        waste: amount(line.need.waste),
        in_stock: amount(line.in_stock),
        to_buy: amount(line.to_buy),
        packs: line.packs,
        item: &line.item,
        cost_minor: line.cost.map(|cost| cost.0),
        net_minor: line.net.map(|net| net.0),
        tax: &line.tax,
        estimated: line.need.estimated,
    }
}

fn work_line(line: &WorkLine) -> wire::WorkLine<'_> {
    wire::WorkLine {
        operation: &line.operation,
        title: &line.title,
        stage: line.stage.word(),
        units: line.units,
        planned_min: line.planned,
        logged_min: line.logged,
        logged_units: line.logged_units,
        minutes: line.minutes,
    }
}

fn line(line: &QuoteLine) -> wire::Line<'_> {
    wire::Line {
        group: line.group.word(),
        title: &line.title,
        quantity: match line.quantity {
            Title::Amount(of) => amount(of),
            Title::Set => Quantity::Sets(1),
            Title::Minutes(minutes) => Quantity::Minutes(minutes),
        },
        each_minor: line.each.map(|each| each.0),
        net_minor: line.net.0,
        tax: &line.tax,
        at_least: line.at_least,
    }
}

fn totals(totals: &Totals) -> wire::Totals<'_> {
    let taxes = totals.taxes.iter().map(|tax| wire::Tax {
        class: &tax.class,
        rate_millionths: tax.rate.map(quantity::Share::millionths),
        basis_minor: tax.basis.0,
        tax_minor: tax.tax.0,
    });
    wire::Totals {
        lines_minor: totals.lines.0,
        discount_minor: totals.discount.0,
        net_minor: totals.net.0,
        taxes: taxes.collect(),
        tax_minor: totals.tax.0,
        gross_minor: totals.gross.0,
        rounding_minor: totals.rounding.0,
        to_pay_minor: totals.to_pay.0,
        deposit_minor: totals.deposit.0,
        balance_minor: totals.balance.0,
    }
}

fn choice(choice: &ChoicePrice) -> wire::Choice<'_> {
    wire::Choice {
        letter: &choice.letter,
        title: &choice.title,
        net_minor: choice.net.0,
        tax_minor: choice.tax.0,
        difference_minor: choice.difference.0,
        to_pay_minor: choice.to_pay.0,
        minutes: choice.minutes,
        at_least: choice.at_least,
    }
}

/// The lines and sums as values: UTF-8, RFC 4180, formula characters neutralised.
pub fn quote_csv(quote: &Quote, prices: &Prices) -> String {
    let money = |sum| prices.currency.plain(sum);
    let mut rows = vec![csv_row(&["group", "item", "quantity", "each", "net", "tax class"])];
    for line in &quote.lines {
        let quantity = match line.quantity {
            Title::Amount(amount) => amount.words(),
            Title::Set => "1 set".to_owned(),
            Title::Minutes(minutes) => format!("{minutes} min"),
        };
        let each = line.each.map(money).unwrap_or_default();
        // What has no price is no gift: its cell stays empty.
        let net = if line.at_least && line.net == Money::ZERO { String::new() } else { money(line.net) };
        rows.push(csv_row(&[line.group.word(), &line.title, &quantity, &each, &net, &line.tax]));
    }
    let totals = &quote.totals;
    let mut sum = |what: &str, net, tax: &str| rows.push(csv_row(&["sum", what, "", "", &money(net), tax]));
    sum("lines", totals.lines, "");
    sum("discount", -totals.discount, "");
    sum("net", totals.net, "");
    for tax in &totals.taxes {
        sum("tax", tax.tax, &tax.class);
    }
    sum("rounding", totals.rounding, "");
    sum(if quote.is_at_least() { "to pay, at least" } else { "to pay" }, totals.to_pay, "");
    for choice in &quote.choices {
        // Differences without tax, as all of this column.
        let group = format!("option {}", choice.letter);
        let least = if choice.at_least { "at least" } else { "" };
        rows.push(csv_row(&[&group, &choice.title, least, "", &money(choice.net), ""]));
    }
    rows.concat()
}

/// One line of a CSV file: RFC 4180, formula characters neutralised.
pub fn csv_row(cells: &[&str]) -> String {
    let cells: Vec<String> = cells
        .iter()
        .map(|cell| {
            // A spreadsheet would take these for a formula; figures may begin with a minus sign.
            let figure = cell.strip_prefix('-').is_some_and(|rest| rest.parse::<quantity::Sum>().is_ok());
            let guard = if cell.starts_with(['=', '+', '-', '@', '\t', '\r']) && !figure { "'" } else { "" };
            let text = format!("{guard}{cell}");
            if text.contains(['"', ',', '\n', '\r']) {
                format!("\"{}\"", text.replace('"', "\"\""))
            } else {
                text
            }
        })
        .collect();
    cells.join(",") + "\r\n"
}

/// The lists as rows of a spreadsheet, one item to a row.
pub fn orders_csv(orders: &[Order], currency: &Currency) -> String {
    let head = [
        "supplier", "item", "number", "wanted", "in stock", "to buy", "packs", "pack", "price", "cost",
        "date",
    ];
    let mut rows = vec![csv_row(&head)];
    for order in orders {
        for line in &order.lines {
            rows.push(csv_row(&[
                &order.supplier,
                &line.item,
                line.number.as_deref().unwrap_or_default(),
                &line.wanted.words(),
                &line.in_stock.words(),
                &line.to_buy.words(),
                &line.packs.to_string(),
                &line.pack.words(),
                &currency.plain(line.price),
                &currency.plain(line.cost),
                &line.date,
            ]));
        }
    }
    rows.concat()
}
