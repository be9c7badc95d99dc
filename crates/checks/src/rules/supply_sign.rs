//! Plus and minus the wrong way round.

use design::{Design, feed_state};
use finding::{Change, Edit, Evidence, Field, Finding, Severity};
use rig::{Nature, Sign};

use crate::asked::{Asked, outlet_field};
use crate::supply::fed_by_any;
use crate::{Page, Rule};

const ID: &str = "supply-sign";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "plus and minus the right way round",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[4],
    limits: &[],
    page: Page {
        what: "The polarity at the end of the lead, after a crossing where there is one, against the polarity the device needs.",
        why: "The wrong polarity kills a device that has no diode for it, and blows the diode of one that has.",
        source: "symbols after IEC 60417; the rule itself is common practice, no source",
        example: "A4 is centre positive; SUP.3 gives centre negative and the lead does not cross.",
        remedy: "use a crossing lead, tagged at both ends, or an outlet of the other polarity",
    },
    check,
};

/// The polarity of a barrel in words.
fn polarity(sign: Sign) -> String {
    sign.word().replace('-', " ")
}

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    for fed in fed_by_any(rig).iter().filter(|fed| !fed.needs_none()) {
        let tag = &fed.device.tag;
        let Some((first, outlet)) = fed.outlets.first() else { continue };
        // Alternating current has no sign; a mix of the two is the matter of `supply-nature`.
        if outlet.nature.value == Some(Nature::Ac) || fed.device.power.nature.value == Some(Nature::Ac) {
            continue;
        }
        let Some(state) = feed_state(rig, fed.device) else { continue };
        let mut asked = Asked::default();
        let wants = asked.value(fed.device.wanted_sign(), Field::device(tag, "power.sign"));
        asked.value(rig.outlet_sign(first).unwrap_or(outlet.sign), outlet_field(first, "sign"));
        let (Some(wants), Some(gets)) = (wants, state.sign.value) else {
            out.extend(asked.cannot_judge(ID, &format!("the polarity at {tag}"), fed.devices()));
            continue;
        };
        if wants == gets {
            continue;
        }
        let crossing = !fed.feed.crossing;
        let name = if crossing { "make the lead to" } else { "do not let the lead to" };
        let edit = Edit {
            name: format!("{name} {tag} cross"),
            changes: vec![Change::set(Field::device(tag, "feed.crossing"), crossing)],
        };
        out.push(
            Finding::new(
                ID,
                Severity::Stop,
                format!(
                    "{tag} gets {} from {} and needs {}",
                    polarity(gets),
                    fed.outlets_words(),
                    polarity(wants)
                ),
            )
            .about(fed.devices())
            .at(Field::device(tag, "power.sign"), "")
            .at(outlet_field(first, "sign"), "")
            .with(Evidence::words(polarity(gets), polarity(wants)))
            .assuming(asked.assumed)
            .cured_by(edit),
        );
    }
    out
}
