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

use crate::budget::{Budget, WHOLE, passes};
use crate::build::{self, Built, put_buffer};
use crate::contacts::Contacts;
use crate::figures::Held;
use crate::graph::Graph;
use crate::grid::{AT_1K, AT_4K, frequencies};
use crate::input::{BufferPlace, Config, Input};
use crate::ladder::Sweep;
use crate::model::{EARTH, Model, Node, Part};
use crate::outcome::{Advice, AdviceStatus, Alternative, ByWish, Figures};
use crate::solve::{Reference, is_amp, reference_load, sparing, turned_down};
use crate::travel::{TRAVELS, pots};

/// Alternatives told.
const MOST_TOLD: usize = 8;

/// Inputs below this many ohms make it likely that a device wants the bare pickup; common practice, no source.
pub const LOW_INPUT: f64 = 50e3;

/// The search: a network without buffers, what it is held against, and what may still be spent.
struct Search<'a> {
    input: &'a Input<'a>,
    config: &'a Config,
    built: Built,
    held: Vec<Held>,
    /// Volume pedals elsewhere than they stand, each with the ways that it lies on and what they are held against there.
    turns: Vec<(Turn, Vec<Held>)>,
    sweep: Sweep,
    budget: Budget,
    tried: usize,
}

/// Whether the limits are kept with buffers in some places.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Verdict {
    /// They are, by what is known exactly or by bounds.
    Kept,
    /// Not known: bounds break one that the exact figures may keep, or no resonance could be looked for.
    Open,
    /// One is broken by figures that are exact.
    Broken,
}

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
    let mut search = Search { input, config, built, held, turns, sweep, budget, tried: 0 };
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
    } else {
        search.smallest(&places, verdict == Verdict::Open, &mut advice);
        if advice.status == AdviceStatus::CutShort {
            search.budget = Budget::new(work);
            search.good(&places, &mut advice);
        }
    }
    advice.tried = search.tried;
    advice
}

