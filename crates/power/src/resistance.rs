//! What supply leads lose along the way: those that are made as they were cut, all others as they are estimated.

use quantity::Length;
use rig::geometry::{EndKind, port_point};
use rig::{Limits, PortRef, Rig};

use crate::input::Input;
use crate::lead_drop::{estimated, loop_uohm};
use crate::remade::{Remade, RemadeWay};

/// The supply leads that are cut, with what they would measure anew; none of which that is not known.
pub(crate) fn remade(rig: &Rig, limits: &Limits, input: &Input, leads: &[rig::Lead]) -> Vec<Remade> {
    let usual = rig.cables.get(&rig::LeadClass::Dc);
    let of = |lead: &rig::Lead| {
        let spec = lead.spec.as_ref().filter(|_| lead.run.is_none() && lead.is_made())?;
        let mut ways = Vec::new();
        for to in lead.ends_of(EndKind::To) {
            // What takes alternating current or is no device that wants feeding is not judged.
            let need = &input.needs[input.need(&to.port.device)?];
            for (outlet, of) in input.outlets.iter().enumerate() {
                let from = PortRef::new(&input.bricks[of.brick].tag, &of.name);
                if lead.ends.iter().all(|end| end.port != from) {
                    continue;
                }
                let cut = cut_between(lead, &from, &to.port)?;
                let anew = estimated(limits, straight(rig, &from, &to.port)?);
                ways.push(RemadeWay { device: need.tag.clone(), outlet, cut, anew });
            }
        }
        let per_metre = lead.cable.as_ref().or(usual)?.resistance_per_metre.value?;
        let said = [("cut", spec.cut.is_some()), ("legs", !spec.legs.is_empty()), ("fitted", spec.fitted)];
        let keys = said.into_iter().filter(|(_, is_said)| *is_said).map(|(key, _)| key).collect();
        let legs = spec.legs.iter().map(|(_, cut)| *cut);
        let pieces = spec.cut.filter(|_| !lead.is_joined()).into_iter().chain(legs).collect();
        let (lead, tag) = (spec.name(), lead.tag.clone());
        (!ways.is_empty()).then_some(Remade { lead, tag, pieces, keys, ways, per_metre })
    };
    leads.iter().filter_map(of).collect()
}

/// Resistance of the leads: those that are made as long as they were cut, all others as they are estimated.
///
/// The second table has the lengths of those that are estimated and of the usual cable, in nanometres.
pub(crate) fn loops(rig: &Rig, limits: &Limits, input: &Input, leads: &[rig::Lead]) -> (Lengths, Lengths) {
    let usual = rig.cables.get(&rig::LeadClass::Dc);
    let resistance = |cable: Option<&rig::Cable>| cable?.resistance_per_metre.value;
    let (mut table, mut lengths) = (Vec::new(), Vec::new());
    for need in &input.needs {
        let to = PortRef::new(&need.tag, need.inlet.as_deref().unwrap_or_default());
        let own = leads.iter().find(|lead| {
            lead.run.is_none() && lead.ends.iter().any(|end| end.end == EndKind::To && end.port == to)
        });
        let row = input.outlets.iter().map(|outlet| {
            let from = PortRef::new(&input.bricks[outlet.brick].tag, &outlet.name);
            let here = own.filter(|lead| lead.ends.iter().any(|end| end.port == from));
            let cable = here.and_then(|lead| lead.cable.as_ref()).or(usual);
            let cut = here.and_then(|lead| cut_between(lead, &from, &to));
            let length = cut.or_else(|| Some(estimated(limits, straight(rig, &from, &to)?)))?;
            let is_usual = cut.is_none() && cable.map(|cable| &cable.id) == usual.map(|usual| &usual.id);
            Some((loop_uohm(length, resistance(cable)?), is_usual.then_some(length.nm())))
        });
        let row: Vec<Option<(i64, Option<i64>)>> = row.collect();
        table.push(row.iter().map(|known| known.map(|(uohm, _)| uohm)).collect());
        lengths.push(row.iter().map(|known| known.and_then(|(_, length)| length)).collect());
    }
    (table, lengths)
}

/// A figure for each device and outlet, where it is known.
type Lengths = Vec<Vec<Option<i64>>>;

/// What a lead that is made measures from one of its ends to another: as it was cut, or both legs.
fn cut_between(lead: &rig::Lead, from: &PortRef, to: &PortRef) -> Option<Length> {
    let spec = lead.spec.as_ref()?;
    if !lead.is_joined() {
        return spec.cut;
    }
    let leg = |port: &PortRef| Some(spec.legs.iter().find(|(at, _)| at == port)?.1);
    (spec.legs.len() == lead.ends.len()).then_some(leg(from)? + leg(to)?)
}

/// The straight line between two ports, when both are placed.
fn straight(rig: &Rig, from: &PortRef, to: &PortRef) -> Option<Length> {
    let a = port_point(rig, rig.device(&from.device)?, &from.port)?;
    let b = port_point(rig, rig.device(&to.device)?, &to.port)?;
    let square: f64 = (0..3).map(|axis| (a[axis] - b[axis]).as_mm()).map(|d| d * d).sum();
    Some(Length::from_mm_rounded(square.sqrt()))
}
