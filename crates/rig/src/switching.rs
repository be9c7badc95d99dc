//! What one switch works: devices that go on and off together, and those of which one at a time is on.

/// How a switch works what hangs on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SwitchingWay {
    /// All are on, or all are off.
    Together,
    /// At most one is on: presets, channels.
    OneAtATime,
}

vocabulary! { SwitchingWay: Together = "together", OneAtATime = "one-at-a-time" }

/// One switch that works several devices or loops.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Switching {
    /// What the switch is called.
    pub name: String,
    /// How it works what hangs on it.
    pub way: SwitchingWay,
    /// Tags, or `TAG.loop` for a loop of a switcher; two or more, each once.
    pub devices: Vec<String>,
}
