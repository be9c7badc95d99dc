//! Boxes of one device or one lead end alone, made by `rig::geometry` on a rig of hardly anything else.

use quantity::Length;
use rig::geometry::{EndKind, LeadEnd, Owner, Solid, port_point, solids, switch_point};
use rig::{Board, Deck, Device, Exit, FLOOR, LeadSpec, Limits, Place, PlugKind, PlugSpec, Rig, Run, Stop};

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
        let bare = Rig {
            sources: rig.sources.clone(),
            sinks: rig.sinks.clone(),
            board: Board { decks: vec![deck], ..Board::default() },
            ..Rig::default()
        };
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

    /// The boxes of the plug at one lead end; `None` when a value is lacking that it rests on.
    pub(crate) fn plug(
        &self,
        end: &LeadEnd,
        feeder: Option<usize>,
        quarters: u8,
        plug: &PlugKind,
        exit: Option<Exit>,
    ) -> Option<Vec<Solid>> {
        let spec = PlugSpec { plug: Some(plug.clone()), exit };
        let mut rig = self.bare.clone();
        let owned = self.rig.device(&end.port.device)?;
        rig.devices.push(Self::standing_here(owned, quarters));
        let mut other = self.rig.device(&end.other.device).filter(|other| other.tag != owned.tag).cloned();
        if let Some(other) = &mut other {
            other.feed = None;
            // Off the board, unless that is why the jack looks outward.
            other.place = other.place.take().filter(|place| place.deck == FLOOR);
        }
        match feeder {
            Some(index) => {
                // A feed belongs to the device it feeds, whichever end is asked for.
                let fed = &self.rig.devices[index];
                let mut feed = fed.feed.clone()?;
                let here = if fed.tag == owned.tag { rig.devices.first_mut() } else { other.as_mut() }?;
                match end.end {
                    EndKind::From => {
                        feed.outlets = vec![end.port.clone()];
                        feed.outlet_plug = spec;
                    }
                    EndKind::To => {
                        feed.outlets = vec![end.other.clone()];
                        feed.device_plug = spec;
                    }
                }
                here.feed = Some(feed);
            }
            None => {
                let (from, to) = match end.end {
                    EndKind::From => (&end.port, &end.other),
                    EndKind::To => (&end.other, &end.port),
                };
                let stop = |arrives, leaves| Stop { text: String::new(), arrives, leaves };
                let stops = vec![stop(None, Some(from.clone())), stop(Some(to.clone()), None)];
                rig.runs.push(Run { stops, ..Run::default() });
                let (from_plug, to_plug) = match end.end {
                    EndKind::From => (spec, PlugSpec::default()),
                    EndKind::To => (PlugSpec::default(), spec),
                };
                let open = LeadSpec::between(from.clone(), to.clone());
                rig.leads.push(LeadSpec { from_plug, to_plug, ..open });
            }
        }
        rig.devices.extend(other);
        let made = solids(&rig, self.limits);
        let mine = |owner: &Owner| matches!(owner, Owner::Port { port, inner } if *port == end.port && *inner == end.inner);
        let class = |class| matches!(class, rig::geometry::BoxClass::Plug | rig::geometry::BoxClass::Bend);
        if made.missing.iter().any(|missing| class(missing.class) && mine(&missing.owner)) {
            return None;
        }
        Some(made.boxes.into_iter().filter(|solid| class(solid.class) && mine(&solid.owner)).collect())
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
