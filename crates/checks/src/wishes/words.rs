//! A wish in words that a client reads.

use rig::{Frequency, Rig, Spot, Wish};

use crate::words::{BOARD, list};

/// What is wished, as it follows "R3 wants".
pub(super) fn of(rig: &Rig, wish: &Wish) -> String {
    let all = |tags: &[String]| list(&tags.iter().map(|tag| device(rig, tag)).collect::<Vec<_>>());
    match wish {
        Wish::Order { devices, run } => {
            let names: Vec<String> = devices.iter().map(|tag| device(rig, tag)).collect();
            let order = match names.as_slice() {
                [first, second] => format!("{second} after {first}"),
                names => names.join(", then "),
            };
            run.as_ref().map_or_else(|| order.clone(), |run| format!("{order} in run {run}"))
        }
        Wish::Place { at, devices } => {
            let at = match at {
                Spot::RightEnd => "at the right end",
                Spot::LeftEnd => "at the left end",
                Spot::FrontRow => "in the front row",
                Spot::BackRow => "in the back row",
                Spot::UnderDeck => "under the deck",
                Spot::UpperDeck => "on the upper deck",
                Spot::Flat => "flat on the deck",
                Spot::ByFeel => "where the foot finds it blind",
            };
            format!("{} {at}", all(devices))
        }
        Wish::Beside { devices: [a, b] } => format!("{} beside {}", device(rig, a), device(rig, b)),
        Wish::Together { devices } => format!("{} together", all(devices)),
        Wish::Apart { devices, by } => format!("{} at least {by} apart", all(devices)),
        Wish::Spare { width, depth, deck } => {
            let on = deck.as_ref().map_or_else(String::new, |deck| format!(" on deck {deck}"));
            format!("a free place {width} wide and {depth} deep{on}")
        }
        Wish::Mass { most, cased } => {
            format!("at most {most} {} the case", if *cased { "with" } else { "without" })
        }
        Wish::Plays { sink, without, from } => {
            let from = from.as_ref().map_or_else(String::new, |from| format!(", from {}", start(rig, from)));
            format!("{} to play without {}{from}", self::sink(rig, sink), all(without))
        }
        Wish::Mono { sink } => format!("nothing lost where only {} is heard", self::sink(rig, sink)),
        Wish::Use { how: Frequency::Often, devices } => {
            format!("{} in easy reach, used often", all(devices))
        }
        Wish::Use { how: Frequency::Sometimes, devices } => format!("{} used now and then", all(devices)),
        Wish::Use { how: Frequency::SetAndForget, devices } => {
            format!("{} out of the way, set once", all(devices))
        }
    }
}

/// What a finding on it is about.
pub(super) fn about(wish: &Wish) -> Vec<String> {
    match wish {
        Wish::Spare { .. } | Wish::Mass { .. } => vec![BOARD.to_owned()],
        Wish::Mono { sink } => vec![sink.clone()],
        Wish::Plays { sink, without, .. } => without.iter().chain([sink]).cloned().collect(),
        wish => wish.devices().to_vec(),
    }
}

/// `the reverb (D11)`; the tag alone where it has no title.
fn device(rig: &Rig, tag: &str) -> String {
    named(rig.device(tag).map_or("", |device| &device.title), tag)
}

/// `the house desk (desk)`.
pub(super) fn sink(rig: &Rig, id: &str) -> String {
    named(rig.sink(id).map_or("", |sink| &sink.title), id)
}

fn start(rig: &Rig, id: &str) -> String {
    rig.source(id).map_or_else(|| device(rig, id), |source| named(&source.title, id))
}

/// A title without what follows a comma: details that nobody says aloud.
fn named(title: &str, id: &str) -> String {
    let short = title.split([',', ';', ':']).next().unwrap_or_default().trim();
    if short.is_empty() || short == id { id.to_owned() } else { format!("the {short} ({id})") }
}
