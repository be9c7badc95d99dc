//! The fewest places for a buffer that keep the worst state within limits, proven so far as the budget of work allows.
//!
//! Every set of one place is tried, then every set of two, and so on; the first size with a set that holds is the
//! smallest, and all sets of that size that hold are told. A set of which only bounds are known, and they break a limit, is
//! neither found nor refuted: what is larger is then no proof. Where the budget ends before one is found, places are added one
//! by one, each time the one that helps most, and those that turn out not to be needed are dropped again: a good set, told
//! as not proven smallest. No place lies ahead of a device that wants the bare pickup, nor of one whose low input makes
//! it likely while nobody has said; such devices count as off where they can be: they load the coil on purpose.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use finding::Field;
use quantity::Ohms;
use rig::PortRef;
use rig::geometry::EndKind;

use crate::budget::{Budget, WHOLE};
use crate::build::{self, Built};
use crate::contacts::Contacts;
use crate::downstream::downstream;
use crate::figures::Held;
use crate::graph::Graph;
use crate::grid::{AT_1K, AT_4K, frequencies};
use crate::input::{BufferPlace, Config, Input};
use crate::ladder::Sweep;
use crate::outcome::{Advice, AdviceStatus, ByWish};
use crate::search::{Search, Verdict};
use crate::solve::{Reference, is_amp, reference_load};
use crate::travel::turned_down;
use crate::turn::turns;

/// Inputs below this many ohms make it likely that a device wants the bare pickup; common practice, no source.
pub const LOW_INPUT: f64 = 50e3;

/// The advice; where it hangs on a wish that nobody has stated, also for each answer.
pub(crate) fn advise(input: &Input<'_>, config: &Config) -> Advice {
    // Three searches share what one may take, where a wish is open.
    let asks = asks(input, &build::build(input, config));
    let work = if asks.is_empty() { WHOLE } else { WHOLE / 3 };
    let mut advice = searched(input, config, work);
    let is_open = matches!(advice.status, AdviceStatus::NoneFound | AdviceStatus::CutShort);
    if is_open && !advice.asks.is_empty() {
        let [wanted, not_wanted] = [true, false].map(|wanted| {
            let mut rig = input.rig.clone();
            let is_asked = |device: &&mut rig::Device| {
                advice.asks.iter().any(|field| field.parts().get(1) == Some(&device.tag))
            };
            for device in rig.devices.iter_mut().filter(is_asked) {
                device.signal.bare_pickup = rig::Known::new(wanted, rig::Provenance::Assumed);
            }
            searched(&Input { rig: &rig, ..input.clone() }, config, work)
        });
        advice.status = AdviceStatus::Depends;
        advice.by_wish = Some(Box::new(ByWish { wanted, not_wanted }));
    }
    advice
}

/// One search, half of the work for a proof and half for a good set where there is none.
fn searched(input: &Input<'_>, config: &Config, work: u64) -> Advice {
    let built = build::build(input, config);
    let sweep = Sweep::new(frequencies());
    let (held, arrives) = held(input, config, &built, &sweep);
    let asks = asks(input, &built);
    let (places, spared) = (places(input, &built, &asks), spared(input, &built, &asks));
    let turns = turns(input, config)
        .into_iter()
        .map(|turn| {
            let ends = |held: &&Held| {
                let model = &turn.built.model;
                turn.is_on(&model.sources[held.source].id, &model.sinks[held.sink].id)
            };
            let held = held.iter().filter(ends).map(|held| held.turned(turn.by_tone)).collect();
            (turn, held)
        })
        .collect();
    let budget = Budget::new(work / 2);
    let mut search = Search::new(input, config, built, (held, turns), sweep, budget);
    let (before, verdict) = search.judge(&[], true);
    let mut advice = Advice {
        before,
        asks: asks.into_iter().map(|tag| Field::device(&tag, "signal.bare_pickup")).collect(),
        rests_on: search.built.lacks.iter().cloned().collect(),
        spared,
        ..Advice::default()
    };
    if !arrives {
        advice.status = AdviceStatus::NothingArrives;
    } else if verdict == Verdict::Kept {
        advice.status = AdviceStatus::NoneNeeded;
    } else if verdict == Verdict::Tried {
        // No state that was found needs a buffer; that none does is not proven, and nothing is put in on suspicion.
        advice.status = AdviceStatus::CutShort;
        advice.by_states_tried = true;
    } else {
        search.smallest(&places, verdict == Verdict::Open, &mut advice);
        if advice.status == AdviceStatus::CutShort {
            search.budget = Budget::new(work);
            search.good(&places, &mut advice);
        }
        let is_without = matches!(advice.status, AdviceStatus::CutShort | AdviceStatus::NoneFound);
        if is_without && advice.alternatives.is_empty() {
            search.budget = Budget::new(work / 8);
            search.helpful(&places, &mut advice);
        }
    }
    advice.tried = search.tried;
    advice
}

