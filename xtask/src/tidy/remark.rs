//! What the checks look at, and what they say.

use std::fmt;

use crate::metadata;
use crate::tree::Tree;

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
    pub(super) fn new(path: &str, line: usize, what: impl Into<String>, allowed: impl Into<String>) -> Self {
        Self { path: path.to_owned(), line, what: what.into(), allowed: allowed.into() }
    }
}

impl fmt::Display for Remark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}, allowed: {}", self.path, self.line, self.what, self.allowed)
    }
}

/// What a check looks at.
pub(super) struct Project {
    pub(super) tree: Tree,
    pub(super) members: Vec<metadata::Member>,
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
