//! Alternating current into a device for direct current, and the like.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::Nature;

use super::CUSTOM;
use crate::asked::{Asked, outlet_field};
use crate::supply::fed_by_any;
use crate::{Page, Rule};

const ID: &str = "supply-nature";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "direct and alternating current mixed up",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[6],
    limits: &[],
    page: Page {
        what: "The nature of each outlet against what the device on it needs.",
        why: "Alternating current in a device made for direct current destroys it at once.",
        source: CUSTOM,
        example: "SUP.8 gives 9 V AC; A4 needs DC.",
        remedy: "feed the device from an outlet of its own nature",
    },
    check,
};

/// A kind of supply as it is said.
fn spoken(nature: Nature) -> String {
    match nature {
        Nature::Dc | Nature::Ac => nature.word().to_uppercase(),
        other => other.word().to_owned(),
    }
}

fn article(nature: Nature) -> &'static str {
    if nature == Nature::Ac { "an" } else { "a" }
}

fn check(design: &Design) -> Vec<Finding> {
    let mut out = Vec::new();
    for fed in fed_by_any(&design.rig) {
        let tag = &fed.device.tag;
        let Some((reference, _)) = fed.outlets.first() else { continue };
        if fed.needs_none() {
            out.push(
                Finding::new(
                    ID,
                    Severity::Look,
                    format!(
                        "{tag} needs no power, yet {} {} it",
                        fed.outlets_words(),
                        fed.verb("feeds", "feed")
                    ),
                )
                .about(fed.devices())
                .at(Field::device(tag, "feed"), ""),
            );
            continue;
        }
        let mut asked = Asked::default();
        let wants = asked.value(fed.device.power.nature, Field::device(tag, "power.type"));
        let natures: Vec<_> =
            fed.outlets.iter().map(|(at, o)| (at, asked.value(o.nature, outlet_field(at, "type")))).collect();
        let wrong =
            natures.iter().find(|(_, nature)| nature.is_some() && wants.is_some() && *nature != wants);
        if let (Some(wants), Some((at, Some(nature)))) = (wants, wrong) {
            out.push(
                Finding::new(
                    ID,
                    Severity::Stop,
                    format!(
                        "outlet {at} is {} {} outlet, and {tag} needs {}",
                        article(*nature),
                        spoken(*nature),
                        spoken(wants)
                    ),
                )
                .about(fed.devices())
                .at(Field::device(tag, "feed"), "")
                .at(outlet_field(at, "type"), "")
                .with(Evidence::words(spoken(*nature), spoken(wants)))
                .assuming(asked.assumed),
            );
        } else {
            let what = format!("whether {reference} suits {tag}");
            out.extend(asked.cannot_judge(ID, &what, fed.devices()));
        }
    }
    out
}
