//! What carrying a change out takes: parts and work.

use std::collections::BTreeMap;

use design::on_built as minutes;
use design::{Design, Making};
use estimate::{Act, Amount, BillGroup, Need, Stage};
use quantity::Length;

use crate::{Became, Moved, RevisionChange};

/// Parts: leads made anew or new piece by piece with what is used up on them, labels, what holds devices that are other ones,
/// and whatever else the second design has more of.
pub(crate) fn needs(before: &Design, after: &Design, change: &RevisionChange) -> Vec<Need> {
    let mut out: Vec<Need> = Vec::new();
    leads(after, change, &mut out);
    let labels = change.labels_on.len();
    if 0 < labels {
        add(&mut out, "label", BillGroup::Small, pieces(labels), "labels");
    }
    let mut fastened = change.fresh_devices();
    let held = |device: &&crate::DeviceChange| {
        device.moved != Moved::Gone && device.values.iter().any(|value| value.key.starts_with("fasten"))
    };
    fastened.extend(change.devices.iter().filter(held).map(|device| device.tag.as_str()));
    out.extend(design::fastener_needs(after, &fastened));
    let (old, new) = (design::needs(before), design::needs(after));
    let mut seen: Vec<&str> = Vec::new();
    for need in &new {
        let counted = matches!(need.group, BillGroup::Cable | BillGroup::Plugs)
            || USED_UP.contains(&need.key.as_str())
            || design::is_fastener(&need.key);
        if !counted && !seen.contains(&need.key.as_str()) {
            seen.push(&need.key);
            more(&need.key, &old, &new, &mut out);
        }
    }
    let titles: BTreeMap<&str, &str> =
        new.iter().map(|need| (need.key.as_str(), need.title.as_str())).collect();
    for need in out.iter_mut().filter(|need| need.title == need.key) {
        if let Some(title) = titles.get(need.key.as_str()) {
            (*title).clone_into(&mut need.title);
        }
    }
    out
}

/// What is counted lead by lead, and labels.
const USED_UP: [&str; 5] = ["label", "tie", "solder", "number-sleeve", "joint-sleeve"];

/// What the second design has more of one thing: from those of its lines that the first did not have, then from others.
fn more(key: &str, old: &[Need], new: &[Need], out: &mut Vec<Need>) {
    let of = |all: &[Need]| all.iter().filter(|need| need.key == key).cloned().collect::<Vec<_>>();
    let total = |all: &[Need]| all.iter().map(|need| need.needed.units()).sum::<i64>();
    let (old, new) = (of(old), of(new));
    let mut left = total(&new) - total(&old);
    let known = |need: &&Need| old.iter().any(|other| other.serves == need.serves);
    for need in new.iter().filter(|need| !known(need)).chain(new.iter().filter(known)) {
        let units = left.min(need.needed.units());
        if units <= 0 {
            return;
        }
        left -= units;
        out.push(Need {
            needed: need.needed.with(units),
            waste: need.needed.with(0),
            left: None,
            ..need.clone()
        });
    }
}

/// Cable, plugs, sleeves, ties and solder of what is made; ties of what is laid anew; and what nobody can count.
fn leads(after: &Design, change: &RevisionChange, out: &mut Vec<Need>) {
    let small = BillGroup::Small;
    let (mut ties, mut joints, mut sleeves) = (0, 0, 0);
    let mut tied: Vec<&str> = Vec::new();
    for lead in &change.leads {
        let tag = lead.tag();
        match &lead.became {
            Became::Unclear { why } => {
                let mut need = Need::new("lead-not-decided", BillGroup::Leads, Amount::Pieces(1));
                need.title = format!("{tag}, if it has to be made again: {why}");
                tag.clone_into(&mut need.serves);
                out.push(need);
            }
            Became::Reaches { .. } if lead.after.as_ref().is_some_and(|made| made.making == Making::Made) => {
                let cuts = lead.after.iter().flat_map(|made| &made.cuts);
                ties += design::ties_of(cuts.copied().flatten().sum());
                tied.push(tag);
            }
            _ => {}
        }
        let Some(made) = lead.pieces().filter(|made| made.making == Making::Made) else { continue };
        let cable = made.cable.as_deref().unwrap_or("cable not decided");
        let length: Length = made.cuts.iter().copied().flatten().sum();
        let need = add(out, cable, BillGroup::Cable, Amount::Length(length), tag);
        if made.cuts.contains(&None) {
            let unknown = need.open.take().map_or(tag.to_owned(), |open| format!("{open}, {tag}"));
            need.open = Some(unknown);
        }
        for end in made.ends.iter().filter(|end| end.fitting == rig::Fitting::Plugged.word()) {
            add(out, end.plug.as_deref().unwrap_or("plug not decided"), BillGroup::Plugs, pieces(1), tag);
        }
        ties += design::ties_of(length);
        tied.push(tag);
        let ends = made.ends.iter().filter(|end| end.fitting != rig::Fitting::Captive.word()).count();
        sleeves += design::sleeves(tag).len() * made.ends.len();
        joints += 2 * ends;
        if after.leads.iter().any(|lead| lead.tag == tag && lead.is_joined()) {
            joints += made.ends.len();
            add(out, "joint-sleeve", small, pieces(1), tag);
        }
    }
    // As a whole board is counted: what is added to cable and plugs for ends and remakes.
    for need in out.iter_mut() {
        need.waste = match (need.group, need.needed) {
            (BillGroup::Cable, Amount::Length(length)) => Amount::Length(design::with_waste(length) - length),
            (BillGroup::Plugs, Amount::Pieces(count)) => {
                pieces(usize::try_from(count).unwrap_or_default().div_ceil(design::PLUGS_PER_SPARE))
            }
            _ => need.waste,
        };
        need.open = need.open.take().map(|tags| format!("length of {tags} not known"));
    }
    for (key, count, serves) in
        [("number-sleeve", sleeves, "leads made"), ("tie", ties, tied.join(", ").as_str())]
    {
        if 0 < count {
            add(out, key, small, pieces(count), serves);
        }
    }
    if 0 < joints {
        let serves = format!("{joints} joints");
        add(out, "solder", small, Amount::Length(design::solder_of(joints)), &serves);
    }
}

