//! Boxes of one device or one lead end alone, made by `rig::geometry` on a rig of hardly anything else.

use quantity::Length;
use rig::geometry::{BoxClass, Lack, LeadEnd, Owner, Solid, plug_pose, port_point, solids, switch_point};
use rig::{Board, Deck, Device, Exit, Limits, Place, PlugKind, PlugSpec, Rig};

const DECK: &str = "probe";
/// How thick the cable is whose way is kept free in front of a plug. *Common practice, no source.*
const CABLE: Length = Length::from_mm(5);

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

    /// The devices whose own adaptors sit in a strip, standing outside: they lend it the bodies of these adaptors.
    fn adaptors_in<'r>(&'r self, strip: &'r Device) -> impl Iterator<Item = Device> + 'r {
        let sits = |device: &&Device| {
            let feed = device.feed.as_ref();
            feed.is_some_and(|feed| {
                feed.adaptor.as_ref().is_some_and(|own| !own.size.is_unknown())
                    && feed.outlets.first().is_some_and(|socket| socket.device == strip.tag)
            })
        };
        let fed = self.rig.devices.iter().filter(sits);
        fed.map(|device| Device { outside: true, place: None, ..device.clone() })
    }

    /// A device with its boxes but without plugs, at the origin; a strip with the adaptors in its sockets.
    pub(crate) fn alone(&self, device: &Device, quarters: u8) -> Alone {
        let here = Self::standing_here(device, quarters);
        let devices = [here].into_iter().chain(self.adaptors_in(device)).collect();
        let rig = Rig { devices, ..self.bare.clone() };
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
        elbow: Elbow,
    ) -> Option<Vec<Solid>> {
        let owned = self.rig.device(&end.port.device)?;
        let rig = Rig { devices: vec![Self::standing_here(owned, quarters)], ..self.bare.clone() };
        let spec = PlugSpec { plug: Some(plug.clone()), exit };
        let pose = plug_pose(&rig, &rig.devices[0], &end.port.port, &spec)?;
        if matches!(pose.lacks, Some(Lack::Plug | Lack::Depth | Lack::Width | Lack::Exit)) {
            return None;
        }
        let owner = Owner::Port { port: end.port.clone(), inner: end.inner };
        let mut boxes = pose.boxes(&owner);
        if pose.bend_room < elbow.long
            && let Some(heading) = pose.heading
        {
            let step = heading.step();
            let (near, far) = (pose.leaves, [0, 1, 2].map(|i| pose.leaves[i] + elbow.long * step[i]));
            let side = |i: usize| if step[i] == 0 { elbow.half } else { Length::ZERO };
            boxes.push(Solid {
                class: BoxClass::Bend,
                owner,
                low: [0, 1, 2].map(|i| near[i].min(far[i]) - side(i)),
                high: [0, 1, 2].map(|i| near[i].max(far[i]) + side(i)),
                assumed: true,
            });
        }
        Some(boxes)
    }
}

/// Room in front of a plug for its cable to turn aside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Elbow {
    /// Along the cable.
    pub(super) long: Length,
    /// To each side of its middle.
    pub(super) half: Length,
}

impl Elbow {
    /// As wide as the cable alone.
    pub(super) fn narrow(long: Length) -> Self {
        Self { long, half: CABLE.half() }
    }

    /// Where the cable may turn to either side at once.
    pub(super) fn wide(long: Length) -> Self {
        Self { long, half: long.half() }
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
