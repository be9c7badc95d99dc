//! A quote for other programs: JSON, and the lines as CSV.

use serde_json::{Value, json};

use crate::{Amount, Prices, Quote, Title};

/// The version of this JSON. It changes when a key changes its meaning.
pub const QUOTE_SCHEMA: &str = "boardwright.quote.1";

fn amount(amount: Amount) -> Value {
    match amount {
        Amount::Pieces(count) => json!({ "pieces": count }),
        Amount::Length(length) => json!({ "nm": length.nm() }),
    }
}

/// The quote with its bill and work. Money is in minor units of the currency, lengths in nanometres.
pub fn quote_json(quote: &Quote, prices: &Prices) -> Value {
    let totals = &quote.totals;
    json!({
        "schema": QUOTE_SCHEMA,
        "currency": prices.currency.code,
        "decimals": prices.currency.decimals,
        "number": quote.terms.number,
        "date": quote.terms.date,
        "revision": quote.terms.revision,
        "valid": quote.valid,
        "at_least": quote.is_at_least(),
        "bill": quote.bill.iter().map(|line| json!({
            "key": line.need.key,
            "title": line.need.title,
            "group": line.need.group.word(),
            "theirs": line.need.theirs,
            "needed": amount(line.need.needed),
            "waste": amount(line.need.waste),
            "in_stock": amount(line.in_stock),
            "to_buy": amount(line.to_buy),
            "packs": line.packs,
            "item": line.item,
            "cost": line.cost.map(|cost| cost.0),
            "net": line.net.map(|net| net.0),
            "tax": line.tax,
            "estimated": line.need.estimated,
        })).collect::<Vec<_>>(),
        "work": quote.work.iter().map(|line| json!({
            "operation": line.operation,
            "title": line.title,
            "stage": line.stage.word(),
            "units": line.units,
            "planned_min": line.planned,
            "logged_min": line.logged,
            "logged_units": line.logged_units,
            "minutes": line.minutes,
        })).collect::<Vec<_>>(),
        "lines": quote.lines.iter().map(|line| json!({
            "group": line.group.word(),
            "title": line.title,
            "quantity": match line.quantity {
                Title::Amount(of) => amount(of),
                Title::Set => json!({ "sets": 1 }),
                Title::Minutes(minutes) => json!({ "minutes": minutes }),
            },
            "each": line.each.map(|each| each.0),
            "net": line.net.0,
            "tax": line.tax,
            "at_least": line.at_least,
        })).collect::<Vec<_>>(),
        "totals": {
            "lines": totals.lines.0,
            "discount": totals.discount.0,
            "net": totals.net.0,
            "taxes": totals.taxes.iter().map(|tax| json!({
                "class": tax.class,
                "rate_millionths": tax.rate.map(quantity::Share::millionths),
                "basis": tax.basis.0,
                "tax": tax.tax.0,
            })).collect::<Vec<_>>(),
            "tax": totals.tax.0,
            "gross": totals.gross.0,
            "rounding": totals.rounding.0,
            "to_pay": totals.to_pay.0,
            "deposit": totals.deposit.0,
            "balance": totals.balance.0,
        },
        "minutes": quote.minutes,
        "missing": quote.missing.iter().map(|gap| json!({ "key": gap.key, "title": gap.title, "why": gap.why })).collect::<Vec<_>>(),
        "options": quote.choices.iter().map(|choice| json!({
            "letter": choice.letter,
            "title": choice.title,
            "net": choice.net.0,
            "tax": choice.tax.0,
            "difference": choice.difference.0,
            "to_pay": choice.to_pay.0,
            "minutes": choice.minutes,
            "at_least": choice.at_least,
        })).collect::<Vec<_>>(),
    })
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
        rows.push(csv_row(&[line.group.word(), &line.title, &quantity, &each, &money(line.net), &line.tax]));
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
        rows.push(csv_row(&["option", &choice.title, &choice.letter, "", &money(choice.difference), ""]));
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
