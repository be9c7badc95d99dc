//! The bill with stock, packs and money put to it.

use quantity::Share;

use crate::{Amount, Money, Need, PartsOnHand, PriceItem, Prices, mul_div_rounded};

/// Why a need has no price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    /// The key of the need.
    pub key: String,
    /// What it is.
    pub title: String,
    /// What is the matter: no item, one in another unit, or an amount of which not all is known.
    pub why: String,
}

/// One need with what it takes to have it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BillLine {
    /// The need.
    pub need: Need,
    /// Needed and waste.
    pub wanted: Amount,
    /// What stock covers of it.
    pub in_stock: Amount,
    /// What is left to buy.
    pub to_buy: Amount,
    /// In so many packs.
    pub packs: i64,
    /// What these packs cost; `None` without a price.
    pub cost: Option<Money>,
    /// What the client pays for what is wanted; `None` without a price, and for what the player brings.
    pub net: Option<Money>,
    /// The tax class of it; empty without a price.
    pub tax: String,
    /// The name of the item; empty without a price.
    pub item: String,
    /// What is missing.
    pub missing: Option<Missing>,
}

/// Every need with stock used first, then whole packs. `on_hand` keeps what is left, so that a second job gets no more than
/// that.
pub fn bill(needs: &[Need], prices: &Prices, margin: Share, on_hand: &mut PartsOnHand) -> Vec<BillLine> {
    needs.iter().map(|need| line(need, prices, margin, on_hand)).collect()
}

fn line(need: &Need, prices: &Prices, margin: Share, on_hand: &mut PartsOnHand) -> BillLine {
    let wanted = need.wanted();
    let mut line = BillLine {
        need: need.clone(),
        wanted,
        in_stock: wanted.with(0),
        to_buy: wanted.with(0),
        packs: 0,
        cost: None,
        net: None,
        tax: String::new(),
        item: String::new(),
        missing: None,
    };
    if need.theirs {
        return line;
    }
    line.in_stock = on_hand.take_for(need, wanted, prices.item(&need.key));
    line.to_buy = wanted.with(wanted.units() - line.in_stock.units());
    let missing =
        |why: &str| Some(Missing { key: need.key.clone(), title: need.title.clone(), why: why.to_owned() });
    let Some(item) = prices.item(&need.key) else {
        line.missing = missing("the price file has no item for it");
        return line;
    };
    let pack = item.pack.0;
    if !pack.is_like(wanted) || pack.units() <= 0 {
        line.missing = missing(match wanted {
            Amount::Pieces(_) => "its item is sold by length and this counts pieces",
            Amount::Length(_) => "its item is sold by the piece and this is a length",
        });
        return line;
    }
    line.packs = line.to_buy.units() / pack.units() + i64::from(line.to_buy.units() % pack.units() != 0);
    line.cost = Some(Money(item.price.0.saturating_mul(line.packs)));
    line.net = Some(net(item, wanted, prices, margin));
    line.tax.clone_from(&item.tax);
    line.item.clone_from(&item.name);
    line.missing = open(need);
    line
}

/// What keeps a need that has a price from being counted in full.
pub(crate) fn open(need: &Need) -> Option<Missing> {
    let words = need.open.as_ref()?;
    let (title, why) = (format!("{}: {words}", need.title), "only part of it is counted".to_owned());
    Some(Missing { key: need.key.clone(), title, why })
}

/// What a client pays for an amount of an item: its share of the pack, the margin on it, rounded once.
fn net(item: &PriceItem, wanted: Amount, prices: &Prices, margin: Share) -> Money {
    let units = i128::from(wanted.units());
    let pack = i128::from(item.pack.0.units());
    Money(match item.sale {
        Some(sale) => mul_div_rounded(sale.0, units, pack, prices.rounding),
        None => {
            let whole = i128::from(Share::WHOLE);
            let factor = whole + i128::from(margin.millionths());
            mul_div_rounded(item.price.0, units * factor, pack * whole, prices.rounding)
        }
    })
}
