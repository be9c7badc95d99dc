//! Mains that a device does not take.

use design::Design;
use finding::{Bound, Evidence, Field, Figure, Finding, Severity};
use power::mains::{Refused, country, refuses};
use quantity::{Volts, Window};
use rig::{Device, Nature};

use super::CUSTOM;
use crate::asked::Asked;
use crate::compare::{above, below};
use crate::{Page, Rule};

const ID: &str = "mains-voltage";

/// Above this, a device whose supply nobody wrote down is taken to run on mains: the lower end of what
/// directive 2014/35/EU covers, for alternating current.
const LOW: Volts = Volts::of(50.0);

/// How far the mains may be off its nominal voltage: EN 50160.
const BAND: f64 = 0.10;

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "mains at home and on tour within what each device takes",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[14],
    limits: &[],
    page: Page {
        what: "The nominal mains of the job, and of every country on the tour list, against the window of every device \
               that runs on mains, one voltage standing for what its mains may bring (10 % either way), and against the selector of one that has one.",
        why: "A unit for 120 V on 230 V is destroyed at once, and may burn.",
        source: CUSTOM,
        example: "The job is at 230 V; SUP takes 100 V to 120 V.",
        remedy: "take a supply with a wide input; work on mains is for a competent person, after the local code",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    for device in rig.by_tag() {
        let tag = &device.tag;
        let mut asked = Asked::default();
        match device.power.nature.value {
            Some(Nature::Mains) => {}
            None if device.power.volts.value.is_some_and(|window| LOW < window.high()) => {
                asked.lack(Field::device(tag, "power.type"));
                out.extend(asked.cannot_judge(ID, &format!("whether {tag} takes the mains"), [tag]));
                continue;
            }
            _ => continue,
        }
        let window = asked.value(device.power.volts, Field::device(tag, "power.volts"));
        let mains = rig.job.mains.map(|mains| mains.volts);
        if mains.is_none() {
            asked.lack(Field::new(["job", "mains"]));
        }
        out.extend(selector(device, mains));
        if let Some(window) = window {
            out.extend(on_tour(design, tag, window, &asked));
        }
        let (Some(window), Some(volts)) = (window, mains) else {
            out.extend(asked.cannot_judge(ID, &format!("whether {tag} takes the mains"), [tag]));
            continue;
        };
        let Some(allowed) = outside(window, volts) else { continue };
        out.push(
            Finding::new(ID, Severity::Stop, format!("the mains at home is {volts}, {tag} takes {window}"))
                .about([tag])
                .at(Field::device(tag, "power.volts"), "")
                .with(Evidence::Number { found: Figure::from(volts), allowed })
                .assuming(asked.assumed),
        );
    }
    out
}

/// What of a device's window a nominal mains voltage passes. A device for one voltage takes what the mains of that voltage
/// may bring: a strip for 230 V is right where the mains is 220 V.
fn outside(window: Window, volts: Volts) -> Option<Bound> {
    let is_one = window.low() == window.high();
    let band = if is_one { BAND } else { 0.0 };
    if above(volts.get(), window.high().get() * (1.0 + band)) {
        Some(Bound::AtMost(Figure::from(window.high())))
    } else if below(volts.get(), window.low().get() * (1.0 - band)) {
        Some(Bound::AtLeast(Figure::from(window.low())))
    } else {
        None
    }
}

/// A selector that stands at the mains of another country, and one that nobody looked at.
fn selector(device: &Device, mains: Option<Volts>) -> Option<Finding> {
    let (tag, power) = (&device.tag, &device.power);
    let mains = mains.filter(|_| power.has_selector)?;
    let field = Field::device(tag, "power.selector");
    let mut asked = Asked::default();
    let Some(set) = asked.value(power.selector, field.clone()) else {
        return asked.cannot_judge(ID, &format!("whether the selector of {tag} stands at {mains}"), [tag]);
    };
    // EN 50160: the mains is within 10 % of its nominal voltage.
    let (low, high) = (set.get() * (1.0 - BAND), set.get() * (1.0 + BAND));
    if !above(mains.get(), high) && !below(mains.get(), low) {
        return None;
    }
    Some(
        Finding::new(
            ID,
            Severity::Stop,
            format!("the selector of {tag} stands at {set}, the mains at home is {mains}"),
        )
        .about([tag])
        .at(field, "")
        .with(Evidence::words(set.to_string(), mains.to_string()))
        .remedy("set the selector with the plug out of the wall, and look at it again on every tour")
        .assuming(asked.assumed),
    )
}

/// Countries of the tour list whose mains the device does not take, and those that nobody knows.
fn on_tour(design: &Design, tag: &str, window: Window, asked: &Asked) -> Vec<Finding> {
    let mut out = Vec::new();
    let field = || Field::new(["brief", "countries"]);
    for name in &design.rig.brief.countries {
        let Some(country) = country(name) else {
            let mut asked = Asked::default();
            asked.lack(field().below(name));
            out.extend(asked.cannot_judge(
                ID,
                &format!("whether {tag} takes the mains of {name}"),
                [tag, name],
            ));
            continue;
        };
        let Some(volts) = refuses(country, window, None).iter().find_map(|refused| match refused {
            Refused::Volts(volts) => Some(Volts::of(f64::from(*volts))),
            Refused::Hertz(_) => None,
        }) else {
            continue;
        };
        let Some(allowed) = outside(window, volts) else { continue };
        out.push(
            Finding::new(
                ID,
                Severity::Stop,
                format!(
                    "the mains in {} is {volts}{}, {tag} takes {window}",
                    country.name,
                    if country.must_ask() { " by some lists, ask there" } else { "" }
                ),
            )
            .about([tag, country.code])
            .at(field(), "")
            .at(Field::device(tag, "power.volts"), "")
            .with(Evidence::Number { found: Figure::from(volts), allowed })
            .assuming(asked.assumed.clone()),
        );
    }
    out
}