/// Devices with a low input that may be reached from a bare pickup while nobody has said whether they want it.
pub(crate) fn asks(input: &Input<'_>, built: &Built) -> Vec<String> {
    let bare = |id: &str| {
        input
            .rig
            .source(id)
            .is_some_and(|source| source.pickup.kind.value.unwrap_or_default() == rig::PickupKind::Coil)
    };
    let mut reached: BTreeSet<PortRef> = BTreeSet::new();
    for terminal in built.model.sources.iter().filter(|terminal| bare(&terminal.id)) {
        reached.extend(downstream(built, &PortRef::new(&terminal.id, "")));
    }
    let low = |device: &&rig::Device| {
        device.signal.bare_pickup.is_unknown()
            && !device.signal.passive
            && reached.iter().any(|port| {
                let z = input.rig.port(port).and_then(|own| own.z.value).map(Ohms::get);
                let takes = input
                    .rig
                    .port(port)
                    .and_then(|own| own.role.value)
                    .is_some_and(rig::PortRole::takes_signal);
                port.device == device.tag && takes && z.is_some_and(|z| z < LOW_INPUT)
            })
    };
    // What only listens, a tuner at the end of a tap, colours nothing that anybody hears.
    let heard = |device: &&rig::Device| {
        let plays = |run: &&rig::Run| run.purpose != Some(rig::Purpose::Listener);
        let stops = input.rig.runs.iter().filter(plays).flat_map(|run| &run.stops);
        stops.flat_map(|stop| [&stop.arrives, &stop.leaves]).flatten().any(|port| port.device == device.tag)
    };
    input.rig.devices.iter().filter(low).filter(heard).map(|device| device.tag.clone()).collect()
}

/// A place for a buffer in each signal lead on the board, none ahead of a device that wants the bare pickup, or that may.
pub(crate) fn places(input: &Input<'_>, built: &Built, asks: &[String]) -> Vec<BufferPlace> {
    let spots = spots(input, built).into_iter();
    spots.filter(|place| !is_before_bare(input, built, place, asks)).collect()
}

/// The devices before which places are left out, since they want the bare pickup or may.
fn spared(input: &Input<'_>, built: &Built, asks: &[String]) -> Vec<String> {
    let left_out = spots(input, built).into_iter().filter(|place| is_before_bare(input, built, place, asks));
    let behind: BTreeSet<String> =
        left_out.flat_map(|place| downstream(built, &place.to)).map(|port| port.device).collect();
    let wants =
        |device: &&rig::Device| device.signal.bare_pickup.value == Some(true) || asks.contains(&device.tag);
    let devices = input.rig.devices.iter().filter(wants);
    devices.filter(|device| behind.contains(&device.tag)).map(|device| device.tag.clone()).collect()
}

/// Whether a device that wants the bare pickup, or that may, comes after a place.
pub(crate) fn is_before_bare(input: &Input<'_>, built: &Built, place: &BufferPlace, asks: &[String]) -> bool {
    let wants = |device: &rig::Device| device.signal.bare_pickup.value == Some(true);
    let bare =
        |port: &PortRef| input.rig.device(&port.device).is_some_and(wants) || asks.contains(&port.device);
    downstream(built, &place.to).iter().any(bare)
}

