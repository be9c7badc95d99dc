//! Adaptors that are not clamped.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::{FeedKind, Held};

use super::CUSTOM;
use crate::group::{devices_but, together};
use crate::{Page, Rule};

const ID: &str = "loose-adaptor";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "adaptors that may fall out of the strip",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[15],
    limits: &[],
    page: Page {
        what: "Every device on its own adaptor: is the adaptor clamped? At home a look, on a touring rig a stop. \
               Adaptors that stay outside the board are the house's.",
        why: "A lump in a strip works loose in the van, and the device it feeds is dead on stage.",
        source: CUSTOM,
        example: "The valve preamp's AC adaptor sits in the strip without a cradle.",
        remedy: "strap it in a cradle and write `clamped = true`, or feed the device from a brick",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    for device in rig.by_tag() {
        let Some(feed) = device.feed.as_ref().filter(|feed| feed.kind == FeedKind::Adaptor) else { continue };
        let held = feed.adaptor.as_ref().and_then(|adaptor| adaptor.held.value);
        // What is said of the adaptor itself stands before the word about the feed.
        if held.map_or(feed.clamped, |held| held != Held::Loose) {
            continue;
        }
        let on_board =
            feed.outlets.iter().any(|outlet| rig.device(&outlet.device).is_some_and(|strip| !strip.outside));
        if !on_board {
            continue;
        }
        let severity = if rig.brief.touring { Severity::Stop } else { Severity::Look };
        out.push(
            Finding::new(ID, severity, format!("the adaptor of {} is not clamped", device.tag))
                .about([&device.tag])
                .at(Field::device(&device.tag, "feed"), "")
                .with(Evidence::words("loose", "clamped")),
        );
    }
    let told = together(out, |cases| format!("the adaptors of {} are not clamped", devices_but(cases, &[])));
    told.into_iter().collect()
}
