//! What a device does at the voltage that feeds it: one answer for everything that asks for its gain or largest level.

use finding::Field;
use quantity::{Decibels, Volts};

use crate::at_volts::AtVolts;
use crate::{Device, Feed, FeedKind, Known, Nature, Outlet, Provenance, Rig};

/// How far the supply may be from the voltage that a value was written down for, as a share of the latter.
///
/// Common practice, no source.
pub const SUPPLY_NEAR: f64 = 0.1;

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
            // A hair more, so that 9.9 V is within a tenth of 9 V as it is on paper.
            let most = |at: &AtVolts| SUPPLY_NEAR * at.volts.get() * (1.0 + 1e-9);
            let near = device.signal.at.iter().filter(|at| apart(at) <= most(at));
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

    /// The polarity that an outlet gives, by its place; `None` where there is no such outlet.
    pub fn outlet_sign(&self, at: &crate::PortRef) -> Option<Known<crate::Sign>> {
        let brick = self.device(&at.device)?;
        brick.outlet(&at.port).map(|outlet| brick.outlet_sign(outlet))
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

#[cfg(test)]
mod tests {
    use quantity::Window;

    use super::*;
    use crate::{PlugSpec, PortRef};

    fn known<T>(value: T) -> Known<T> {
        Known::new(value, Provenance::Printed)
    }

    fn outlet(name: &str, volts: f64, nature: Nature) -> Outlet {
        Outlet {
            name: name.into(),
            nature: known(nature),
            settings: Vec::new(),
            set: known(Volts::of(volts)),
            sign: Known::default(),
            isolation: Known::default(),
            bank: None,
            parallel: Known::default(),
            series: Known::default(),
        }
    }

    fn feed(kind: FeedKind, outlets: &[&str]) -> Feed {
        Feed {
            kind,
            outlets: outlets.iter().map(|name| PortRef::new("S", *name)).collect(),
            crossing: false,
            barrel_adaptor: None,
            locked: false,
            clamped: false,
            adaptor: None,
            device_plug: PlugSpec::default(),
            outlet_plug: PlugSpec::default(),
        }
    }

    /// A device that takes 3 V at 9 V and 7 V at 18 V, 1 V otherwise, fed so.
    fn takes(kind: FeedKind, outlets: &[&str]) -> (Option<f64>, Option<f64>) {
        let at = |volts: f64, most: f64| AtVolts {
            volts: Volts::of(volts),
            gain: None,
            max_input: Some(known(Volts::of(most))),
        };
        let mut device = Device { tag: "A".into(), ..Device::default() };
        device.signal.max_input = known(Volts::of(1.0));
        device.signal.at = vec![at(18.0, 7.0), at(9.0, 3.0)];
        device.power.volts = known(Window::exactly(Volts::of(18.0)));
        device.feed = Some(feed(kind, outlets));
        let outlets = vec![
            outlet("9", 9.0, Nature::Dc),
            outlet("9.9", 9.9, Nature::Dc),
            outlet("9.91", 9.91, Nature::Dc),
            outlet("12", 12.0, Nature::Dc),
            outlet("mains", 230.0, Nature::Mains),
        ];
        let brick = Device { tag: "S".into(), outlets, ..Device::default() };
        let rig = Rig { devices: vec![device.clone(), brick], ..Rig::default() };
        let stands = rig.max_input(&device);
        (stands.value.value.map(Volts::get), stands.volts.map(Volts::get))
    }

    #[test]
    fn the_value_is_that_of_the_supply() {
        let plain = (Some(1.0), None);
        let (nine, eighteen) = ((Some(3.0), Some(9.0)), (Some(7.0), Some(18.0)));
        assert_eq!(takes(FeedKind::Single, &["9"]), nine);
        assert_eq!(takes(FeedKind::Single, &["9.9"]), nine, "10 % is near");
        assert_eq!(takes(FeedKind::Single, &["9.91"]), plain, "more is not");
        assert_eq!(takes(FeedKind::Single, &["12"]), plain);
        assert_eq!(takes(FeedKind::SeriesPair, &["9", "9"]), eighteen);
        assert_eq!(takes(FeedKind::ParallelPair, &["9", "9"]), nine);
        // Its own adaptor gives what the device runs on; of a socket nothing else is known.
        assert_eq!(takes(FeedKind::Adaptor, &["mains"]), eighteen);
        assert_eq!(takes(FeedKind::Single, &["mains"]), plain);
    }

    #[test]
    fn what_an_entry_does_not_say_is_the_devices_own() {
        let mut device = Device { tag: "A".into(), ..Device::default() };
        device.signal.gain = known(Decibels::of(20.0));
        device.signal.at =
            vec![AtVolts { volts: Volts::of(9.0), gain: None, max_input: Some(Known::default()) }];
        device.power.volts = known(Window::exactly(Volts::of(9.0)));
        device.feed = Some(feed(FeedKind::Adaptor, &[]));
        let rig = Rig { devices: vec![device.clone()], ..Rig::default() };
        let (gain, most) = (rig.gain(&device), rig.max_input(&device));
        assert_eq!((gain.value.value, gain.field), (Decibels::new(20.0), Field::device("A", "signal.gain")));
        // Said to be unknown at 9 V is unknown there, whatever holds elsewhere.
        assert!(most.value.is_unknown());
        assert_eq!(most.field, Field::device("A", "signal.at"));
    }
}
