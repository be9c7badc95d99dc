//! Room under the lid.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Length;
use rig::geometry::BoxClass;

use super::CUSTOM;
use crate::asked::Asked;
use crate::compare::{Basis, too_near};
use crate::group::{devices_but, together};
use crate::space::{assumed_of, box_words, boxes_of, is_on_board, outward_ports, port_of, unknown_top};
use crate::words::{BOARD, shown};
use crate::{Page, Rule};

const ID: &str = "lid-height";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "room under the lid over every device",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[42],
    limits: &["lid_foam_look", "lid_foam_stop", "knobs_assumed", "treadle_assumed"],
    page: Page {
        what: "The highest point of every device on the board, with knobs or the treadle fully open and with plugs \
               and bends that reach up, against the inside of the lid; some foam must have room to be pressed.",
        why: "A lid that rests on knobs turns them, and in the end breaks them off.",
        source: CUSTOM,
        example: "A treadle on a riser of 50 mm reaches 4 mm higher than the inside of the lid.",
        remedy: "lower the riser, put the device in a lower place, or have a higher lid made",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let field = Field::new(["board", "lid", "inside_height"]);
    let mut asked = Asked::default();
    let lid = match (&rig.board.lid, &rig.board.case) {
        (None, None) => return Vec::new(),
        (None, Some(_)) => {
            asked.lack(field.clone());
            None
        }
        (Some(lid), _) => asked.value(lid.inside_height, field.clone()),
    };
    let Some(inside) = lid else {
        return asked.cannot_judge(ID, "the room under the lid", [BOARD]).into_iter().collect();
    };
    let outward = outward_ports(design);
    let (look, stop) = (design.limits.lid_foam_look, design.limits.lid_foam_stop);
    let mut out = Vec::new();
    let mut cases = Vec::new();
    for device in rig.by_tag().into_iter().filter(|device| is_on_board(device)) {
        let tag = &device.tag;
        let highest = boxes_of(design, tag)
            .filter(|solid| solid.class != BoxClass::Service)
            .filter(|solid| port_of(solid).is_none_or(|port| !outward.contains(port)))
            .max_by_key(|solid| (solid.high[2], solid.class));
        let mut own = Asked::default();
        if device.size.is_unknown() {
            own.lack(Field::device(tag, "size"));
        }
        let top_is_guessed = unknown_top(device);
        if let Some(field) = top_is_guessed {
            own.lack(field);
        }
        let room = highest.map(|solid| (inside - solid.high[2], solid));
        let graded = room.and_then(|(room, solid)| {
            let on = asked.assumed.iter().cloned().chain(assumed_of(design, solid)).collect::<Vec<_>>();
            Some((room, solid, too_near(room, look, stop, Basis::of(&on))?))
        });
        if let Some((room, solid, (severity, limit))) = graded {
            let says = if room < Length::ZERO {
                format!(
                    "{} reaches {} higher than the inside of the lid",
                    box_words(rig, solid),
                    shown(-room)
                )
            } else {
                format!("{} leaves {} under the lid", box_words(rig, solid), shown(room))
            };
            cases.push(
                Finding::new(ID, severity, says)
                    .about([tag])
                    .at(Field::device(tag, "place"), "")
                    .with(Evidence::at_least(room, limit))
                    .assuming(asked.assumed.iter().cloned().chain(assumed_of(design, solid))),
            );
            if severity == Severity::Stop {
                continue;
            }
        }
        out.extend(own.cannot_judge(ID, &format!("the room over {tag} under the lid"), [tag]));
    }
    out.extend(together(cases, |cases| format!("the lid is too low over {}", devices_but(cases, &[]))));
    out
}
