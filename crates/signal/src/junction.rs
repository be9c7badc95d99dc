//! Junctions: where something driven meets something that listens, what is lost there, and what level arrives.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use finding::Field;
use quantity::Volts;
use rig::{PortRef, State};

use crate::build::Built;
use crate::contacts::{contact_of, port_of};
use crate::graph::Sections;
use crate::grid::AT_1K;
use crate::input::Input;
use crate::level::{dbu, decibels, rms_of_peak};
use crate::model::{Model, Node, SwitchChoice};
use crate::outcome::{ClipsBefore, Junction, Level};
use crate::section::{Driver, Edge, Leaf, Walker};
use crate::solve::engaged_of;
use crate::state::{Answer, SILENT};

/// The name of the port a driver drives, and whether it is a source.
fn giver(model: &Model, walker: &Walker<'_>, driver: Driver) -> (String, bool) {
    match driver {
        Driver::Source(index) => (model.sources[index].id.clone(), true),
        Driver::Stage(_) => (driven_name(&model.nodes[walker.node_of(driver)]), false),
    }
}

/// The port or source that a driven node belongs to.
fn driven_name(name: &str) -> String {
    let name = name.strip_suffix(" drive").or_else(|| name.strip_suffix(" EMF")).unwrap_or(name);
    // A switcher's way out may be driven in several places; it is one jack.
    name.split(" via ").next().unwrap_or(name).to_owned()
}

pub(crate) fn gather_junctions(
    input: &Input<'_>,
    built: &Built,
    sections: &Sections,
    junctions: &mut BTreeMap<(String, String), Junction>,
) {
    if sections.is_cut_short() {
        return;
    }
    let walker = Walker::new(&built.model);
    let mut worked: Vec<Vec<Worked>> = vec![Vec::new(); built.model.switches.len()];
    for (name, switch) in &built.switches {
        let devices = input.rig.device(name).into_iter();
        worked[*switch].extend(devices.map(|device| (Arc::from(&*device.tag), device.signal.passive)));
    }
    for (driver, edges) in &sections.by_driver {
        let (from, is_source) = giver(&built.model, &walker, *driver);
        let bare = is_source
            && input.rig.source(&from).is_some_and(|source| {
                // A pot behind an active source takes what the player has it take.
                source.pickup.kind.value.unwrap_or_default() != rig::PickupKind::Active
                    || !source.pickup.volume_pot.is_unknown()
            });
        // The worst edge to each place, of all and of those with nothing passive on in between; what is said of it is put
        // into words once it is known which it is.
        let mut worst: BTreeMap<Node, [Option<&Edge>; 2]> = BTreeMap::new();
        for edge in edges.iter().filter(|edge| built.model.allows_choices(&edge.choices)) {
            let [most, off] = worst.entry(edge.node).or_default();
            let loss = |edge: &Edge| edge.loss[AT_1K] / (edge.turns * edge.turns);
            let is_worse = |than: Option<&Edge>| than.is_none_or(|than| loss(than) < loss(edge));
            if is_worse(*most) {
                *most = Some(edge);
            }
            if is_worse(*off)
                && !is_passive_on(&worked, &edge.choices, [&from, contact_of(&built.model.nodes[edge.node])])
            {
                *off = Some(edge);
            }
        }
        for (node, [most, off]) in worst {
            let to = contact_of(&built.model.nodes[node]);
            let entry = junctions.entry((from.clone(), to.to_owned()));
            let junction = entry.or_insert_with(|| Junction {
                from: from.clone(),
                to: to.to_owned(),
                loss_db: f64::NEG_INFINITY,
                state: Vec::new(),
                off_db: None,
                off_state: Vec::new(),
                between: Vec::new(),
                through: Vec::new(),
                against: Vec::new(),
                bare,
                listens: false,
            });
            // What a transformer's turns make of the level is meant, and no loss.
            let loss = |edge: &Edge| 10.0 * libm::log10(edge.loss[AT_1K] / (edge.turns * edge.turns));
            if let Some(edge) = off.filter(|edge| junction.off_db.is_none_or(|most| most < loss(edge))) {
                junction.off_db = Some(loss(edge));
                junction.off_state = engaged_of(built, &edge.choices);
                junction.between = off_between(&worked, &edge.choices, [&from, to]);
            }
            if let Some(edge) = most.filter(|edge| junction.loss_db < loss(edge)) {
                junction.loss_db = loss(edge);
                let mut against: Vec<String> =
                    edge.others.iter().map(|node| driven_name(&built.model.nodes[*node])).collect();
                against.sort();
                against.dedup();
                junction.against = against;
                junction.state = engaged_of(built, &edge.choices);
            }
        }
    }
}

/// A device that a switch works: its tag, and whether it is passive.
type Worked = (Arc<str>, bool);

