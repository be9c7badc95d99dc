//! Cable that is thicker than what supply leads are made of.

use quantity::Ohms;

/// Cable that supply leads could be made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Thicker {
    /// Its catalogue id.
    pub cable: String,
    /// What it is.
    pub title: String,
    /// Resistance of one metre of a core.
    pub per_metre: Ohms,
}

impl Thicker {
    /// Cable of a catalogue, when it is made for supply leads and its resistance is known.
    pub fn new(cable: &rig::Cable) -> Option<Self> {
        let suits = cable.carries.contains(&rig::LeadClass::Dc);
        let per_metre = cable.resistance_per_metre.value.filter(|_| suits)?;
        Some(Self { cable: cable.id.clone(), title: cable.title.clone(), per_metre })
    }
}
