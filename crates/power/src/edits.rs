//! From an allocation to the edit that writes it into the document.

use finding::{Change, Edit, Field, Value};
use rig::FeedKind;

use crate::fit::Fitting;
use crate::input::{Input, Present, volts_text};
use crate::outcome::{Feed, Outcome};

/// What turns the present feeds of the document into those of the outcome.
///
/// A device without a feed gets one as an inline table. One that has a feed gets only what differs, so that its plugs,
/// its exits and its comments stay. Outlets that can be set otherwise are set. A device that cannot be served loses its
/// feed, unless it is locked, or its lead is made and what it hung on feeds nobody else.
pub fn edits(outcome: &Outcome) -> Edit {
    outcome.edit.clone()
}

pub(crate) fn edit(input: &Input, feeds: &[Feed]) -> Edit {
    let mut changes = Vec::new();
    for feed in feeds {
        changes.extend(of_feed(input, feed));
    }
    // Whoever goes without keeps no feed that nobody would build. A locked feed is a fact, and so is a lead that is made,
    // while what it hangs on is nobody else's.
    for (index, need) in input.needs.iter().enumerate() {
        let Some(present) = need.present.as_ref().filter(|present| !present.locked) else { continue };
        let taken =
            feeds.iter().flat_map(|feed| &feed.outlets).any(|outlet| present.outlets.contains(outlet));
        if (taken || !present.made) && feeds.iter().all(|feed| feed.need != index) {
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
    let mut devices: Vec<&str> = Vec::new();
    for change in &changes {
        if let [list, tag, ..] = change.field().parts()
            && list == "device"
            && !devices.contains(&tag.as_str())
        {
            devices.push(tag);
        }
    }
    let count = devices.len();
    Edit::new(format!("feed {count} device{}", if count == 1 { "" } else { "s" }), changes)
}

/// What turns the present feed of one device into this one, its outlets' settings apart.
pub(crate) fn of_feed(input: &Input, feed: &Feed) -> Vec<Change> {
    let mut changes = Vec::new();
    let need = &input.needs[feed.need];
    let field = Field::device(&need.tag, "feed");
    let outlets: Vec<String> = match &feed.socket {
        Some(socket) => vec![socket.to_string()],
        None => feed.outlets.iter().map(|&outlet| input.outlet_name(outlet)).collect(),
    };
    let exit = exit_at(input, feed);
    match &need.present {
        None => changes.push(Change::set(field, whole(input, feed, &outlets, exit))),
        Some(present) => differences(&mut changes, &field, (input, present), feed, &outlets, exit),
    }
    changes
}

/// The plugs of a lead that must be written, because what it would end in otherwise does not fit: at the device, at the
/// outlet.
fn plugs(input: &Input, feed: &Feed) -> Vec<(&'static str, String)> {
    let need = &input.needs[feed.need];
    let device = need.connector.as_ref();
    if feed.kind == FeedKind::Adaptor {
        // What an adaptor ends in its maker chose; the job's usual plug would be told to be it.
        let own = device.filter(|_| need.plug_fits == Some(false));
        return own.map(|connector| ("plug", input.plug_for(&connector.id))).into_iter().collect();
    }
    let outlet = feed.outlets.first().and_then(|&outlet| input.outlets[outlet].connector.as_ref());
    // Before an adaptor the lead ends in what the outlet gives.
    let adapted = need.adaptor_on(feed.barrel_adaptor.as_ref()).is_some();
    let usual = input.usual_plugs[usize::from(need.ac)].as_ref();
    let takes_usual = |at: &Fitting| usual.map(|plug| plug.fits.contains(&at.id));
    let own = need.present.as_ref().and_then(|present| present.outlet_plug.as_ref());
    let takes = |at: &Fitting| match own {
        Some(fits) => Some(fits.contains(&at.id)),
        None => takes_usual(at),
    };
    let ends = [
        ("plug", if adapted { outlet } else { device }, if adapted { None } else { need.plug_fits }),
        ("outlet_plug", outlet, outlet.and_then(takes)),
    ];
    let is_unusual = [device, outlet].into_iter().flatten().any(Fitting::is_unusual);
    ends.into_iter()
        .filter_map(|(key, connector, fits)| {
            let connector = connector.filter(|connector| !connector.is_captive())?;
            let fits = fits.or_else(|| takes_usual(connector)).unwrap_or(!is_unusual);
            (!fits).then(|| (key, input.plug_for(&connector.id)))
        })
        .collect()
}

/// Where the cable leaves the plug at the outlets of a feed: that is a matter of the outlet and its neighbours, and stays with
/// it whoever hangs there. `None` where nobody has said.
fn exit_at(input: &Input, feed: &Feed) -> Option<&'static str> {
    let there = |need: &&crate::input::Need| {
        need.present
            .as_ref()
            .is_some_and(|present| present.outlets.iter().any(|at| feed.outlets.contains(at)))
    };
    input.needs.iter().filter(there).find_map(|need| need.present.as_ref()?.outlet_exit)
}

fn whole(input: &Input, feed: &Feed, outlets: &[String], exit: Option<&'static str>) -> Value {
    let mut cells: Vec<(&str, Value)> = Vec::new();
    if feed.kind != FeedKind::Single {
        cells.push(("type", feed.kind.word().into()));
    }
    cells.push(("outlets", outlets.into()));
    if feed.crossing {
        cells.push(("crossing", true.into()));
    }
    if let Some(adaptor) = input.needs[feed.need].adaptor_on(feed.barrel_adaptor.as_ref()) {
        cells.push(("barrel_adaptor", input.plug_for(adaptor).into()));
    }
    for (key, plug) in plugs(input, feed) {
        cells.push((key, plug.into()));
    }
    if let Some(exit) = exit {
        cells.push(("outlet_exit", exit.into()));
    }
    Value::table(cells)
}

fn differences(
    changes: &mut Vec<Change>,
    field: &Field,
    (input, present): (&Input, &Present),
    feed: &Feed,
    outlets: &[String],
    exit: Option<&'static str>,
) {
    let mut set = |key: &str, to: Option<Value>| {
        changes.push(Change::set_or_remove(field.below(key), to));
    };
    let stays = present.outlets == feed.outlets && present.kind == feed.kind;
    let adaptor = input.needs[feed.need].adaptor_on(feed.barrel_adaptor.as_ref());
    // What is made is a fact; what is locked is outlets, kind and crossing, and no plug that fits nothing.
    let adapted = stays && present.barrel_adaptor.is_some() && adaptor.is_some();
    if !(present.made && stays || adapted) {
        for (key, plug) in plugs(input, feed) {
            set(key, Some(plug.into()));
        }
        if let (None, Some(adaptor), true) = (&present.barrel_adaptor, adaptor, present.locked) {
            set("barrel_adaptor", Some(input.plug_for(adaptor).into()));
        }
    }
    if present.locked {
        return;
    }
    if present.kind != feed.kind {
        set("type", (feed.kind != FeedKind::Single).then(|| feed.kind.word().into()));
    }
    let unplaced = feed.kind == FeedKind::Adaptor && feed.socket.is_none();
    if present.written != outlets && !unplaced {
        set("outlets", Some(outlets.into()));
        if present.outlet_exit != exit {
            set("outlet_exit", exit.map(Value::from));
        }
    }
    if present.crossing != feed.crossing {
        set("crossing", feed.crossing.then(|| true.into()));
    }
    // An adaptor that is named already and still needed may be named by its plug; it stays.
    match (&present.barrel_adaptor, adaptor) {
        (Some(_), None) => set("barrel_adaptor", None),
        (None, Some(adaptor)) => set("barrel_adaptor", Some(input.plug_for(adaptor).into())),
        _ => {}
    }
}
