//! Boxes of one device or one lead end alone, made by `rig::geometry` on a rig of hardly anything else.

use quantity::Length;
use rig::geometry::{Lack, LeadEnd, Owner, Solid, plug_pose, port_point, solids, switch_point};
use rig::{Board, Deck, Device, Exit, Limits, Place, PlugKind, PlugSpec, Rig};

const DECK: &str = "probe";

/// A rig to stand single devices on.
pub(crate) struct Probe<'a> {
    rig: &'a Rig,
    limits: &'a Limits,
    /// The rig with nothing on it, cloned for each question.
    bare: Rig,
}

impl<'a> Probe<'a> {
    /// The limits the boxes are made with.
    pub(crate) fn limits(&self) -> &Limits {
        self.limits
    }

    pub(crate) fn new(rig: &'a Rig, limits: &'a Limits) -> Self {
        let deck = Deck { name: DECK.to_owned(), ..Deck::default() };
        let bare = Rig { board: Board { decks: vec![deck], ..Board::default() }, ..Rig::default() };
        Self { rig, limits, bare }
    }

    fn standing_here(device: &Device, quarters: u8) -> Device {
        let (x, y) = (Length::ZERO, Length::ZERO);
        let place = Place { deck: DECK.to_owned(), x, y, quarters, under: false, locked: false };
        Device { place: Some(place), feed: None, ..device.clone() }
    }

    /// A device with its boxes but without plugs, at the origin.
    pub(crate) fn alone(&self, device: &Device, quarters: u8) -> Alone {
        let rig = Rig { devices: vec![Self::standing_here(device, quarters)], ..self.bare.clone() };
        let device = &rig.devices[0];
        let made = solids(&rig, self.limits);
        Alone {
            boxes: made.boxes,
            missing: made.missing.into_iter().map(|missing| missing.lacks).collect(),
            ports: device
                .ports
                .iter()
                .filter_map(|port| {
                    Some((port.name.clone(), port_point(&rig, device, &port.name)?.map(Length::nm)))
                })
                .collect(),
            switches: (0..device.switches.len())
                .filter_map(|index| switch_point(&rig, device, index))
                .map(|(x, y)| [x.nm(), y.nm()])
                .collect(),
        }
    }

    /// The boxes of a plug at one lead end; `None` when a value is lacking that it rests on.
    pub(crate) fn plug(
        &self,
        end: &LeadEnd,
        quarters: u8,
        plug: &PlugKind,
        exit: Option<Exit>,
    ) -> Option<Vec<Solid>> {
        let owned = self.rig.device(&end.port.device)?;
        let rig = Rig { devices: vec![Self::standing_here(owned, quarters)], ..self.bare.clone() };
        let spec = PlugSpec { plug: Some(plug.clone()), exit };
        let pose = plug_pose(&rig, &rig.devices[0], &end.port.port, &spec)?;
        if matches!(pose.lacks, Some(Lack::Plug | Lack::Depth | Lack::Width | Lack::Exit)) {
            return None;
        }
        let owner = Owner::Port { port: end.port.clone(), inner: end.inner };
        Some(pose.boxes(&owner))
    }
}

/// A device with nothing around it.
pub(crate) struct Alone {
    pub(crate) boxes: Vec<Solid>,
    pub(crate) missing: Vec<finding::Field>,
    /// Centres of its ports.
    pub(crate) ports: std::collections::BTreeMap<String, [i64; 3]>,
    pub(crate) switches: Vec<[i64; 2]>,
}
