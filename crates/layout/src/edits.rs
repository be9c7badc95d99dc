//! From stands to the arranged rig and to the edit that writes them into the document.

use std::collections::BTreeSet;

use finding::{Change, Edit, Field, Value};
use quantity::Length;
use rig::geometry::lead_ends;
use rig::{Place, PlugSpec, Rig};

use crate::model::{Entry, Model, Spot, Stand, put};
use crate::outcome::{Outcome, Placement, Plug};

/// What turns the document into the placement of the outcome: places, plugs, exits.
///
/// A device that has a place gets only what differs, so that its comments stay.
pub fn edits(outcome: &Outcome) -> Edit {
    outcome.edit.clone()
}

/// The placements of stands.
pub(crate) fn placements(model: &Model, stands: &[Stand]) -> Vec<Placement> {
    model
        .items
        .iter()
        .zip(stands)
        .map(|(item, stand)| {
            let surface = &model.surfaces[stand.spot.surface];
            let chosen = item.ends.iter().zip(&stand.choices);
            let plugs = chosen.flat_map(|(end, choice)| {
                let choice = &end.choices[usize::from(*choice)];
                end.leads.iter().map(|lead| {
                    let end = &model.lead_ends[*lead];
                    let plug = model.plugs[choice.plug].id.clone();
                    Plug { port: end.port.clone(), other: end.other.clone(), plug, exit: choice.exit }
                })
            });
            Placement {
                device: item.tag.clone(),
                deck: surface.deck.clone(),
                x: Length::from_nm(stand.spot.x - surface.origin[0]),
                y: Length::from_nm(stand.spot.y - surface.origin[1]),
                quarters: stand.spot.turn,
                under: surface.under,
                locked: !item.movable,
                plugs: plugs.collect(),
            }
        })
        .collect()
}

/// The stands of placements; `None` where one of them is none of the model's.
pub(crate) fn stands_of(model: &Model, placements: &[Placement]) -> Option<Vec<Stand>> {
    let stand = |item: &crate::model::Item| {
        let placement = placements.iter().find(|placement| placement.device == item.tag)?;
        let is_here = |s: &crate::model::Surface| s.deck == placement.deck && s.under == placement.under;
        let surface = model.surfaces.iter().position(is_here)?;
        let origin = model.surfaces[surface].origin;
        let (x, y) = (placement.x.nm() + origin[0], placement.y.nm() + origin[1]);
        let spot = Spot { surface, turn: placement.quarters, x, y };
        let choices = item.ends.iter().map(|end| {
            let at = &model.lead_ends[*end.leads.first()?];
            let is_it = |plug: &&Plug| plug.port == at.port && plug.other == at.other;
            let plug = placement.plugs.iter().find(is_it)?;
            let chosen = |choice: &crate::model::Choice| {
                model.plugs[choice.plug].id == plug.plug && choice.exit == plug.exit
            };
            end.choices.iter().position(chosen).and_then(|choice| u8::try_from(choice).ok())
        });
        Some(Stand { spot, choices: choices.collect::<Option<_>>()? })
    };
    model.items.iter().map(stand).collect()
}

/// The rig with the stands applied.
pub(crate) fn applied(rig: &Rig, model: &Model, stands: &[Stand]) -> Rig {
    let mut after = rig.clone();
    for (item, placement) in model.items.iter().zip(placements(model, stands)) {
        let device = &mut after.devices[item.device];
        if item.movable {
            let (deck, x, y) = (placement.deck, placement.x, placement.y);
            let (quarters, under) = (placement.quarters, placement.under);
            device.place = Some(Place { deck, x, y, quarters, under, locked: false });
        }
    }
    // Both outlets of a pair have one entry: the first end decides, as in the edit.
    let mut said: Vec<&Entry> = Vec::new();
    each_choice(model, stands, |lead, spec| {
        let entry = &model.entries[lead];
        if !said.contains(&entry) {
            said.push(entry);
            if let Some(plug) = put(&mut after, entry) {
                *plug = spec;
            }
        }
    });
    after
}

/// Tells each lead end with the plug chosen for it.
fn each_choice(model: &Model, stands: &[Stand], mut tell: impl FnMut(usize, PlugSpec)) {
    for (item, stand) in model.items.iter().zip(stands) {
        for (end, choice) in item.ends.iter().zip(&stand.choices) {
            let choice = &end.choices[usize::from(*choice)];
            for &lead in &end.leads {
                let plug = Some(model.plugs[choice.plug].clone());
                tell(lead, PlugSpec { plug, exit: choice.exit });
            }
        }
    }
}

/// The edit from one rig to the stands.
pub(crate) fn edit(rig: &Rig, model: &Model, stands: &[Stand]) -> Edit {
    let mut changes = Vec::new();
    let mut moved = 0;
    for (item, placement) in model.items.iter().zip(placements(model, stands)) {
        let before = changes.len();
        if item.movable {
            place_changes(&rig.devices[item.device], &placement, &mut changes);
        }
        moved += usize::from(before < changes.len());
    }
    let stated = lead_ends(rig);
    let mut chosen = BTreeSet::new();
    each_choice(model, stands, |lead, spec| {
        let now = &stated[lead].plug;
        let [plug_field, exit_field] = model.entries[lead].fields(rig);
        let mut set = |field: Field, to: &str| {
            if changes.iter().all(|change: &Change| *change.field() != field) {
                chosen.insert(lead);
                changes.push(Change::set(field, to));
            }
        };
        if let Some(plug) = spec.plug.filter(|plug| now.plug.as_ref().is_none_or(|now| now.id != plug.id)) {
            set(plug_field, &plug.id);
        }
        if let Some(exit) = spec.exit.filter(|exit| now.exit != Some(*exit)) {
            set(exit_field, exit.word());
        }
    });
    Edit::new(edit_name(moved, chosen.len()), changes)
}

/// What an edit does, for the journal: what moves, or where nothing does, whose plugs are chosen.
fn edit_name(moved: usize, ends: usize) -> String {
    match (moved, ends) {
        (1, _) => "arrange 1 device".to_owned(),
        (0, 1) => "choose the plug at 1 end".to_owned(),
        (0, 2..) => format!("choose the plugs at {ends} ends"),
        _ => format!("arrange {moved} devices"),
    }
}

fn place_changes(device: &rig::Device, to: &Placement, changes: &mut Vec<Change>) {
    let field = Field::device(&device.tag, "place");
    let degrees = i64::from(to.quarters) * 90;
    let Some(now) = &device.place else {
        let mut cells: Vec<(&str, Value)> =
            vec![("deck", to.deck.as_str().into()), ("x", to.x.into()), ("y", to.y.into())];
        if degrees != 0 {
            cells.push(("turn", degrees.into()));
        }
        if to.under {
            cells.push(("under", true.into()));
        }
        changes.push(Change::set(field, Value::table(cells)));
        return;
    };
    let mut set = |key: &str, value: Option<Value>| {
        changes.push(Change::set_or_remove(field.below(key), value));
    };
    if now.deck != to.deck {
        set("deck", Some(to.deck.as_str().into()));
    }
    if now.x != to.x {
        set("x", Some(to.x.into()));
    }
    if now.y != to.y {
        set("y", Some(to.y.into()));
    }
    if now.quarters % 4 != to.quarters {
        set("turn", (degrees != 0).then(|| degrees.into()));
    }
    if now.under != to.under {
        set("under", to.under.then(|| true.into()));
    }
}
