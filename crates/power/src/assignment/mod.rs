//! Items that each want exactly one column, columns that use integer resources: the search core.
//!
//! A [`Problem`] has items, rows with an integer capacity, and columns. A [`Column`] serves one item or several at
//! once, costs an integer and uses rows. Each item must lie in exactly one chosen column, and no row may be overdrawn.
//! Columns without items are extras: taken only to give a row more room, at their cost.
//!
//! The classical generalised assignment problem is the case of one item and one row per column; the power
//! allocation has classes of outlets, banks and bricks as rows, and feeds as columns.
//!
//! [`solve`] is a depth-first branch and bound. Its bound is Lagrangian: the wish that each item is served once is
//! priced, and so is every row except the *home* row of each column, whose knapsack is solved exactly (Ross and
//! Soland, Mathematical Programming 8, 1975, and Fisher, Management Science 27, 1981, describe both ideas).
//! Where home rows only count, the knapsack is no better than its linear relaxation, and the prices are those of a
//! linear program; else they climb by subgradient steps towards the best cost known (Polyak's step). Costs are
//! integers, so a bound above `best − 1` proves the best. Prices are doubles; any prices give a true bound, and what
//! they prove is rounded towards safety by [`SAFE`].

mod flat;
mod linear;
mod relaxation;
mod search;

pub use search::solve;
pub(crate) use search::solve_priced;

/// What a bound may be off by, in units of cost. Its sums have fewer than 10⁴ terms and stay below 10⁹, so rounding
/// of doubles stays below 10⁴ · 10⁹ · 2⁻⁵³ ≈ 10⁻³ in the worst case, and costs are whole.
pub const SAFE: f64 = 2e-3;

/// One way to serve some items at once.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Column {
    /// The items it serves; none for an extra.
    pub items: Vec<usize>,
    /// What it costs, zero or more.
    pub cost: i64,
    /// Rows and how much of each it uses. Only an extra may use less than nothing of a row.
    pub uses: Vec<(usize, i64)>,
    /// The row among `uses` whose knapsack the bound solves exactly.
    pub home: Option<usize>,
}

/// What is to be chosen.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Problem {
    /// How many items there are.
    pub items: usize,
    /// How much there is of each row.
    pub capacity: Vec<i64>,
    /// The columns.
    pub columns: Vec<Column>,
}

/// How far to go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// The most nodes to open.
    pub nodes: u64,
    /// The most work to do, in multiplications; the first node is looked at whatever it takes.
    pub work: u64,
    /// Only choices that cost less than this are wanted.
    pub below: i64,
    /// A choice that costs no more than this ends the search.
    pub enough: i64,
}

/// Someone who may ask the search to stop.
pub trait Watch {
    /// Whether to stop now; asked at every node, with the nodes opened so far.
    fn stop(&self, nodes: u64) -> bool;
}

/// Nobody watches.
#[derive(Debug, Clone, Copy, Default)]
pub struct Unwatched;

impl Watch for Unwatched {
    fn stop(&self, _nodes: u64) -> bool {
        false
    }
}

/// A choice of columns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// The sum of their costs.
    pub cost: i64,
    /// Their positions in the problem, ascending.
    pub columns: Vec<usize>,
}

/// The prices that gave the bound at the root, per item and per unit of a row.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Prices {
    /// What an item pays to be served.
    pub item: Vec<f64>,
    /// What a unit of a row costs.
    pub row: Vec<f64>,
    /// The bound they give: no choice costs less, up to [`SAFE`].
    pub value: f64,
}

impl Prices {
    /// What a column costs more than its items pay.
    pub fn reduced(&self, column: &Column) -> f64 {
        let rows: f64 = column.uses.iter().map(|&(row, amount)| self.row[row] * real(amount)).sum();
        let items: f64 = column.items.iter().map(|&item| self.item[item]).sum();
        real(column.cost) + rows - items
    }
}

/// How a search ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SearchEnd {
    /// Everything below the limit was looked at.
    Complete,
    /// A choice that is good enough was found.
    Enough,
    /// The budget of nodes ran out.
    Budget,
    /// The watch said stop.
    Stopped,
    /// Other columns are wanted first.
    Columns,
}

/// What came of a search.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// The cheapest choice found below the limit.
    pub best: Option<Choice>,
    /// No choice costs less than this (or than the limit, where none was found below it).
    pub bound: i64,
    /// How it ended.
    pub end: SearchEnd,
    /// The nodes opened.
    pub nodes: u64,
    /// The work done, in multiplications or what takes as long.
    pub work: u64,
    /// The prices at the root.
    pub prices: Prices,
}

/// An integer as a double.
#[expect(clippy::cast_precision_loss, reason = "costs and amounts are far below 2^53")]
pub(crate) fn real(whole: i64) -> f64 {
    whole as f64
}

/// The least integer that is not below a bound, less what the bound may be off by.
#[expect(clippy::cast_possible_truncation, reason = "clamped to what an i64 holds")]
pub(crate) fn safe_ceiling(bound: f64) -> i64 {
    (bound - SAFE).ceil().clamp(-9e15, 9e15) as i64
}