impl Search<'_> {
    fn holds(&self, figures: Figures) -> bool {
        figures.broken(self.config).is_empty()
    }

    /// Every set, the small ones first, until a size has one that holds or the budget ends. `is_open` where it is not known
    /// whether the limits are kept without a buffer.
    fn smallest(&mut self, places: &[BufferPlace], mut is_open: bool, advice: &mut Advice) {
        for size in 1..=places.len() {
            let mut set: Vec<usize> = (0..size).collect();
            let mut found: Vec<(Vec<BufferPlace>, Figures)> = Vec::new();
            // What is not known of a set is no proof against it; among sets of its own size it takes nothing from those
            // that hold.
            let status = if is_open { AdviceStatus::NotProven } else { AdviceStatus::Proven };
            loop {
                if self.budget.is_spent() {
                    self.cut_short(found, status, advice);
                    return;
                }
                let chosen: Vec<BufferPlace> = set.iter().map(|index| places[*index].clone()).collect();
                let (after, verdict) = self.judge(&chosen, false);
                if verdict == Verdict::Kept && !self.budget.is_spent() {
                    found.push((chosen, after));
                }
                is_open |= verdict == Verdict::Open;
                if !next_set(&mut set, places.len()) {
                    break;
                }
            }
            if self.budget.is_spent() {
                self.cut_short(found, status, advice);
                return;
            }
            if !is_open {
                advice.size_tried = size;
            }
            if !found.is_empty() {
                self.tell(found, status, advice);
                return;
            }
        }
        // Every set of every size, none left out.
        advice.status = if is_open { AdviceStatus::CutShort } else { AdviceStatus::NoneFound };
    }

    /// The budget ended among the sets of one size: where no smaller one holds, what was found is of the smallest size,
    /// though others of that size may hold too.
    fn cut_short(&self, found: Vec<(Vec<BufferPlace>, Figures)>, status: AdviceStatus, advice: &mut Advice) {
        if found.is_empty() {
            advice.status = AdviceStatus::CutShort;
        } else {
            self.tell(found, status, advice);
        }
    }

    fn tell(&self, mut found: Vec<(Vec<BufferPlace>, Figures)>, status: AdviceStatus, advice: &mut Advice) {
        found.sort_by(|a, b| a.1.change_at_4k_db.total_cmp(&b.1.change_at_4k_db).then_with(|| a.0.cmp(&b.0)));
        found.truncate(MOST_TOLD);
        advice.status = status;
        let budget = Budget::new(WHOLE / 4);
        advice.alternatives =
            found.into_iter().map(|(places, after)| self.told(places, after, &budget)).collect();
    }

    /// A good set where the smallest is beyond the budget.
    fn good(&mut self, places: &[BufferPlace], advice: &mut Advice) {
        let over = |figures: Figures, config: &Config| {
            (figures.change_at_4k_db / config.change_limit)
                .max(figures.shift / config.shift_limit)
                .max(figures.loss_1k_db / config.loss_limit)
        };
        let mut chosen: Vec<BufferPlace> = Vec::new();
        let (mut now, mut verdict) = (advice.before, Verdict::Open);
        while verdict != Verdict::Kept {
            let mut best: Option<(f64, usize, (Figures, Verdict))> = None;
            for (index, place) in places.iter().enumerate().filter(|(_, place)| !chosen.contains(place)) {
                let with: Vec<BufferPlace> = chosen.iter().chain([place]).cloned().collect();
                // Where levels break a limit already, the resonance, which takes most of the work, need not be known.
                let after = self.judge(&with, false);
                if self.budget.is_spent() {
                    break;
                }
                let size = over(after.0, self.config);
                if best.is_none_or(|(least, ..)| size < least) {
                    best = Some((size, index, after));
                }
            }
            // No place left, or the budget ended before one helped: what was tried is no proof of anything. A round
            // that the budget ends leaves the best it has seen.
            let Some((_, index, after)) = best else { return };
            chosen.push(places[index].clone());
            (now, verdict) = after;
            if self.budget.is_spent() && verdict != Verdict::Kept {
                return;
            }
        }
        for place in chosen.clone() {
            if self.budget.is_spent() {
                break;
            }
            let without: Vec<BufferPlace> = chosen.iter().filter(|other| **other != place).cloned().collect();
            let (after, verdict) = self.judge(&without, false);
            if verdict == Verdict::Kept && !self.budget.is_spent() {
                (chosen, now) = (without, after);
            }
        }
        chosen.sort();
        advice.status = AdviceStatus::NotProven;
        advice.alternatives = vec![self.told(chosen, now, &Budget::new(WHOLE / 4))];
    }

    fn told(&self, places: Vec<BufferPlace>, after: Figures, budget: &Budget) -> Alternative {
        Alternative { bands: self.bands(&places, budget), places, after }
    }

    /// The network with buffers in these places, devices that want the bare pickup off.
    fn model(&self, set: &[BufferPlace]) -> Model {
        let mut model = sparing(self.input, &self.built).unwrap_or_else(|| self.built.model.clone());
        for place in set {
            put(&mut model, self.config, place);
        }
        model
    }

    /// The worst figures with buffers in these places, and what they say; where `whole` is false no further than what
    /// fails already.
    fn judge(&mut self, set: &[BufferPlace], whole: bool) -> (Figures, Verdict) {
        self.tried += 1;
        self.budget.spend(passes(&self.built.model, 40));
        let model = self.model(set);
        let points = Sweep::new(vec![1000.0, 4000.0]);
        let (mut out, mut verdict) = (Figures::default(), Verdict::Kept);
        let mut graphs = Vec::new();
        for way in &self.held {
            let (figures, graph, is_exact) = way.levels(&model, &points, &self.budget);
            out = out.worse(figures);
            graphs.push(graph);
            if !self.holds(figures) {
                verdict = verdict.max(if is_exact { Verdict::Broken } else { Verdict::Open });
            }
            if !whole && verdict == Verdict::Broken {
                // It fails already; the rest need not be known.
                return (out, verdict);
            }
        }
        for (turn, ways) in &self.turns {
            self.budget.spend(passes(&turn.model, 40));
            let mut model = turn.model.clone();
            for place in set {
                put(&mut model, self.config, place);
            }
            for way in ways {
                let (figures, _, is_exact) = way.levels(&model, &points, &self.budget);
                out = out.worse(figures);
                if !self.holds(figures) {
                    verdict = verdict.max(if is_exact { Verdict::Broken } else { Verdict::Open });
                }
            }
            if !whole && verdict == Verdict::Broken {
                return (out, verdict);
            }
        }
        for (way, graph) in self.held.iter().zip(&graphs) {
            let shift = way.shift(&model, graph, &self.sweep, &self.budget);
            out.shift = out.shift.max(shift);
            if graph.is_blind() && way.peak.is_some() {
                verdict = verdict.max(Verdict::Open);
            } else if self.config.shift_limit < shift {
                verdict = Verdict::Broken;
            }
        }
        (out, verdict)
    }

    fn bands(&self, set: &[BufferPlace], budget: &Budget) -> Vec<(Vec<f64>, Vec<f64>)> {
        let model = self.model(set);
        self.held
            .iter()
            .map(|way| {
                let envelope = Graph::new(&model, way.source, way.sink, &self.sweep, None, budget).solve();
                let db = |extremes: &[crate::envelope::Extreme]| {
                    extremes.iter().map(|extreme| extreme.db).collect()
                };
                (db(&envelope.upper), db(&envelope.lower))
            })
            .collect()
    }
}

/// The end of a lead that a place names, in a network.
struct LeadEnd {
    /// The node there.
    node: Node,
    /// The element along the lead that touches it.
    core: usize,
    /// The element to earth there; none at a bare wire.
    shunt: Option<usize>,
    /// Whether it is the far end of the core.
    is_far: bool,
}

