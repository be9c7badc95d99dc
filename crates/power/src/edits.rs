//! From an allocation to the edit that writes it into the document.

use finding::{Change, Edit, Field, Value};
use rig::FeedKind;

use crate::input::{Input, Present, volts_text};
use crate::outcome::{Feed, Outcome};

/// What turns the present feeds of the document into those of the outcome.
///
/// A device without a feed gets one as an inline table. One that has a feed gets only what differs, so that its plugs,
/// its exits and its comments stay. Outlets that can be set otherwise are set. A device that cannot be served loses its
/// feed, since what it hung on may feed another now.
pub fn edits(outcome: &Outcome) -> Edit {
    outcome.edit.clone()
}

pub(crate) fn edit(input: &Input, feeds: &[Feed]) -> Edit {
    let mut changes = Vec::new();
    for feed in feeds {
        changes.extend(of_feed(input, feed));
    }
    // Whoever goes without keeps no feed: what it hung on may be another's now.
    for (index, need) in input.needs.iter().enumerate() {
        if need.present.is_some() && feeds.iter().all(|feed| feed.need != index) {
            changes.push(Change::remove(Field::device(&need.tag, "feed")));
        }
    }
    for (index, outlet) in input.outlets.iter().enumerate() {
        let Some(feed) = feeds.iter().find(|feed| feed.outlets.contains(&index)) else { continue };
        if outlet.set_mv != Some(feed.setting_mv) {
            let field =
                Field::device(&input.bricks[outlet.brick].tag, "outlet").below(&outlet.name).below("set");
            changes.push(Change::set(field, volts_text(feed.setting_mv)));
        }
    }
    let count = feeds.len();
    Edit::new(format!("feed {count} device{}", if count == 1 { "" } else { "s" }), changes)
}

/// What turns the present feed of one device into this one, its outlets' settings apart.
pub(crate) fn of_feed(input: &Input, feed: &Feed) -> Vec<Change> {
    let mut changes = Vec::new();
    let need = &input.needs[feed.need];
    let field = Field::device(&need.tag, "feed");
    let outlets: Vec<String> = match &feed.socket {
        Some((strip, socket)) => vec![format!("{strip}.{socket}")],
        None => feed.outlets.iter().map(|&outlet| input.outlet_name(outlet)).collect(),
    };
    match &need.present {
        None => changes.push(Change::set(field, whole(feed, &outlets))),
        Some(present) => differences(&mut changes, &field, present, feed, &outlets),
    }
    changes
}

/// The plug that an adaptor for a connector ends in, by the ids of the catalogue: documents name the plug. For the
/// 5.5 mm barrels the angled one, as on most leads under a board; the others bear the connector's name.
fn plug_for(connector: &str) -> String {
    match connector.strip_prefix("barrel-5.5-") {
        Some(pin) => format!("barrel-{pin}-angled"),
        None => connector.to_owned(),
    }
}

fn whole(feed: &Feed, outlets: &[String]) -> Value {
    let mut cells: Vec<(&str, Value)> = Vec::new();
    if feed.kind != FeedKind::Single {
        cells.push(("type", feed.kind.word().into()));
    }
    cells.push(("outlets", outlets.into()));
    if feed.crossing {
        cells.push(("crossing", true.into()));
    }
    if let Some(adaptor) = &feed.barrel_adaptor {
        cells.push(("barrel_adaptor", plug_for(adaptor).into()));
    }
    Value::table(cells)
}

fn differences(changes: &mut Vec<Change>, field: &Field, present: &Present, feed: &Feed, outlets: &[String]) {
    if present.locked {
        return;
    }
    let mut set = |key: &str, to: Option<Value>| {
        changes.push(Change::set_or_remove(field.below(key), to));
    };
    if present.kind != feed.kind {
        set("type", (feed.kind != FeedKind::Single).then(|| feed.kind.word().into()));
    }
    let unplaced = feed.kind == FeedKind::Adaptor && feed.socket.is_none();
    if present.written != outlets && !unplaced {
        set("outlets", Some(outlets.into()));
    }
    if present.crossing != feed.crossing {
        set("crossing", feed.crossing.then(|| true.into()));
    }
    // An adaptor that is named already and still needed may be named by its plug; it stays.
    match (&present.barrel_adaptor, &feed.barrel_adaptor) {
        (Some(_), None) => set("barrel_adaptor", None),
        (None, Some(adaptor)) => set("barrel_adaptor", Some(plug_for(adaptor).into())),
        _ => {}
    }
}
