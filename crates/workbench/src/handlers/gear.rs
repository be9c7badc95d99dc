//! Gear: the table, and the ways to add a device.

use document::Family;

use super::{Query, beside, kinds, search};
use crate::pages::frame::{Head, Page};
use crate::pages::gear::{Gear, Open};
use crate::read::Read;

/// How many kinds a search shows.
const SHOWN: usize = 24;

pub(crate) fn page(head: Head, read: &Read, query: &Query) -> Page {
    let open = match query.get("add") {
        Some("catalogue") => {
            let words = query.get("words").unwrap_or("").to_owned();
            let mut found = search(kinds(&read.job, Family::Device), &words);
            let more = found.len().saturating_sub(SHOWN);
            found.truncate(SHOWN);
            Open::Add { words, found, more }
        }
        Some("measure") => Open::Measure,
        Some("photo") => Open::Photo,
        Some("paste") => Open::Paste { rows: String::new(), sheet: crate::paste::Sheet::default() },
        _ => Open::Nothing,
    };
    with(head, read, query.get("pick"), open)
}

pub(super) fn with(head: Head, read: &Read, pick: Option<&str>, open: Open) -> Page {
    let picked = pick.and_then(|tag| read.design.rig.device(tag));
    let gear = Gear {
        head: &head,
        job: &read.job,
        devices: &read.design.rig.devices,
        picked,
        open,
        connectors: kinds(&read.job, Family::Connector),
        kinds: if picked.is_some() { kinds(&read.job, Family::Device) } else { Vec::new() },
    };
    let (tools, main) = (gear.tools(), gear.main());
    let side = beside(&head, read, picked.map(|device| device.tag.as_str()));
    Page { tools, main: Some(main), side, sums: None, head }
}