/// Finds it: at an end of a plain lead, of a leg to a joint, or of a wire behind a panel.
///
/// The lead's own elements are found by their names, which [`build`] gives them.
fn lead_end(model: &Model, place: &BufferPlace) -> Option<LeadEnd> {
    let before = place.at == EndKind::To;
    let whole = format!("{} > {}", place.from, place.to);
    let port = if before { &place.to } else { &place.from };
    let leg = format!("{port} leg");
    let find = |name: &str| model.fixed.elements.iter().position(|element| element.name == name);
    if let Some(core) = find(&format!("{whole} wire")) {
        let own = &model.fixed.elements[core];
        return Some(LeadEnd { node: if before { own.b } else { own.a }, core, shunt: None, is_far: before });
    }
    let name = if find(&format!("{whole} core")).is_some() { whole } else { leg };
    let is_far = before && !name.ends_with(" leg");
    let end = if is_far { "far end" } else { "near end" };
    let (core, shunt) = (find(&format!("{name} core"))?, Some(find(&format!("{name} {end}"))?));
    let own = &model.fixed.elements[core];
    Some(LeadEnd { node: if is_far { own.b } else { own.a }, core, shunt, is_far })
}

/// Puts a buffer into a network.
pub(crate) fn put(model: &mut Model, config: &Config, place: &BufferPlace) {
    let Some(end) = lead_end(model, place) else { return };
    let lead = put_buffer(model, config, place, end.node);
    let own = &mut model.fixed.elements;
    if let Some(shunt) = end.shunt {
        own[shunt].a = lead;
    }
    if end.is_far {
        own[end.core].b = lead;
    } else {
        own[end.core].a = lead;
    }
}

/// Puts a device in hard bypass into a network: one more lead on the board with its plugs, and its own jacks and wiring.
pub(crate) fn put_across(model: &mut Model, config: &Config, place: &BufferPlace) {
    let Some(end) = lead_end(model, place) else { return };
    let farads = config.cable_capacitance * config.lead + 2.0 * config.plug + config.stray;
    model.add(format!("{place} one more"), end.node, EARTH, Part::Capacitor(farads));
}

/// The next set of indices in order; false after the last.
fn next_set(set: &mut [usize], of: usize) -> bool {
    let size = set.len();
    for at in (0..size).rev() {
        if set[at] < of - (size - at) {
            set[at] += 1;
            for later in at + 1..size {
                set[later] = set[later - 1] + 1;
            }
            return true;
        }
    }
    false
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

/// Whether signal of a source passes a place on its way to a sink.
pub(crate) fn is_on_way(built: &Built, place: &BufferPlace, source: &str, sink: &str) -> bool {
    let from = |port: &PortRef, id: &str| downstream(built, port).iter().any(|port| port.device == id);
    let comes =
        |hop: &build::Hop| hop.from.device == source && downstream(built, &hop.from).contains(&place.to);
    from(&place.to, sink) && built.hops.iter().any(comes)
}

/// Whether signal of a source passes through a device on its way to a sink.
pub(crate) fn is_passed(built: &Built, tag: &str, source: &str, sink: &str) -> bool {
    let comes: BTreeSet<PortRef> = built
        .hops
        .iter()
        .filter(|hop| hop.from.device == source)
        .flat_map(|hop| downstream(built, &hop.from))
        .collect();
    built.hops.iter().filter(|hop| hop.device.as_deref() == Some(tag)).any(|hop| {
        comes.contains(&hop.from) && downstream(built, &hop.to).iter().any(|port| port.device == sink)
    })
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

/// Every port that signal may reach from here.
fn downstream(built: &Built, from: &PortRef) -> BTreeSet<PortRef> {
    let mut seen = BTreeSet::from([from.clone()]);
    let mut open = vec![from.clone()];
    while let Some(port) = open.pop() {
        for hop in built.hops.iter().filter(|hop| hop.from == port) {
            if seen.insert(hop.to.clone()) {
                open.push(hop.to.clone());
            }
        }
    }
    seen
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

/// The network with one volume pedal somewhere else than it stands.
pub(crate) struct Turn {
    /// Its tag.
    pub(crate) tag: String,
    /// The share of its resistance below the wiper.
    pub(crate) share: f64,
    /// Whether any pedal is turned down then, so that the change of tone alone is judged.
    pub(crate) by_tone: bool,
    pub(crate) built: Built,
    /// The network without devices that want the bare pickup.
    pub(crate) model: Model,
}

impl Turn {
    /// Whether the pedal lies on a way.
    pub(crate) fn is_on(&self, source: &str, sink: &str) -> bool {
        is_passed(&self.built, &self.tag, source, sink)
    }
}

/// Every other place of every volume pedal that is judged, the other pedals where they stand.
pub(crate) fn turns(input: &Input<'_>, config: &Config) -> Vec<Turn> {
    let mut out = Vec::new();
    for (device, share) in pots(input).flat_map(|device| TRAVELS.map(|share| (device, share))) {
        let stands = input.travel.get(&device.tag).copied().unwrap_or(1.0);
        if (stands - share).abs() < f64::EPSILON {
            continue;
        }
        let mut input = input.clone();
        input.travel.insert(device.tag.clone(), share);
        let built = build::build(&input, config);
        let model = sparing(&input, &built).unwrap_or_else(|| built.model.clone());
        let by_tone = turned_down(&input);
        out.push(Turn { tag: device.tag.clone(), share, by_tone, built, model });
    }
    out
}
