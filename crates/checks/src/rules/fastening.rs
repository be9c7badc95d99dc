//! Devices that do not hold: too little under them, or too heavy for tape on a touring rig.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::{Area, Grams};
use rig::{Device, Fasten, FastenKind, Known};

use super::CUSTOM;
use crate::asked::{Asked, Together};
use crate::compare::{above, below};
use crate::space::is_on_board;
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "fastening";

/// Strips below which a device turns on its board. Common practice, no source.
const STRIPS: u32 = 2;

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "devices that are not held firmly enough",
    severity: Severity::Look,
    since: "0.1",
    pains: &[47],
    limits: &["fixing_mass", "strip_area", "pad_area"],
    page: Page {
        what: "The area of hook-and-loop strip or of pads under each device against its mass, where the document says \
               what holds it, and whether there are two strips at least. The area stands for the shocks of carrying: \
               40 cm² at 4 N/cm² hold sixteen times the weight of a kilogram. On a touring rig also every heavy \
               device that stands on a deck by tape or pads alone, and what hangs under a deck by them. What is screwed or \
               clamped, or hangs in a bracket, is not judged.",
        why: "A wah of 1.5 kg comes off in the van and takes its neighbours with it.",
        source: CUSTOM,
        example: "W1 weighs 1.5 kg and the rig tours.",
        remedy: "put more strip under it, screw it by its base or clamp it, or accept the finding with how it is held",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    let mut unknown = Together::default();
    for device in rig.by_tag().into_iter().filter(|device| is_on_board(device)) {
        if device.place.as_ref().is_some_and(|place| place.under) {
            out.extend(hangs(device));
            continue;
        }
        let kind = device.fasten.as_ref().and_then(|fasten| fasten.kind.value);
        if let Some(fasten) = &device.fasten {
            out.extend(area(design, device, fasten));
            out.extend(strips(device, fasten));
        }
        if rig.brief.touring && !matches!(kind, Some(FastenKind::Screw | FastenKind::Clamp)) {
            match device.mass.value {
                None => unknown.add(&device.tag, mass_field(device)),
                Some(mass) => out.extend(tape_alone(design, device, mass)),
            }
        }
    }
    out.extend(unknown.finding(ID, "how firmly to fix"));
    out
}

fn mass_field(device: &Device) -> Field {
    Field::device(&device.tag, "mass")
}

fn fasten_field(device: &Device, key: &str) -> Field {
    Field::device(&device.tag, "fasten").below(key)
}

/// On tour, tape or pads alone do not hold what is heavy.
fn tape_alone(design: &Design, device: &Device, mass: Grams) -> Option<Finding> {
    let limit = design.limits.fixing_mass;
    let field = mass_field(device);
    above(mass.get(), limit.get()).then(|| {
        let message =
            format!("{} weighs {} and the rig tours: tape alone does not hold it", device.tag, shown(mass));
        let assumed = device.mass.is_assumed().then(|| field.clone());
        Finding::new(ID, Severity::Look, message)
            .about([&device.tag])
            .at(field, "")
            .with(Evidence::at_most(mass, limit))
            .assuming(assumed)
    })
}

/// The area under a device, for each kilogram of it.
fn area(design: &Design, device: &Device, fasten: &Fasten) -> Option<Finding> {
    const GRAMS_PER_KILOGRAM: f64 = 1000.0;
    const MM2_PER_CM2: f64 = 100.0;
    let (limit, what) = match fasten.kind.value? {
        FastenKind::Strip => (design.limits.strip_area, "hook and loop"),
        FastenKind::Pad => (design.limits.pad_area, "pads"),
        FastenKind::Screw | FastenKind::Clamp => return None,
    };
    let mut asked = Asked::default();
    let mass = asked.value(device.mass, mass_field(device));
    let held: Option<Area> = asked.value(fasten.area(), fasten_field(device, "area"));
    let (Some(mass), Some(held)) = (mass, held) else {
        // On tour the mass is asked for already.
        if design.rig.brief.touring && fasten.area().value.is_some() {
            return None;
        }
        let what = format!("whether {} holds on its {what}", device.tag);
        return asked.cannot_judge(ID, &what, [&device.tag]);
    };
    if mass.get() <= 0.0 {
        return None;
    }
    // No more of it holds than lies under the device.
    let under = device.size.value.map(|size| size.width.as_mm() * size.depth.as_mm() / MM2_PER_CM2);
    let held = under.filter(|under| *under < held.get()).map_or(held, |under| Area::of(under.round()));
    let each = held * (GRAMS_PER_KILOGRAM / mass.get());
    below(each.get(), limit.get()).then(|| {
        let each = Area::of(each.get().round());
        let message = format!(
            "{} weighs {} on {} of {what}: {} for a kilogram, {} wanted",
            device.tag,
            shown(mass),
            shown(held),
            shown(each),
            shown(limit)
        );
        Finding::new(ID, Severity::Look, message)
            .about([&device.tag])
            .at(Field::device(&device.tag, "fasten"), "")
            .with(Evidence::at_least(each, limit))
            .assuming(asked.assumed)
    })
}

/// What hangs under a deck by hook and loop or pads alone.
fn hangs(device: &Device) -> Option<Finding> {
    let kind = device.fasten.as_ref()?.kind.value?;
    let by = match kind {
        FastenKind::Strip => "hook and loop",
        FastenKind::Pad => "pads",
        FastenKind::Screw | FastenKind::Clamp => return None,
    };
    let message = format!("{} hangs under its deck on {by} alone", device.tag);
    Some(
        Finding::new(ID, Severity::Look, message)
            .about([&device.tag])
            .at(fasten_field(device, "type"), "")
            .with(Evidence::words(by, "a bracket, screws or a clamp")),
    )
}

/// One strip alone lets a device turn.
fn strips(device: &Device, fasten: &Fasten) -> Option<Finding> {
    if fasten.kind.value != Some(FastenKind::Strip) {
        return None;
    }
    let count: Known<u32> = fasten.count;
    let mut asked = Asked::default();
    match asked.value(count, fasten_field(device, "count")) {
        None => {
            asked.cannot_judge(ID, &format!("whether {} can turn on its strips", device.tag), [&device.tag])
        }
        Some(count) if count < STRIPS => {
            let message = format!("{} is held by {count} strip: it turns under the foot", device.tag);
            Some(
                Finding::new(ID, Severity::Look, message)
                    .about([&device.tag])
                    .at(fasten_field(device, "count"), "")
                    .with(Evidence::words(count.to_string(), "2 or more"))
                    .assuming(asked.assumed),
            )
        }
        Some(_) => None,
    }
}
