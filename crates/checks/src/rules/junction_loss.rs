//! Level lost where one device meets the next.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::{Decibels, Ohms};
use rig::{Bypass, Known, PortRef, Rig};
use signal::Junction;

use crate::asked::{Asked, port_field};
use crate::compare::too_much;
use crate::group::{Pair, hubs, worst_figure};
use crate::way::{Way, is_desk, only_listens, ways};
use crate::words::{list, shown};
use crate::{Page, Rule};

const ID: &str = "junction-loss";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "level lost where one device meets the next",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[27],
    limits: &["junction_loss_look", "junction_loss_stop"],
    page: Page {
        what: "For every output and every input it may meet, with the devices between bypassed, and with passive ones engaged: the \
               loss at 1 kHz into that input and whatever else hangs there, leads included, as the network has it that \
               `boardwright signal` solves. Passive pickups are left out, they are \
               no plain resistance; so are taps that only let a tuner listen. A dry feed is judged here as any other lead is, \
               though no limit is held against the whole of it. Into a desk, whose gain makes up for it, \
               only a stop is told. Where a passive device stands between whose impedance is not known, the figure that stands in for it \
               is told, and there is no stop.",
        why: "One device that drops the volume is blamed for weeks before anyone looks at impedances.",
        source: "nodal analysis at 1 kHz, close to the divider 20·lg((Zin + Zout) / Zin); what is published of the thresholds stands with them",
        example: "An output of 10 kΩ into an input of 47 kΩ loses 1.7 dB.",
        remedy: "put a buffer between, or change the order",
    },
    check,
};

/// An end of a junction: its device, source or sink, and the impedance it states.
struct Side {
    name: String,
    z: Known<Ohms>,
    field: Field,
}

/// The side of a junction that the engine names: a port of a device, or a source or sink by its name.
fn side(rig: &Rig, place: &str) -> Option<Side> {
    if let Some(source) = rig.source(place) {
        let field = Field::of("source", place, "electrics.resistance");
        return Some(Side { name: place.to_owned(), z: source.pickup.resistance, field });
    }
    if let Some(sink) = rig.sink(place) {
        return Some(Side { name: place.to_owned(), z: sink.z, field: Field::of("sink", place, "z") });
    }
    let (tag, port) = place.rsplit_once('.')?;
    rig.port(&PortRef::new(tag, port.split(' ').next().unwrap_or(port)))?;
    let (z, field) = signal::contact_z(rig, &PortRef::new(tag, port));
    Some(Side { name: tag.to_owned(), z, field })
}

/// The side of a port as its device shows it while it is off, where that is another impedance.
fn off_side(rig: &Rig, place: &str, on: &[String]) -> Option<Side> {
    let (tag, port) = place.rsplit_once('.')?;
    let port = PortRef::new(tag, port.split(' ').next().unwrap_or(port));
    let z = rig.port(&port)?.z_bypassed;
    let is_off = rig.device(tag)?.signal.bypass.value == Some(Bypass::Buffered)
        && !on.iter().any(|other| other == tag);
    (is_off && !z.is_unknown()).then(|| Side {
        name: tag.to_owned(),
        z,
        field: port_field(&port, "z_bypassed"),
    })
}