/// Whether a passive device between a giver and a taker is on under some choices. `worked` are the devices of each switch.
fn is_passive_on(worked: &[Vec<Worked>], choices: &[SwitchChoice], ends: [&str; 2]) -> bool {
    let own = tags(ends);
    let on = choices.iter().filter(|choice| choice.position != 0);
    on.flat_map(|choice| &worked[choice.switch]).any(|(tag, passive)| *passive && !own.contains(&&**tag))
}

/// The devices between that are off under some choices.
fn off_between(worked: &[Vec<Worked>], choices: &[SwitchChoice], ends: [&str; 2]) -> Vec<Arc<str>> {
    let own = tags(ends);
    let off = choices.iter().filter(|choice| choice.position == 0);
    let tags = off.flat_map(|choice| &worked[choice.switch]).map(|(tag, _)| tag);
    tags.filter(|tag| !own.contains(&&***tag)).cloned().collect()
}

/// The devices, sources or sinks of two ports.
fn tags(ends: [&str; 2]) -> [&str; 2] {
    ends.map(|port| port.rsplit_once('.').map_or(port, |(tag, _)| tag))
}

/// Notes what always stands between the ends of each junction, as signal passes it.
pub(crate) fn mark_through(
    rig: &rig::Rig,
    built: &Built,
    junctions: &mut BTreeMap<(String, String), Junction>,
) {
    let mut onward: BTreeMap<String, Vec<&crate::build::Hop>> = BTreeMap::new();
    for hop in &built.hops {
        onward.entry(hop.from.to_string()).or_default().push(hop);
    }
    let is_passive = |tag: &str| rig.device(tag).is_some_and(|device| device.signal.passive);
    for junction in junctions.values_mut() {
        // The shortest way along leads, passive devices and those that are off, with what lies on it.
        let mut open = std::collections::VecDeque::from([(junction.from.clone(), Vec::new())]);
        let mut seen = BTreeSet::from([junction.from.clone()]);
        while let Some((at, passed)) = open.pop_front() {
            if at == junction.to {
                junction.through = passed;
                break;
            }
            for hop in onward.get(&at).into_iter().flatten() {
                let device = hop.device.as_deref();
                let may_pass = device.is_none_or(|tag| {
                    is_passive(tag)
                        || hop.needs.as_deref() != Some(tag) && built.switches.contains_key(tag)
                        || rig
                            .device(tag)
                            .is_some_and(|device| device.role == rig::Role::Panel || !device.loops.is_empty())
                });
                let to = hop.to.to_string();
                if may_pass && seen.insert(to.clone()) {
                    let mut passed = passed.clone();
                    passed.extend(
                        device
                            .filter(|tag| is_passive(tag) && !built.switches.contains_key(*tag))
                            .map(str::to_owned),
                    );
                    open.push_back((to, passed));
                }
            }
        }
    }
}

/// Marks the junctions behind which nothing goes on to a sink, nor to a jack of a panel.
pub(crate) fn mark_listeners(
    rig: &rig::Rig,
    built: &Built,
    junctions: &mut BTreeMap<(String, String), Junction>,
) {
    let ends = |port: &PortRef| built.model.sinks.iter().any(|sink| sink.id == port.device);
    // A jack of a panel with nothing plugged waits for what is to follow: it is no listener either.
    let waits =
        |port: &PortRef| rig.device(&port.device).is_some_and(|device| device.role == rig::Role::Panel);
    let mut heard: BTreeSet<&PortRef> = built.hops.iter().map(|hop| &hop.to).collect();
    heard.retain(|port| ends(port) || waits(port));
    let mut open: Vec<&PortRef> = heard.iter().copied().collect();
    while let Some(port) = open.pop() {
        for hop in built.hops.iter().filter(|hop| hop.to == *port) {
            if heard.insert(&hop.from) {
                open.push(&hop.from);
            }
        }
    }
    let names: BTreeSet<String> = heard.iter().map(ToString::to_string).collect();
    for junction in junctions.values_mut() {
        junction.listens = !names.contains(&junction.to);
    }
}

/// Whether a node is a jack, or where a source or sink is.
fn is_place(rig: &rig::Rig, name: &str) -> bool {
    match name.split_once('.') {
        Some((tag, port)) => rig.port(&port_of(&PortRef::new(tag, port))).is_some(),
        None => rig.sink(name).is_some() || rig.source(name).is_some(),
    }
}

/// What a device on a direct voltage can give at most: half of it either way, unless it makes itself more inside. The swing
/// of an output lies between its rails; that a pedal's are those of its supply is common practice, no source.
fn most_given(rig: &rig::Rig, device: &rig::Device) -> Option<ClipsBefore> {
    let is_dc = device.power.nature.value == Some(rig::Nature::Dc);
    if device.signal.passive || device.turns().is_some() || !is_dc {
        return None;
    }
    let wants = device.power.volts.value.filter(|window| window.low() == window.high());
    let supply = rig.supply(device).value.or(wants.map(quantity::Window::low))?.get();
    Some(ClipsBefore { tag: device.tag.clone(), volts: supply / 2.0, supply: Some(supply) })
}

