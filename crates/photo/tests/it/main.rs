//! Sizes from pictures whose scenes are known.

mod lengths;
mod refused;
mod scene;
