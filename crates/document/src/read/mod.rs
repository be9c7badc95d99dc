//! From text to a checked tree, from the tree to a rig.

pub(crate) mod board;
mod device;
pub(crate) mod head;
mod leads;
pub(crate) mod node;
pub(crate) mod overlay;
pub(crate) mod parts;
mod pass;
mod reader;
mod references;
pub(crate) mod resolve;
mod sockets;
mod stops;
mod switching;
pub(crate) mod walk;
mod wishes;

pub use leads::tie_point;
