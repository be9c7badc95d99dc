//! The engine: from input to outcome.

use std::collections::{BTreeMap, BTreeSet};

use finding::Field;
use quantity::Volts;
use rig::State as Named;

use crate::build::{self, Built};
use crate::complex::Complex;
use crate::envelope::{Envelope, Extreme, Graph, Work};
use crate::grid::{AT_1K, AT_4K, frequencies};
use crate::input::{Config, Input};
use crate::ladder::Sweep;
use crate::level::{dbu, decibels, rms_of_peak};
use crate::model::{Choice, Circuit, Model, Part, State};
use crate::outcome::{Band, Junction, Level, Noise, Outcome, Resonance, StateResponse, Way, Worst};
use crate::section::{Driver, Leaf, Walker};
use crate::{advice, branches, hiss, resonance, state};

/// Amps are taken to begin at this input impedance, in ohms; below it a sink is a desk and the reference goes into
/// an amp all the same. Common practice, no source.
pub(crate) const AMP_FROM: f64 = 250e3;

/// The name of the state with everything off.
pub const EVERYTHING_OFF: &str = "everything off";

/// Answers for a rig: a pure function, the same input gives the same outcome.
pub fn solve(input: &Input<'_>, config: &Config) -> Outcome {
    solve_without_advice(input, config, true)
}

/// [`solve`], the search for buffers left out where `advice` is false: it takes most of the time.
pub fn solve_without_advice(input: &Input<'_>, config: &Config, advice: bool) -> Outcome {
    let built = build::build(input, config);
    let sweep = Sweep::new(frequencies());
    let named = named_states(input, &built);
    let mut assumed = built.assumed.clone();
    let mut lacks = built.lacks.clone();
    let mut notes = built.notes.clone();
    let mut work = Work::default();
    let mut ways = Vec::new();
    let mut junctions: BTreeMap<(String, String), Junction> = BTreeMap::new();
    let mut levels = Vec::new();
    let gained = &built.gained;
    for (state, positions) in &named {
        if !built.model.allows(positions) {
            notes.insert(format!("state {} puts on what excludes each other", state.name));
        }
    }
    for source in 0..built.model.sources.len() {
        for sink in 0..built.model.sinks.len() {
            let mut graph = Graph::new(&built.model, source, sink, &sweep, Some((AT_1K, AT_4K)));
            let envelope = graph.solve();
            add(&mut work, envelope.work);
            if !envelope.arrives {
                continue;
            }
            gather_junctions(input, &built, &graph, &mut junctions);
            let id = built.model.sources[source].id.clone();
            let load = reference_load(&built.model, sink);
            let reference = Reference::new(input, config, &id, load, &sweep);
            assumed.extend(reference.assumed.iter().cloned());
            lacks.extend(reference.lacks.iter().cloned());
            let resonance = resonances(input, &built, &graph, &sweep, &reference);
            let sparing = sparing(input, &built).map(|model| {
                let mut graph = Graph::new(&model, source, sink, &sweep, Some((AT_1K, AT_4K)));
                let envelope = graph.solve();
                add(&mut work, envelope.work);
                band(&built, &envelope, &reference.db)
            });
            let states = named
                .iter()
                .map(|(state, positions)| {
                    respond(&built, gained, state, positions, source, sink, &sweep, &reference, config)
                })
                .collect();
            ways.push(Way {
                source: id,
                sink: built.model.sinks[sink].id.clone(),
                reference_db: reference.db.clone(),
                reference_load: load,
                is_amp: sink_load(&built.model, sink).is_none_or(|ohms| AMP_FROM <= ohms),
                band: band(&built, &envelope, &reference.db),
                band_sparing: sparing,
                states,
                resonance,
            });
        }
        for (state, positions) in &named {
            levels.extend(levels_in(input, &built, gained, state, positions, source));
        }
    }
    for sink in &built.model.sinks {
        if !ways.iter().any(|way| way.sink == sink.id) {
            notes.insert(format!("nothing reaches {} in any state", sink.id));
        }
    }
    let branches = named
        .iter()
        .filter(|(state, _)| state.name != EVERYTHING_OFF)
        .flat_map(|(state, _)| branches::compare(input.rig, &built, &state.name, &state.engaged))
        .collect();
    let advice = if advice { advice::advise(input, config) } else { crate::outcome::Advice::default() };
    Outcome {
        frequencies: sweep.hertz,
        ways,
        junctions: junctions.into_values().collect(),
        levels,
        branches,
        advice,
        assumed: assumed.into_iter().collect(),
        lacks: lacks.into_iter().collect(),
        notes: notes.into_iter().collect(),
        work,
    }
}

