//! Supply leads that are made, and what they would measure if they were made anew.

use quantity::{Length, Ohms};

/// A supply lead that is made, and what it would measure if it were made anew.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Remade {
    /// What its entry is known by.
    pub(crate) lead: String,
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

    /// The longest of its ways, as it was cut and as it would be.
    pub(crate) fn longest(&self) -> (Length, Length) {
        let most = |of: fn(&RemadeWay) -> Length| self.ways.iter().map(of).max().unwrap_or(Length::ZERO);
        (most(|way| way.cut), most(|way| way.anew))
    }
}
