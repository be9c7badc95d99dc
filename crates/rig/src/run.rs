//! Runs: ordered lists of stops that something passes from a source to a sink.

use crate::{Cable, PlugKind};

/// A port of a device, or an end outside the board (then `port` is empty).
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PortRef {
    /// Tag of the device, or id of the source or sink.
    pub device: String,
    /// Name of the port; empty for a source or sink.
    pub port: String,
}

impl PortRef {
    /// A port of a device.
    pub fn new(device: impl Into<String>, port: impl Into<String>) -> Self {
        Self { device: device.into(), port: port.into() }
    }
}

impl std::fmt::Display for PortRef {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.port.is_empty() {
            f.write_str(&self.device)
        } else {
            write!(f, "{}.{}", self.device, self.port)
        }
    }
}

/// What a run carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Carries {
    /// Audio.
    #[default]
    Signal,
    /// Expression.
    Expression,
    /// Foot switches, tap, amp channels.
    Control,
    /// MIDI.
    Midi,
    /// USB.
    Usb,
    /// Mains.
    Mains,
}

vocabulary! { Carries: Signal = "signal", Expression = "expression", Control = "control", Midi = "midi", Usb = "usb", Mains = "mains" }

impl Carries {
    /// The class of its leads.
    pub fn class(self) -> crate::LeadClass {
        match self {
            Self::Signal => crate::LeadClass::Signal,
            Self::Mains => crate::LeadClass::Mains,
            Self::Expression | Self::Control | Self::Midi | Self::Usb => crate::LeadClass::Control,
        }
    }
}

/// What a run is for, where it is not the sound that the player plays to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Purpose {
    /// It is tapped off dry on purpose: a DI feed, the dry half of a pair.
    DryFeed,
    /// Only a tuner or a meter listens.
    Listener,
}

vocabulary! { Purpose: DryFeed = "dry-feed", Listener = "listener" }

/// One stop of a run, resolved to ports.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stop {
    /// As written in the document.
    pub text: String,
    /// The port it arrives at; `None` for a start.
    pub arrives: Option<PortRef>,
    /// The port it leaves by; `None` for an end.
    pub leaves: Option<PortRef>,
}

/// An ordered list of stops. Each step between ports of different devices is a lead; a step within one
/// device is inside it.
#[derive(Debug, Clone, Default)]
pub struct Run {
    /// Its name.
    pub name: String,
    /// What it carries.
    pub carries: Carries,
    /// What it is for, where it is said.
    pub purpose: Option<Purpose>,
    /// The stops in order.
    pub stops: Vec<Stop>,
    /// Cable of its leads, unless a lead says otherwise.
    pub cable: Option<Cable>,
    /// Plug of its leads, unless a lead says otherwise.
    pub plug: Option<PlugKind>,
}

impl Run {
    /// The leads of the run: pairs of ports of different devices, in order.
    pub fn steps(&self) -> impl Iterator<Item = (&PortRef, &PortRef)> {
        self.stops.windows(2).filter_map(|pair| {
            let from = pair[0].leaves.as_ref()?;
            let to = pair[1].arrives.as_ref()?;
            (from.device != to.device).then_some((from, to))
        })
    }
}
