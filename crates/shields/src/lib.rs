//! Earth loops.
