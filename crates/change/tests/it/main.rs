//! Changes against what they are said to make.

mod jobs;
mod money;
mod revisions;
