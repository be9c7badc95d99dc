//! Sizes from pictures whose scenes are known.

mod lengths;
mod portrait;
mod refused;
mod scene;
