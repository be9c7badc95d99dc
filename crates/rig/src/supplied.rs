//! What a device does at the voltage that feeds it: one answer for everything that asks for its gain or largest level.

use finding::Field;
use quantity::{Decibels, Volts};

use crate::{Device, Feed, FeedKind, Known, Nature, Outlet, Provenance, Rig};

/// How far the supply may be from the voltage that a value was written down for, as a share of the latter.
///
/// Common practice, no source.
pub const SUPPLY_NEAR: f64 = 0.1;

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

/// A value in force, and where the document holds it.
#[derive(Debug, Clone, PartialEq)]
pub struct InForce<T> {
    /// The value.
    pub value: Known<T>,
    /// Where it stands.
    pub field: Field,
    /// The supply voltage that it was written down for; `None` for the device's own value.
    pub volts: Option<Volts>,
}

impl Rig {
    /// The largest gain of a device at the voltage that feeds it.
    pub fn gain(&self, device: &Device) -> InForce<Decibels> {
        self.in_force(device, "signal.gain", device.signal.gain, |at| at.gain)
    }

    /// The largest peak that a device takes at the voltage that feeds it.
    pub fn max_input(&self, device: &Device) -> InForce<Volts> {
        self.in_force(device, "signal.max_input", device.signal.max_input, |at| at.max_input)
    }

    fn in_force<T>(
        &self,
        device: &Device,
        own: &str,
        plain: Known<T>,
        of: impl Fn(&AtVolts) -> Option<Known<T>>,
    ) -> InForce<T> {
        let fits = || {
            // Without a list nobody needs to know what feeds it.
            let fed = device.signal.at.first().and_then(|_| self.supply(device).value)?.get();
            let apart = |at: &AtVolts| (at.volts.get() - fed).abs();
            let near = device.signal.at.iter().filter(|at| apart(at) <= SUPPLY_NEAR * at.volts.get());
            near.filter_map(|at| Some((at, of(at)?))).min_by(|a, b| apart(a.0).total_cmp(&apart(b.0)))
        };
        match fits() {
            Some((at, value)) => {
                InForce { value, field: Field::device(&device.tag, "signal.at"), volts: Some(at.volts) }
            }
            None => InForce { value: plain, field: Field::device(&device.tag, own), volts: None },
        }
    }

    /// The voltage of what feeds a device: of its outlet, of both of a series pair, of its own adaptor where the device
    /// runs on one voltage only.
    pub fn supply(&self, device: &Device) -> Known<Volts> {
        let Some(feed) = &device.feed else { return Known::default() };
        if let Some(volts) = self.outlet_volts(feed) {
            return volts;
        }
        let wants = device.power.volts;
        match wants.value.filter(|window| window.low() == window.high()) {
            Some(window) if feed.kind == FeedKind::Adaptor => Known::new(window.low(), wants.from),
            _ => Known::default(),
        }
    }

    /// The voltage of the outlets that a feed names; `None` where they are sockets of the mains.
    pub fn outlet_volts(&self, feed: &Feed) -> Option<Known<Volts>> {
        let outlet = |at: &crate::PortRef| self.device(&at.device)?.outlet(&at.port);
        let is_low = |outlet: &&Outlet| outlet.nature.value != Some(Nature::Mains);
        let mut outlets = feed.outlets.iter().filter_map(outlet).filter(is_low);
        let first = outlets.next()?.set;
        if feed.kind != FeedKind::SeriesPair {
            return Some(first);
        }
        let sum = outlets.try_fold(first.value?, |sum, outlet| Some(sum + outlet.set.value?));
        let from = feed.outlets.iter().filter_map(outlet).map(|outlet| outlet.set.from).max();
        Some(sum.map_or_else(Known::default, |sum| Known::new(sum, from.unwrap_or(Provenance::Unknown))))
    }
}
