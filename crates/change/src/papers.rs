//! Which papers become void: those that show something else than before.

use design::{
    Design, batches, bill, clocking, install_order, labels, lead_capacitance, lead_resistance, outlet_words,
    plates, tests, work_order,
};
use serde_json::Value;

use crate::Side;

/// What a paper shows, as text to compare.
type Shows = fn(&Side<'_>) -> String;

/// Every paper by its name in the set, with what it shows beyond the title block.
const PAPERS: &[(&str, Shows)] = &[
    ("brief", |side| format!("{:?}", side.design.rig.brief)),
    ("approval", |side| format!("{}{:?}{:?}", layout(side), side.design.rig.quote, side.findings)),
    ("path", |side| {
        format!("{}{}", part(side, &["runs", "states", "switching", "sources", "sinks"]), leads(side.design))
    }),
    ("layout", layout),
    ("template", |side| part(side, &["board", "boxes"])),
    ("power", |side| format!("{}{}", part(side, &["outlets"]), power(side.design))),
    ("leads", |side| leads(side.design)),
    ("labels", |side| format!("{:?}", labels(side.design))),
    ("panel", |side| format!("{:?}", plates(side.design))),
    ("bill", |side| format!("{:?}{:?}", bill(side.design), side.design.mass.items)),
    ("order", order),
    ("tests", |side| format!("{:?}", tests(side.design))),
    ("handover", |side| format!("{}{}", layout(side), leads(side.design))),
    ("fault", |side| format!("{}{}", part(side, &["runs"]), leads(side.design))),
    ("findings", |side| format!("{:?}", side.findings)),
];

/// Names of papers that show something else, and of those that do not. The revision record is always written on.
pub(crate) fn papers(before: &Side<'_>, after: &Side<'_>) -> (Vec<&'static str>, Vec<&'static str>) {
    let (void, good): (Vec<_>, Vec<_>) = PAPERS.iter().partition(|(_, shows)| shows(before) != shows(after));
    let names = |papers: Vec<&(&'static str, Shows)>| papers.into_iter().map(|(name, _)| *name).collect();
    (names(void), names(good))
}

/// Parts of the resolved rig.
fn part(side: &Side<'_>, keys: &[&str]) -> String {
    let all = crate::devices::resolved(side.design);
    keys.iter().map(|key| all.get(*key).unwrap_or(&Value::Null).to_string()).collect()
}

fn layout(side: &Side<'_>) -> String {
    part(side, &["board", "devices", "leads"])
}

fn leads(design: &Design) -> String {
    let order: Vec<&str> = install_order(design).iter().map(|lead| lead.tag.as_str()).collect();
    let figures: Vec<String> = design
        .leads
        .iter()
        .map(|lead| {
            format!(
                "{lead:?}{:?}{:?}{:?}",
                clocking(&design.rig, lead),
                lead_resistance(&design.rig, lead),
                lead_capacitance(lead)
            )
        })
        .collect();
    format!("{order:?}{:?}{figures:?}", batches(design))
}

fn power(design: &Design) -> String {
    let devices = design.rig.devices.iter();
    let outlets =
        devices.clone().flat_map(|device| device.outlets.iter().map(|outlet| outlet_words(device, outlet)));
    format!(
        "{:?}{:?}",
        outlets.collect::<Vec<_>>(),
        devices.map(|device| (&device.power, &device.feed)).collect::<Vec<_>>()
    )
}

/// What the work order prints of its acts; the figures that they rest on stand on other papers.
fn order(side: &Side<'_>) -> String {
    let stages = work_order(side.design);
    let steps = stages.iter().flat_map(|stage| {
        stage.steps.iter().map(move |step| {
            format!("{}{}{}{}{:?}", stage.title, step.text, step.minutes, step.hold, step.at_hand)
        })
    });
    steps.collect()
}
