//! An outcome as JSON, for `boardwright feed --format json` and for outside checkers.

use rig::{Class, PowerNeed, Sign};
use serde_json::{Value, json};

use crate::input::{milliamps, watts};
use crate::outcome::{Cure, FeedLine, MainsLine, Objective, Outcome, OutletLine};

/// The outcome. Objectives stand in their order: looks, special leads, margin in thousandths, length in millimetres.
pub fn json(outcome: &Outcome) -> Value {
    json!({
        "status": outcome.status.word(),
        "objective": objective(&outcome.objective),
        "bound": objective(&outcome.bound),
        "cost": crate::cost::json(outcome),
        "looks": outcome.looks.iter().map(|look| json!({
            "what": look.what.word(),
            "about": look.about,
            "words": look.words,
        })).collect::<Vec<_>>(),
        "feeds": outcome.feeds.iter().map(feed).collect::<Vec<_>>(),
        "outlets": outcome.outlets.iter().map(outlet).collect::<Vec<_>>(),
        "mains": outcome.mains.iter().map(mains).collect::<Vec<_>>(),
        "banks": outcome.banks.iter().map(|bank| json!({
            "brick": bank.brick,
            "bank": bank.bank,
            "load_ma": milliamps(bank.load_ua),
            "limit_ma": milliamps(bank.limit_ua),
            "load_w": watts(bank.load_nw),
        })).collect::<Vec<_>>(),
        "bricks": outcome.bricks.iter().map(|brick| json!({
            "brick": brick.brick,
            "load_w": watts(brick.load_nw),
            "takes_va": brick.takes_nva.map(watts),
            "limit_w": brick.limit_nw.map(watts),
            "load_ma": milliamps(brick.load_ua),
            "takes_w": watts(brick.takes_nw),
            "heat_w": watts(brick.heat_nw),
            "efficiency_ratio": { "is": ratio(brick.efficiency_ppm), "from": if brick.efficiency_assumed { "assumed" } else { "document" } },
            "intake_gives_w": brick.intake_nw.map(watts),
            "used": brick.used,
            "outlets": brick.outlets,
        })).collect::<Vec<_>>(),
        "distances_mm": outcome.distances.iter().map(|(device, outlet, way)| json!({
            "device": device,
            "outlet": outlet,
            "distance_mm": way,
        })).collect::<Vec<_>>(),
        "locks": outcome.locks.iter().map(|(device, outlets)| json!({
            "device": device,
            "outlets": outlets,
        })).collect::<Vec<_>>(),
        "unmade": outcome.unmade,
        "assumed": outcome.assumed.iter().map(|assumed| json!({
            "device": assumed.device,
            "field": assumed.field.to_string(),
            "words": assumed.words,
        })).collect::<Vec<_>>(),
        "unserved": outcome.unserved.iter().map(|unserved| json!({
            "device": unserved.device,
            "why": unserved.why,
            "lacks": unserved.lacks.iter().map(ToString::to_string).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "conflict": outcome.conflicts.iter().map(|conflict| json!({
            "devices": conflict.devices,
            "words": conflict.words,
            "irreducible": conflict.irreducible,
            "smallest": conflict.smallest,
        })).collect::<Vec<_>>(),
        "cures": outcome.cures.iter().map(cure).collect::<Vec<_>>(),
    })
}

fn outlet(line: &OutletLine) -> Value {
    json!({
        "brick": line.brick,
        "outlet": line.outlet,
        "setting_v": volts(line.setting_mv),
        "devices": line.devices,
        "load_ma": milliamps(line.load_ua),
        "limit_ma": milliamps(line.limit_ua),
        "free_ma": milliamps(line.free_ua),
        "margin_permille": line.margin_permille,
        "load_w": watts(line.load_nw),
        "kept": line.kept,
    })
}

/// Watts at the efficiency of each brick, volt-amperes at the usual power factor, milliamperes at the mains of the job.
fn mains(line: &MainsLine) -> Value {
    json!({
        "at": line.at,
        "takers": line.takers,
        "load_w": watts(line.load_nw),
        "load_va": watts(line.load_nva),
        "load_ma": line.load_ua.map(milliamps),
        "mains_v": line.mains_mv.map(volts),
        "power_factor_ratio": { "is": crate::mains::POWER_FACTOR.get(), "from": "assumed" },
    })
}

fn cure(cure: &Cure) -> Value {
    let price = &cure.price;
    json!({
        "name": cure.name,
        "kinds": cure.change.brings().iter().map(|candidate| &candidate.kind).collect::<Vec<_>>(),
        "leaves": cure.leaves,
        "fits": cure.fits,
        "unpriced": price.unpriced,
        "money": price.money,
        "buys": price.buys,
        "unweighed": price.unweighed,
        "mass_g": price.mass_g,
        "space_mm2": price.space_mm2,
        "unmade": price.unmade,
        "work": price.work,
        "refed": cure.refed,
        "follows": cure.follows,
        "pressable": cure.edit.is_some(),
    })
}

fn objective(objective: &Objective) -> Value {
    json!([objective.looks, objective.special, objective.margin_permille, objective.length_mm])
}

fn feed(feed: &FeedLine) -> Value {
    let special = feed.special();
    let to = match &feed.inlet {
        Some(inlet) => format!("{}.{inlet}", feed.device),
        None => feed.device.clone(),
    };
    json!({
        "device": feed.device,
        "kind": feed.kind.word(),
        "outlets": feed.outlets.iter().map(|outlet| json!({
            "brick": outlet.brick,
            "outlet": outlet.outlet,
            "setting_v": volts(outlet.setting_mv),
            "sign": outlet.sign.map(Sign::word),
        })).collect::<Vec<_>>(),
        "load_ma": milliamps(feed.load_ua),
        "limit_ma": feed.limit_ua.map(milliamps),
        "margin_permille": feed.margin_permille,
        "why": feed.why,
        "lost_v": feed.lost.map(quantity::Volts::get),
        "requirement": requirement(&feed.requirement),
        "lead": match &feed.socket {
            Some((strip, socket)) => vec![json!({
                "from": format!("{strip}.{socket}"),
                "to": to,
                "distance_mm": null,
                "special": special,
                "crossing": feed.crossing,
                "barrel_adaptor": feed.barrel_adaptor,
            })],
            None => feed.outlets.iter().map(|outlet| json!({
                "from": format!("{}.{}", outlet.brick, outlet.outlet),
                "to": to,
                "distance_mm": outlet.distance_mm,
                "special": special,
                "crossing": feed.crossing,
                "barrel_adaptor": feed.barrel_adaptor,
            })).collect(),
        },
    })
}

fn ratio(ppm: i64) -> f64 {
    crate::assignment::real(ppm) / crate::assignment::real(crate::input::PPM)
}

fn volts(mv: i64) -> f64 {
    crate::assignment::real(mv) / 1000.0
}

fn requirement(need: &PowerNeed) -> Value {
    let class = |class: Class| match class {
        Class::Analogue => "analogue",
        Class::Digital => "digital",
    };
    json!({
        "type": { "is": need.nature.value.map(rig::Nature::word), "from": need.nature.from.word() },
        "volts_v": { "is": need.volts.value.map(|window| [window.low().get(), window.high().get()]), "from": need.volts.from.word() },
        "current_ma": { "is": need.current.value.map(quantity::Milliamps::get), "from": need.current.from.word() },
        "surge_ma": { "is": need.surge.value.map(quantity::Milliamps::get), "from": need.surge.from.word() },
        "sign": { "is": need.sign.value.map(Sign::word), "from": need.sign.from.word() },
        "class": { "is": need.class.value.map(class), "from": need.class.from.word() },
        "positive_ground": { "is": need.positive_ground.value, "from": need.positive_ground.from.word() },
    })
}
