//! Feeds seen from the device: which outlets, and what others hang on them.

use finding::Field;
use rig::{Device, Feed, FeedKind, Nature, Outlet, Port, PortRef, PortRole, Rig};

use crate::asked::{Asked, outlet_field};

/// A device with the outlets that feed it.
pub(crate) struct Fed<'a> {
    /// The device.
    pub(crate) device: &'a Device,
    /// Its feed.
    pub(crate) feed: &'a Feed,
    /// The outlets, as far as the rig has them.
    pub(crate) outlets: Vec<(&'a PortRef, &'a Outlet)>,
}

/// Every device fed by outlets of the rig, in the order of tags. A device on its own adaptor is not among them.
pub(crate) fn fed(rig: &Rig) -> Vec<Fed<'_>> {
    rig.by_tag()
        .into_iter()
        .filter_map(|device| {
            let feed = device.feed.as_ref().filter(|feed| feed.kind != FeedKind::Adaptor)?;
            let outlets = feed
                .outlets
                .iter()
                .filter_map(|outlet| Some((outlet, rig.device(&outlet.device)?.outlet(&outlet.port)?)))
                .collect();
            Some(Fed { device, feed, outlets })
        })
        .collect()
}

/// The same with the devices whose own adaptor is written as a brick with an outlet: what it gives must suit, though
/// nothing is asked of its load. An adaptor in a mains socket gives what its device needs: nobody wrote otherwise.
pub(crate) fn fed_by_any(rig: &Rig) -> Vec<Fed<'_>> {
    let mut out = plugged_by_any(rig);
    out.retain(|fed| !fed.is_own_adaptor() || !fed.outlets.is_empty());
    out
}

/// The same with every device on its own adaptor, one in a mains socket too: what its lead ends in must fit.
pub(crate) fn plugged_by_any(rig: &Rig) -> Vec<Fed<'_>> {
    let mut out = fed(rig);
    for device in rig.by_tag() {
        let Some(feed) = device.feed.as_ref().filter(|feed| feed.kind == FeedKind::Adaptor) else { continue };
        // Of a brick on its own adaptor the document says what goes into that: mains.
        if device.power.nature.value == Some(Nature::Mains) {
            continue;
        }
        let outlets: Vec<_> = feed
            .outlets
            .iter()
            .filter_map(|outlet| Some((outlet, rig.device(&outlet.device)?.outlet(&outlet.port)?)))
            .filter(|(_, outlet)| outlet.nature.value != Some(Nature::Mains))
            .collect();
        out.push(Fed { device, feed, outlets });
    }
    out.sort_by(|a, b| rig::tag_order(&a.device.tag, &b.device.tag));
    out
}

impl Fed<'_> {
    /// The outlets in words: `SUP.1`, or `SUP.1 and SUP.2`.
    pub(crate) fn outlets_words(&self) -> String {
        let names: Vec<String> = self.feed.outlets.iter().map(ToString::to_string).collect();
        crate::words::list(&names)
    }

    /// A verb after [`outlets_words`](Self::outlets_words), for one outlet and for several.
    pub(crate) fn verb(&self, one: &'static str, several: &'static str) -> &'static str {
        if self.feed.outlets.len() == 1 { one } else { several }
    }

    /// The device and its bricks.
    pub(crate) fn devices(&self) -> Vec<String> {
        let mut names = vec![self.device.tag.clone()];
        names.extend(self.feed.outlets.iter().map(|outlet| outlet.device.clone()));
        names
    }

    /// Whether this is the device's own adaptor.
    pub(crate) fn is_own_adaptor(&self) -> bool {
        self.feed.kind == FeedKind::Adaptor
    }

    /// Whether it is stated that the device runs on nothing.
    pub(crate) fn needs_none(&self) -> bool {
        self.device.power.nature.value == Some(Nature::None)
    }
}

/// The low-voltage inlet of a device.
pub(crate) fn inlet(device: &Device) -> Option<&Port> {
    device.ports.iter().find(|port| port.role.value == Some(PortRole::Power))
}

/// What must be known to tell which port is the inlet: the roles that nobody wrote.
pub(crate) fn inlet_lacks(device: &Device) -> Vec<Field> {
    let unknown: Vec<Field> = device
        .ports
        .iter()
        .filter(|port| port.role.is_unknown())
        .map(|port| Field::device(&device.tag, "port").below(&port.name).below("role"))
        .collect();
    if unknown.is_empty() { vec![Field::device(&device.tag, "port")] } else { unknown }
}

/// The current an outlet gives at its setting, asked for.
pub(crate) fn current_of(
    asked: &mut Asked,
    reference: &PortRef,
    outlet: &Outlet,
) -> Option<quantity::Milliamps> {
    asked.value(outlet.set, outlet_field(reference, "set"))?;
    let current = outlet.setting().map(|setting| setting.current).unwrap_or_default();
    asked.value(current, outlet_field(reference, "setting"))
}
