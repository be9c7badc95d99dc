//! A shop's prices, rates and words, as its price file says them.

use quantity::Share;

use crate::{Amount, Currency, Money, Rounding};

/// What is in one pack.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pack(pub Amount);

/// The key of a maker's own adaptor, in bills and price lists.
pub const OWN_ADAPTOR: &str = "adaptor";

/// A thing that is bought.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceItem {
    /// What the shop calls it.
    pub name: String,
    /// The keys of needs it serves: catalogue ids and words of ours.
    pub serves: Vec<String>,
    /// What is in a pack.
    pub pack: Pack,
    /// What a pack costs, without tax.
    pub price: Money,
    /// What the client pays for a pack, without tax, where the shop's margin does not say it.
    pub sale: Option<Money>,
    /// When that price was seen, as written.
    pub date: String,
    /// Who sells it.
    pub supplier: String,
    /// The supplier's own number for it.
    pub number: Option<String>,
    /// The name of its tax class.
    pub tax: String,
}

/// A class of tax.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TaxClass {
    /// Its name.
    pub name: String,
    /// What a client reads.
    pub title: String,
    /// Its rate.
    pub rate: Share,
}

/// What the shop plans for one of an operation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rate {
    /// The operation.
    pub operation: String,
    /// Minutes for one.
    pub minutes: u32,
}

/// Minutes that were written down at the bench.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Logged {
    /// The operation.
    pub operation: String,
    /// The job.
    pub job: String,
    /// Minutes in all.
    pub minutes: u32,
    /// How often it was done in them.
    pub units: u32,
    /// When, as written.
    pub date: String,
}

/// All of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Prices {
    /// What money is counted in.
    pub currency: Currency,
    /// What is done with half a minor unit.
    pub rounding: Rounding,
    /// What is paid is a multiple of this; zero or one minor unit leaves it alone.
    pub step: Money,
    /// An hour of work, without tax.
    pub hour: Option<Money>,
    /// The tax class of work.
    pub work_tax: Option<String>,
    /// What is put on what is bought.
    pub margin: Share,
    /// What is paid with the signature, of all that is paid.
    pub deposit: Share,
    /// Days a quote holds; zero says nothing.
    pub valid_days: u32,
    /// Classes of tax.
    pub taxes: Vec<TaxClass>,
    /// What is bought.
    pub items: Vec<PriceItem>,
    /// The shop's own rates.
    pub rates: Vec<Rate>,
    /// What was logged.
    pub logged: Vec<Logged>,
    /// What no quote includes.
    pub excluded: Vec<String>,
    /// Terms that each quote prints.
    pub terms: Vec<String>,
    /// A remark that stands on each quote, such as that all prices are invented.
    pub note: Option<String>,
}

impl Prices {
    /// No price of anything, in this currency.
    pub fn none(currency: Currency) -> Self {
        Self {
            currency,
            rounding: Rounding::HalfUp,
            step: Money::ZERO,
            hour: None,
            work_tax: None,
            margin: Share::ZERO,
            deposit: Share::ZERO,
            valid_days: 0,
            taxes: Vec::new(),
            items: Vec::new(),
            rates: Vec::new(),
            logged: Vec::new(),
            excluded: Vec::new(),
            terms: Vec::new(),
            note: None,
        }
    }

    /// The item that serves a need: the first that names its key.
    pub fn item(&self, key: &str) -> Option<&PriceItem> {
        self.items.iter().find(|item| item.serves.iter().any(|served| served == key))
    }

    /// The rate of a tax class; nothing for a class that is not there.
    pub fn tax_rate(&self, class: &str) -> Option<Share> {
        self.taxes.iter().find(|tax| tax.name == class).map(|tax| tax.rate)
    }
}
