//! Devices, board, runs and feeds.

use design::Design;
use quantity::Length;
use rig::{Device, Run};
use serde_json::Value as Json;

/// Something before and after, in words; empty where it is not there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Words {
    /// What it is about.
    pub of: String,
    /// Before.
    pub before: String,
    /// After.
    pub after: String,
}

/// One value of a device.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Value {
    /// Its name in the resolved rig: `power.current_ma`.
    pub key: String,
    /// Before, as written there.
    pub before: String,
    /// After.
    pub after: String,
}

/// Whether a device is new, gone, or the same with something about it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Moved {
    /// It was not there.
    New,
    /// It is there no more.
    Gone,
    /// It stands elsewhere.
    Moves,
    /// It stands where it stood.
    Stands,
}

impl Moved {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::New => "new",
            Self::Gone => "gone",
            Self::Moves => "moves",
            Self::Stands => "stands",
        }
    }
}

/// What is different about a device.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeviceChange {
    /// Its tag.
    pub tag: String,
    /// What it is, the later where it is there.
    pub title: String,
    /// What it was; the same as its title where it is new.
    pub title_before: String,
    /// What became of it.
    pub moved: Moved,
    /// Its kind, where that differs.
    pub kind: Option<Words>,
    /// Its place, where that differs.
    pub place: Option<Words>,
    /// Its values that differ.
    pub values: Vec<Value>,
}

fn title(device: &Device) -> String {
    if device.title.is_empty() { device.tag.clone() } else { device.title.clone() }
}

/// Where a front left corner is, from the edges of its deck: `12 mm from left, 1 mm over the front edge`.
pub fn corner(x: Length, y: Length) -> String {
    let from = |length: Length, edge: &str| {
        if length < Length::ZERO {
            format!("{} over the {edge} edge", length.abs())
        } else {
            format!("{length} from {edge}")
        }
    };
    format!("{}, {}", from(x, "left"), from(y, "front"))
}

fn place(device: &Device) -> String {
    match &device.place {
        None => "no place".to_owned(),
        Some(place) => {
            let turn = u32::from(place.quarters) * 90;
            let under = if place.under { ", under it" } else { "" };
            let turned = if turn == 0 { String::new() } else { format!(", turned {turn}°") };
            format!("{} {}{turned}{under}", place.deck, corner(place.x, place.y))
        }
    }
}

/// Values that follow from others, or are told elsewhere.
const TOLD_ELSEWHERE: &[&str] = &["tag", "kind", "place", "base_mm", "feed", "at_mm", "looks"];

/// Every device that differs, in the order of the second and then of the first.
pub(crate) fn devices(before: &Design, after: &Design) -> Vec<DeviceChange> {
    let (old, new) = (resolved(before), resolved(after));
    let mut out = Vec::new();
    for device in &after.rig.devices {
        let Some(then) = before.rig.device(&device.tag) else {
            out.push(alone(device, Moved::New));
            continue;
        };
        let mut values = Vec::new();
        differ("", json_of(&old, &device.tag), json_of(&new, &device.tag), &mut values);
        // Written for the first time it is known now; written otherwise it is another one.
        if let (Some(before), Some(after)) = (&then.serial, &device.serial)
            && before != after
        {
            let (before, after) = (before.clone(), after.clone());
            values.push(Value { key: "serial".to_owned(), before, after });
        }
        let words =
            |a: String, b: String| (a != b).then(|| Words { of: device.tag.clone(), before: a, after: b });
        let kind = words(then.kind.clone().unwrap_or_default(), device.kind.clone().unwrap_or_default());
        let placed = words(place(then), place(device));
        let moved = if placed.is_some() { Moved::Moves } else { Moved::Stands };
        if kind.is_some() || placed.is_some() || !values.is_empty() {
            let (tag, title, title_before) = (device.tag.clone(), title(device), title(then));
            out.push(DeviceChange { tag, title, title_before, moved, kind, place: placed, values });
        }
    }
    let gone = before.rig.devices.iter().filter(|device| after.rig.device(&device.tag).is_none());
    out.extend(gone.map(|device| alone(device, Moved::Gone)));
    out
}

fn alone(device: &Device, moved: Moved) -> DeviceChange {
    let (tag, title) = (device.tag.clone(), title(device));
    DeviceChange {
        tag,
        title_before: title.clone(),
        title,
        moved,
        kind: None,
        place: None,
        values: Vec::new(),
    }
}

/// The resolved rig as a tree, to be compared leaf by leaf.
pub(crate) fn resolved(design: &Design) -> Json {
    serde_json::to_value(design::resolved(design, "", "")).unwrap_or_default()
}

