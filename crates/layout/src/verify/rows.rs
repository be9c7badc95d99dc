//! The look of the rows, counted anew from a rig.

use std::collections::BTreeMap;

use quantity::Length;
use rig::geometry::standing;
use rig::{FLOOR, Rig};

/// Front edges nearer than this and not in one line. *Common practice, no source.*
const NEAR: Length = Length::from_mm(25);

/// How foot-worked devices stand in rows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Rows {
    /// Different front edges, over all decks.
    pub lines: usize,
    /// Pairs of one deck with one front edge.
    pub pairs: usize,
    /// Pairs of one deck that miss one line by less than 25 mm.
    pub near_misses: usize,
    /// How far the gaps on both sides of a device in its row differ, added up.
    pub uneven: Length,
}

/// The left and right of each device by front edge.
type Deck = BTreeMap<Length, Vec<(Length, Length)>>;

/// The rows of a rig: foot-worked devices on top of a deck, each with the others of that deck.
pub fn rows(rig: &Rig) -> Rows {
    let mut rows = Rows::default();
    let mut decks: BTreeMap<&str, Deck> = BTreeMap::new();
    for device in rig.devices.iter().filter(|device| !device.outside && device.is_foot_operated()) {
        let Some(place) = device.place.as_ref().filter(|place| !place.under && place.deck != FLOOR) else {
            continue;
        };
        let Some(at) = standing(rig, device).map(|at| at.at) else { continue };
        let deck = decks.entry(place.deck.as_str()).or_default();
        deck.entry(at.y).or_default().push((at.x, at.right()));
    }
    for deck in decks.values_mut() {
        rows.lines += deck.len();
        for (front, row) in &*deck {
            rows.pairs += row.len() * (row.len() - 1) / 2;
            let near = deck.iter().filter(|(other, _)| front < *other && **other - *front < NEAR);
            rows.near_misses += near.map(|(_, other)| row.len() * other.len()).sum::<usize>();
        }
        for row in deck.values_mut() {
            row.sort();
            let gaps: Vec<Length> = row.windows(2).map(|pair| pair[1].0 - pair[0].1).collect();
            rows.uneven += gaps.windows(2).fold(Length::ZERO, |sum, two| sum + (two[0] - two[1]).abs());
        }
    }
    rows
}
