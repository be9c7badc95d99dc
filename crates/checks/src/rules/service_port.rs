//! Ports that must stay reachable.

use std::collections::BTreeMap;

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::geometry::BoxClass;

use super::CUSTOM;
use crate::asked::Asked;
use crate::group::{Pair, hubs};
use crate::space::{box_words, port_of};
use crate::words::{BOARD, shown};
use crate::{Page, Rule};

const ID: &str = "service-port";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "ports that must stay reachable",
    severity: Severity::Look,
    since: "0.1",
    pains: &[45],
    limits: &["service_corridor"],
    page: Page {
        what: "The corridor in front of every port marked as service (USB, battery lid, trim switch): room for its \
               plug and for fingers.",
        why: "Otherwise the board is taken apart to load a preset or to change a battery.",
        source: CUSTOM,
        example: "The USB jack of A4 looks at the side of A5, 12 mm away.",
        remedy: "leave room in front of it, or accept it and write which device comes off first",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let boxes = &design.solids.boxes;
    let mut out = Vec::new();
    let mut pairs = Vec::new();
    for conflict in &design.conflicts {
        let (corridor, other) = (&boxes[conflict.of], &boxes[conflict.from]);
        let (BoxClass::Service, Some(port)) = (corridor.class, port_of(corridor)) else { continue };
        let mut finding = Finding::new(
            ID,
            Severity::Look,
            format!("port {port} cannot be reached: {} stands in its way", box_words(&design.rig, other)),
        )
        .about([&port.device])
        .at(Field::device(&port.device, "port").below(&port.port), "")
        .with(Evidence::at_least(conflict.found, conflict.wanted));
        if let Some(tag) = other.owner.device() {
            finding = finding
                .about([tag])
                .at(Field::device(tag, "place"), format!("{} too near", shown(-conflict.found)));
        }
        let blocking = other.owner.device().map_or_else(|| BOARD.to_owned(), str::to_owned);
        pairs.push(Pair { first: blocking, second: port.to_string(), case: finding });
    }
    for hub in hubs(pairs) {
        let is_blocking = hub.is_first;
        out.extend(hub.told(|name, others, _| {
            if is_blocking {
                format!("{name} stands in the way of {others}")
            } else {
                format!("port {name} cannot be reached: {others} stand in its way")
            }
        }));
    }
    let mut asked: BTreeMap<String, Asked> = BTreeMap::new();
    for missing in design.solids.missing.iter().filter(|missing| missing.class == BoxClass::Service) {
        let Some(device) = missing.owner.device().and_then(|tag| design.rig.device(tag)) else { continue };
        // Without place or size, `not-placed` and `clearance` speak.
        if device.place.is_some() && device.size.value.is_some() {
            asked.entry(device.tag.clone()).or_default().lack(missing.lacks.clone());
        }
    }
    out.extend(asked.into_iter().filter_map(|(tag, asked)| {
        asked.cannot_judge(ID, &format!("the reach of a port of {tag}"), [tag.clone()])
    }));
    out
}
