//! From ends and bodies to ways.

pub(crate) mod ease;
pub(crate) mod grids;
pub(crate) mod lay;
pub(crate) mod quarter;
pub(crate) mod search;
pub(crate) mod shape;
pub(crate) mod space;
pub(crate) mod square;
pub(crate) mod vector;
