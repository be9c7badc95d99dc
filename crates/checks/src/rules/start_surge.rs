//! What a digital device draws when it starts.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Milliamps;
use rig::{Class, FeedKind};

use super::CUSTOM;
use crate::asked::Asked;
use crate::compare::under;
use crate::group::{by_key, devices_but, together};
use crate::supply::{Fed, current_of, fed};
use crate::words::{list, shown};
use crate::{Page, Rule};

const ID: &str = "start-surge";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "outlets too small for a device to start",
    severity: Severity::Look,
    since: "0.1",
    pains: &[3],
    limits: &["surge_factor"],
    page: Page {
        what: "What the outlet has left over its other devices against the start-up draw of a device; of a digital one \
               that nobody measured, against a multiple of its stated draw.",
        why: "A digital device may take several times its draw for some tens of milliseconds, and then restarts \
               for ever.",
        source: CUSTOM,
        example: "A4 draws 300 mA; its outlet gives 400 mA, 450 mA would be wanted.",
        remedy: "feed it from an outlet that gives more, or measure the start-up draw",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let mut cases: Vec<(Vec<&str>, Finding)> = Vec::new();
    let mut out = Vec::new();
    for fed in fed(&design.rig) {
        let power = &fed.device.power;
        let is_guess = power.surge.value.is_none();
        if fed.needs_none() || is_guess && power.class.value == Some(Class::Analogue) {
            continue;
        }
        match judge(design, &fed) {
            Some(case) if !case.is_unchecked() => {
                let mut bricks: Vec<&str> =
                    fed.feed.outlets.iter().map(|outlet| outlet.device.as_str()).collect();
                bricks.dedup();
                cases.push((bricks, case));
            }
            other => out.extend(other),
        }
    }
    for (bricks, cases) in by_key(cases) {
        out.extend(together(cases, |cases| {
            let devices = devices_but(cases, &bricks);
            format!("{devices} may need more when they start than {} gives them", list(&bricks))
        }));
    }
    out
}

fn judge(design: &Design, fed: &Fed<'_>) -> Option<Finding> {
    let (tag, power) = (&fed.device.tag, &fed.device.power);
    let mut asked = Asked::default();
    let measured = power.surge.value.is_some();
    let wanted = if measured {
        asked.value(power.surge, Field::device(tag, "power.surge"))
    } else {
        let draw = asked.value(power.current, Field::device(tag, "power.current"));
        draw.map(|draw| draw * design.limits.surge_factor.get())
    };
    let mut given: Option<Milliamps> = None;
    for (at, outlet) in &fed.outlets {
        let mut left = current_of(&mut asked, at, outlet)?;
        for other in design.outlets.iter().filter(|load| load.outlet == **at).flat_map(|load| &load.devices) {
            if other != tag {
                left -= design.rig.device(other)?.power.current.value?;
            }
        }
        given = Some(match (given, fed.feed.kind) {
            (None, _) => left,
            (Some(sum), FeedKind::ParallelPair) => sum + left,
            (Some(least), _) => least.min(left),
        });
    }
    // Unknown draws and settings are told by `outlet-load`; they count here as soon as they are known.
    let (wanted, given) = (wanted?, given?);
    if !under(given, wanted) {
        return None;
    }
    if power.class.is_unknown() && !measured {
        asked.lack(Field::device(tag, "power.class"));
        return asked.cannot_judge(
            ID,
            &format!("whether {tag} starts on {}", fed.outlets_words()),
            fed.devices(),
        );
    }
    let guess = if measured { "draws" } else { "may draw" };
    Some(
        Finding::new(
            ID,
            Severity::Look,
            format!(
                "{tag} {guess} {} when it starts, {} {} {} for it",
                shown(wanted),
                fed.outlets_words(),
                fed.verb("has", "have"),
                shown(given)
            ),
        )
        .about(fed.devices())
        .at(Field::device(tag, if measured { "power.surge" } else { "power.current" }), "")
        .with(Evidence::at_least(given, wanted))
        .assuming(asked.assumed),
    )
}
