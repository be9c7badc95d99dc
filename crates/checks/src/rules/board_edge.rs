//! Things beyond the outline of the board.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Length;
use rig::geometry::BoxClass;

use super::CUSTOM;
use crate::space::{
    assumed_of, box_words, boxes_of, has_room, is_on_board, moving_cure, outline, outward_panel_ports, plan,
    port_of, room_to_edge, whole_mm,
};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "board-edge";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "things beyond the edge of the board",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[40],
    limits: &["board_edge_stop"],
    page: Page {
        what: "Every body, plug and bend seen from above against the outlines of all decks together. Plugs in the \
               outer side of a panel's jacks are meant to stand out; plugs in a device's own jacks are not.",
        why: "A plug over the edge is the first thing that is kicked, and the board no longer goes into its case.",
        source: CUSTOM,
        example: "The plug at the left end of the front row stands 6 mm over the edge.",
        remedy: "move the device inwards, turn it, or take a flatter plug",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let outline = outline(rig);
    if outline.is_empty() {
        return Vec::new();
    }
    let outward = outward_panel_ports(design);
    let limit = design.limits.board_edge_stop;
    let mut out = Vec::new();
    for device in rig.by_tag().into_iter().filter(|device| is_on_board(device)) {
        let worst = boxes_of(design, &device.tag)
            .filter(|solid| solid.class != BoxClass::Service)
            .filter(|solid| port_of(solid).is_none_or(|port| !outward.contains(port)))
            .filter(|solid| !has_room(&outline, &plan(solid), limit))
            .map(|solid| (room_to_edge(&outline, &plan(solid)), solid))
            .min_by_key(|(room, _)| *room);
        let Some((room, solid)) = worst else { continue };
        let stands = if room < Length::ZERO {
            format!("stands {} over the edge of the board", shown(-room))
        } else {
            format!("leaves {} to the edge of the board, {} needed", shown(room), shown(limit))
        };
        let by = whole_mm(limit - room);
        let ways = [(by, Length::ZERO), (-by, Length::ZERO), (Length::ZERO, by), (Length::ZERO, -by)];
        let shifts: Vec<_> = ways.iter().map(|(dx, dy)| (device.tag.clone(), *dx, *dy)).collect();
        let mut finding = Finding::new(ID, Severity::Stop, format!("{} {stands}", box_words(rig, solid)))
            .about([&device.tag])
            .at(Field::device(&device.tag, "place"), "")
            .with(Evidence::at_least(room, limit))
            .assuming(assumed_of(design, solid));
        finding.edit = moving_cure(design, &[(&device.tag, &device.tag)], &shifts);
        out.push(finding);
    }
    out
}
