//! The plugs and exits that may be chosen at each lead end.

use quantity::Length;
use rig::geometry::{LeadEnd, exits};
use rig::{Exit, Lead, PlugAngle, PlugKind, PortRef, PortRole, Rig, Role};

use super::Cell;
use super::probe::{Elbow, Probe};
use crate::config::Freedom;

/// A plug with the side its cable leaves.
#[derive(Debug, Clone)]
pub(crate) struct Choice {
    /// The index among the model's plugs.
    pub(crate) plug: usize,
    pub(crate) exit: Option<Exit>,
    /// Its boxes by turn of the device; empty at turns that are not allowed.
    pub(crate) cells: [Vec<Cell>; 4],
    /// Whether it sits loosely in its jack.
    pub(crate) loose: bool,
}

/// A lead end with a plug.
#[derive(Debug, Clone)]
pub(crate) struct End {
    /// The indices among the model's lead ends: several where one value of the document stands for them all.
    pub(crate) leads: Vec<usize>,
    /// What may be chosen; the stated choice comes first.
    pub(crate) choices: Vec<Choice>,
}

impl End {
    /// Joins another lead end for which the same value of the document stands.
    pub(crate) fn join(&mut self, lead: usize, choices: &[Choice]) {
        self.leads.push(lead);
        self.choices.retain_mut(|mine| {
            let same = choices.iter().find(|theirs| theirs.plug == mine.plug && theirs.exit == mine.exit);
            if let Some(theirs) = same {
                for (cells, more) in mine.cells.iter_mut().zip(&theirs.cells) {
                    cells.extend(more.iter().cloned());
                }
            }
            same.is_some()
        });
    }
}

/// What all lead ends are asked against.
pub(crate) struct Chooser<'a> {
    pub(crate) rig: &'a Rig,
    pub(crate) leads: &'a [Lead],
    pub(crate) probe: &'a Probe<'a>,
    pub(crate) stock: &'a [PlugKind],
    /// Where panels stood that were taken off.
    pub(super) panels: &'a [(String, rig::Place)],
    pub(crate) freedom: Freedom,
    pub(crate) elbow: Length,
    pub(crate) elbows: &'a [(PortRef, Length)],
}

/// The arc of a cable takes so many halves of its diameter: the radius below which a bend is looked at, and half the cable.
/// *Common practice, no source.*
const ARC: i64 = 9;

impl Chooser<'_> {
    /// The room that the cable at an end wants: where room is kept at all, its own arc.
    fn elbow_at(&self, end: &LeadEnd) -> Elbow {
        let port = &end.port;
        let cable = self.leads[end.lead].cable.as_ref().and_then(|cable| cable.diameter.value);
        let known = cable.filter(|_| Length::ZERO < self.elbow);
        let arc = known.map_or(Length::ZERO, |diameter| (diameter * ARC).half());
        // What wants room at a panel is behind its wall.
        let is_panel = self.rig.device(&port.device).is_some_and(|device| device.role == Role::Panel);
        let own = self.elbows.iter().filter(|(known, _)| known == port && !is_panel);
        let own = own.map(|(_, elbow)| *elbow).max();
        match own {
            Some(own) if self.elbow <= own => Elbow::wide(own),
            _ => Elbow::narrow(self.elbow.max(arc)),
        }
    }

    /// The choices at one lead end for a device with these turns, or the field that is lacking.
    ///
    /// `owner` numbers the box's owner within the device; `plugs` collects the plugs named.
    pub(crate) fn choices(
        &self,
        end: &LeadEnd,
        turns: &[u8],
        owner: u16,
        may_change: bool,
        plugs: &mut Vec<PlugKind>,
    ) -> Vec<Choice> {
        let may_change = may_change && !self.leads[end.lead].is_made();
        let device = self.rig.device(&end.port.device);
        let connector = self.rig.port(&end.port).and_then(|port| port.connector.as_ref());
        // A plug with more contacts than its jack goes in, and its lead is then wired as nobody drew it.
        let fits = |plug: &&PlugKind| {
            connector.is_some_and(|connector| {
                plug.fits.contains(&connector.id)
                    && plug.contacts.is_none_or(|contacts| contacts <= connector.contacts)
            })
        };
        let elbow = self.elbow_at(end);
        let mut kinds: Vec<&PlugKind> = end.plug.plug.iter().collect();
        if kinds.is_empty() || (may_change && self.freedom.plugs && !brings_its_own(self.rig, end)) {
            for plug in self.stock.iter().filter(fits) {
                if kinds.iter().all(|known| known.id != plug.id) {
                    kinds.push(plug);
                }
            }
        }
        let mut out = Vec::new();
        for plug in kinds {
            let open: Vec<Option<Exit>> = match plug.angle {
                PlugAngle::Straight => vec![end.plug.exit],
                PlugAngle::Angled => {
                    let free = may_change && self.freedom.exits || end.plug.exit.is_none();
                    let stated = end.plug.exit.into_iter();
                    let may = device.map(|device| exits(device, &end.port.port)).into_iter().flatten();
                    let others = may.filter(|exit| free && Some(*exit) != end.plug.exit);
                    stated.chain(others).map(Some).collect()
                }
            };
            let index = plugs.iter().position(|known| known.id == plug.id).unwrap_or_else(|| {
                plugs.push(plug.clone());
                plugs.len() - 1
            });
            let loose = connector.is_some_and(|connector| plug.loose_in.contains(&connector.id));
            for exit in open {
                let mut cells: [Vec<Cell>; 4] = Default::default();
                let complete = turns.iter().all(|&turn| {
                    let made = self.probe.plug(end, turn, plug, exit, elbow);
                    let known = made.is_some();
                    cells[usize::from(turn)] =
                        made.into_iter().flatten().map(|solid| Cell::of(&solid, owner, [0; 3])).collect();
                    known
                });
                if complete {
                    out.push(Choice { plug: index, exit, cells, loose });
                }
            }
        }
        out
    }
}

/// Whether the client's own lead comes to this end, with the plug it has.
fn brings_its_own(rig: &Rig, end: &LeadEnd) -> bool {
    end.other.port.is_empty() && rig.device(&end.other.device).is_none()
}

/// For each lead end, the index of the device whose feed it belongs to; `None` for runs. In the order of `lead_ends`.
pub(crate) fn feeders(rig: &Rig, ends: &[LeadEnd]) -> Vec<Option<usize>> {
    let is_inlet =
        |port: &PortRef| rig.port(port).is_some_and(|port| port.role.value == Some(PortRole::Power));
    let takes = |outlet: &PortRef, device: &rig::Device| {
        device.feed.as_ref().is_some_and(|feed| feed.outlets.contains(outlet))
    };
    let of = |end: &LeadEnd| {
        let named = |tag: &str| rig.devices.iter().position(|device| device.tag == tag);
        if is_inlet(&end.port) {
            return named(&end.port.device).filter(|index| rig.devices[*index].feed.is_some());
        }
        // An outlet that several share: the device that its lead names first.
        let first = named(&end.other.device).filter(|index| takes(&end.port, &rig.devices[*index]));
        first.or_else(|| rig.devices.iter().position(|device| takes(&end.port, device)))
    };
    ends.iter().map(of).collect()
}
