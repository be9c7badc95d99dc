//! From an allocation to the edit that writes it into the document.

use finding::{Change, Edit, Field};
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
            changes.push(Change { field: Field::device(&need.tag, "feed"), to: None });
        }
    }
    for (index, outlet) in input.outlets.iter().enumerate() {
        let Some(feed) = feeds.iter().find(|feed| feed.outlets.contains(&index)) else { continue };
        if outlet.set_mv != Some(feed.setting_mv) {
            let field =
                Field::device(&input.bricks[outlet.brick].tag, "outlet").below(&outlet.name).below("set");
            changes.push(Change { field, to: Some(volts_text(feed.setting_mv)) });
        }
    }
    let count = feeds.len();
    Edit { name: format!("feed {count} device{}", if count == 1 { "" } else { "s" }), changes }
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
        None => changes.push(Change { field, to: Some(inline(feed, &outlets)) }),
        Some(present) => differences(&mut changes, &field, present, feed, &outlets),
    }
    changes
}

fn array(outlets: &[String]) -> String {
    let quoted: Vec<String> = outlets.iter().map(|name| quoted(name)).collect();
    format!("[{}]", quoted.join(", "))
}

/// A text as TOML writes it.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' | '\\' => {
                out.push('\\');
                out.push(letter);
            }
            letter if letter.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(letter))),
            letter => out.push(letter),
        }
    }
    out.push('"');
    out
}

/// The plug that an adaptor for a connector ends in, by the ids of the catalogue: documents name the plug. For the
/// 5.5 mm barrels the angled one, as on most leads under a board; the others bear the connector's name.
fn plug_for(connector: &str) -> String {
    match connector.strip_prefix("barrel-5.5-") {
        Some(pin) => format!("barrel-{pin}-angled"),
        None => connector.to_owned(),
    }
}

fn inline(feed: &Feed, outlets: &[String]) -> String {
    let mut parts = Vec::new();
    if feed.kind != FeedKind::Single {
        parts.push(format!("type = {}", quoted(feed.kind.word())));
    }
    parts.push(format!("outlets = {}", array(outlets)));
    if feed.crossing {
        parts.push("crossing = true".to_owned());
    }
    if let Some(adaptor) = &feed.barrel_adaptor {
        parts.push(format!("barrel_adaptor = {}", quoted(&plug_for(adaptor))));
    }
    format!("{{ {} }}", parts.join(", "))
}

fn differences(changes: &mut Vec<Change>, field: &Field, present: &Present, feed: &Feed, outlets: &[String]) {
    if present.locked {
        return;
    }
    let mut set = |key: &str, to: Option<String>| changes.push(Change { field: field.below(key), to });
    if present.kind != feed.kind {
        set("type", (feed.kind != FeedKind::Single).then(|| feed.kind.word().to_owned()));
    }
    let unplaced = feed.kind == FeedKind::Adaptor && feed.socket.is_none();
    if present.written != outlets && !unplaced {
        set("outlets", Some(array(outlets)));
    }
    if present.crossing != feed.crossing {
        set("crossing", feed.crossing.then(|| "true".to_owned()));
    }
    // An adaptor that is named already and still needed may be named by its plug; it stays.
    match (&present.barrel_adaptor, &feed.barrel_adaptor) {
        (Some(_), None) => set("barrel_adaptor", None),
        (None, Some(adaptor)) => set("barrel_adaptor", Some(plug_for(adaptor))),
        _ => {}
    }
}
