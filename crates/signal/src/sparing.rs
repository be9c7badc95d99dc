//! The network without the devices that want the bare pickup.

use std::collections::BTreeSet;

use crate::build::Built;
use crate::input::Input;
use crate::model::Model;

/// The model with every device that wants the bare pickup left off; `None` when there is none to leave off.
pub(crate) fn sparing(input: &Input<'_>, built: &Built) -> Option<Model> {
    let bare: BTreeSet<usize> = input
        .rig
        .devices
        .iter()
        .filter(|device| device.signal.bare_pickup.value == Some(true))
        .filter_map(|device| built.switches.get(&device.tag).copied())
        .collect();
    if bare.is_empty() {
        return None;
    }
    let mut model = built.model.clone();
    for switch in &bare {
        model.switches[*switch].positions.truncate(1);
    }
    for block in model.blocks.iter_mut().filter(|block| bare.contains(&block.switch)) {
        block.variants.truncate(1);
    }
    Some(model)
}
