//! What a shop pays and asks, `prices.toml`.

use std::collections::BTreeSet;
use std::path::Path;

use estimate::{Amount, Currency, Logged, Money, Pack, PriceItem, Prices, Rate, Rounding, TaxClass};
use quantity::{Length, Share, Sum};

use crate::format::PRICES;
use crate::job::ReadError;
use crate::problem::{File, Files, Problem, nearest, shown};
use crate::read::head::texts;
use crate::read::node::Node;
use crate::read::walk::walk;

/// The prices of a shop folder; `None` where it has no `prices.toml`.
pub fn prices_in(shop: &Path) -> Result<Option<Prices>, ReadError> {
    let path = shop.join("prices.toml");
    if !crate::edit::is_there(&path) {
        return Ok(None);
    }
    let text = crate::job::read_file(&path)?;
    read_prices(&path.display().to_string(), &text).map(Some)
}

/// Reads a price file. `name` stands in messages for the file.
pub fn read_prices(name: &str, text: &str) -> Result<Prices, ReadError> {
    let (tree, problems) = walk(0, text, &PRICES);
    let mut reader = Reader { currency: currency(&tree), problems };
    let prices = reader.prices(&tree);
    reader.references(&tree, &prices);
    if reader.problems.is_empty() {
        return Ok(prices);
    }
    reader.problems.sort_by(|a, b| a.at.cmp(&b.at));
    let file = File { name: name.to_owned(), text: text.to_owned() };
    Err(ReadError::Problems { problems: reader.problems, files: Files(vec![file]) })
}

fn currency(tree: &Node) -> Currency {
    let mut currency = Currency::of(&tree.text("currency").unwrap_or_default());
    if let Some(decimals) = tree.count("decimals") {
        currency.decimals = decimals;
    }
    currency
}

struct Reader {
    currency: Currency,
    problems: Vec<Problem>,
}

impl Reader {
    fn prices(&mut self, tree: &Node) -> Prices {
        self.part(tree, "deposit");
        let code = &self.currency.code;
        if let Some(node) = tree.get("currency")
            && !(code.len() == 3 && code.bytes().all(|byte| byte.is_ascii_uppercase()))
        {
            let message = format!("`{}` is not a currency; allowed are three capital letters", shown(code));
            self.problems.push(
                Problem::new(node.at.clone(), message).help("ISO 4217 lists them: `EUR`, `GBP`, `JPY`"),
            );
        }
        Prices {
            currency: self.currency.clone(),
            rounding: match tree.text("rounding").as_deref() {
                Some("half-even") => Rounding::HalfEven,
                _ => Rounding::HalfUp,
            },
            step: self.money(tree, "step").unwrap_or_default(),
            hour: self.money(tree, "hour"),
            work_tax: tree.text("work_tax"),
            margin: tree.plain("margin").unwrap_or(Share::ZERO),
            deposit: tree.plain("deposit").unwrap_or(Share::ZERO),
            valid_days: tree.count("valid_days").unwrap_or_default(),
            taxes: taxes(tree),
            items: tree.items("item").iter().filter_map(|node| self.item(node)).collect(),
            rates: tree.items("rate").iter().filter_map(rate).collect(),
            logged: tree.items("logged").iter().filter_map(|node| self.logged(node)).collect(),
            excluded: texts(tree, "excluded"),
            terms: texts(tree, "terms"),
            note: tree.text("note"),
        }
    }

    /// A sum in minor units; a problem where it has digits beyond them.
    fn money(&mut self, node: &Node, key: &str) -> Option<Money> {
        let sum: Sum = node.plain(key)?;
        if let Some(minor) = sum.minor(self.currency.decimals) {
            return Some(Money(minor));
        }
        let at = node.get(key).map_or_else(|| node.at.clone(), |node| node.at.clone());
        let (code, decimals) = (shown(&self.currency.code), self.currency.decimals);
        let message = format!("`{key}` is {sum}; {code} has {decimals} decimals");
        self.problems.push(Problem::new(at, message));
        None
    }

