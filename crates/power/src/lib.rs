//! Which outlet feeds what.

pub mod assignment;
