//! Devices turned, hung, stood on the floor, or left off the board.

use finding::{Change, Field, Value};
use quantity::Length;
use rig::{Device, FLOOR, Place, Rig, Role};

use super::tried::{Told, Tried};
use crate::{Config, Freedom, Input};

/// Room between the board and what stands on the floor beside it, and between such things. *Common practice, no source.*
const BESIDE: Length = Length::from_mm(60);
/// So many devices are taken off, each by itself, at most.
const MOST_OFF: usize = 2;

/// Devices that a foot works may be turned too.
pub(super) fn turned(input: &Input, config: &Config, tried: &mut Tried<'_>) {
    if !config.freedom.turn_touched {
        let free = Config { freedom: Freedom { turn_touched: true, ..config.freedom }, ..config.clone() };
        tried.attempt(input, &free, &Told::of("turn", "turn devices that a foot works"));
    }
}

fn is_locked(device: &Device) -> bool {
    device.place.as_ref().is_some_and(|place| place.locked)
}

/// One device under a deck that would otherwise stand on it.
pub(super) fn under(input: &Input, config: &Config, wrong: &[String], tried: &mut Tried<'_>) {
    for tag in wrong {
        let Some(device) = input.rig.device(tag) else { continue };
        // Bricks and the like may hang anyway; a panel belongs in the rim; what a foot works belongs on top.
        if device.is_foot_operated() || device.role != Role::Pedal || is_locked(device) {
            continue;
        }
        let mut changed = input.clone();
        for device in changed.rig.devices.iter_mut().filter(|device| device.tag == *tag) {
            device.role = Role::Other;
        }
        let told = Told::of("under", format!("{tag} under a deck")).about(tag);
        let free = Config { freedom: Freedom { under: true, ..config.freedom }, ..config.clone() };
        if tried.attempt(&changed, &free, &told) {
            return;
        }
    }
}

/// Devices off the board: those that have no place by themselves together, else one at a time. What a foot works stands on
/// the floor then, all else outside, its leads with it.
pub(super) fn off(input: &Input, config: &Config, alone: &[String], wrong: &[String], tried: &mut Tried<'_>) {
    let mut groups: Vec<Vec<&Device>> = Vec::new();
    if !alone.is_empty() {
        groups.push(alone.iter().filter_map(|tag| input.rig.device(tag)).collect());
    }
    let single = wrong.iter().filter(|tag| !alone.contains(tag));
    groups.extend(single.filter_map(|tag| Some(vec![input.rig.device(tag)?])));
    let stays = |device: &&Device| device.role == Role::Panel || is_locked(device);
    let mut found = 0;
    for group in groups.iter().filter(|group| !group.iter().any(&stays)) {
        let (changed, told) = taken_off(input, group);
        found += usize::from(tried.attempt(&changed, config, &told));
        if found == MOST_OFF {
            return;
        }
    }
}

/// The input without these devices on the board, and what that is called.
fn taken_off(input: &Input, group: &[&Device]) -> (Input, Told) {
    let mut changed = input.clone();
    let mut changes = Vec::new();
    let (mut floor, mut outside) = (Vec::new(), Vec::new());
    for device in group {
        let on_floor = device.is_foot_operated().then(|| floor_place(&changed.rig, device)).flatten();
        let Some(now) = changed.rig.devices.iter_mut().find(|now| now.tag == device.tag) else { continue };
        match on_floor {
            Some(place) => {
                changes.push(Change::set(Field::device(&device.tag, "place"), told_of(&place)));
                now.place = Some(place);
                floor.push(device.tag.as_str());
            }
            None => {
                changes.push(Change::set(Field::device(&device.tag, "outside"), true));
                if now.place.take().is_some() {
                    changes.push(Change::remove(Field::device(&device.tag, "place")));
                }
                now.outside = true;
                outside.push(device.tag.as_str());
            }
        }
    }
    let mut names = Vec::new();
    if !floor.is_empty() {
        names.push(format!("{} on the floor beside the board", floor.join(" and ")));
    }
    if !outside.is_empty() {
        names.push(format!("{} off the board", outside.join(" and ")));
    }
    let kind = if outside.is_empty() { "floor" } else { "without" };
    let mut told = Told::of(kind, names.join(", ")).writing(Some(changes));
    if let [device] = group {
        told = told.about(&device.tag);
    }
    (changed, told)
}

fn told_of(place: &Place) -> Value {
    Value::table([("deck", place.deck.as_str().into()), ("x", place.x.into()), ("y", place.y.into())])
}

/// A place on the floor left of the board and of all that stands there.
fn floor_place(rig: &Rig, device: &Device) -> Option<Place> {
    let width = device.size.value?.width;
    let board = rig.board.extent();
    let there = rig.devices.iter().filter_map(|device| device.place.as_ref());
    let left = there.filter(|place| place.deck == FLOOR).map(|place| place.x);
    let x = left.chain([board.x]).min()? - BESIDE - width;
    Some(Place { deck: FLOOR.to_owned(), x, y: board.y, quarters: 0, under: false, locked: false })
}
