//! What a finding on a wish is about.

use rig::Wish;

use crate::words::BOARD;

/// What a finding on it is about.
pub(super) fn about(wish: &Wish) -> Vec<String> {
    match wish {
        Wish::Spare { .. } | Wish::Mass { .. } => vec![BOARD.to_owned()],
        Wish::Mono { sink } => vec![sink.clone()],
        Wish::Plays { sink, without, .. } => without.iter().chain([sink]).cloned().collect(),
        wish => wish.devices().to_vec(),
    }
}
