//! Findings and problems as text: leaves that all take the same sorted list.

pub(crate) mod json;
pub(crate) mod line;
pub(crate) mod problems;
pub(crate) mod schema;
pub(crate) mod snippet;
pub(crate) mod text;
