//! Holes of a panel too near each other or its edge.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Length;
use rig::{Device, Face, Role};

use super::CUSTOM;
use crate::asked::Asked;
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "panel-holes";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "material between the holes of a panel",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[50],
    limits: &["panel_web"],
    page: Page {
        what: "Holes on one side of a panel: the web between two, and the rest to the panel's edges, from the holes' \
               diameters and centres.",
        why: "A web that is too thin bends when the nut is turned, and the nut's flats meet.",
        source: CUSTOM,
        example: "Two 24 mm holes at 26 mm leave a web of 2 mm.",
        remedy: "move the holes apart, or take a longer or higher panel",
    },
    check,
};

/// A hole on a side: name, centre along the side, height, diameter.
type Hole<'a> = (&'a str, Length, Length, Length);

fn check(design: &Design) -> Vec<Finding> {
    design
        .rig
        .devices
        .iter()
        .filter(|device| device.role == Role::Panel)
        .filter_map(|panel| judge(design, panel))
        .collect()
}

fn judge(design: &Design, panel: &Device) -> Option<Finding> {
    let limit = design.limits.panel_web;
    let mut asked = Asked::default();
    let mut worst: Option<(Length, String)> = None;
    let size = asked.value(panel.size, Field::device(&panel.tag, "size"));
    for port in &panel.ports {
        let field = |key: &str| Field::device(&panel.tag, "port").below(&port.name).below(key);
        asked.value(port.face, field("face"));
        if port.connector.is_none() {
            asked.lack(field("connector"));
        }
    }
    for face in [Face::Front, Face::Right, Face::Back, Face::Left] {
        let mut holes: Vec<Hole<'_>> = Vec::new();
        for port in panel.ports.iter().filter(|port| port.face.value == Some(face)) {
            // A soldered or captive end has no hole of its own.
            let Some(hole) = port.connector.as_ref().and_then(|connector| connector.hole.value) else {
                continue;
            };
            let field = |key: &str| Field::device(&panel.tag, "port").below(&port.name).below(key);
            let offset = asked.value(port.offset, field("offset"));
            let height = asked.value(port.height, field("height"));
            if let (Some(offset), Some(height)) = (offset, height) {
                holes.push((&port.name, offset, height, hole));
            }
        }
        let mut note = |web: Length, what: String| {
            if worst.as_ref().is_none_or(|(least, _)| web < *least) {
                worst = Some((web, what));
            }
        };
        for (index, a) in holes.iter().enumerate() {
            for b in &holes[index + 1..] {
                let (dx, dy) = ((a.1 - b.1).as_mm(), (a.2 - b.2).as_mm());
                let apart = (dx * dx + dy * dy).sqrt();
                let web = apart - f64::midpoint(a.3.as_mm(), b.3.as_mm());
                note(Length::from_mm_rounded(web), format!("{} and {}", a.0, b.0));
            }
            if let Some(size) = size {
                let long = if matches!(face, Face::Front | Face::Back) { size.width } else { size.depth };
                let half = a.3.half();
                for (rest, edge) in [
                    (a.1 - half, "side"),
                    (long - a.1 - half, "side"),
                    (a.2 - half, "lower edge"),
                    (size.height - a.2 - half, "upper edge"),
                ] {
                    note(rest, format!("{} and the {edge}", a.0));
                }
            }
        }
    }
    if !asked.complete() {
        return asked.cannot_judge(ID, &format!("the holes of {}", panel.tag), [&panel.tag]);
    }
    let (web, what) = worst.filter(|(web, _)| *web < limit)?;
    Some(
        Finding::new(
            ID,
            Severity::Stop,
            format!("{} leaves {} between {what}, {} needed", panel.tag, shown(web), shown(limit)),
        )
        .about([&panel.tag])
        .at(Field::device(&panel.tag, "port"), "")
        .with(Evidence::at_least(web, limit))
        .assuming(asked.assumed),
    )
}
