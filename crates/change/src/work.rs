//! What carrying a change out takes: parts and work.

use design::Design;
use estimate::{Act, Amount, BillGroup, Need, Stage};
use quantity::Length;

use crate::{Became, Moved, RevisionChange};

/// Minutes of single acts on a board that is built. All *common practice, no source*.
mod minutes {
    /// Take a device off or put one on.
    pub(super) const DEVICE: u32 = 8;
    /// Unplug and plug a lead, tie it anew.
    pub(super) const PLUG: u32 = 3;
    /// Make a lead, test and label included.
    pub(super) const LEAD: u32 = 8;
    /// Set, meter and mark an outlet.
    pub(super) const OUTLET: u32 = 4;
    /// Mark out, drill and deburr a hole, or blank one.
    pub(super) const HOLE: u32 = 8;
    /// Take a label off and put one on.
    pub(super) const LABEL: u32 = 1;
    /// One line of the test sheet.
    pub(super) const TEST: u32 = 2;
    /// Print and exchange one paper.
    pub(super) const PAPER: u32 = 2;
    /// Work the change out.
    pub(super) const PLAN: u32 = 15;
}

/// Parts: leads made anew or new piece by piece, labels, and whatever else the second design has more of.
pub(crate) fn needs(before: &Design, after: &Design, change: &RevisionChange) -> Vec<Need> {
    let mut out: Vec<Need> = Vec::new();
    for (lead, made) in change.leads.iter().filter_map(|lead| Some((lead.tag(), lead.pieces()?))) {
        if made.making != design::Making::Made {
            continue;
        }
        let cable = made.cable.as_deref().unwrap_or("cable not decided");
        let length =
            made.cuts.iter().map(|cut| cut.unwrap_or(Length::ZERO)).fold(Length::ZERO, |sum, cut| sum + cut);
        add(&mut out, cable, BillGroup::Cable, Amount::Length(length), lead);
        for end in made.ends.iter().filter(|end| end.fitting == rig::Fitting::Plugged.word()) {
            add(
                &mut out,
                end.plug.as_deref().unwrap_or("plug not decided"),
                BillGroup::Plugs,
                Amount::Pieces(1),
                lead,
            );
        }
    }
    let labels = i64::try_from(change.labels_on.len()).unwrap_or(i64::MAX);
    if 0 < labels {
        add(&mut out, "label", BillGroup::Small, Amount::Pieces(labels), "labels");
    }
    let old = design::needs(before);
    let new = design::needs(after);
    let total = |all: &[Need], key: &str| {
        all.iter().filter(|need| need.key == key).map(|need| need.needed.units()).sum::<i64>()
    };
    let told = |key: &str| ["label", "tie", "solder", "number-sleeve"].contains(&key);
    for need in new
        .iter()
        .filter(|need| !matches!(need.group, BillGroup::Cable | BillGroup::Plugs) && !told(&need.key))
    {
        if out.iter().any(|other| other.key == need.key) {
            continue;
        }
        let more = total(&new, &need.key) - total(&old, &need.key);
        if 0 < more {
            out.push(Need {
                needed: need.needed.with(more),
                waste: need.needed.with(0),
                left: None,
                ..need.clone()
            });
        }
    }
    out
}

fn add(out: &mut Vec<Need>, key: &str, group: BillGroup, amount: Amount, serves: &str) {
    match out.iter_mut().find(|need| need.key == key && need.needed.is_like(amount)) {
        Some(need) => {
            need.needed = need.needed.with(need.needed.units().saturating_add(amount.units()));
            if !need.serves.split(", ").any(|other| other == serves) {
                need.serves += &format!(", {serves}");
            }
        }
        None => out.push(Need {
            key: key.to_owned(),
            title: key.to_owned(),
            group,
            needed: amount,
            waste: amount.with(0),
            left: None,
            serves: serves.to_owned(),
            theirs: false,
            estimated: false,
        }),
    }
}

/// Work by operation; nothing for an empty change.
pub(crate) fn acts(change: &RevisionChange) -> Vec<Act> {
    let count = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    let placed =
        change.devices.iter().filter(|device| device.moved != Moved::Stands || device.kind.is_some()).count();
    let gone = change.count(|became| matches!(became, Became::Gone { .. }));
    let reach = change.count(|became| matches!(became, Became::Reaches { .. } | Became::Altered { .. }));
    let anew = change.count(|became| matches!(became, Became::Remade { .. } | Became::New));
    let bench = change
        .leads
        .iter()
        .filter(|lead| matches!(lead.became, Became::Remade { .. } | Became::Altered { .. } | Became::New))
        .filter(|lead| lead.after.as_ref().is_some_and(|made| made.making == design::Making::Made))
        .count();
    let holes = change.blanked.len() + change.drilled.len();
    let labels = change.labels_on.len().max(change.labels_off.len());
    let plan = usize::from(!change.is_empty());
    let rows = [
        ("change-plan", "Working the change out", plan, minutes::PLAN),
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
