//! `cargo xtask tidy`: what is written down about the tree, held true.
//!
//! Each check is one file below `tidy/`. A check returns remarks and stops at nothing, so one run tells all.

use std::fmt;
use std::path::Path;

use anyhow::{Result, bail};

use crate::tree::Tree;
use crate::{console, metadata};

mod arrows;
mod continents;
mod junk;
mod length;
mod licences;
mod machine;
mod map;
mod opening;
mod refusals;
mod sources;

/// Something in the tree that is not as it should be.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Remark {
    /// The file, relative to the root.
    pub path: String,
    /// Counted from one; one when the file as a whole is meant.
    pub line: usize,
    /// What is there.
    pub what: String,
    /// What may be there instead.
    pub allowed: String,
}

impl Remark {
    fn new(path: &str, line: usize, what: impl Into<String>, allowed: impl Into<String>) -> Self {
        Self { path: path.to_owned(), line, what: what.into(), allowed: allowed.into() }
    }
}

impl fmt::Display for Remark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}, allowed: {}", self.path, self.line, self.what, self.allowed)
    }
}

/// What a check looks at.
struct Project {
    tree: Tree,
    members: Vec<metadata::Member>,
}

type Check = fn(&Project) -> Result<Vec<Remark>>;

const CHECKS: &[Check] = &[
    arrows::check,
    map::check,
    opening::check,
    |project| Ok(continents::check(project)),
    junk::check,
    refusals::check,
    length::check,
    licences::check,
    machine::check,
    sources::check,
];

/// Everything that is not as it should be below `root`, sorted by place.
pub fn remarks(root: &Path) -> Result<Vec<Remark>> {
    let project = Project { tree: Tree::open(root)?, members: metadata::members(root)? };
    let mut remarks = Vec::new();
    for check in CHECKS {
        remarks.extend(check(&project)?);
    }
    remarks.sort();
    remarks.dedup();
    Ok(remarks)
}

/// Prints the remarks, one a line; any remark is a failure.
pub fn run(root: &Path) -> Result<()> {
    let remarks = remarks(root)?;
    for remark in &remarks {
        console::print(&remark.to_string());
    }
    match remarks.len() {
        0 => {
            console::say(&format!("tidy: {} checks, nothing to remark", CHECKS.len()));
            Ok(())
        }
        1 => bail!("tidy: 1 remark"),
        count => bail!("tidy: {count} remarks"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_remark_tells_place_fact_and_remedy() {
        let remark = Remark::new("a/b.rs", 3, "a file of 900 lines", "800 lines");
        assert_eq!(remark.to_string(), "a/b.rs:3: a file of 900 lines, allowed: 800 lines");
    }
}
