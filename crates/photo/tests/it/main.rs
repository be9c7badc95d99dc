//! Sizes from pictures whose scenes are known.

mod scene;
mod lengths;
