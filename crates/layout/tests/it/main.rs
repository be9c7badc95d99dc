//! Placements against the verifier, the hand, the threads and the published instances.

mod blocks;
mod boards;
mod examples;
mod hidden;
#[path = "../../examples/floorplan/instance.rs"]
mod instance;
mod made;
mod random;
#[path = "../../examples/floorplan/relations/mod.rs"]
mod relations;
mod relax;
mod rows;
mod weights;
mod wishes;
mod written;
