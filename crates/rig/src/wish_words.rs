//! A wish in words that a client reads.

use crate::{Frequency, Rig, Spot, Wish};

impl Wish {
    /// What is wished, as it follows "R3 wants": `the reverb (D11) after the delay (D10)`.
    pub fn words(&self, rig: &Rig) -> String {
        let all = |tags: &[String]| list(&tags.iter().map(|tag| device(rig, tag)).collect::<Vec<_>>());
        match self {
            Self::Order { devices, run } => {
                let names: Vec<String> = devices.iter().map(|tag| device(rig, tag)).collect();
                let order = match names.as_slice() {
                    [first, second] => format!("{second} after {first}"),
                    names => names.join(", then "),
                };
                run.as_ref().map_or_else(|| order.clone(), |run| format!("{order} in run {run}"))
            }
            Self::Place { at, devices } => {
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
            Self::Beside { devices: [a, b] } => format!("{} beside {}", device(rig, a), device(rig, b)),
            Self::Together { devices } => format!("{} together", all(devices)),
            Self::Apart { devices, by } => format!("{} at least {by} apart", all(devices)),
            Self::Spare { width, depth, deck } => {
                let on = deck.as_ref().map_or_else(String::new, |deck| format!(" on deck {deck}"));
                format!("a free place {width} wide and {depth} deep{on}")
            }
            Self::Mass { most, cased } => {
                format!("at most {most} {} the case", if *cased { "with" } else { "without" })
            }
            Self::Plays { sink, without, from } => {
                let from =
                    from.as_ref().map_or_else(String::new, |from| format!(", from {}", start(rig, from)));
                format!("{} to play without {}{from}", rig.sink_words(sink), all(without))
            }
            Self::Mono { sink } => format!("nothing lost where only {} is heard", rig.sink_words(sink)),
            Self::Use { how: Frequency::Often, devices } => {
                format!("{} in easy reach, used often", all(devices))
            }
            Self::Use { how: Frequency::Sometimes, devices } => {
                format!("{} used now and then", all(devices))
            }
            Self::Use { how: Frequency::SetAndForget, devices } => {
                format!("{} out of the way, set once", all(devices))
            }
        }
    }
}

impl Rig {
    /// A sink as a client reads it: `the house desk (desk)`.
    pub fn sink_words(&self, id: &str) -> String {
        named(self.sink(id).map_or("", |sink| &sink.title), id)
    }
}

/// `the reverb (D11)`; the tag alone where it has no title.
fn device(rig: &Rig, tag: &str) -> String {
    named(rig.device(tag).map_or("", |device| &device.title), tag)
}

fn start(rig: &Rig, id: &str) -> String {
    rig.source(id).map_or_else(|| device(rig, id), |source| named(&source.title, id))
}

/// A title without what follows a comma: details that nobody says aloud.
fn named(title: &str, id: &str) -> String {
    let short = title.split([',', ';', ':']).next().unwrap_or_default().trim();
    if short.is_empty() || short == id { id.to_owned() } else { format!("the {short} ({id})") }
}

/// `A4`, `A4 and A5`, `A4, A5 and A6`.
fn list(names: &[String]) -> String {
    match names {
        [] => "nothing".to_owned(),
        [one] => one.clone(),
        [front @ .., last] => format!("{} and {last}", front.join(", ")),
    }
}
