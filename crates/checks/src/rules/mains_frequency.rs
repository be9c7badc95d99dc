//! Supplies that are made for another frequency than the mains has.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use power::mains::{Country, country};
use rig::{Device, MainsHertz, Nature, Role};

use super::CUSTOM;
use crate::asked::Asked;
use crate::words::some;
use crate::{Page, Rule};

const ID: &str = "mains-frequency";

/// The frequencies of the world's mains, in hertz.
const FIFTY: u32 = 50;
const SIXTY: u32 = 60;

/// Nearer than this a stated frequency is one of the two, in hertz: what the grid wanders is less, the two are ten apart.
const NEAR: f64 = 1.0;

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "mains at home and on tour of a frequency that each supply is made for",
    severity: Severity::Stop,
    since: "0.2",
    pains: &[14],
    limits: &[],
    page: Page {
        what: "The frequency of the job’s mains, and of the mains of every country on the tour list, against the frequency \
               that every device on mains is made for. Strips pass any.",
        why: "The iron of a transformer for 60 Hz carries a fifth more flux at 50 Hz: it saturates, runs hot and may burn. The \
              other way round it runs cooler; only what counts the cycles runs fast.",
        source: CUSTOM,
        example: "The job is at 50 Hz; SUP is made for 60 Hz.",
        remedy: "take a supply for 50/60 Hz; work on mains is for a competent person, after the local code",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let devices = design.rig.by_tag().into_iter();
    let on_mains = devices
        .filter(|device| device.power.nature.value == Some(Nature::Mains) && device.role != Role::Strip);
    on_mains.flat_map(|device| of_device(design, device)).collect()
}

fn of_device(design: &Design, device: &Device) -> Vec<Finding> {
    let (rig, tag) = (&design.rig, &device.tag);
    let field = Field::device(tag, "power.hertz");
    let home = rig.job.mains.map(|mains| mains.hertz.get());
    let abroad: Vec<&Country> = rig.brief.countries.iter().filter_map(|name| country(name)).collect();
    let with = |hertz: u32| -> Vec<&Country> {
        abroad.iter().copied().filter(|country| country.hertz.contains(&hertz)).collect()
    };
    let is_home = |hertz: u32| home.is_some_and(|home| (home - f64::from(hertz)).abs() < NEAR);
    let mut asked = Asked::default();
    let made = match asked.value(device.power.hertz, field.clone()) {
        Some(MainsHertz::Both) => return Vec::new(),
        Some(made) => made,
        None => {
            // What is made for either one stands 60 Hz.
            let is_all_sixty = is_home(SIXTY) && with(FIFTY).is_empty();
            let says = format!("whether {tag} is made for the frequency of the mains");
            return if is_all_sixty {
                Vec::new()
            } else {
                asked.cannot_judge(ID, &says, [tag]).into_iter().collect()
            };
        }
    };
    let mut out = Vec::new();
    if home.is_none() {
        let mut asked = Asked::default();
        asked.lack(Field::new(["job", "mains"]));
        let says = format!("whether {tag}, made for {}, suits the mains at home", made.word());
        out.extend(asked.cannot_judge(ID, &says, [tag]));
    }
    let (other, severity) = match made {
        MainsHertz::Sixty => (FIFTY, Severity::Stop),
        _ => (SIXTY, Severity::Note),
    };
    let finding = |says: String, place: Field| {
        Finding::new(ID, severity, says)
            .about([tag])
            .at(field.clone(), "")
            .at(place, "")
            .with(Evidence::words(made.word(), format!("{other} Hz")))
            .assuming(asked.assumed.clone())
    };
    if is_home(other) {
        let says = format!("the mains at home is {other} Hz, {tag} is made for {}", made.word());
        out.push(finding(says, Field::new(["job", "mains", "hertz"])));
    }
    let there = with(other);
    if !there.is_empty() {
        let name = |country: &&Country| {
            let ask = if 1 < country.hertz.len() { " in parts, ask there" } else { "" };
            format!("{}{ask}", country.name)
        };
        let names: Vec<String> = there.iter().map(name).collect();
        let says = format!(
            "{tag} is made for {}, the mains is {other} Hz in {}",
            made.word(),
            some(&names, "others")
        );
        let codes = there.iter().map(|country| country.code);
        out.push(finding(says, Field::new(["brief", "countries"])).about(codes));
    }
    out
}
