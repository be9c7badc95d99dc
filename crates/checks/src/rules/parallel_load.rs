//! What hangs on a passive pickup.

use design::Design;
use finding::{Evidence, Field, Finding};
use quantity::Ohms;
use rig::{Known, PickupKind, PortRef, Provenance, Rig};
use signal::Load;

use crate::asked::{Asked, port_field};
use crate::compare::{too_little, under};
use crate::words::{list, shown};
use crate::{Page, Rule};

const ID: &str = "parallel-load";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "load on a passive pickup",
    severity: finding::Severity::Stop,
    since: "0.1",
    pains: &[28],
    limits: &["parallel_load_look", "parallel_load_stop"],
    page: Page {
        what: "What hangs on a passive coil at once, as the network has it that `boardwright signal` solves: the resistance \
               that its jack sees at 1 kHz, pots and passive boxes included, with whatever may come first when the \
               devices before it are bypassed. A device that needs the bare pickup loads it on purpose and is passed over. \
               Where nobody has said whether one does, and the load is too much either way, the lesser of the two is told.",
        why: "A splitter or tuner output without a buffer dulls the sound of the guitar.",
        source: "nodal analysis at 1 kHz; what is published of the thresholds stands with them",
        example: "Two amps of 470 kΩ on one passive splitter leave 235 kΩ.",
        remedy: "put a buffer before the split, or take inputs of higher impedance",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    design.signal().loads.iter().filter_map(|load| judge(design, load)).collect()
}

fn judge(design: &Design, load: &Load) -> Option<Finding> {
    let rig = &design.rig;
    let source = rig.source(&load.source)?;
    if source.pickup.kind.value.is_some_and(|kind| kind != PickupKind::Coil) {
        return None;
    }
    let limits = &design.limits;
    let mut asked = Asked { lacks: load.lacks.clone(), ..Asked::default() };
    let hangs: Vec<(String, Option<Ohms>, Field)> =
        load.at.iter().filter_map(|port| input(rig, port)).collect();
    for (tag, z, _) in &hangs {
        let low = z.is_some_and(|z| under(z, limits.parallel_load_look));
        let device = rig.device(tag).filter(|device| !device.signal.passive);
        // Only an input that is too low makes the doubt whether it is meant to be worth a word.
        if low && device.is_some_and(|device| device.signal.bare_pickup.is_unknown()) {
            asked.lack(Field::device(tag, "signal.bare_pickup"));
        }
    }
    let mut names: Vec<String> = load.at.iter().map(|port| port.device.clone()).collect();
    crate::group::in_order(&mut names);
    let about = || names.iter().cloned().chain([source.id.clone()]);
    // Contacts and the cores of leads add a few ohms, which no impedance is stated to.
    let ohms = Ohms::new((load.ohms / 10.0).round() * 10.0)?;
    let graded = too_little(ohms, limits.parallel_load_look, limits.parallel_load_stop);
    if graded.is_some() {
        for tag in load.off.iter().filter(|tag| !names.contains(tag)) {
            if rig.device(tag).is_some_and(|device| device.signal.bypass.is_unknown()) {
                asked.lack(Field::device(tag, "signal.bypass"));
            }
        }
    }
    if source.pickup.kind.is_unknown() {
        // With the kind of pickup unknown there is only something to doubt where the load is too much.
        graded?;
        asked.lack(Field::of("source", &source.id, "electrics.kind"));
    }
    if let Some(finding) = either_way(design, load, &asked, ohms) {
        return Some(finding);
    }
    if !asked.complete() {
        return asked.cannot_judge(ID, &format!("the load on {}", source.id), about());
    }
    let (severity, passed) = graded?;
    let verb = if names.len() == 1 { "loads" } else { "load" };
    let finding = Finding::new(
        ID,
        severity,
        format!("{} {verb} {} with {} in all", list(&names), source.id, shown(ohms)),
    )
    .about(about())
    .with(Evidence::at_least(ohms, passed))
    .assuming(asked.assumed);
    Some(hangs.into_iter().fold(finding, |finding, (_, z, field)| match z {
        Some(z) => finding.at(field, shown(z)),
        None => finding.at(field, ""),
    }))
}

/// Where all that is open is whether some devices need the bare pickup, and the load is too much if they do as well: the
/// load without them, which is the lesser.
fn either_way(design: &Design, load: &Load, asked: &Asked, with_them: Ohms) -> Option<Finding> {
    let open: Vec<&str> = asked
        .lacks
        .iter()
        .map(|field| match field.parts() {
            [kind, tag, rest @ ..]
                if kind == "device" && rest.last().is_some_and(|key| key == "bare_pickup") =>
            {
                Some(tag.as_str())
            }
            _ => None,
        })
        .collect::<Option<_>>()?;
    if open.is_empty() {
        return None;
    }
    let limits = &design.limits;
    let grade = |ohms| too_little(ohms, limits.parallel_load_look, limits.parallel_load_stop);
    grade(with_them)?;
    let mut rig = design.rig.clone();
    for device in rig.devices.iter_mut().filter(|device| open.contains(&device.tag.as_str())) {
        device.signal.bare_pickup = Known::new(true, Provenance::Assumed);
    }
    let input = signal::Input { rig: &rig, ..design.signal_input() };
    let without = signal::solve_with(&input, &design.signal_config(), signal::BufferSearch::Skip);
    let other = without.loads.iter().find(|other| other.source == load.source)?;
    if !other.lacks.is_empty() {
        return None;
    }
    let ohms = Ohms::new((other.ohms / 10.0).round() * 10.0)?;
    let (severity, passed) = grade(ohms)?;
    let mut names: Vec<String> = other.at.iter().map(|port| port.device.clone()).collect();
    crate::group::in_order(&mut names);
    let verb = if names.len() == 1 { "loads" } else { "load" };
    let need = if open.len() == 1 { "needs" } else { "need" };
    let open: Vec<String> = open.into_iter().map(str::to_owned).collect();
    Some(
        Finding::new(
            ID,
            severity,
            format!(
                "{} {verb} {} with {} in all; so much at least, whether or not {} {need} the bare pickup",
                list(&names),
                load.source,
                shown(ohms),
                list(&open)
            ),
        )
        .about(names.iter().cloned().chain([load.source.clone()]))
        .with(Evidence::at_least(ohms, passed))
        .assuming(asked.assumed.clone()),
    )
}

/// What hangs there: whose it is, the impedance it states, and where.
fn input(rig: &Rig, port: &PortRef) -> Option<(String, Option<Ohms>, Field)> {
    if let Some(sink) = rig.sink(&port.device) {
        return Some((sink.id.clone(), sink.z.value, Field::of("sink", &sink.id, "z")));
    }
    let device = rig.device(&port.device)?;
    let jack = match rig.port(port) {
        Some(jack) => jack,
        // A pot between its jacks belongs to the one that takes.
        None => device.ports.iter().find(|port| port.role.value.is_some_and(rig::PortRole::takes_signal))?,
    };
    let at = PortRef::new(&device.tag, &jack.name);
    Some((device.tag.clone(), jack.z.value, port_field(&at, "z")))
}
