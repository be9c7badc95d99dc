//! Placements against the verifier, the hand, the threads and the published instances.

mod blocks;
#[expect(dead_code, reason = "shared with the bench, which needs other parts of it")]
mod boards;
mod examples;
#[expect(dead_code, reason = "shared with the example, which needs other parts of it")]
#[path = "../../examples/floorplan/instance.rs"]
mod instance;
mod random;
mod relax;