/// The network of a rig with its switches, for those who want to solve it themselves.
pub fn network(input: &Input<'_>, config: &Config) -> Model {
    build::build(input, config).model
}

/// The network of one state: what is named is on, all else is off.
pub fn circuit(input: &Input<'_>, config: &Config, engaged: &[String]) -> Circuit {
    let built = build::build(input, config);
    let state = positions(&built, engaged);
    built.model.circuit(&state)
}

/// The network of the reference: a source straight into an amp's input of this many ohms by the usual lead.
pub fn reference_circuit(input: &Input<'_>, config: &Config, source: &str, load_ohms: f64) -> Circuit {
    build::reference(input, config, source, load_ohms).model.circuit(&[])
}

fn add(work: &mut Work, more: Work) {
    work.drivers += more.drivers;
    work.edges += more.edges;
    work.outer += more.outer;
    work.states += more.states;
}

/// The reference of a source: its curve, resonance and noise.
pub(crate) struct Reference {
    pub(crate) db: Vec<f64>,
    pub(crate) peak: Option<f64>,
    volts_a: Option<f64>,
    assumed: BTreeSet<Field>,
    lacks: BTreeSet<Field>,
}

impl Reference {
    pub(crate) fn new(input: &Input<'_>, config: &Config, source: &str, load: f64, sweep: &Sweep) -> Self {
        let built = build::reference(input, config, source, load);
        let answer = state::solve(&built.model, &[], 0, sweep);
        let values =
            answer.as_ref().and_then(|answer| answer.sink(&built.model, 0).cloned()).unwrap_or_default();
        let losses: Vec<f64> = values.iter().map(|value| 1.0 / value.square()).collect();
        let peak = resonance::peak(&losses, sweep, |sweep| {
            let answer = state::solve(&built.model, &[], 0, sweep)?;
            Some(answer.sink(&built.model, 0)?.iter().map(|value| 1.0 / value.square()).collect())
        });
        let noise = answer.and_then(|answer| hiss::at_sink(&built.model, &answer, 0, sweep, config.kelvin));
        Self {
            db: values.iter().map(|value| value.decibels()).collect(),
            peak,
            volts_a: noise.map(|noise| noise.1),
            assumed: built.assumed,
            lacks: built.lacks,
        }
    }
}

/// Input impedance of a sink in ohms.
pub(crate) fn sink_load(model: &Model, sink: usize) -> Option<f64> {
    let name = format!("{} input", model.sinks[sink].id);
    model.fixed.elements.iter().find(|element| element.name == name).and_then(|element| match element.part {
        Part::Resistor(ohms) => Some(ohms),
        _ => None,
    })
}

/// What the reference ends in: this sink if it is an amp, else the first amp of the rig, else 1 MΩ.
pub(crate) fn reference_load(model: &Model, sink: usize) -> f64 {
    std::iter::once(sink)
        .chain(0..model.sinks.len())
        .filter_map(|sink| sink_load(model, sink))
        .find(|ohms| AMP_FROM <= *ohms)
        .unwrap_or(1e6)
}

/// The model with every device that wants the bare pickup left off; `None` when there is none to leave off.
pub(crate) fn sparing(input: &Input<'_>, built: &Built) -> Option<Model> {
    let bare: BTreeSet<usize> = input
        .rig
        .devices
        .iter()
        .filter(|device| device.signal.bare_pickup.value == Some(true))
        .filter_map(|device| built.switches.get(&device.tag).copied())
        .collect();
    if bare.is_empty() {
        return None;
    }
    let mut model = built.model.clone();
    for switch in &bare {
        model.switches[*switch].positions.truncate(1);
    }
    for block in model.blocks.iter_mut().filter(|block| bare.contains(&block.switch)) {
        block.variants.truncate(1);
    }
    Some(model)
}

/// The states to answer for, with everything off first.
fn named_states(input: &Input<'_>, built: &Built) -> Vec<(Named, State)> {
    let off = Named { name: EVERYTHING_OFF.to_owned(), engaged: Vec::new() };
    std::iter::once(&off)
        .chain(&input.rig.states)
        .chain(&input.states)
        .map(|state| (state.clone(), positions(built, &state.engaged)))
        .collect()
}