    fn item(&mut self, node: &Node) -> Option<PriceItem> {
        let name = node.text("name")?;
        let name = name.as_str();
        let length: Option<Length> = node.plain("length");
        let pack = match (node.count("pieces"), length) {
            (Some(_), Some(_)) => {
                let message =
                    format!("a pack of `{}` holds pieces and a length; one of them is allowed", shown(name));
                self.problems.push(Problem::new(node.at.clone(), message));
                return None;
            }
            (None, Some(length)) => Amount::Length(length),
            (pieces, None) => Amount::Pieces(i64::from(pieces.unwrap_or(1))),
        };
        if pack.units() <= 0 {
            let message = format!("a pack of `{}` holds nothing; it must hold something", shown(name));
            self.problems.push(Problem::new(node.at.clone(), message));
            return None;
        }
        self.day(node, "date");
        let (price, sale) = (self.money(node, "price"), self.money(node, "sale"));
        Some(PriceItem {
            name: name.to_owned(),
            serves: texts(node, "serves"),
            pack: Pack(pack),
            price: price?,
            sale,
            date: node.text("date")?,
            supplier: node.text("supplier")?,
            number: node.text("number"),
            tax: node.text("tax")?,
        })
    }

    fn logged(&mut self, node: &Node) -> Option<Logged> {
        let logged = Logged {
            operation: node.text("operation")?,
            job: node.text("job")?,
            minutes: node.count("minutes")?,
            units: node.count("units")?,
            date: node.text("date")?,
        };
        self.day(node, "date");
        if logged.units == 0 {
            let message = "`units` is 0; minutes are logged for one unit or more".to_owned();
            self.problems.push(Problem::new(node.at.clone(), message));
        }
        Some(logged)
    }

    /// A date that is written as a day and that no calendar has.
    fn day(&mut self, node: &Node, key: &str) {
        let Some(day) = node.get(key) else { return };
        let Some(text) = day.as_text() else { return };
        let is_written = text.len() == 10
            && text.bytes().enumerate().all(|(at, byte)| match at {
                4 | 7 => byte == b'-',
                _ => byte.is_ascii_digit(),
            });
        if is_written && estimate::days_after(text, 0).is_none() {
            let message = format!("`{key}` is {text}; the calendar has no such day");
            self.problems.push(Problem::new(day.at.clone(), message));
        }
    }

    /// A share of more than the whole.
    fn part(&mut self, tree: &Node, key: &str) {
        let share: Option<Share> = tree.plain(key);
        if let (Some(share), Some(node)) =
            (share.filter(|share| Share::WHOLE < share.millionths()), tree.get(key))
        {
            let message = format!("`{key}` is {share}; allowed is at most 100 %");
            self.problems.push(Problem::new(node.at.clone(), message));
        }
    }

    /// Two items that serve one part, and tax classes that are not there.
    fn references(&mut self, tree: &Node, prices: &Prices) {
        let mut served = BTreeSet::new();
        for node in tree.items("item") {
            let name = node.text("name").unwrap_or_default();
            for part in texts(node, "serves") {
                if !served.insert(part.clone()) {
                    let message =
                        format!("`{}` of `{}` is served by another item already", shown(&part), shown(&name));
                    self.problems.push(Problem::new(node.at.clone(), message));
                }
            }
            self.tax(node, "tax", prices);
        }
        self.tax(tree, "work_tax", prices);
    }

    fn tax(&mut self, node: &Node, key: &str, prices: &Prices) {
        let Some(class) = node.get(key) else { return };
        let Some(name) = class.as_text().filter(|name| prices.tax_rate(name).is_none()) else { return };
        let problem = Problem::new(class.at.clone(), format!("there is no tax class `{}`", shown(name)));
        let names = prices.taxes.iter().map(|tax| tax.name.as_str());
        self.problems.push(match nearest(name, names) {
            Some(near) => problem.help(format!("did you mean `{near}`?")),
            None => problem.help(format!("write `[tax.{}]` with its `rate`", shown(name))),
        });
    }
}

fn taxes(tree: &Node) -> Vec<TaxClass> {
    let classes = tree.named("tax").iter();
    classes
        .filter_map(|(name, node)| {
            let title = node.text("title").unwrap_or_else(|| name.clone());
            Some(TaxClass { name: name.clone(), title, rate: node.plain("rate")? })
        })
        .collect()
}

fn rate(node: &Node) -> Option<Rate> {
    Some(Rate { operation: node.text("operation")?, minutes: node.count("minutes")? })
}
