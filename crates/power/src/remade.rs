//! Supply leads that are made, and what they would measure if they were made anew.

use quantity::{Length, Ohms};
use rig::FeedKind;

use crate::input::Input;
use crate::lead_drop::Grade;
use crate::model::dropped;

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

    /// Whether too much is lost along it as it was cut, for a device that hangs on it: so that it is why this goes without.
    pub(crate) fn is_lossy(&self, input: &Input) -> bool {
        self.devices().iter().filter_map(|tag| input.need(tag)).any(|need| {
            let device = &input.needs[need];
            let Some(present) = &device.present else { return false };
            let is_here = |outlet: &usize| {
                self.ways.iter().any(|way| way.device == device.tag && way.outlet == *outlet)
            };
            if present.outlets.is_empty() || !present.outlets.iter().all(is_here) {
                return false;
            }
            let shares = |other: &&crate::Need| {
                other
                    .present
                    .as_ref()
                    .is_some_and(|other| other.kind == FeedKind::Single && other.outlets == present.outlets)
            };
            let current = match present.kind {
                FeedKind::Single => input.needs.iter().filter(shares).map(|other| other.current_ua).sum(),
                _ => device.current_ua,
            };
            let times = if present.kind == FeedKind::SeriesPair { 2 } else { 1 };
            let of = &input.outlets[present.outlets[0]];
            let suits = |mv: &i64| device.low_mv <= times * mv && times * mv <= device.high_mv;
            let most = of.settings.iter().map(|setting| setting.mv).filter(suits).max();
            most.is_some_and(|mv| {
                dropped(input, need, present.kind, &present.outlets, mv, current) == Grade::Stop
            })
        })
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