/// Every place on the board where a signal lead may be parted: at its far end when it comes from a source, which is
/// outside, else at its near end. Near the source first.
pub(crate) fn spots(input: &Input<'_>, built: &Built) -> Vec<BufferPlace> {
    let mut out: Vec<BufferPlace> = Vec::new();
    let is_out = |tag: &str| {
        input.rig.source(tag).is_some()
            || input.rig.sink(tag).is_some()
            || input.rig.device(tag).is_some_and(|device| device.outside)
    };
    let is_edge = |tag: &str| {
        is_out(tag) || input.rig.device(tag).is_some_and(|device| device.role == rig::Role::Panel)
    };
    let contacts = Contacts::new(input.rig);
    let wires = contacts.wires.iter().map(|(from, to)| (from, to));
    for (from, to) in contacts.flows().into_iter().map(|(_, from, to)| (from, to)).chain(wires) {
        // Before a panel's input or behind its output is no place on the board.
        let (from_tag, to_tag) = (from.device.as_str(), to.device.as_str());
        if is_out(from_tag) && is_edge(to_tag) || is_edge(from_tag) && is_out(to_tag) {
            continue;
        }
        let at = if input.rig.source(&from.device).is_some() { EndKind::To } else { EndKind::From };
        // One plug that leads to several jacks is one place.
        let same = |place: &BufferPlace| at == EndKind::From && place.at == at && place.from == *from;
        if !out.iter().any(same) {
            out.push(BufferPlace { from: from.clone(), to: to.clone(), at });
        }
    }
    // What is isolated early hangs least on the coil, and a search that ends early has seen it.
    let far = distances(built);
    out.sort_by_key(|place| far.get(&place.from).copied().unwrap_or(usize::MAX));
    out
}

/// How many contacts lie between a source and each one that it reaches, by the shortest way.
fn distances(built: &Built) -> BTreeMap<PortRef, usize> {
    let is_source = |port: &PortRef| built.model.sources.iter().any(|source| source.id == port.device);
    let mut out: BTreeMap<PortRef, usize> = BTreeMap::new();
    let mut open: VecDeque<(PortRef, usize)> =
        built.hops.iter().filter(|hop| is_source(&hop.from)).map(|hop| (hop.from.clone(), 0)).collect();
    while let Some((port, at)) = open.pop_front() {
        if out.contains_key(&port) {
            continue;
        }
        open.extend(built.hops.iter().filter(|hop| hop.from == port).map(|hop| (hop.to.clone(), at + 1)));
        out.insert(port, at);
    }
    out
}

/// Every way that limits are held against, and whether signal arrives anywhere at all.
fn held(input: &Input<'_>, config: &Config, built: &Built, sweep: &Sweep) -> (Vec<Held>, bool) {
    let probe = Sweep::new(vec![1000.0]);
    let budget = Budget::new(WHOLE / 4);
    let mut known: BTreeMap<(usize, u64), Reference> = BTreeMap::new();
    let (mut out, mut arrives) = (Vec::new(), false);
    for source in 0..built.model.sources.len() {
        for sink in 0..built.model.sinks.len() {
            let graph = Graph::new(&built.model, source, sink, &probe, None, &budget);
            if graph.solve().arrives {
                arrives = true;
                let ends = [&built.model.sources[source].id, &built.model.sinks[sink].id];
                if rig::way::is_aside(input.rig, ends[0], ends[1]) {
                    continue;
                }
                let load = reference_load(input.rig, &built.model, sink);
                // Amps of one impedance share the reference.
                let reference = known.entry((source, load.to_bits())).or_insert_with(|| {
                    Reference::new(input, config, &built.model.sources[source].id, load, sweep)
                });
                let is_amp = is_amp(input.rig, &built.model, sink);
                let by_tone_anyway = !is_amp || graph.adds_up();
                let is_judged_by_tone = by_tone_anyway || turned_down(input);
                let at = |k: usize| reference.db.get(k).copied().unwrap_or(0.0);
                let levels = [at(AT_1K), at(AT_4K)];
                let (reference, peak) = (levels, reference.peak);
                out.push(Held { source, sink, is_judged_by_tone, by_tone_anyway, reference, peak });
            }
        }
    }
    (out, arrives)
}
