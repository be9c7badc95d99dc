//! Where the document says which plug is at an end of a lead, and where its cable leaves.

use finding::Field;
use rig::geometry::{EndKind, LeadEnd};
use rig::{Lead, LeadSpec, PlugSpec, PortRef, Rig};

/// The place in the document that speaks for a lead end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Entry {
    /// The feed of a device, by its index: one value for all ends of a kind.
    Feed { device: usize, end: EndKind },
    /// The entry of a lead, which need not be there yet.
    Lead { name: String, ends: Vec<PortRef>, port: PortRef, joined: bool },
}

impl Entry {
    /// The entry of each lead end; `feeders` are the devices whose feed each belongs to.
    pub(super) fn all(ends: &[LeadEnd], leads: &[Lead], feeders: &[Option<usize>]) -> Vec<Self> {
        ends.iter().zip(feeders).map(|(end, feeder)| Self::of(end, &leads[end.lead], *feeder)).collect()
    }

    fn of(end: &LeadEnd, lead: &Lead, feeder: Option<usize>) -> Self {
        // What a lead's own entry says goes before what its feed says.
        let stated = lead.spec.as_ref().and_then(|spec| spec.plug_at(&end.port));
        let is_stated = stated.is_some_and(|plug| plug.plug.is_some() || plug.exit.is_some());
        if let Some(device) = feeder.filter(|_| !is_stated) {
            return Self::Feed { device, end: end.end };
        }
        // An entry that names only some of the ends cannot speak for the others.
        let own = lead.spec.as_ref().filter(|spec| spec.plug_at(&end.port).is_some());
        let ends = match own {
            Some(spec) => spec.ends().cloned().collect(),
            None => lead.ends.iter().map(|end| end.port.clone()).collect(),
        };
        let name = own.map_or_else(|| Lead { spec: None, ..lead.clone() }.name(), LeadSpec::name);
        let joined = own.map_or(lead.joined, LeadSpec::is_joined);
        Self::Lead { name, ends, port: end.port.clone(), joined }
    }

    /// The values for plug and exit.
    pub(crate) fn fields(&self, rig: &Rig) -> [Field; 2] {
        match self {
            Self::Feed { device, end } => {
                let feed = Field::device(&rig.devices[*device].tag, "feed");
                match end {
                    EndKind::From => ["outlet_plug", "outlet_exit"],
                    EndKind::To => ["plug", "exit"],
                }
                .map(|key| feed.below(key))
            }
            Self::Lead { name, ends, port, joined } => {
                let lead = Field::lead(name, "");
                match &ends[..] {
                    _ if *joined => ["plugs", "exits"].map(|key| lead.below(key).below(&port.to_string())),
                    [from, ..] if from == port => ["from_plug", "from_exit"].map(|key| lead.below(key)),
                    _ => ["to_plug", "to_exit"].map(|key| lead.below(key)),
                }
            }
        }
    }
}

/// The plug that a rig says at an entry, to be changed; makes the entry where there is none.
pub(crate) fn put<'a>(rig: &'a mut Rig, entry: &Entry) -> Option<&'a mut PlugSpec> {
    match entry {
        Entry::Feed { device, end } => {
            let feed = rig.devices[*device].feed.as_mut()?;
            Some(match end {
                EndKind::From => &mut feed.outlet_plug,
                EndKind::To => &mut feed.device_plug,
            })
        }
        Entry::Lead { ends, port, .. } => {
            let known = rig.leads.iter().position(|lead| lead.ends().eq(ends.iter()));
            let known = known.unwrap_or_else(|| {
                let mut made = LeadSpec::between(ends[0].clone(), ends[1].clone());
                made.branches = ends[2..].iter().map(|end| (end.clone(), PlugSpec::default())).collect();
                rig.leads.push(made);
                rig.leads.len() - 1
            });
            let lead = &mut rig.leads[known];
            if lead.from == *port {
                return Some(&mut lead.from_plug);
            }
            if lead.to == *port {
                return Some(&mut lead.to_plug);
            }
            lead.branches.iter_mut().find(|(end, _)| end == port).map(|(_, plug)| plug)
        }
    }
}
