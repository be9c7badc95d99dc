//! What a rule is.

use design::Design;
use finding::{Finding, Severity};

/// The page that a rule shows to the person who asks what it means.
#[derive(Debug, Clone, Copy)]
pub struct Page {
    /// What is looked at.
    pub what: &'static str,
    /// What goes wrong otherwise.
    pub why: &'static str,
    /// Where the threshold comes from.
    pub source: &'static str,
    /// A case, in one or two sentences.
    pub example: &'static str,
    /// What to do.
    pub remedy: &'static str,
}

/// One rule.
#[derive(Debug, Clone, Copy)]
pub struct Rule {
    /// Its name in documents and on screens: trade words joined by hyphens, never used again for another.
    pub id: &'static str,
    /// What it looks for, in a few words.
    pub title: &'static str,
    /// The worst it can say.
    pub severity: Severity,
    /// The version that brought it.
    pub since: &'static str,
    /// The pains of the trade it answers, as numbers of `docs/pains.md`.
    pub pains: &'static [u8],
    /// The keys of the limits it uses.
    pub limits: &'static [&'static str],
    /// Its page.
    pub page: Page,
    /// The check itself.
    pub check: fn(&Design) -> Vec<Finding>,
}
