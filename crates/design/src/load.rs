//! What hangs on each outlet, and whether it suits.

use quantity::{Length, Milliamps, Volts};
use rig::geometry::port_point;
use rig::{Device, FeedKind, Known, Limits, Outlet, PortRef, Provenance, Rig, Sign};

use crate::Lead;

/// One outlet and the devices it feeds.
#[derive(Debug, Clone)]
pub struct OutletLoad {
    /// The outlet.
    pub outlet: PortRef,
    /// Tags of the devices it feeds, in their order.
    pub devices: Vec<String>,
    /// What they draw together; unknown when any draw is.
    pub load: Known<Milliamps>,
    /// What the outlet gives at its setting; unknown when setting or current is.
    pub limit: Known<Milliamps>,
    /// Those of the devices whose draw is unknown.
    pub unknown: Vec<String>,
}

/// Lists the outlets that feed something, in order of first use by the devices in the order of their tags.
///
/// A parallel pair carries half of its device's draw on each outlet; a series pair all of it on both.
pub fn outlet_loads(rig: &Rig) -> Vec<OutletLoad> {
    let mut loads: Vec<OutletLoad> = Vec::new();
    for device in rig.by_tag() {
        let Some(feed) = &device.feed else { continue };
        let share = if feed.kind == FeedKind::ParallelPair { 0.5 } else { 1.0 };
        for outlet in &feed.outlets {
            let index = loads.iter().position(|load| load.outlet == *outlet).unwrap_or_else(|| {
                let setting = outlet_of(rig, outlet).and_then(Outlet::setting);
                loads.push(OutletLoad {
                    outlet: outlet.clone(),
                    devices: Vec::new(),
                    load: Known::new(Milliamps::ZERO, Provenance::Measured),
                    limit: setting.map(|setting| setting.current).unwrap_or_default(),
                    unknown: Vec::new(),
                });
                loads.len() - 1
            });
            let load = &mut loads[index];
            load.devices.push(device.tag.clone());
            match device.power.current.value {
                Some(current) => {
                    load.load.value = load.load.value.map(|sum| sum + current * share);
                    load.load.from = load.load.from.max(device.power.current.from);
                }
                None => {
                    load.unknown.push(device.tag.clone());
                    load.load = Known::default();
                }
            }
        }
    }
    // Once one draw is unknown the sum is, whatever came after.
    for load in loads.iter_mut().filter(|load| !load.unknown.is_empty()) {
        load.load = Known::default();
    }
    loads
}

/// The outlet a reference names.
pub(crate) fn outlet_of<'a>(rig: &'a Rig, outlet: &PortRef) -> Option<&'a Outlet> {
    rig.device(&outlet.device)?.outlet(&outlet.port)
}

/// What arrives at the device's end of its DC lead.
#[derive(Debug, Clone, Copy, Default)]
pub struct FeedState {
    /// The voltage: of one outlet, or the sum of a series pair.
    pub volts: Known<Volts>,
    /// The sign, after a crossing lead.
    pub sign: Known<Sign>,
    /// Whether the plug at the device leaves no choice, so that nobody needs to be told the sign.
    pub is_settled: bool,
}

/// What arrives at a device, as far as it is known. `None` when it has no feed, or its own adaptor in a mains socket: of
/// that the document says nothing but what its device needs.
pub fn feed_state(rig: &Rig, device: &Device) -> Option<FeedState> {
    let feed = device.feed.as_ref()?;
    let is_mains = |at: &&PortRef| {
        let outlet = rig.device(&at.device).and_then(|brick| brick.outlet(&at.port));
        outlet.is_some_and(|outlet| outlet.nature.value == Some(rig::Nature::Mains))
    };
    let first = feed.outlets.iter().filter(|at| !is_mains(at)).find_map(|at| rig.outlet_sign(at))?;
    let volts = rig.outlet_volts(feed).unwrap_or_default();
    let sign = Known {
        value: first.value.map(|sign| if feed.crossing { sign.crossed() } else { sign }),
        from: first.from,
    };
    Some(FeedState { volts, sign, is_settled: device.has_own_polarity() && !feed.crossing })
}

/// The length of supply lead from an outlet to a device that its drop is counted along: as it was cut where it is made,
/// else as it is estimated for every outlet, so that a feed is judged the same before and after it is chosen. `None` where
/// it is not made and a port has no place.
pub fn drop_length(
    rig: &Rig,
    limits: &Limits,
    lead: &Lead,
    from: &PortRef,
    sink: &PortRef,
) -> Option<Length> {
    if lead.made {
        return lead.between(from, sink).value;
    }
    let point = |at: &PortRef| port_point(rig, rig.device(&at.device)?, &at.port);
    let (a, b) = (point(from)?, point(sink)?);
    let square: f64 = (0..3).map(|axis| (a[axis] - b[axis]).as_mm()).map(|d| d * d).sum();
    Some(power::lead_drop::estimated(limits, Length::from_mm_rounded(square.sqrt())))
}