/// Positions of the switches when these tags (or loops) are on: a loop is in when anything in it is.
pub(crate) fn positions(built: &Built, engaged: &[String]) -> State {
    let mut state = built.model.at_rest();
    for (name, switch) in &built.switches {
        let inside = built.inside.get(name).is_some_and(|tags| tags.iter().any(|tag| engaged.contains(tag)));
        if inside || engaged.contains(name) {
            state[*switch] = 1;
        }
    }
    state
}

/// The tags and loops that are on in a state.
pub(crate) fn engaged(built: &Built, state: &[u8]) -> Vec<String> {
    built
        .switches
        .iter()
        .filter(|(_, switch)| state.get(**switch).is_some_and(|position| *position != 0))
        .map(|(name, _)| name.clone())
        .collect()
}

fn engaged_of(built: &Built, choices: &[Choice]) -> Vec<String> {
    let mut state = built.model.at_rest();
    for (switch, position) in choices {
        state[*switch] = *position;
    }
    engaged(built, &state)
}

fn band(built: &Built, envelope: &Envelope, reference: &[f64]) -> Band {
    let states: Vec<Vec<String>> = envelope.states.iter().map(|state| engaged(built, state)).collect();
    let name = |extreme: &Extreme| extreme.state.map(|index| states[index].clone());
    let change = |extremes: &[Extreme], k: usize| extremes[k].db - reference.get(k).copied().unwrap_or(0.0);
    let (up, down) = (change(&envelope.upper, AT_4K), change(&envelope.lower, AT_4K));
    let larger = |a: f64, b: f64| b.abs() < a.abs();
    let (change_at_4k_db, at) =
        if larger(up, down) { (up, &envelope.upper[AT_4K]) } else { (down, &envelope.lower[AT_4K]) };
    let tone = envelope.difference.map(|[high, low]| {
        let base = reference.get(AT_4K).unwrap_or(&0.0) - reference.get(AT_1K).unwrap_or(&0.0);
        let (up, down) = (high.db - base, low.db - base);
        if larger(up, down) { (up, name(&high)) } else { (down, name(&low)) }
    });
    let (tone_change_db, tone_state) = match tone {
        Some((db, state)) => (Some(db), state),
        None => (None, None),
    };
    let worst = Worst {
        change_at_4k_db,
        state: name(at),
        tone_change_db,
        tone_state,
        insertion_loss_1k_db: -change(&envelope.lower, AT_1K),
        loss_state: name(&envelope.lower[AT_1K]),
    };
    Band {
        exact: envelope.exact,
        upper_db: envelope.upper.iter().map(|extreme| extreme.db).collect(),
        lower_db: envelope.lower.iter().map(|extreme| extreme.db).collect(),
        upper_state: envelope.upper.iter().map(|extreme| extreme.state).collect(),
        lower_state: envelope.lower.iter().map(|extreme| extreme.state).collect(),
        states,
        worst,
    }
}

fn resonances(
    input: &Input<'_>,
    built: &Built,
    graph: &Graph<'_>,
    sweep: &Sweep,
    reference: &Reference,
) -> Resonance {
    let mut out = Resonance { reference: reference.peak, ..Resonance::default() };
    if graph.is_blind() {
        return out;
    }
    let bare = |tags: &[String]| {
        tags.iter().any(|tag| {
            input.rig.device(tag).is_some_and(|device| device.signal.bare_pickup.value == Some(true))
        })
    };
    for variant in resonance::variants(&built.model, graph, sweep) {
        let tags = engaged_of(built, &variant.choices);
        if let Some(base) = reference.peak.filter(|_| !bare(&tags)) {
            match variant.hertz {
                Some(hertz) => {
                    let shift = hertz / base - 1.0;
                    if out.shift.is_none_or(|worst| worst.abs() < shift.abs()) {
                        (out.worst, out.shift, out.state) = (Some(hertz), Some(shift), Some(tags.clone()));
                    }
                }
                None => out.lost = out.lost.or_else(|| Some(tags.clone())),
            }
        }
        out.variants.push((tags, variant.hertz));
    }
    out
}

