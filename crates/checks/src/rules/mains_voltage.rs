//! Mains that a device does not take.

use design::Design;
use finding::{Bound, Evidence, Field, Figure, Finding, Severity};
use power::mains::{Country, Refused, country, refuses};
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
        out.extend(selector_on_tour(design, device));
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

/// Countries of the tour list for which a selector that stands right at home must be set otherwise first.
fn selector_on_tour(design: &Design, device: &Device) -> Vec<Finding> {
    let (tag, power) = (&device.tag, &device.power);
    let Some(set) = power.selector.value.filter(|_| power.has_selector) else { return Vec::new() };
    let mut out = Vec::new();
    for country in design.rig.brief.countries.iter().filter_map(|name| country(name)) {
        let stands = |volts: &&u32| {
            let volts = f64::from(**volts);
            above(volts, set.get() * (1.0 + BAND)) || below(volts, set.get() * (1.0 - BAND))
        };
        let Some(volts) = country.volts.iter().find(stands).map(|volts| Volts::of(f64::from(*volts))) else {
            continue;
        };
        let harm = if set < volts {
            "before the plug goes into a wall there: it is destroyed otherwise"
        } else {
            "there"
        };
        let mut asked = Asked::default();
        asked.value(power.selector, Field::device(tag, "power.selector"));
        out.push(
            Finding::new(
                ID,
                Severity::Look,
                format!(
                    "the selector of {tag} stands at {set}, the mains in {} is {volts}; set it {harm}",
                    country.name
                ),
            )
            .about([tag, country.code])
            .at(Field::device(tag, "power.selector"), "")
            .at(Field::new(["brief", "countries"]), "")
            .with(Evidence::words(set.to_string(), volts.to_string()))
            .remedy("set the selector with the plug out of the wall, and write on the case that it has one")
            .assuming(asked.assumed),
        );
    }
    out
}

/// The two classes of the world's mains: what a supply takes that goes everywhere.
const CLASSES: [f64; 2] = [115.0, 230.0];

/// A country where one must ask, for a device that does not take both classes.
fn must_ask(country: &Country, tag: &str, window: Window, asked: &Asked) -> Option<Finding> {
    let takes = |volts: f64| outside(window, Volts::of(volts)).is_none();
    if !country.must_ask() || CLASSES.into_iter().all(takes) {
        return None;
    }
    let volts: Vec<String> = country.volts.iter().map(|volts| format!("{volts} V")).collect();
    let volts = volts.join(" or ");
    Some(
        Finding::new(
            ID,
            Severity::Look,
            format!(
                "the lists of mains differ on {}, {volts} by most: ask there; {tag} takes {window}",
                country.name
            ),
        )
        .about([tag, country.code])
        .at(Field::new(["brief", "countries"]), "")
        .at(Field::device(tag, "power.volts"), "")
        .with(Evidence::words(volts, window.to_string()))
        .remedy("ask the venue, or take a supply with a wide input")
        .assuming(asked.assumed.clone()),
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
            out.extend(must_ask(country, tag, window, asked));
            continue;
        };
        let Some(allowed) = outside(window, volts) else {
            out.extend(must_ask(country, tag, window, asked));
            continue;
        };
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