fn json_of<'a>(all: &'a Json, tag: &str) -> &'a Json {
    let devices = all["devices"].as_array().map_or(&[][..], Vec::as_slice);
    devices.iter().find(|device| device["tag"] == tag).unwrap_or(&Json::Null)
}

/// The leaves of two trees that differ.
fn differ(key: &str, before: &Json, after: &Json, out: &mut Vec<Value>) {
    if before == after {
        return;
    }
    let below = |name: &str| if key.is_empty() { name.to_owned() } else { format!("{key}.{name}") };
    match (before, after) {
        (Json::Object(a), Json::Object(b)) => {
            let names: Vec<&String> =
                a.keys().chain(b.keys().filter(|name| !a.contains_key(*name))).collect();
            for name in names.into_iter().filter(|name| !TOLD_ELSEWHERE.contains(&name.as_str())) {
                let (a, b) = (a.get(name).unwrap_or(&Json::Null), b.get(name).unwrap_or(&Json::Null));
                differ(&below(name), a, b, out);
            }
        }
        (Json::Array(a), Json::Array(b)) if a.iter().chain(b).any(Json::is_object) => {
            let name = |item: &Json| item["name"].as_str().unwrap_or_default().to_owned();
            for item in a {
                let other = b.iter().find(|other| name(other) == name(item)).unwrap_or(&Json::Null);
                differ(&below(&name(item)), item, other, out);
            }
            for item in b.iter().filter(|item| a.iter().all(|other| name(other) != name(item))) {
                differ(&below(&name(item)), &Json::Null, item, out);
            }
        }
        _ => out.push(Value { key: key.to_owned(), before: leaf(before), after: leaf(after) }),
    }
}

fn leaf(value: &Json) -> String {
    match value {
        Json::Null => "-".to_owned(),
        Json::String(text) => text.clone(),
        Json::Object(map) if map.contains_key("name") => "there".to_owned(),
        other => other.to_string(),
    }
}

/// What differs about board and case.
pub(crate) fn board(before: &Design, after: &Design) -> Vec<Words> {
    let words = |design: &Design| {
        let board = &design.rig.board;
        let extent = board.extent();
        let mut out = vec![
            ("board".to_owned(), format!("{} {} × {}", board.title, extent.width, extent.depth)),
            ("case".to_owned(), board.case.as_ref().map(|case| case.title.clone()).unwrap_or_default()),
        ];
        out.extend(board.decks.iter().map(|deck| {
            let hinge = if deck.hinge.is_some() { ", hinged" } else { "" };
            (
                format!("deck {}", deck.name),
                format!("{} × {}{hinge}", deck.extent().width, deck.extent().depth),
            )
        }));
        out
    };
    pairs(&words(before), &words(after))
}

/// Runs whose stops differ.
pub(crate) fn runs(before: &Design, after: &Design) -> Vec<Words> {
    let stops = |run: &Run| run.stops.iter().map(|stop| stop.text.as_str()).collect::<Vec<_>>().join(" > ");
    let words = |design: &Design| {
        design.rig.runs.iter().map(|run| (run.name.clone(), stops(run))).collect::<Vec<_>>()
    };
    pairs(&words(before), &words(after))
}

/// Feeds that differ.
pub(crate) fn feeds(before: &Design, after: &Design) -> Vec<Words> {
    let words = |design: &Design| {
        let fed = design.rig.devices.iter().filter_map(|device| Some((device, device.feed.as_ref()?)));
        fed.map(|(device, feed)| {
            let outlets: Vec<String> = feed.outlets.iter().map(ToString::to_string).collect();
            let crossing = if feed.crossing { ", crossing" } else { "" };
            (
                device.tag.clone(),
                format!("{} {}{crossing}", feed.kind.word(), outlets.join(" + ")).trim().to_owned(),
            )
        })
        .collect::<Vec<_>>()
    };
    pairs(&words(before), &words(after))
}

/// Entries that differ, by what they are of.
fn pairs(before: &[(String, String)], after: &[(String, String)]) -> Vec<Words> {
    let mut out = Vec::new();
    for (of, now) in after {
        let then =
            before.iter().find(|(name, _)| name == of).map(|(_, then)| then.as_str()).unwrap_or_default();
        if then != now {
            out.push(Words { of: of.clone(), before: then.to_owned(), after: now.clone() });
        }
    }
    for (of, then) in before {
        if !then.is_empty() && after.iter().all(|(name, _)| name != of) {
            out.push(Words { of: of.clone(), before: then.clone(), after: String::new() });
        }
    }
    out
}
