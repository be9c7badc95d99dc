//! Supply plugs that do not fit.

use std::collections::BTreeSet;

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::{Connector, PlugKind, PlugSpec, PortRef};

use super::CUSTOM;
use crate::asked::{Asked, Together, port_field};
use crate::fit::{Fit, fit};
use crate::supply::{Fed, inlet, inlet_lacks, plugged_by_any};
use crate::{Page, Rule};

const ID: &str = "supply-barrel";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "supply plugs that do not fit",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[11],
    limits: &[],
    page: Page {
        what: "The plug at each end of every supply lead against the inlet and the outlet it goes into, an adaptor \
               on the lead counted.",
        why: "A 2.5 mm plug goes onto a 2.1 mm pin and lets go in the second song.",
        source: CUSTOM,
        example: "A4 has an inlet for 5.5 × 2.5 mm; the lead to it ends in a plug for 2.1 mm.",
        remedy: "put another plug on the lead, or an adaptor at the device",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let mut out = Vec::new();
    let mut open = Together::default();
    let feeds = plugged_by_any(&design.rig);
    let mut seen = BTreeSet::new();
    for fed in &feeds {
        let tag = &fed.device.tag;
        if fed.outlets.is_empty() && !fed.is_own_adaptor() {
            continue;
        }
        // What an adaptor ends in nobody but its maker chose; where it is known it must fit.
        if fed.is_own_adaptor() && fed.feed.device_plug.plug.is_none() {
            continue;
        }
        let mut asked = Asked::default();
        match inlet(fed.device) {
            Some(port) => {
                let at = PortRef::new(tag, &port.name);
                match &port.connector {
                    None => asked.lack(port_field(&at, "connector")),
                    Some(connector) => match &fed.feed.barrel_adaptor {
                        Some(adaptor) => out.extend(adapted(fed, adaptor, connector, &at)),
                        None => {
                            let spec = plug_at(design, &at).unwrap_or(&fed.feed.device_plug);
                            out.extend(end(fed, spec, connector, &at, "plug", &mut open));
                        }
                    },
                }
            }
            None => inlet_lacks(fed.device).into_iter().for_each(|field| asked.lack(field)),
        }
        // An adaptor's lead is fixed to it.
        for (at, _) in fed.outlets.iter().filter(|_| !fed.is_own_adaptor()) {
            // One plug feeds all that share an outlet: it is judged once.
            if !seen.insert(at) {
                continue;
            }
            match design.rig.port(at).map(|port| &port.connector) {
                Some(Some(connector)) => {
                    let spec = plug_at(design, at).unwrap_or(&fed.feed.outlet_plug);
                    out.extend(end(fed, spec, connector, at, "outlet_plug", &mut open));
                }
                Some(None) => {
                    asked.lack(Field::device(&at.device, "outlet").below(&at.port).below("connector"));
                }
                None => {}
            }
        }
        out.extend(asked.cannot_judge(ID, &format!("whether the supply lead fits {tag}"), fed.devices()));
    }
    out.extend(open.finding(ID, "whether the supply leads fit"));
    out
}

/// The plug that the supply lead at a port has there, whoever of those it feeds states it.
fn plug_at<'a>(design: &'a Design, at: &PortRef) -> Option<&'a PlugSpec> {
    let supplies = design.leads.iter().filter(|lead| lead.run.is_none());
    supplies.flat_map(|lead| &lead.ends).find(|end| end.port == *at).map(|end| &end.plug)
}

/// One end of the lead.
fn end(
    fed: &Fed<'_>,
    spec: &PlugSpec,
    connector: &Connector,
    at: &PortRef,
    key: &str,
    open: &mut Together,
) -> Option<Finding> {
    let tag = &fed.device.tag;
    let Some(plug) = &spec.plug else {
        open.add(tag, Field::device(tag, "feed").below(key));
        return None;
    };
    let (severity, says) = match fit(plug, connector) {
        Fit::Good => return None,
        Fit::Loose => (Severity::Look, "sits loosely in"),
        Fit::None => (Severity::Stop, "does not fit"),
    };
    Some(
        Finding::new(ID, severity, format!("supply plug {} {says} {at}, a {}", plug.id, connector.id))
            .about(fed.devices())
            .at(Field::device(tag, "feed").below(key), "")
            .with(Evidence::words(plug.id.clone(), connector.id.clone())),
    )
}

/// The end of a lead with an adaptor on it.
fn adapted(fed: &Fed<'_>, adaptor: &PlugKind, connector: &Connector, at: &PortRef) -> Option<Finding> {
    let tag = &fed.device.tag;
    let field = Field::device(tag, "feed.barrel_adaptor");
    let (severity, says) = match fit(adaptor, connector) {
        Fit::Good => return None,
        Fit::Loose => (Severity::Look, "sits loosely in"),
        Fit::None => (Severity::Stop, "does not fit"),
    };
    Some(
        Finding::new(ID, severity, format!("adaptor {} {says} {at}, a {}", adaptor.id, connector.id))
            .about(fed.devices())
            .at(field, "")
            .with(Evidence::words(adaptor.id.clone(), connector.id.clone())),
    )
}
