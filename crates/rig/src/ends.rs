//! What stands at the two ends of the chain: pickups and microphones, amps and desks.

use quantity::{Farads, Henries, Length, Ohms, Ratio, Volts};

use crate::Known;

/// Something that makes signal outside the board.
#[derive(Debug, Clone, Default)]
pub struct Source {
    /// The name used in runs.
    pub id: String,
    /// What it is, for papers.
    pub title: String,
    /// Its coil or electronics.
    pub pickup: Pickup,
    /// How far its volume is up, as the share of the pot's resistance below the wiper.
    pub volume: Known<Ratio>,
    /// How far its tone is up, as the share of the pot's resistance before the capacitor.
    pub tone: Known<Ratio>,
    /// Length of the lead to the board.
    pub lead: Known<Length>,
    /// Cable of that lead, a catalogue id.
    pub cable: Option<Cable>,
    /// The plug it brings to the board, a catalogue record.
    pub plug: Option<PlugKind>,
}

use crate::{Cable, PlugKind};

/// What kind of thing makes the signal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PickupKind {
    /// A passive coil.
    #[default]
    Coil,
    /// A passive piezo element.
    Piezo,
    /// A low-impedance output: active electronics, a wireless receiver.
    Active,
}

vocabulary! { PickupKind: Coil = "coil", Piezo = "piezo", Active = "active" }

/// A pickup, resolved from the catalogue and overridden in the document.
#[derive(Debug, Clone, Default)]
pub struct Pickup {
    /// Coil, piezo or active.
    pub kind: Known<PickupKind>,
    /// Inductance of the coil.
    pub inductance: Known<Henries>,
    /// Its direct-current resistance; of an active source its output impedance.
    pub resistance: Known<Ohms>,
    /// Its own capacitance.
    pub capacitance: Known<Farads>,
    /// Volume pot, full value.
    pub volume_pot: Known<Ohms>,
    /// Tone pot, full value.
    pub tone_pot: Known<Ohms>,
    /// Tone capacitor.
    pub tone_capacitor: Known<Farads>,
    /// Highest peak it gives.
    pub peak: Known<Volts>,
}

/// Something outside the board that the signal ends in.
#[derive(Debug, Clone, Default)]
pub struct Sink {
    /// The name used in runs.
    pub id: String,
    /// What it is, for papers.
    pub title: String,
    /// Whether it is an amp, which is played to as it stands, and no desk, whose gain is set by ear. Left out: by its
    /// impedance.
    pub amp: Option<bool>,
    /// Input impedance.
    pub z: Known<Ohms>,
    /// Length of the lead from the board.
    pub lead: Known<Length>,
    /// Cable of that lead.
    pub cable: Option<Cable>,
    /// The plug that lead brings to the board.
    pub plug: Option<PlugKind>,
    /// Whether it is earthed through its mains lead.
    pub earthed: Known<bool>,
    /// Whether it puts phantom power on its input.
    pub phantom: Known<bool>,
}

impl Sink {
    /// Where nobody says whether a sink is an amp, amps are taken to begin at this input impedance, in ohms; below it a sink
    /// is a desk. Common practice, no source.
    const AMP_FROM: f64 = 250e3;

    /// Whether it is an amp: as the document says, else by its impedance; where nobody knows that either, it is one.
    pub fn is_amp(&self) -> bool {
        self.amp.unwrap_or_else(|| self.z.value.is_none_or(|z| Self::AMP_FROM <= z.get()))
    }
}
