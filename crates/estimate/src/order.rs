//! Order lists: one for each supplier over one job or several, stock used first, whole packs.

use std::collections::BTreeMap;

use crate::bill::open;
use crate::{Amount, Missing, Money, Need, PartsOnHand, PriceItem, Prices};

/// What one job needs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobNeeds {
    /// The job.
    pub job: String,
    /// Parts.
    pub needs: Vec<Need>,
}

/// One item of an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderLine {
    /// The key it serves.
    pub key: String,
    /// What the shop calls the item.
    pub item: String,
    /// The supplier's number for it.
    pub number: Option<String>,
    /// What all jobs want.
    pub wanted: Amount,
    /// What stock covers.
    pub in_stock: Amount,
    /// What is left to buy.
    pub to_buy: Amount,
    /// What is in a pack.
    pub pack: Amount,
    /// In so many packs.
    pub packs: i64,
    /// What a pack costs.
    pub price: Money,
    /// What they cost, without tax.
    pub cost: Money,
    /// When that price was seen.
    pub date: String,
    /// What each job wants.
    pub jobs: Vec<(String, Amount)>,
}

/// The list for one supplier.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order {
    /// Who.
    pub supplier: String,
    /// What is to buy; what stock covers wholly stands in it with no packs.
    pub lines: Vec<OrderLine>,
    /// All lines, without tax.
    pub cost: Money,
}

/// What all jobs want of one item, in the order of the price file. Needs of several keys that one item serves share its
/// packs.
pub fn orders(jobs: &[JobNeeds], prices: &Prices, on_hand: &PartsOnHand) -> (Vec<Order>, Vec<Missing>) {
    let mut on_hand = on_hand.clone();
    let mut wanted: BTreeMap<usize, OrderLine> = BTreeMap::new();
    let mut missing: Vec<Missing> = Vec::new();
    for JobNeeds { job, needs } in jobs {
        for need in needs.iter().filter(|need| !need.theirs) {
            let at = prices.items.iter().position(|item| item.serves.contains(&need.key));
            let Some((at, item)) = at.map(|at| (at, &prices.items[at])) else {
                gap(&mut missing, need, "the price file has no item for it");
                continue;
            };
            let amount = need.to_get();
            if !item.pack.0.is_like(amount) || item.pack.0.units() <= 0 {
                gap(&mut missing, need, "its item is sold in another unit");
                continue;
            }
            if let Some(open) = open(need).filter(|open| !missing.contains(open)) {
                missing.push(open);
            }
            let taken = on_hand.take_for(need, amount, Some(item));
            let line = wanted.entry(at).or_insert_with(|| empty(&need.key, item));
            for (sum, more) in [(&mut line.wanted, amount), (&mut line.in_stock, taken)] {
                *sum = sum.with(sum.units().saturating_add(more.units()));
            }
            match line.jobs.iter_mut().find(|(name, _)| name == job) {
                Some((_, sum)) => *sum = sum.with(sum.units().saturating_add(amount.units())),
                None => line.jobs.push((job.clone(), amount)),
            }
        }
    }
    let mut out: BTreeMap<&str, Order> = BTreeMap::new();
    for (at, mut line) in wanted {
        let left = line.wanted.units() - line.in_stock.units();
        let pack = line.pack.units();
        line.to_buy = line.wanted.with(left);
        line.packs = left / pack + i64::from(left % pack != 0);
        line.cost = Money(line.price.0.saturating_mul(line.packs));
        let supplier = prices.items[at].supplier.as_str();
        let order = out.entry(supplier).or_insert_with(|| Order {
            supplier: supplier.to_owned(),
            lines: Vec::new(),
            cost: Money::ZERO,
        });
        order.cost += line.cost;
        order.lines.push(line);
    }
    (out.into_values().collect(), missing)
}

fn gap(missing: &mut Vec<Missing>, need: &Need, why: &str) {
    let gap = Missing { key: need.key.clone(), title: need.title.clone(), why: why.to_owned() };
    if !missing.contains(&gap) {
        missing.push(gap);
    }
}

fn empty(key: &str, item: &PriceItem) -> OrderLine {
    let pack = item.pack.0;
    OrderLine {
        key: key.to_owned(),
        item: item.name.clone(),
        number: item.number.clone(),
        wanted: pack.with(0),
        in_stock: pack.with(0),
        to_buy: pack.with(0),
        pack,
        packs: 0,
        price: item.price,
        cost: Money::ZERO,
        date: item.date.clone(),
        jobs: Vec::new(),
    }
}
