//! A change for other programs.

use quantity::Length;

use crate::wire;
use crate::{
    Became, Case, DeviceChange, FindingChange, Hole, LabelOf, LeadChange, LeadEnd, Made, Outlet,
    RevisionChange, Words,
};

/// The change as JSON; lengths in millimetres.
pub fn json(change: &RevisionChange) -> wire::Change<'_> {
    wire::Change {
        schema: wire::CHANGE_SCHEMA,
        empty: change.is_empty(),
        devices: change.devices.iter().map(device).collect(),
        board: change.board.iter().map(words).collect(),
        runs: change.runs.iter().map(words).collect(),
        feeds: change.feeds.iter().map(words).collect(),
        leads: change.leads.iter().map(lead).collect(),
        outlets: change.outlets.iter().map(outlet).collect(),
        holes_blanked: change.blanked.iter().map(hole).collect(),
        holes_drilled: change.drilled.iter().map(hole).collect(),
        labels_off: change.labels_off.iter().map(label).collect(),
        labels_on: change.labels_on.iter().map(label).collect(),
        papers_void: &change.void,
        papers_good: &change.good,
        tests_again: &change.tests,
        tests_stand: change.tests_stand,
        findings: change.findings.iter().map(finding).collect(),
    }
}

fn words(words: &Words) -> wire::Words<'_> {
    wire::Words { of: &words.of, before: &words.before, after: &words.after }
}

fn device(device: &DeviceChange) -> wire::Device<'_> {
    let values = device.values.iter().map(|value| wire::Value {
        key: &value.key,
        before: &value.before,
        after: &value.after,
    });
    wire::Device {
        tag: &device.tag,
        title: &device.title,
        became: device.moved.word(),
        kind: device.kind.as_ref().map(|kind| [words(kind)]),
        place: device.place.as_ref().map(|place| [words(place)]),
        values: values.collect(),
    }
}

fn lead(lead: &LeadChange) -> wire::Lead<'_> {
    let (why, spare, offcut) = match &lead.became {
        Became::Remade { why } | Became::Altered { how: why } | Became::Unclear { why } => {
            (Some(why.as_str()), None, None)
        }
        Became::Reaches { spare } => (None, Some(*spare), None),
        Became::Redrawn { spare } => (None, *spare, None),
        Became::Gone { offcut } => (None, None, *offcut),
        Became::New | Became::Stays => (None, None, None),
    };
    wire::Lead {
        tag: lead.tag(),
        name: &lead.name,
        was: lead.old_tag(),
        became: lead.became.word(),
        why,
        spare_mm: spare.map(Length::as_mm),
        offcut_mm: offcut.map(Length::as_mm),
        renumbered: lead.renumbered,
        before: lead.before.as_ref().map(made),
        after: lead.after.as_ref().map(made),
    }
}

fn made(made: &Made) -> wire::Made<'_> {
    wire::Made {
        tag: &made.tag,
        class: made.class.word(),
        making: format!("{:?}", made.making).to_lowercase(),
        cable: made.cable.as_deref(),
        ends: made.ends.iter().map(end).collect(),
        cuts_mm: made.cuts.iter().map(|cut| cut.map(Length::as_mm)).collect(),
        turned_deg: made.turned,
        wires: &made.wires,
    }
}

fn end(end: &LeadEnd) -> wire::End<'_> {
    wire::End { port: &end.port, plug: end.plug.as_deref(), fitting: end.fitting }
}

fn outlet(outlet: &Outlet) -> wire::Outlet<'_> {
    wire::Outlet { outlet: &outlet.outlet, before: &outlet.before, after: &outlet.after }
}

fn hole(hole: &Hole) -> wire::Hole<'_> {
    wire::Hole {
        plate: &hole.plate,
        of: &hole.of,
        x_mm: hole.x.map(Length::as_mm),
        y_mm: hole.y.map(Length::as_mm),
        width_mm: hole.width.map(Length::as_mm),
        height_mm: hole.height.map(Length::as_mm),
    }
}

fn label(label: &LabelOf) -> wire::Label<'_> {
    wire::Label { kind: label.kind, of: &label.of, lines: &label.lines }
}

fn finding(finding: &FindingChange) -> wire::Finding<'_> {
    wire::Finding { before: finding.before.as_ref().map(case), after: finding.after.as_ref().map(case) }
}

fn case(case: &Case) -> wire::Case<'_> {
    wire::Case {
        rule: case.rule,
        severity: case.severity.word(),
        message: &case.message,
        devices: &case.devices,
        leads: &case.leads,
    }
}
