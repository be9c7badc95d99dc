//! `cargo xtask tidy`: what is written down about the tree, held true.
//!
//! Each check is one file below `tidy/`. A check returns remarks and stops at nothing, so one run tells all.

use std::path::Path;

use anyhow::{Result, bail};

use crate::tree::Tree;
use crate::{console, metadata};

mod arrows;
mod bans;
mod circles;
mod continents;
mod external_checks;
mod features;
mod junk;
mod length;
mod licences;
mod machine;
mod map;
mod opening;
mod refusals;
mod remark;
mod retired;
mod sources;
mod unshipped;
mod walk;

pub use remark::Remark;

use remark::Project;

type Check = fn(&Project) -> Result<Vec<Remark>>;

const CHECKS: &[Check] = &[
    arrows::check,
    bans::check,
    circles::check,
    map::check,
    opening::check,
    |project| Ok(continents::check(project)),
    external_checks::check,
    features::check,
    junk::check,
    refusals::check,
    retired::check,
    length::check,
    licences::check,
    machine::check,
    sources::check,
    unshipped::check,
    walk::check,
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