/// What a device takes at the supply voltages that its document states besides the one that feeds it: voltages and peaks.
fn other_supplies(rig: &rig::Rig, tag: &str) -> Vec<(f64, f64)> {
    let Some(device) = rig.device(tag) else { return Vec::new() };
    let now = rig.max_input(device).volts.map(Volts::get);
    let at = device.signal.at.iter().filter(|at| Some(at.volts.get()) != now);
    at.filter_map(|at| Some((at.volts.get(), at.max_input?.value?.get()))).collect()
}

/// Levels at every input that listens with the largest gains of what is on, at 1 kHz; in volts where the source's peak is
/// known.
pub(crate) fn levels_in(
    input: &Input<'_>,
    built: &Built,
    named: &State,
    [plain, answer]: [Option<&Answer>; 2],
    source: usize,
) -> Vec<Level> {
    let Some(answer) = answer else { return Vec::new() };
    let gained = &built.gained;
    let id = &built.model.sources[source].id;
    let peak = input.rig.source(id).and_then(|source| source.pickup.peak.value).map(Volts::get);
    let walker = Walker::new(gained);
    let mut lacks: BTreeSet<Field> = BTreeSet::new();
    let mut out: Vec<Level> = Vec::new();
    let mut done = BTreeSet::new();
    // What clips before each place is reached: sections come in the order in which signal passes them.
    let mut clips: BTreeMap<Node, ClipsBefore> = BTreeMap::new();
    for (driver, links) in &answer.sections {
        if let Driver::Stage(stage) = driver
            && !links.is_empty()
        {
            let tag = &walker.stage(*stage).device;
            // A transformer's turns are its gain.
            if let Some(device) = input.rig.device(tag).filter(|device| device.turns().is_none()) {
                let gain = input.rig.gain(device);
                if gain.value.is_unknown() {
                    lacks.insert(gain.field);
                }
            }
        }
        let (before, bound) = match driver {
            Driver::Source(_) => (None, None),
            Driver::Stage(stage) => {
                let stage = walker.stage(*stage);
                let before = stage.inputs.iter().find_map(|node| clips.get(node)).cloned();
                (before, input.rig.device(&stage.device).and_then(|device| most_given(input.rig, device)))
            }
        };
        for link in links.iter().filter(|link| done.insert(link.node)) {
            // Places within a switcher have no jack.
            let name = contact_of(&gained.nodes[link.node]);
            if !is_place(input.rig, name) {
                continue;
            }
            let Some(value) = answer.voltages.get(&link.node).and_then(|values| values.get(AT_1K)) else {
                continue;
            };
            let size = value.size();
            if size <= SILENT {
                continue;
            }
            let unity = plain.and_then(|plain| Some(plain.voltages.get(&link.node)?.get(AT_1K)?.size()));
            let here = peak.map(|peak| size * peak);
            let least = peak.map(|peak| unity.map_or(size, |unity| unity.min(size)) * peak);
            let most = match link.leaf {
                Leaf::Stage(stage) => {
                    let tag = &walker.stage(stage).device;
                    let most = |device| input.rig.max_input(device).value.value;
                    input.rig.device(tag).and_then(most).map(Volts::get)
                }
                Leaf::Sink(_) => None,
            };
            let other = match link.leaf {
                Leaf::Stage(stage) => other_supplies(input.rig, &walker.stage(stage).device),
                Leaf::Sink(_) => Vec::new(),
            };
            let beyond = bound.clone().filter(|bound| here.is_some_and(|here| bound.volts < here));
            let clips_before = before.clone().or(beyond);
            let own = match link.leaf {
                Leaf::Stage(stage) => most.zip(here).filter(|(most, here)| most < here).map(|(most, _)| {
                    ClipsBefore { tag: walker.stage(stage).device.clone(), volts: most, supply: None }
                }),
                Leaf::Sink(_) => None,
            };
            if let Some(found) = clips_before.clone().or(own) {
                clips.insert(link.node, found);
            }
            out.push(Level {
                clips_before,
                at_other_supply: other
                    .iter()
                    .filter_map(|(volts, most)| Some((*volts, decibels(most / here?))))
                    .collect(),
                state: named.name.clone(),
                source: id.clone(),
                port: name.to_owned(),
                db: decibels(size),
                dbu: here.map(|here| dbu(rms_of_peak(here))),
                peak: here,
                least_peak: least,
                headroom_db: most.zip(here).map(|(most, here)| decibels(most / here)),
                least_headroom_db: most.zip(least).map(|(most, least)| decibels(most / least)),
                lacks: lacks.iter().cloned().collect(),
            });
        }
    }
    out
}
