//! A foot at the edge that tips the board.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Length;
use rig::geometry::switch_point;

use super::CUSTOM;
use crate::compare::{Basis, longer};
use crate::group::{devices_but, together};
use crate::space::is_on_board;
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "tipping";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "switches outside the board's feet",
    severity: Severity::Look,
    since: "0.1",
    pains: &[46],
    limits: &[],
    page: Page {
        what: "Where the feet are written down: every foot switch against the rectangle they span. A switch outside it \
               has a lever to tip the board.",
        why: "Stamped on at the back, the board stands up at the front, and leads are torn.",
        source: CUSTOM,
        example: "The reverb's switch stands 22 mm behind the rear feet.",
        remedy: "move the feet outwards or the device inwards",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let feet = &rig.board.feet;
    let (Some(left), Some(right)) = (feet.iter().map(|f| f.0).min(), feet.iter().map(|f| f.0).max()) else {
        return Vec::new();
    };
    let (front, back) = (
        feet.iter().map(|f| f.1).min().unwrap_or_default(),
        feet.iter().map(|f| f.1).max().unwrap_or_default(),
    );
    let mut out = Vec::new();
    for device in rig.by_tag().into_iter().filter(|device| is_on_board(device)) {
        let worst = (0..device.switches.len())
            .filter_map(|index| switch_point(rig, device, index))
            .map(|(x, y)| (left - x).max(x - right).max(front - y).max(y - back))
            .max();
        if let Some(beyond) = worst.filter(|beyond| longer(*beyond, Length::ZERO, Basis::Measured)) {
            out.push(
                Finding::new(
                    ID,
                    Severity::Look,
                    format!("a switch of {} stands {} outside the feet", device.tag, shown(beyond)),
                )
                .about([&device.tag])
                .at(Field::device(&device.tag, "place"), "")
                .with(Evidence::at_most(beyond, Length::ZERO)),
            );
        }
    }
    let told =
        together(out, |cases| format!("switches of {} stand outside the feet", devices_but(cases, &[])));
    told.into_iter().collect()
}
