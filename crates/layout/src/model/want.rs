//! What the client wants of places, with items for tags.

use quantity::Length;
use rig::geometry::tape;
use rig::{Device, Frequency, Limits, Rig, Spot, Wish};

use super::Model;

/// A wish as the search measures it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Want {
    /// It cannot be met, wherever anything stands.
    Never,
    /// Each of these stands there.
    Place { at: Spot, items: Vec<usize> },
    /// None of these stands before what is used often.
    OutOfTheWay { items: Vec<usize>, often: Vec<usize> },
    /// Side by side, with no more between them.
    Beside { items: [usize; 2], most: Length },
    /// From each to the next no more than this.
    Together { items: Vec<usize>, most: Length },
    /// From each to each at least this.
    Apart { items: Vec<usize>, least: Length },
}

impl Want {
    /// The devices whose places it is about.
    pub(crate) fn items(&self) -> Vec<usize> {
        match self {
            Self::Never => Vec::new(),
            Self::Place { items, .. } | Self::Together { items, .. } | Self::Apart { items, .. } => {
                items.clone()
            }
            Self::OutOfTheWay { items, often } => items.iter().chain(often).copied().collect(),
            Self::Beside { items, .. } => items.to_vec(),
        }
    }
}

/// How often a device is stepped on whose use is wished *often*, as so many changes of states count. *Common practice, no
/// source.*
const OFTEN: i64 = 8;

/// What the brief says of how often a device is stepped on.
pub(super) fn frequency(rig: &Rig, device: &Device) -> Option<Frequency> {
    wishes(rig).find_map(|wish| match wish {
        Wish::Use { how, devices } => devices.contains(&device.tag).then_some(*how),
        _ => None,
    })
}

/// Whether a wish names this place for a device.
pub(super) fn is_placed(rig: &Rig, device: &Device, spot: Spot) -> bool {
    wishes(rig).any(|wish| match wish {
        Wish::Place { at, devices } => *at == spot && devices.contains(&device.tag),
        _ => false,
    })
}

fn wishes(rig: &Rig) -> impl Iterator<Item = &Wish> {
    rig.brief.requirements.iter().flat_map(|requirement| &requirement.wishes)
}

/// How often a foot works a device, by what it is counted from the states and by what the brief says.
pub(super) fn used(counted: i64, said: Option<Frequency>) -> i64 {
    match said {
        Some(Frequency::Often) if 0 < counted => counted.max(OFTEN),
        Some(Frequency::SetAndForget) => 0,
        _ => counted,
    }
}

impl Model {
    /// Takes the wishes of a brief; what no placement can change is left out.
    pub(super) fn make_wants(&mut self, rig: &Rig, limits: &Limits) {
        let often = wishes(rig).filter_map(|wish| match wish {
            Wish::Use { how: Frequency::Often, devices } => Some(devices),
            _ => None,
        });
        let mut often: Vec<usize> = often.flatten().filter_map(|tag| self.item(tag)).collect();
        often.sort_unstable();
        often.dedup();
        self.wants = wishes(rig).filter_map(|wish| self.want(rig, limits, wish, &often)).collect();
    }

    fn item(&self, tag: &str) -> Option<usize> {
        self.items.iter().position(|item| item.tag == tag)
    }

    fn want(&self, rig: &Rig, limits: &Limits, wish: &Wish, often: &[usize]) -> Option<Want> {
        let tags = wish.devices();
        let is_outside = |tag: &String| rig.device(tag).is_some_and(|device| device.outside);
        let is_assumed = tags.iter().filter_map(|tag| rig.device(tag)).any(|device| device.size.is_assumed());
        // What is nearer to the limit than a tape reads is not told from it.
        let more = tape(is_assumed) - Length::from_nm(1);
        let items: Vec<usize> = tags.iter().filter_map(|tag| self.item(tag)).collect();
        let set_once = matches!(wish, Wish::Use { how: Frequency::SetAndForget, .. });
        let want = match wish {
            Wish::Use { how: Frequency::Sometimes, .. }
            | Wish::Order { .. }
            | Wish::Spare { .. }
            | Wish::Mass { .. }
            | Wish::Plays { .. }
            | Wish::Mono { .. } => return None,
            _ if !set_once && tags.iter().any(is_outside) => Want::Never,
            Wish::Place { at, .. } => Want::Place { at: *at, items },
            Wish::Use { how: Frequency::Often, .. } => Want::Place { at: Spot::FrontRow, items },
            Wish::Use { .. } => Want::OutOfTheWay { items, often: often.to_vec() },
            Wish::Beside { .. } => {
                let [a, b] = items.as_slice() else { return None };
                Want::Beside { items: [*a, *b], most: limits.beside_gap + more }
            }
            // What has no place may stand between two others and join them.
            Wish::Together { .. } if items.len() < tags.len() => return None,
            Wish::Together { .. } => Want::Together { items, most: limits.together_gap + more },
            Wish::Apart { by, .. } => Want::Apart { items, least: *by - more },
        };
        Some(want)
    }
}
