//! How a supply brick takes what it runs on.

use rig::{Device, Nature, PortRole};

/// How a brick takes what it runs on.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Inlet {
    /// Nobody wrote down how.
    #[default]
    Unknown,
    /// By a mains lead to this port.
    Mains(String),
    /// By an adaptor of its own, whose lead ends at this connector.
    Own(Option<String>),
    /// By a feed from another brick.
    Fed,
    /// Not at all: it is a battery.
    Itself,
}

/// A run that carries mains to a brick.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MainsRun {
    /// Its name.
    pub name: String,
    /// Its stops as written.
    pub stops: Vec<String>,
    /// Whether the brick is its last stop.
    pub ends: bool,
}

impl Inlet {
    /// The inlet of a device with outlets.
    pub(crate) fn of(device: &Device) -> Self {
        let port = |role: PortRole| device.ports.iter().find(|port| port.role.value == Some(role));
        match device.power.nature.value {
            Some(Nature::Mains) => match (port(PortRole::Mains), port(PortRole::Power)) {
                (Some(mains), _) => Self::Mains(mains.name.clone()),
                (None, Some(low)) => Self::Own(low.connector.as_ref().map(|connector| connector.id.clone())),
                (None, None) => Self::Unknown,
            },
            Some(Nature::Dc | Nature::Ac) => Self::Fed,
            Some(Nature::None) => Self::Itself,
            None => Self::Unknown,
        }
    }

    /// Whether it takes a socket of a strip.
    pub(crate) fn takes_socket(&self) -> bool {
        matches!(self, Self::Mains(_) | Self::Own(_))
    }
}
