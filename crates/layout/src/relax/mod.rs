//! What would make it fit when nothing does, each found by trying it and asked of a judge.

mod board;
mod device;
mod plugs;
mod tried;

use crate::outcome::{Outcome, Relaxation};
use crate::packing::Hopeless;
use crate::watch::Cancel;
use crate::{Config, Input};

pub use board::on_board;
pub use tried::{Answer, Judge};
pub(crate) use tried::{FirstFits, Nobody};
use tried::{MOVES, Tried};

/// What would help, the least first: another plug, another side up, under the deck, a few millimetres, another board, one
/// device less.
pub(crate) fn relaxations(
    input: &Input,
    config: &Config,
    outcome: &Outcome,
    hopeless: Option<&Hopeless>,
    (search, judge): (FirstFits, &mut dyn Judge),
    cancel: &dyn Cancel,
) -> Vec<Relaxation> {
    let small = Config { moves: MOVES.min(config.moves.max(1)), until: None, relax: false, ..config.clone() };
    let mut tried = Tried { search, judge, cancel, left: 0, out: Vec::new() };
    let mut wrong: Vec<String> = Vec::new();
    let proven = hopeless.into_iter().flat_map(|hopeless| hopeless.alone.iter().chain(&hopeless.together));
    for tag in proven.cloned().chain(in_trouble(input, outcome)) {
        if !wrong.contains(&tag) {
            wrong.push(tag);
        }
    }
    let barring = hopeless.map_or(&[][..], |hopeless| &hopeless.ends);
    let alone = hopeless.map_or(&[][..], |hopeless| &hopeless.alone);
    plugs::plugs(input, &small, &wrong, barring, tried.next_kind());
    device::turned(input, &small, tried.next_kind());
    device::under(input, &small, &wrong, tried.next_kind());
    board::room(input, &small, tried.next_kind());
    board::others(input, &small, tried.next_kind());
    device::off(input, &small, alone, &wrong, tried.next_kind());
    tried.out
}

/// The devices that the nearest placement has trouble with, those with most of it first.
fn in_trouble(input: &Input, outcome: &Outcome) -> Vec<String> {
    let mut counted: Vec<(usize, String)> = Vec::new();
    for device in &input.rig.devices {
        let names = |about: &String| {
            about.ends_with(&format!(" {}", device.tag))
                || about.contains(&format!(" {}.", device.tag))
                || *about == device.tag
        };
        let count = outcome.breaches.iter().filter(|breach| breach.about.iter().any(names)).count();
        if 0 < count {
            counted.push((count, device.tag.clone()));
        }
    }
    counted.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
    counted.into_iter().map(|(_, tag)| tag).collect()
}