/// Whether a port and others carry what comes from one source.
fn is_alike(ways: &[Way<'_>], place: &str, others: &[String]) -> bool {
    let sources = |place: &str| -> BTreeSet<&str> {
        let tag = place.rsplit_once('.').map_or(place, |(tag, _)| tag);
        ways.iter().filter(|way| way.steps.iter().any(|step| step.name == tag)).map(Way::start).collect()
    };
    let own = sources(place);
    others.iter().all(|other| sources(other).intersection(&own).next().is_some())
}

/// One reading of a junction: what is lost, and with what between.
struct Reading {
    lost: Decibels,
    with: String,
    /// Whether everything between is off.
    is_off: bool,
    /// What is on in that state, the ends too.
    on: Vec<String>,
}

/// The readings of a junction: with the devices between off, and with a passive one between on where that is worse.
fn readings(rig: &Rig, junction: &Junction) -> Vec<Reading> {
    // Zero ohms of input lose everything and count as 999 dB.
    let decibels = |loss: f64| Decibels::new(loss).unwrap_or(Decibels::of(999.0));
    let mut out = Vec::new();
    if let Some(loss) = junction.off_db {
        let off = if junction.between.is_empty() { "" } else { ", with the devices between bypassed" };
        out.push(Reading {
            lost: decibels(loss),
            with: off.to_owned(),
            is_off: true,
            on: junction.off_state.clone(),
        });
    }
    if junction.off_db.is_none_or(|off| off < junction.loss_db) {
        let passive: Vec<String> = junction
            .state
            .iter()
            .filter(|tag| rig.device(tag).is_some_and(|device| device.signal.passive))
            .cloned()
            .collect();
        if !passive.is_empty() {
            let with = format!(", with {} engaged", list(&passive));
            out.push(Reading {
                lost: decibels(junction.loss_db),
                with,
                is_off: false,
                on: junction.state.clone(),
            });
        }
    }
    out
}

/// `through T and V `: the passive devices that always stand between the ends of a junction.
fn through_words(junction: &Junction) -> String {
    if junction.through.is_empty() { String::new() } else { format!("through {} ", list(&junction.through)) }
}

/// What is not known of the passive devices between, and the figures that stand in for it.
fn stands_in(design: &Design, junction: &Junction) -> Vec<String> {
    let outcome = design.signal();
    let is_between = |field: &&Field| field.parts().get(1).is_some_and(|tag| junction.through.contains(tag));
    let words = |field: &Field| signal::lacks_words(field, outcome.stand_ins.get(field).copied());
    outcome.lacks.iter().filter(is_between).filter(|field| is_impedance(field)).map(words).collect()
}

fn is_impedance(field: &Field) -> bool {
    field.parts().last().is_some_and(|key| key == "z")
}

/// The junctions of the network in the order of the devices that give.
fn in_order(design: &Design) -> Vec<&Junction> {
    let devices = design.rig.by_tag();
    let places: BTreeMap<&str, usize> =
        devices.iter().enumerate().map(|(at, device)| (device.tag.as_str(), at)).collect();
    let place = |port: &str| places.get(port.rsplit_once('.').map_or(port, |(tag, _)| tag)).copied();
    let mut out: Vec<&Junction> =
        design.signal().junctions.iter().filter(|junction| !junction.bare && !junction.listens).collect();
    out.sort_by_key(|junction| (place(&junction.from), place(&junction.to).unwrap_or(usize::MAX)));
    out
}

/// What else drives the same conductor, which is then the cause: `, as SPL.OUT_B drives the same conductor`.
fn against(junction: &Junction) -> String {
    match junction.against.as_slice() {
        [] => String::new(),
        outputs => format!(
            ", as {} {} the same conductor",
            list(outputs),
            if outputs.len() == 1 { "drives" } else { "drive" }
        ),
    }
}

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let (look, stop) = (design.limits.junction_loss_look, design.limits.junction_loss_stop);
    let mut out = Vec::new();
    let mut pairs: Vec<Pair> = Vec::new();
    let mut unknown: BTreeMap<String, Asked> = BTreeMap::new();
    // What is on between the ends of a case, by what the case says.
    let mut through: BTreeMap<String, String> = BTreeMap::new();
    // What a tuner hears may be weak; what it takes from the others is counted at their junctions.
    let ways = ways(rig);
    // Most places lie at many junctions.
    let mut sides: BTreeMap<&str, Option<Rc<Side>>> = BTreeMap::new();
    let mut side_at =
        |place| sides.entry(place).or_insert_with(|| side(rig, place).map(Rc::new)).as_ref().map(Rc::clone);
    for junction in in_order(design) {
        let (Some(giver), Some(taker)) = (side_at(&junction.from), side_at(&junction.to)) else {
            continue;
        };
        // What a transformer's turns reflect into its input is worked out, not asked for.
        if taker.z.is_unknown() && rig.device(&taker.name).is_some_and(|device| device.turns().is_some()) {
            continue;
        }
        if giver.z.is_unknown() || taker.z.is_unknown() {
            for side in [giver, taker].into_iter().filter(|side| side.z.value.is_none()) {
                let asked = unknown.entry(side.name.clone()).or_default();
                // What they lack is noted once.
                if !asked.lacks.contains(&side.field) {
                    asked.lack(side.field.clone());
                }
            }
            continue;
        }
        for reading in readings(rig, junction) {
            let lost = reading.lost;
            // A buffered device may show another impedance while it is off.
            let [giver, taker] = [(&giver, &junction.from), (&taker, &junction.to)].map(|(side, place)| {
                off_side(rig, place, &reading.on).map_or_else(|| Rc::clone(side), Rc::new)
            });
            let (Some(from), Some(to)) = (giver.z.value, taker.z.value) else { continue };
            let Some((mut severity, passed)) = too_much(lost, look, stop) else { continue };
            // What a meter hears may be weak, as what a tuner does.
            if only_listens(rig, &taker.name) {
                continue;
            }
            // The gain of a desk makes up for what is no stop; it is made to be fed so.
            let to_desk = rig.sink(&taker.name).is_some() && is_desk(design, &taker.name);
            if to_desk && severity == Severity::Look {
                continue;
            }
            let mut asked = Asked::default();
            asked.value(giver.z, giver.field.clone());
            asked.value(taker.z, taker.field.clone());
            for device in junction.between.iter().filter_map(|tag| rig.device(tag)) {
                asked.value(device.signal.bypass, Field::device(&device.tag, "signal.bypass"));
            }
            let devices = [giver.name.as_str(), taker.name.as_str()];
            if !asked.complete() {
                out.extend(asked.cannot_judge(
                    ID,
                    &format!("whether {} meets {}", giver.name, taker.name),
                    devices,
                ));
                continue;
            }
            let evidence = Evidence::at_most(lost, passed);
            // What rests on a figure that stands in is no reason to stop.
            let open = stands_in(design, junction);
            if !open.is_empty() {
                severity = Severity::Look;
            }
            let open =
                if open.is_empty() { String::new() } else { format!("; not known: {}", open.join(", ")) };
            let message = format!(
                "{} ({}) {}into {} ({}) loses {}{}{}, {} at most{open}",
                giver.name,
                shown(from),
                through_words(junction),
                taker.name,
                shown(to),
                evidence.found(),
                reading.with,
                against(junction),
                shown(passed)
            );
            let case = Finding::new(ID, severity, message)
                .about(devices)
                .at(giver.field.clone(), shown(from))
                .at(taker.field.clone(), shown(to))
                .with(evidence)
                .assuming(asked.assumed);
            if !junction.against.is_empty() {
                // Each end is well matched; what drives the same conductor is the cause, and is told by itself.
                let others = junction.against.iter().filter_map(|place| side(rig, place));
                // What carries the same source loses that only of what the other does not carry.
                let mut case = case;
                if is_alike(&ways, &junction.from, &junction.against) {
                    case.severity = Severity::Look;
                    case.message += ": what only one of them carries comes so much quieter";
                }
                let case = others.fold(case, |case, other| {
                    let says = other.z.value.map_or_else(String::new, shown);
                    case.about([other.name]).at(other.field, says)
                });
                out.push(case.remedy("mix them in a mixer, or let one output at a time reach the input"));
                continue;
            }
            if !reading.is_off {
                through.insert(case.message.clone(), reading.with);
            }
            pairs.push(Pair {
                first: format!("{} ({})", giver.name, shown(from)),
                second: format!("{} ({})", taker.name, shown(to)),
                case,
            });
        }
    }
    // A passive device on the way is no end of a junction; what the network lacks of it is lacking here too.
    for field in &design.signal().lacks {
        if let [kind, tag, list, _, key] = field.parts()
            && (kind.as_str(), list.as_str(), key.as_str()) == ("device", "port", "z")
            && rig.device(tag).is_some_and(|device| device.signal.passive)
        {
            unknown.entry(tag.clone()).or_default().lack(field.clone());
        }
    }
    for hub in hubs(pairs) {
        let is_giver = hub.is_first;
        out.extend(hub.told(|name, others, cases| {
            let most = worst_figure(cases);
            // What is on between the ends in all of them is the cause, not the two ends.
            let mut all = cases.iter().map(|case| through.get(&case.message).map_or("", String::as_str));
            let first = all.next().unwrap_or_default();
            let with = if all.all(|with| with == first) { first } else { "" };
            if is_giver {
                format!("{name} loses up to {most} into {others}{with}")
            } else {
                format!("{name} takes up to {most} from {others}{with}")
            }
        }));
    }
    out.extend(
        unknown.into_iter().filter_map(|(name, asked)| {
            asked.cannot_judge(ID, &format!("the loss at {name}"), [name.clone()])
        }),
    );
    out
}
