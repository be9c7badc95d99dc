//! Passive volume pedals over their whole travel: what is judged holds from heel to toe, not only where one happens to stand.

use crate::advice::is_passed;
use crate::build::{self, Built};
use crate::input::{Config, Input};
use crate::model::Model;
use crate::solve::{sparing, turned_down};

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

/// The network with one volume pedal somewhere else than it stands.
pub(crate) struct Turn {
    /// Its tag.
    pub(crate) tag: String,
    /// The share of its resistance below the wiper.
    pub(crate) share: f64,
    /// Whether any pedal is turned down then, so that the change of tone alone is judged.
    pub(crate) by_tone: bool,
    pub(crate) built: Built,
    /// The network without devices that want the bare pickup.
    pub(crate) model: Model,
}

impl Turn {
    /// Whether the pedal lies on a way.
    pub(crate) fn is_on(&self, source: &str, sink: &str) -> bool {
        is_passed(&self.built, &self.tag, source, sink)
    }
}

/// Every other place of every volume pedal that is judged, the other pedals where they stand.
pub(crate) fn turns(input: &Input<'_>, config: &Config) -> Vec<Turn> {
    let mut out = Vec::new();
    for (device, share) in pots(input).flat_map(|device| TRAVELS.map(|share| (device, share))) {
        let stands = input.travel.get(&device.tag).copied().unwrap_or(1.0);
        if (stands - share).abs() < f64::EPSILON {
            continue;
        }
        let mut input = input.clone();
        input.travel.insert(device.tag.clone(), share);
        let built = build::build(&input, config);
        let model = sparing(&input, &built).unwrap_or_else(|| built.model.clone());
        let by_tone = turned_down(&input);
        out.push(Turn { tag: device.tag.clone(), share, by_tone, built, model });
    }
    out
}
