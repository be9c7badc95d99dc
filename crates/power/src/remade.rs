//! Supply leads that are made, and what they would measure if they were made anew.

use quantity::{Length, Ohms};

/// A supply lead that is made, and what it would measure if it were made anew.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Remade {
    /// What its entry is known by.
    pub(crate) lead: String,
    /// Its number.
    pub(crate) tag: String,
    /// Its length as it was cut, or those of its legs.
    pub(crate) pieces: Vec<Length>,
    /// What its entry says and that is true of the lead that is made only.
    pub(crate) keys: Vec<&'static str>,
    /// Its ways, from an outlet to a device each.
    pub(crate) ways: Vec<RemadeWay>,
    /// Resistance of one metre of a core of its cable.
    pub(crate) per_metre: Ohms,
}

/// One way along a lead that would be made anew.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct RemadeWay {
    /// Tag of the device.
    pub(crate) device: String,
    /// Index of the outlet.
    pub(crate) outlet: usize,
    /// As it was cut.
    pub(crate) cut: Length,
    /// As it is estimated.
    pub(crate) anew: Length,
}

impl Remade {
    /// Whether all of its ways would be shorter.
    pub(crate) fn is_shorter(&self) -> bool {
        self.ways.iter().all(|way| way.anew < way.cut)
    }

    /// The devices that it feeds.
    pub(crate) fn devices(&self) -> Vec<String> {
        let mut tags: Vec<String> = self.ways.iter().map(|way| way.device.clone()).collect();
        tags.dedup();
        tags
    }

    /// How long the longest of its ways would be: `about 260 mm`.
    pub(crate) fn anew_words(&self) -> String {
        let most = self.ways.iter().map(|way| way.anew).max().unwrap_or(Length::ZERO);
        let way = if self.pieces.len() == 1 { "" } else { " from outlet to device" };
        format!("about {most}{way}")
    }

    /// How it was cut: `cut to 2500 mm`, `with legs cut to 4000 mm, 4000 mm and 3000 mm`.
    pub(crate) fn cut_words(&self) -> String {
        let each: Vec<String> = self.pieces.iter().map(ToString::to_string).collect();
        let legs = if each.len() == 1 { "" } else { "with legs " };
        format!("{legs}cut to {}", crate::list::list(&each))
    }
}
