//! What a device is said to do at one supply voltage.

use quantity::{Decibels, Volts};

use crate::given::Known;

/// What a device is said to do at one supply voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtVolts {
    /// The supply voltage.
    pub volts: Volts,
    /// The largest gain there; `None` where nothing is said of it, and the device's own counts.
    pub gain: Option<Known<Decibels>>,
    /// The largest peak it takes there before clipping; `None` likewise.
    pub max_input: Option<Known<Volts>>,
}
