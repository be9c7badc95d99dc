//! Which leads are made here, in which batches, and what a meter should then show.

use quantity::{Farads, Length, Ohms};
use rig::{Fitting, Known, LeadClass, Provenance, Rig};

use crate::{Conductor, Contact, Design, Lead, LeadEndAt, Making, conductors};

/// What one plug adds when its record says nothing: 15 pF. *Common practice, no source.*
pub const PLUG_CAPACITANCE: Farads = Farads::of(15e-12);

/// Leads that are made in one go: the same cable and the same two ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Batch {
    /// Its number, from 1.
    pub number: usize,
    /// What the leads carry.
    pub class: LeadClass,
    /// The cable, when it is decided.
    pub cable: Option<String>,
    /// What sits at the ends, in the order of words: two, or more with a joint.
    pub ends: Vec<String>,
    /// What is stripped at each of these ends.
    pub strips: Vec<Option<Strip>>,
    /// The leads, as places in [`Design::leads`].
    pub leads: Vec<usize>,
    /// All cut lengths together, as far as they are known.
    pub length: Length,
    /// How many cut lengths are not known.
    pub unknown: usize,
}

/// How much comes off a cable for a plug.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Strip {
    /// Of the jacket.
    pub jacket: Known<Length>,
    /// Of the insulation of each core.
    pub core: Known<Length>,
}

/// What is stripped for the plug of an end; `None` where there is none, or nobody says.
pub fn strip(end: &LeadEndAt) -> Option<Strip> {
    let plug = end.plug.plug.as_ref().filter(|_| end.has_plug())?;
    let known = plug.strip.value.is_some() && plug.strip_core.value.is_some();
    known.then_some(Strip { jacket: plug.strip, core: plug.strip_core })
}

/// What is written of an end that has no plug yet.
pub const END_OPEN: &str = "open";
/// What is written of an end behind a panel's jack.
pub const END_SOLDERED: &str = "soldered";
/// What is written of an end at terminals.
pub const END_TERMINALS: &str = "on terminals";
/// What is written of an end that is fixed to what it comes from.
pub const END_CAPTIVE: &str = "captive";

/// The words for what sits at one end of a lead.
pub fn end_words(end: &LeadEndAt) -> &str {
    match &end.plug.plug {
        _ if end.fitting == Fitting::Soldered => END_SOLDERED,
        _ if end.fitting == Fitting::Terminals => END_TERMINALS,
        _ if end.fitting == Fitting::Captive => END_CAPTIVE,
        Some(plug) => &plug.title,
        None => END_OPEN,
    }
}

/// The leads made here, gathered by cable and plugs; batches and leads in the order of the design.
pub fn batches(design: &Design) -> Vec<Batch> {
    let mut out: Vec<Batch> = Vec::new();
    for (index, lead) in design.leads.iter().enumerate() {
        if lead.making != Making::Made {
            continue;
        }
        let mut ends: Vec<(&str, Option<Strip>)> =
            lead.ends.iter().map(|end| (end_words(end), strip(end))).collect();
        ends.sort_by(|a, b| a.0.cmp(b.0));
        let cable = lead.cable.as_ref().map(|cable| cable.title.clone());
        let names: Vec<String> = ends.iter().map(|end| end.0.to_owned()).collect();
        let found = out
            .iter()
            .position(|batch| batch.class == lead.class && batch.cable == cable && batch.ends == names);
        let at = found.unwrap_or_else(|| {
            out.push(Batch {
                number: out.len() + 1,
                class: lead.class,
                cable,
                ends: names,
                strips: ends.iter().map(|end| end.1).collect(),
                leads: Vec::new(),
                length: Length::ZERO,
                unknown: 0,
            });
            out.len() - 1
        });
        let batch = &mut out[at];
        batch.leads.push(index);
        match lead.cut.value {
            Some(cut) => batch.length += cut,
            None => batch.unknown += 1,
        }
    }
    out
}

/// What an ohmmeter should show along one conductor, end to end: cable alone. With a joint, along the longest way that a
/// conductor of it has from end to end.
pub fn lead_resistance(rig: &Rig, lead: &Lead) -> Known<Ohms> {
    let per_metre = lead.cable.as_ref().map(|cable| cable.resistance_per_metre).unwrap_or_default();
    let ways = conductors(rig, lead).into_iter().flat_map(|conductor| {
        let ends = conductor.ends;
        // From the trunk to each branch; what does not come to the trunk runs from one branch to another.
        let from = if ends.contains(&lead.trunk) { lead.trunk } else { ends[0] };
        let others: Vec<usize> = ends.into_iter().filter(|end| *end != from).collect();
        others.into_iter().map(move |to| crate::lead::sum([from, to].map(|leg| lead.legs[leg].cut)))
    });
    let longest = ways.max_by_key(|way| way.value).unwrap_or(lead.cut);
    match (per_metre.value, longest.value) {
        (Some(ohms), Some(cut)) => {
            Known::new(ohms * (cut.as_mm() / 1000.0), per_metre.from.max(longest.from))
        }
        _ => Known::default(),
    }
}

/// What a capacitance meter should show between core and screen: length times the cable's figure, and what each
/// plug adds ([`PLUG_CAPACITANCE`] where its record says nothing).
pub fn lead_capacitance(lead: &Lead) -> Known<Farads> {
    capacitance(lead, lead.cut, 0..lead.ends.len())
}

/// The same for each conductor of a lead with a joint, besides its screen: of its legs and plugs alone.
pub fn conductor_capacitances(rig: &Rig, lead: &Lead) -> Vec<(Conductor, Known<Farads>)> {
    let cores = conductors(rig, lead).into_iter().filter(|core| core.contact != Contact::Sleeve);
    cores
        .map(|core| {
            let length = crate::lead::sum(core.ends.iter().map(|&leg| lead.legs[leg].cut));
            let farads = capacitance(lead, length, core.ends.iter().copied());
            (core, farads)
        })
        .collect()
}

fn capacitance(lead: &Lead, length: Known<Length>, ends: impl Iterator<Item = usize>) -> Known<Farads> {
    let per_metre = lead.cable.as_ref().map(|cable| cable.capacitance_per_metre).unwrap_or_default();
    let (Some(farads), Some(cut)) = (per_metre.value, length.value) else { return Known::default() };
    let mut sum = farads * (cut.as_mm() / 1000.0);
    let mut from = per_metre.from.max(length.from);
    for end in ends.map(|end| &lead.ends[end]).filter(|end| end.has_plug()) {
        let plug = end.plug.plug.as_ref().map(|plug| plug.capacitance).unwrap_or_default();
        let plug = plug.or_assume(PLUG_CAPACITANCE);
        sum += plug.value.unwrap_or(PLUG_CAPACITANCE);
        from = from.max(plug.from);
    }
    Known::new(sum, from.min(Provenance::Assumed))
}
