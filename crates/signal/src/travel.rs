//! Passive volume pedals over their whole travel: what is judged holds from heel to toe, not only where one happens to stand.

use crate::input::Input;

/// A tenth up from the heel, where nothing passes; half; toe. As shares of the resistance below the wiper.
pub(crate) const TRAVELS: [f64; 3] = [0.1, 0.5, 1.0];

/// Where a volume pedal stands, as a player says it: a tenth up from the heel, where nothing passes; half way; toe down.
pub(crate) fn word(share: f64) -> String {
    match share {
        share if share <= TRAVELS[0] => "heel (10 % up)".to_owned(),
        share if TRAVELS[2] <= share => "toe".to_owned(),
        share if (share - TRAVELS[1]).abs() < f64::EPSILON => "half".to_owned(),
        share => format!("{:.0} %", share * 100.0),
    }
}

/// The tags of the passive volume pedals of a rig.
pub(crate) fn pots<'a>(input: &'a Input<'_>) -> impl Iterator<Item = &'a rig::Device> {
    let is_pot = |device: &&rig::Device| {
        device.signal.passive && (device.treadle.is_some() || input.travel.contains_key(&device.tag))
    };
    input.rig.devices.iter().filter(is_pot)
}

/// Whether the document sets a passive volume pedal below its top.
pub(crate) fn turned_down(input: &Input<'_>) -> bool {
    input.travel.values().any(|share| *share < 1.0)
}
