//! Where the devices stand that want feeding, so that leads from a brick in the place of another can be measured.

use std::collections::BTreeMap;

use quantity::{Length, Ohms};
use rig::geometry::port_point;
use rig::{Device, LeadClass, Limits, Place, Rig};

use crate::lead_drop::{estimated, loop_uohm};

/// The rig as it stands.
#[derive(Debug, Clone)]
pub(crate) struct Placed {
    rig: Rig,
    limits: Limits,
    /// The inlet of each device that has a place.
    inlets: BTreeMap<String, [Length; 3]>,
}

/// A lead that is not made, from an outlet to a device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Way {
    /// Along the three axes, in whole millimetres.
    pub(crate) distance_mm: i64,
    /// Its length as it is estimated, in nanometres.
    pub(crate) length_nm: i64,
    /// Resistance of both conductors in microohms, where the usual cable is known.
    pub(crate) uohm: Option<i64>,
}

impl Placed {
    /// The places of devices, each with its inlet.
    pub(crate) fn new<'a>(
        rig: &Rig,
        limits: &Limits,
        devices: impl Iterator<Item = (&'a str, Option<&'a str>)>,
    ) -> Self {
        let inlet = |(tag, inlet): (&str, Option<&str>)| {
            Some((tag.to_owned(), port_point(rig, rig.device(tag)?, inlet?)?))
        };
        let inlets = devices.filter_map(inlet).collect();
        Self { rig: rig.clone(), limits: limits.clone(), inlets }
    }

    /// Where a device of the document stands.
    pub(crate) fn place_of(&self, tag: &str) -> Option<&Place> {
        self.rig.device(tag)?.place.as_ref()
    }

    /// The ways from an outlet of a device that stands somewhere to others, by their tags; none where its port has no place.
    pub(crate) fn ways(&self, device: &Device, outlet: &str, to: &[&str]) -> Vec<Option<Way>> {
        let from = port_point(&self.rig, device, outlet);
        let cable = self.rig.cables.get(&LeadClass::Dc);
        let per_metre = cable.and_then(|cable| cable.resistance_per_metre.value);
        let way = |tag: &&str| Some(self.way(from?, *self.inlets.get(*tag)?, per_metre));
        to.iter().map(way).collect()
    }

    fn way(&self, from: [Length; 3], to: [Length; 3], per_metre: Option<Ohms>) -> Way {
        let apart = (0..3).map(|axis| from[axis] - to[axis]);
        let square: f64 = apart.clone().map(Length::as_mm).map(|mm| mm * mm).sum();
        let along: i64 = apart.map(|length| length.abs().nm()).sum();
        let length = estimated(&self.limits, Length::from_mm_rounded(square.sqrt()));
        Way {
            distance_mm: (along + 500_000).div_euclid(1_000_000),
            length_nm: length.nm(),
            uohm: per_metre.map(|per_metre| loop_uohm(length, per_metre)),
        }
    }
}
