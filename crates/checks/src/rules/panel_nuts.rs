//! Nuts and flanges of a panel that meet, and jacks of which too little is known to mount them.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Length;
use rig::{ConnectorFamily, Device, Port, Role};

use super::CUSTOM;
use crate::asked::Asked;
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "panel-nuts";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "nuts and flanges of a panel that meet",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[50],
    limits: &[],
    page: Page {
        what: "Jacks on one side of a panel: the room that the flange of each, or the spanner on its nut, needs on the \
               wall. Of every jack it asks the depth behind the wall and, but for mains inlets, whether it is insulated.",
        why: "A nut that cannot be turned is found when the plate is drilled; a bonded jack spoils an isolator.",
        source: CUSTOM,
        example: "Two XLR flanges of 26 mm at 25 mm from centre to centre overlap by 1 mm.",
        remedy: "move the jacks apart, or turn every other one by a row",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let panels = design.rig.by_tag().into_iter().filter(|device| device.role == Role::Panel);
    panels.filter_map(judge).collect()
}

/// A jack that is mounted with a nut or a flange.
fn is_mounted(port: &Port) -> bool {
    port.connector.as_ref().is_some_and(|connector| connector.family != ConnectorFamily::Fixed)
}

fn judge(panel: &Device) -> Option<Finding> {
    let mut asked = Asked::default();
    let ports: Vec<&Port> = panel.ports.iter().filter(|port| is_mounted(port)).collect();
    let mut worst: Option<(Length, Length, String)> = None;
    for (index, a) in ports.iter().enumerate() {
        let field = |key: &str| Field::device(&panel.tag, "port").below(&a.name).below(key);
        asked.value(a.behind, field("behind"));
        let family = a.connector.as_ref().map(|connector| connector.family);
        if family != Some(ConnectorFamily::Mains) {
            asked.value(a.insulated, field("insulated"));
        }
        let Some(room) = a.connector.as_ref().map(|connector| connector.room) else { continue };
        if room.is_unknown() {
            asked.lack(field("connector"));
        }
        for b in &ports[index + 1..] {
            let (Some(x), Some(y)) = (place(a), place(b)) else { continue };
            let other = b.connector.as_ref().map(|connector| connector.room).unwrap_or_default();
            let (Some(one), Some(two)) = (room.value, other.value) else { continue };
            if a.face.value != b.face.value {
                continue;
            }
            // Side by side or one above the other: the larger of the two distances keeps them apart.
            let apart = (x.0 - y.0).abs().max((x.1 - y.1).abs());
            let wanted = (one + two).half();
            let spare = apart - wanted;
            if worst.as_ref().is_none_or(|(found, least, _)| spare < *found - *least) {
                worst = Some((apart, wanted, format!("{} and {}", a.name, b.name)));
            }
        }
    }
    if let Some((apart, wanted, what)) = worst.filter(|(apart, wanted, _)| apart < wanted) {
        return Some(
            Finding::new(
                ID,
                Severity::Stop,
                format!(
                    "{what} of {} stand {} apart, their nuts or flanges need {}",
                    panel.tag,
                    shown(apart),
                    shown(wanted)
                ),
            )
            .about([&panel.tag])
            .at(Field::device(&panel.tag, "port"), "")
            .with(Evidence::at_least(apart, wanted))
            .assuming(asked.assumed),
        );
    }
    asked.cannot_judge(ID, &format!("the mounting of the jacks of {}", panel.tag), [&panel.tag])
}

/// Its centre along its side, and its height.
fn place(port: &Port) -> Option<(Length, Length)> {
    Some((port.offset.value?, port.height.value?))
}