#[expect(clippy::too_many_arguments, reason = "one row of a table, all of it needed")]
fn respond(
    built: &Built,
    gained: &Model,
    named: &Named,
    positions: &[u8],
    source: usize,
    sink: usize,
    sweep: &Sweep,
    reference: &Reference,
    config: &Config,
) -> StateResponse {
    let answer = state::solve(&built.model, positions, source, sweep);
    let response: Vec<Complex> = answer
        .as_ref()
        .and_then(|answer| answer.sink(&built.model, sink))
        .filter(|values| values.iter().any(|value| value.square() > 0.0))
        .cloned()
        .unwrap_or_default();
    let noise = if response.is_empty() {
        None
    } else {
        state::solve(gained, positions, source, sweep)
            .and_then(|answer| hiss::at_sink(gained, &answer, sink, sweep, config.kelvin))
            .map(|(volts, volts_a)| Noise {
                volts,
                volts_a,
                over_guitar_db: reference.volts_a.map_or(0.0, |alone| decibels(volts_a / alone)),
                from_hz: sweep.hertz.first().copied().unwrap_or(0.0),
                to_hz: sweep.hertz.last().copied().unwrap_or(0.0),
                kelvin: config.kelvin,
            })
    };
    StateResponse { name: named.name.clone(), engaged: named.engaged.clone(), response, noise }
}

/// The name of the port a driver drives, and whether it is a source.
fn giver(model: &Model, walker: &Walker<'_>, driver: Driver) -> (String, bool) {
    match driver {
        Driver::Source(index) => (model.sources[index].id.clone(), true),
        Driver::Stage(_) => {
            let name = &model.nodes[walker.node_of(driver)];
            let name = name.strip_suffix(" drive").unwrap_or(name);
            // A switcher's way out may be driven in several places; it is one jack.
            (name.split(" via ").next().unwrap_or(name).to_owned(), false)
        }
    }
}

fn gather_junctions(
    input: &Input<'_>,
    built: &Built,
    graph: &Graph<'_>,
    junctions: &mut BTreeMap<(String, String), Junction>,
) {
    if graph.is_blind() {
        return;
    }
    let walker = Walker::new(&built.model);
    for (driver, edges) in graph.drivers.iter().zip(&graph.edges) {
        let (from, is_source) = giver(&built.model, &walker, *driver);
        let bare = is_source
            && input.rig.source(&from).is_some_and(|source| {
                source.pickup.kind.value.unwrap_or_default() != rig::PickupKind::Active
            });
        for edge in edges {
            let to = built.model.nodes[edge.node].clone();
            let loss_db = 10.0 * libm::log10(edge.loss[AT_1K]);
            let entry = junctions.entry((from.clone(), to.clone()));
            let junction = entry.or_insert_with(|| Junction {
                from: from.clone(),
                to,
                loss_db: f64::NEG_INFINITY,
                state: Vec::new(),
                bare,
            });
            if junction.loss_db < loss_db {
                junction.loss_db = loss_db;
                junction.state = engaged_of(built, &edge.choices);
            }
        }
    }
}

/// Levels at every input that listens, from the source's peak, with devices' largest gains, at 1 kHz.
fn levels_in(
    input: &Input<'_>,
    built: &Built,
    gained: &Model,
    named: &Named,
    positions: &[u8],
    source: usize,
) -> Vec<Level> {
    let id = &built.model.sources[source].id;
    let Some(peak) = input.rig.source(id).and_then(|source| source.pickup.peak.value).map(Volts::get) else {
        return Vec::new();
    };
    let sweep = Sweep::new(vec![1000.0]);
    let Some(answer) = state::solve(gained, positions, source, &sweep) else { return Vec::new() };
    let walker = Walker::new(gained);
    let mut lacks: BTreeSet<Field> = BTreeSet::new();
    let mut out: Vec<Level> = Vec::new();
    let mut done = BTreeSet::new();
    for (driver, links) in &answer.sections {
        if let Driver::Stage(stage) = driver {
            let tag = &walker.stage(*stage).device;
            if input.rig.device(tag).is_some_and(|device| device.signal.gain.is_unknown()) {
                lacks.insert(Field::device(tag, "signal.gain"));
            }
        }
        for link in links.iter().filter(|link| done.insert(link.node)) {
            let Some(value) = answer.voltages.get(&link.node).and_then(|values| values.first()) else {
                continue;
            };
            let here = value.size() * peak;
            let most = match link.leaf {
                Leaf::Stage(stage) => {
                    let tag = &walker.stage(stage).device;
                    input.rig.device(tag).and_then(|device| device.signal.max_input.value).map(Volts::get)
                }
                Leaf::Sink(_) => None,
            };
            out.push(Level {
                state: named.name.clone(),
                source: id.clone(),
                port: gained.nodes[link.node].clone(),
                dbu: dbu(rms_of_peak(here)),
                peak: here,
                headroom_db: most.map(|most| decibels(most / here)),
                lacks: lacks.iter().cloned().collect(),
            });
        }
    }
    out
}
