//! Networks with a volume pedal somewhere else than it stands.

use crate::build::{self, Built};
use crate::downstream::is_passed;
use crate::input::{Config, Input};
use crate::model::Model;
use crate::sparing::sparing;
use crate::travel::{TRAVELS, pots, turned_down};

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
