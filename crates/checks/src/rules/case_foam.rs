//! Room between the board and the foam of its case.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Length;
use rig::Rect;
use rig::geometry::BoxClass;

use super::CUSTOM;
use crate::asked::Asked;
use crate::compare::{Basis, too_near};
use crate::group::{devices_but, together};
use crate::space::{assumed_of, box_words, boxes_of, is_on_board, outward_ports, plan, port_of};
use crate::words::{BOARD, shown};
use crate::{Page, Rule};

const ID: &str = "case-foam";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "room between the board and the foam of its case",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[40],
    limits: &["case_foam_look", "board_edge_stop"],
    page: Page {
        what: "The board, standing in the middle of its case, and every thing that stands out over its edge, \
               against the foam walls.",
        why: "A board 12 mm too wide for a case made to measure costs the case.",
        source: CUSTOM,
        example: "The case has 400 mm of room for a board of 394 mm: 3 mm at each side.",
        remedy: "have the case made larger, or move what stands over the edge",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let Some(case) = &rig.board.case else { return Vec::new() };
    let board = rig.board.extent();
    let (look, stop) = (design.limits.case_foam_look, design.limits.board_edge_stop);
    let mut asked = Asked::default();
    let field = |key: &str| Field::new(["board", "case", key]);
    let width = asked.value(case.inside_width, field("inside_width"));
    let depth = asked.value(case.inside_depth, field("inside_depth"));
    let assumed = asked.assumed.clone();
    // The room at each side and end; an unknown one is taken as ample and said below.
    let sides =
        [width.map(|width| (width - board.width).half()), depth.map(|depth| (depth - board.depth).half())];
    let mut out = Vec::new();
    let own = sides.iter().flatten().min().copied();
    let graded = own.and_then(|room| Some((room, too_near(room, look, stop, Basis::of(&assumed))?)));
    if let Some((room, (severity, limit))) = graded {
        out.push(
            Finding::new(
                ID,
                severity,
                if room < Length::ZERO {
                    format!("the board reaches {} into the foam of its case at a side", shown(room.abs()))
                } else {
                    format!("the board leaves {} to the foam of its case at a side", shown(room))
                },
            )
            .about([BOARD])
            .at(field("inside_width"), "")
            .with(Evidence::at_least(room, limit))
            .assuming(assumed.clone()),
        );
    }
    let outward = outward_ports(design);
    let mut cases = Vec::new();
    for device in rig.by_tag().into_iter().filter(|device| is_on_board(device)) {
        let worst = boxes_of(design, &device.tag)
            .filter(|solid| solid.class != BoxClass::Service)
            .filter(|solid| port_of(solid).is_none_or(|port| !outward.contains(port)))
            .filter_map(|solid| Some((room(&board, &sides, &plan(solid))?, solid)))
            .min_by_key(|(room, _)| *room);
        let Some((room, solid)) = worst else { continue };
        // What stays within the outline has no less room than the board itself.
        if own.is_some_and(|own| own <= room) {
            continue;
        }
        let on: Vec<Field> = assumed.iter().cloned().chain(assumed_of(design, solid)).collect();
        if let Some((severity, limit)) = too_near(room, look, stop, Basis::of(&on)) {
            cases.push(
                Finding::new(
                    ID,
                    severity,
                    if room < Length::ZERO {
                        let by = shown(room.abs());
                        format!("{} reaches {by} into the foam of the case", box_words(rig, solid))
                    } else {
                        format!("{} leaves {} to the foam of the case", box_words(rig, solid), shown(room))
                    },
                )
                .about([&device.tag])
                .at(Field::device(&device.tag, "place"), "")
                .with(Evidence::at_least(room, limit))
                .assuming(on),
            );
        }
    }
    out.extend(together(cases, |cases| {
        format!("{} stand too near the foam of the case", devices_but(cases, &[]))
    }));
    out.extend(asked.cannot_judge(ID, "the room in the case", [BOARD]));
    out
}

fn room(board: &Rect, sides: &[Option<Length>; 2], at: &Rect) -> Option<Length> {
    let across = sides[0].map(|side| (at.x - board.x).min(board.right() - at.right()) + side);
    let along = sides[1].map(|end| (at.y - board.y).min(board.back() - at.back()) + end);
    [across, along].into_iter().flatten().min()
}
