//! Printed output, made elsewhere.

use design::Design;
use finding::Finding;

/// One paper of the set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PaperEntry {
    /// Its name, fit for an address and a file.
    pub name: &'static str,
    /// What it is, for people.
    pub title: &'static str,
}

/// A finished paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Printed {
    /// The PDF.
    pub pdf: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
}

/// Whoever can print. The binary hands one in; tests use a small one of their own.
pub trait Papers: Send + Sync {
    /// Every paper there is, in the order of the set.
    fn list(&self) -> Vec<PaperEntry>;

    /// The papers about money, which want the shop's prices.
    fn of_money(&self) -> Vec<PaperEntry>;

    /// Makes one paper.
    fn make(&self, name: &str, from: &PrintedFrom<'_>) -> Result<Printed, String>;

    /// Makes the change order.
    fn change_order(&self, from: &PrintedFrom<'_>, order: &Order<'_>) -> Result<Printed, String>;

    /// Makes everything: file names with what is in them.
    fn all(&self, from: &PrintedFrom<'_>) -> Result<Vec<(String, Vec<u8>)>, String>;

    /// The documents a new job can begin from: name and text. The first is the blank one.
    fn beginnings(&self) -> Vec<(String, String)>;
}

/// What papers are made from.
#[derive(Debug, Clone, Copy)]
pub struct PrintedFrom<'a> {
    /// The design.
    pub design: &'a Design,
    /// What the checks say of it.
    pub findings: &'a [Finding],
    /// A hash of all that was read.
    pub inputs: &'a str,
    /// The revisions frozen so far, oldest first.
    pub revisions: &'a [store::RevisionEntry],
    /// What was found on the bench.
    pub record: &'a design::TestRecord,
    /// Plots of what was recorded, each with its words.
    pub plots: &'a [(String, drawing::Drawing)],
    /// Reels and offcuts of the shop.
    pub shelf: &'a design::Shelf,
    /// The shop folder, where its prices are.
    pub shop: &'a std::path::Path,
    /// The folder of the job.
    pub job: &'a str,
    /// The text of its document.
    pub text: &'a str,
}

/// What a change order is made from besides.
#[derive(Debug, Clone, Copy)]
pub struct Order<'a> {
    /// What the side before is called.
    pub from: &'a str,
    /// The design before.
    pub before: &'a Design,
    /// What changes.
    pub change: &'a change::RevisionChange,
    /// What carrying it out costs.
    pub quote: &'a estimate::Quote,
    /// The prices it is made with.
    pub prices: &'a estimate::Prices,
    /// The whole job before and after, each at the prices of its day.
    pub whole: [&'a estimate::Quote; 2],
    /// The whole job before at the prices of the job after.
    pub repriced: &'a estimate::Quote,
}
