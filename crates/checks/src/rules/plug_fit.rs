//! Signal and control plugs that do not fit their jacks.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::geometry::EndKind;
use rig::{Connector, Fitting, PlugKind, PortRole};

use super::CUSTOM;
use crate::asked::{Together, port_field};
use crate::fit::{Fit, fit};
use crate::group::together;
use crate::words::some;
use crate::{Page, Rule};

const ID: &str = "plug-fit";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "signal and control plugs that do not fit",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[51, 53],
    limits: &[],
    page: Page {
        what: "The plug at each end of every lead of a run against the jack it goes into. Plugs that nobody has chosen \
               yet are told by clearance; supply plugs by supply-barrel.",
        why: "A mono plug in a stereo jack shorts the ring; a small plug does not go into a large jack at all.",
        source: CUSTOM,
        example: "The lead into A4.IN ends in a 3.5 mm plug; the jack is a 6.35 mm one.",
        remedy: "put the plug on the lead that the jack asks for",
    },
    check,
};

/// Plug and connector in words, and severity: what makes two misfits one mistake.
type Kind = (String, String, Severity);

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    let mut cases: Vec<(Kind, (String, Finding))> = Vec::new();
    let mut unknown = Together::default();
    for end in design.ends.iter().filter(|end| !end.inner) {
        let Some(port) = rig.port(&end.port) else { continue };
        let supplies = matches!(port.role.value, Some(PortRole::Power | PortRole::Outlet));
        if supplies {
            continue;
        }
        // A captive end has no plug; what an adaptor's prongs go into `mains-plug` judges.
        let own = rig.device(&end.other.device).and_then(|device| device.feed.as_ref()?.adaptor.as_ref());
        let judged = end.plug.plug.is_none() || own.is_some_and(|own| own.prongs == end.plug.plug);
        let adaptor = judged && end.fitting == Fitting::Captive && end.is_in_socket(rig);
        if adaptor || end.is_captive_without_plug(rig) {
            continue;
        }
        let Some(plug) = &end.plug.plug else {
            // Beside the board there are no boxes, so `clearance` does not ask for this plug.
            if rig.device(&end.port.device).is_some_and(|device| device.outside) {
                let (lead, key) = match end.end {
                    EndKind::From => (format!("{} > {}", end.port, end.other), "from_plug"),
                    EndKind::To => (format!("{} > {}", end.other, end.port), "to_plug"),
                };
                unknown.add(&end.port.device, Field::of("lead", &lead, key));
            }
            continue;
        };
        let Some(connector) = &port.connector else {
            unknown.add(&end.port.device, port_field(&end.port, "connector"));
            continue;
        };
        let (severity, says) = match fit(plug, connector) {
            Fit::Good => continue,
            Fit::Loose => (Severity::Look, "sits loosely in"),
            Fit::None => (Severity::Stop, "does not fit"),
        };
        let other = match end.end {
            EndKind::From => format!("towards {}", end.other),
            EndKind::To => format!("from {}", end.other),
        };
        let (plug_words, connector_words) = (plug_words(plug), connector_words(connector));
        let case = Finding::new(
            ID,
            severity,
            format!("{plug_words} {says} {} ({other}), {connector_words}", end.port),
        )
        .about([&end.port.device, &end.other.device])
        .at(port_field(&end.port, "connector"), "")
        .with(Evidence::words(name(&plug.title, &plug.id), name(&connector.title, &connector.id)));
        cases.push(((plug_words, connector_words, severity), (end.port.to_string(), case)));
    }
    // One kind of plug in one kind of jack is one mistake, however often it was made.
    let mut kinds: Vec<(Kind, Vec<(String, Finding)>)> = Vec::new();
    for (key, case) in cases {
        match kinds.iter_mut().find(|(known, _)| *known == key) {
            Some((_, list)) => list.push(case),
            None => kinds.push((key, vec![case])),
        }
    }
    for ((plug, connector, severity), cases) in kinds {
        let (ports, cases): (Vec<String>, Vec<Finding>) = cases.into_iter().unzip();
        let says = if severity == Severity::Stop { "does not fit" } else { "sits loosely in" };
        out.extend(together(cases, |_| {
            format!("{plug} {says} {}, each {connector}", some(&ports, "others"))
        }));
    }
    out.extend(unknown.finding(ID, "whether the plugs fit"));
    out
}

/// What the catalogue calls it, or its id.
fn name<'a>(title: &'a str, id: &'a str) -> &'a str {
    if title.is_empty() { id } else { title }
}

/// A plug at the beginning of a phrase; with a comma in its title one more closes it.
fn plug_words(plug: &PlugKind) -> String {
    let name = name(&plug.title, &plug.id);
    let comma = if name.contains(", ") { "," } else { "" };
    if plug.title.is_empty() { format!("plug {name}") } else { format!("{name}{comma}") }
}

/// A connector with its article: `a 6.35 mm jack with three contacts`.
fn connector_words(connector: &Connector) -> String {
    let name = name(&connector.title, &connector.id);
    let name = match name.split_once(", ") {
        Some((what, contacts)) if contacts.ends_with(" contacts") => format!("{what} with {contacts}"),
        _ => name.to_owned(),
    };
    let article = if name.starts_with(['a', 'e', 'i', 'o']) || name.starts_with("XLR") {
        "an "
    } else if name.starts_with("two ") {
        ""
    } else {
        "a "
    };
    format!("{article}{name}")
}
