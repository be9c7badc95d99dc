//! Parts, stock, packs, minutes and money of a job.
//!
//! The model is counted elsewhere; what it needs comes in as a list of [`Need`]s and [`Act`]s, a shop's prices as
//! [`Prices`], its stock of parts as a [`PartsOnHand`]. [`bill`] puts stock, packs and prices to the needs, [`work`] puts the
//! shop's rates and logged minutes to the acts, [`quote`] makes of both what a client reads, and [`orders`] what suppliers
//! read. Money is a whole number of minor units ([`Money`]); there is no floating point in this crate.
//!
//! A price that is missing is no failure: it is named, and the total then says *at least*.

mod band;
mod bill;
mod date;
mod json;
mod money;
mod need;
mod order;
mod prices;
mod quote;
mod tax;
pub mod wire;
mod work;

pub use band::{Band, BandInput, LikeJob, band};
pub use bill::{BillLine, Missing, bill};
pub use date::days_after;
pub use json::{csv_row, orders_csv, quote_csv, quote_json};
pub use money::{Currency, Money, Rounding, mul_div_rounded};
pub use need::{Act, Amount, BillGroup, Need, PartsOnHand, Stage};
pub use order::{JobNeeds, Order, OrderLine, orders};
pub use prices::{Logged, OWN_ADAPTOR, Pack, PriceItem, Prices, Rate, TaxClass};
pub use quote::{
    Choice, ChoicePrice, ClientGroup, Discount, Input, Quote, QuoteDifference, QuoteLine, Terms, Title,
    difference, quote,
};
pub use tax::{TaxLine, Totals, allot, totals};
pub use wire::QUOTE_SCHEMA;
pub use work::{PRIOR_UNITS, WorkLine, work};
