//! The ways signal takes, as [`rig::way`] has them, and what the engine says of their ends.

use design::Design;

pub(crate) use rig::way::*;

/// Whether a sink is a desk, whose gain is set by ear, and no amp.
pub(crate) fn is_desk(design: &Design, sink: &str) -> bool {
    design.signal().ways.iter().any(|way| way.sink == sink && !way.is_amp)
}
