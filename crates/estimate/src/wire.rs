//! What `boardwright quote --format json` prints, as types.
//!
//! Money is in minor units of the currency, lengths are in nanometres. [`quote_json`](crate::quote_json) fills them.
//! `docs/schema/quote-1.schema.json` is made from them.

use schemars::JsonSchema;
use serde::Serialize;

/// The version of this JSON. It changes when a key changes its meaning.
pub const QUOTE_SCHEMA: &str = "boardwright.quote.1";

/// A quote with its bill and work.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Quote<'a> {
    /// Name and version of this form.
    #[schemars(extend("const" = QUOTE_SCHEMA))]
    pub schema: &'static str,
    /// Code of the currency.
    pub currency: &'a str,
    /// Decimals of the currency: a sum is in units of a tenth to the power of that.
    pub decimals: u32,
    /// Number of the quote.
    pub number: Option<&'a str>,
    /// Its date.
    pub date: Option<&'a str>,
    /// Letter of the revision; null for a draft.
    pub revision: Option<&'a str>,
    /// Until when it holds, in words; empty where nobody says.
    pub valid: &'a str,
    /// Whether something has no price, so that all sums are lower bounds.
    pub at_least: bool,
    /// The priced bill.
    pub bill: Vec<BillLine<'a>>,
    /// The work.
    pub work: Vec<WorkLine<'a>>,
    /// What the client reads.
    pub lines: Vec<Line<'a>>,
    /// The sums.
    pub totals: Totals<'a>,
    /// Minutes of all work.
    pub minutes: u32,
    /// What has no price.
    pub missing: Vec<Missing<'a>>,
    /// What the client may choose.
    pub options: Vec<Choice<'a>>,
}

/// How much of a thing: one key, which is the unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Quantity {
    /// Whole pieces.
    Pieces(i64),
    /// A length, nm.
    Nm(i64),
    /// Whole sets.
    Sets(i64),
    /// Working time, minutes.
    Minutes(u32),
}

/// One need with what it takes to have it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct BillLine<'a> {
    /// What price files and stock know it by.
    pub key: &'a str,
    /// What it is.
    pub title: &'a str,
    /// Where it stands on the bill.
    pub group: &'static str,
    /// Whether the player brings it.
    pub theirs: bool,
    /// How much the design needs.
    pub needed: Quantity,
    /// How much is added.
    pub waste: Quantity,
    /// What stock covers of both.
    pub in_stock: Quantity,
    /// What is left to buy.
    pub to_buy: Quantity,
    /// In so many packs.
    pub packs: i64,
    /// Name of the item; empty without a price.
    pub item: &'a str,
    /// What these packs cost, minor units; null without a price.
    pub cost_minor: Option<i64>,
    /// What the client pays for what is wanted, minor units; null without a price, and for what the player brings.
    pub net_minor: Option<i64>,
    /// Its tax class; empty without a price.
    pub tax: &'a str,
    /// Whether the amount rests on estimates.
    pub estimated: bool,
}

/// One operation with its minutes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct WorkLine<'a> {
    /// The operation.
    pub operation: &'a str,
    /// What it is.
    pub title: &'a str,
    /// The stage of the work that a client reads it under.
    pub stage: &'static str,
    /// How often.
    pub units: u32,
    /// Minutes planned for all.
    pub planned_min: u32,
    /// Minutes that the shop logged.
    pub logged_min: u32,
    /// How often it was done in them.
    pub logged_units: u32,
    /// Minutes counted on: the plan, refined.
    pub minutes: u32,
}

/// One line that the client reads.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Line<'a> {
    /// Its group.
    pub group: &'static str,
    /// What it is.
    pub title: &'a str,
    /// How much of it.
    pub quantity: Quantity,
    /// What one costs, minor units, where that times the quantity is the line.
    pub each_minor: Option<i64>,
    /// What it costs without tax, minor units.
    pub net_minor: i64,
    /// Its tax class.
    pub tax: &'a str,
    /// Whether a price in it is missing, so that it costs more.
    pub at_least: bool,
}

/// The sums below the lines.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Totals<'a> {
    /// All net lines, minor units.
    pub lines_minor: i64,
    /// Taken off them, minor units.
    pub discount_minor: i64,
    /// Without tax, minor units.
    pub net_minor: i64,
    /// Tax by class, in the order of the price file.
    pub taxes: Vec<Tax<'a>>,
    /// All tax, minor units.
    pub tax_minor: i64,
    /// With tax, minor units.
    pub gross_minor: i64,
    /// Added to reach a multiple of the shop's step, minor units.
    pub rounding_minor: i64,
    /// To pay, minor units.
    pub to_pay_minor: i64,
    /// Paid with the signature, minor units.
    pub deposit_minor: i64,
    /// Paid on handover, minor units.
    pub balance_minor: i64,
}

/// Tax of one class.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Tax<'a> {
    /// Name of the class.
    pub class: &'a str,
    /// Its rate in millionths; null for a class that the price file does not define.
    pub rate_millionths: Option<i64>,
    /// Net lines of this class less its part of the discount, minor units.
    pub basis_minor: i64,
    /// Tax on it, minor units.
    pub tax_minor: i64,
}

/// A need without a price.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Missing<'a> {
    /// Its key.
    pub key: &'a str,
    /// What it is.
    pub title: &'a str,
    /// What is the matter.
    pub why: &'a str,
}

impl<'a> From<&'a crate::Missing> for Missing<'a> {
    fn from(gap: &'a crate::Missing) -> Self {
        Self { key: &gap.key, title: &gap.title, why: &gap.why }
    }
}

/// What a choice of the client costs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Choice<'a> {
    /// Its letter.
    pub letter: &'a str,
    /// What it is.
    pub title: &'a str,
    /// Difference without tax, minor units.
    pub net_minor: i64,
    /// Difference of tax, minor units.
    pub tax_minor: i64,
    /// Difference of what is paid, minor units.
    pub difference_minor: i64,
    /// What is paid with it, minor units.
    pub to_pay_minor: i64,
    /// Difference of minutes.
    pub minutes: i64,
    /// Whether a price in it is missing.
    pub at_least: bool,
}