fn pieces(count: usize) -> Amount {
    Amount::Pieces(i64::try_from(count).unwrap_or(i64::MAX))
}

fn add<'a>(
    out: &'a mut Vec<Need>,
    key: &str,
    group: BillGroup,
    amount: Amount,
    serves: &str,
) -> &'a mut Need {
    let at = out.iter().position(|need| need.key == key && need.needed.is_like(amount));
    let at = at.unwrap_or_else(|| {
        out.push(Need::new(key, group, amount.with(0)));
        out.len() - 1
    });
    let need = &mut out[at];
    need.needed = need.needed.with(need.needed.units().saturating_add(amount.units()));
    if need.serves.is_empty() {
        serves.clone_into(&mut need.serves);
    } else if !need.serves.split(", ").any(|other| other == serves) {
        need.serves += &format!(", {serves}");
    }
    need
}

/// Work by operation; nothing for an empty change.
pub(crate) fn acts(after: &Design, change: &RevisionChange) -> Vec<Act> {
    let count = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    let placed =
        change.devices.iter().filter(|device| device.moved != Moved::Stands || device.kind.is_some()).count();
    let gone = change.count(|became| matches!(became, Became::Gone { .. }));
    let reach = change.count(|became| {
        matches!(became, Became::Reaches { .. } | Became::Altered { .. } | Became::Unclear { .. })
    });
    let anew = change.count(|became| matches!(became, Became::Remade { .. } | Became::New));
    let bench = change
        .leads
        .iter()
        .filter(|lead| matches!(lead.became, Became::Remade { .. } | Became::Altered { .. } | Became::New))
        .filter(|lead| lead.after.as_ref().is_some_and(|made| made.making == design::Making::Made))
        .count();
    let taken_in = change.fresh_devices().into_iter().filter_map(|tag| after.rig.device(tag));
    let taken_in = taken_in
        .filter(|device| !device.outside && device.role != rig::Role::Panel)
        .filter(|device| design::is_brought(&after.rig, device))
        .count();
    let holes = change.blanked.len() + change.drilled.len();
    let labels = change.labels_on.len().max(change.labels_off.len());
    let plan = usize::from(!change.is_empty());
    let rows = [
        ("change-plan", "Working the change out", plan, minutes::PLAN),
        ("change-intake", "Taking in devices", taken_in, minutes::INTAKE),
        ("change-hole", "Drilling and blanking", holes, minutes::HOLE),
        ("change-lead", "Making leads", bench, minutes::LEAD),
        ("change-device", "Taking off and putting on devices", placed, minutes::DEVICE),
        ("change-plug", "Unplugging, plugging and tying leads", reach + gone + anew, minutes::PLUG),
        ("change-outlet", "Setting, metering and marking outlets", change.outlets.len(), minutes::OUTLET),
        ("change-label", "Exchanging labels", labels, minutes::LABEL),
        ("change-test", "Tests made again", change.tests.len(), minutes::TEST),
        ("change-paper", "Exchanging papers", change.void.len(), minutes::PAPER),
    ];
    rows.into_iter()
        .filter(|(_, _, units, _)| 0 < *units && plan == 1)
        .map(|(operation, title, units, each)| Act {
            operation: operation.to_owned(),
            title: title.to_owned(),
            stage: Stage::Change,
            units: count(units),
            minutes: each.saturating_mul(count(units)),
        })
        .collect()
}
