//! The engine: from input to outcome.
//!
//! Long because it is one way from the network to the answer, each step of it once.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use finding::Field;
use rig::State;

use crate::budget::{Budget, WHOLE};
use crate::build::{self, Built};
use crate::complex::Complex;
use crate::concerns::concerning;
use crate::extremes::{Envelope, Extreme, Work};
use crate::figures::Held;
use crate::graph::{Graph, Sections};
use crate::grid::{AT_1K, AT_4K, frequencies};
use crate::input::{Config, Input};
use crate::junction::{gather_junctions, levels_in, mark_listeners, mark_through};
use crate::ladder::Sweep;
use crate::level::decibels;
use crate::model::{Circuit, Model, Part, Switch, SwitchChoice, SwitchPositions};
use crate::outcome::{
    Band, Branches, Junction, Level, Noise, Outcome, Resonance, StateResponse, Turned, Way, Worst,
};
use crate::silence::WhyNot;
use crate::sparing::sparing;
use crate::state::Answer;
use crate::travel::turned_down;
use crate::whole::{EVERYTHING_BUT, EVERYTHING_OFF, EVERYTHING_ON, Whole};
use crate::words::{OUT, loop_out};
use crate::{advice, branches, hiss, loads, reached, resonance, rings, shares, state, stated, turn};

/// So many choices among what excludes each other are all answered for; of more, each is on in one state at least.
const MOST_WHOLE: usize = 8;

/// The states with everything on: one, or where only one at a time of some is on, one for each of them.
pub fn everything_on(input: &Input<'_>, config: &Config) -> Vec<Whole> {
    whole_states(input, &build::build(input, config))
}

fn whole_states(input: &Input<'_>, built: &Built) -> Vec<Whole> {
    let sets: Vec<Vec<&String>> = input
        .exclusive
        .iter()
        .map(|set| set.iter().filter(|name| built.switches.contains_key(*name)).collect::<Vec<_>>())
        .filter(|set| 1 < set.len())
        .collect();
    let all = sets.iter().try_fold(1_usize, |count, set| count.checked_mul(set.len()));
    let longest = sets.iter().map(Vec::len).max().unwrap_or(1);
    let every = all.filter(|count| *count <= MOST_WHOLE);
    let mut out: Vec<Whole> = Vec::new();
    for number in 0..every.unwrap_or(longest) {
        let mut left_out: BTreeSet<&String> = BTreeSet::new();
        let mut rest = number;
        for set in &sets {
            let chosen = if every.is_some() { rest % set.len() } else { number % set.len() };
            rest /= set.len();
            left_out.extend(set.iter().enumerate().filter(|(at, _)| *at != chosen).map(|(_, name)| *name));
        }
        // A loop is in when anything in it is on.
        let inside = left_out.iter().filter_map(|name| built.inside.get(*name)).flatten();
        let left_out: BTreeSet<&String> = left_out.iter().copied().chain(inside).collect();
        let on = |name: &&String| !left_out.contains(name);
        let engaged: Vec<String> = built.switches.keys().filter(on).cloned().collect();
        if !built.model.allows(&positions(built, &engaged)) {
            continue;
        }
        let mut left_out: Vec<String> = left_out.into_iter().cloned().collect();
        left_out.sort_by(|a, b| rig::tag_order(a, b));
        let name = match left_out.as_slice() {
            [] => EVERYTHING_ON.to_owned(),
            names => format!("{EVERYTHING_BUT}{}", crate::words::list(names)),
        };
        if out.iter().all(|other| other.left_out != left_out) {
            out.push(Whole { name, engaged, left_out });
        }
    }
    out
}

/// Answers for a rig: a pure function, the same input gives the same outcome.
pub fn solve(input: &Input<'_>, config: &Config) -> Outcome {
    solve_with(input, config, BufferSearch::Run)
}

/// Whether places for buffers are searched, which takes most of the time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BufferSearch {
    /// They are.
    Run,
    /// The advice says that it was not asked for.
    Skip,
}

/// [`solve`], with the search for buffers or without.
///
/// Work is bounded whatever the document says: what goes over the budget is answered with bounds, and a note says so.
pub fn solve_with(input: &Input<'_>, config: &Config, search: BufferSearch) -> Outcome {
    let built = build::build(input, config);
    let mut asked = Asked::new(input, config, &built);
    let budget = Budget::new(WHOLE);
    let (sources, sinks) = (built.model.sources.len(), built.model.sinks.len());
    let mut open = sources * sinks;
    let mut answers = Vec::new();
    let positions: Vec<SwitchPositions> = asked.named.iter().map(|(_, state)| state.clone()).collect();
    let mut loads = Vec::new();
    // What hangs on the sources is looked at beside all the rest, within a budget of its own.
    rayon::in_place_scope(|scope| {
        scope.spawn(|_| loads = loads::loads(input, &built, &positions, &Budget::new(WHOLE / 4)));
        for source in 0..sources {
            answers.push(asked.states(source));
        }
        // Where something meets an input is told also where nothing leads there, or nothing behind it leads on.
        let met = Budget::new(WHOLE / 4);
        let sections = Sections::all(&built.model, &asked.sweep, &met);
        if turned_down(input) {
            // A pedal that stands turned down takes level on purpose: what meets is judged with all of them at the toe.
            let mut toe = input.clone();
            toe.travel.values_mut().for_each(|share| *share = 1.0);
            let built = build::build(&toe, config);
            let sections = Sections::all(&built.model, &asked.sweep, &met);
            gather_junctions(&toe, &built, &sections, &mut asked.junctions);
        } else {
            gather_junctions(input, &built, &sections, &mut asked.junctions);
        }
        asked.work.steps += met.demanded();
        for (source, answers) in answers.iter().enumerate() {
            for sink in 0..sinks {
                let share = budget.share(open);
                asked.way(&sections, (source, sink), answers, &share);
                budget.settle(&share);
                open -= 1;
            }
            for (named, answer) in asked.named.clone().iter().zip(answers) {
                if answer.is_loud {
                    continue;
                }
                let answers = [answer.plain.as_ref(), answer.gained.as_ref()];
                asked.levels.extend(levels_in(input, &built, &named.0, answers, source));
            }
        }
    });
    asked.turn();
    mark_listeners(input.rig, &built, &mut asked.junctions);
    mark_through(input.rig, &built, &mut asked.junctions);
    let mut round = Vec::new();
    for of_source in &answers {
        for ((state, _), answer) in asked.named.iter().zip(of_source) {
            let gained = answer.gained.as_ref();
            round.extend(
                gained.into_iter().flat_map(|one| rings::rings(input, &built.gained, &state.name, one)),
            );
        }
    }
    let idle = Budget::new(WHOLE / 8);
    for (at, (state, positions)) in asked.named.iter().enumerate() {
        let of_state = answers.iter().filter_map(|of_source| of_source.get(at)?.gained.as_ref());
        let met = of_state.flat_map(|answer| answer.sections.iter().map(|(driver, _)| *driver)).collect();
        for answer in state::unreached(&built.gained, positions, met, &asked.sweep, &idle) {
            round.extend(rings::rings(input, &built.gained, &state.name, &answer));
        }
    }
    let rings = rings::loudest(round);
    // With gains at 0 dB, which is what levels are told with.
    let howls = answers.iter().flatten().any(|answer| answer.silence == WhyNot::Howls);
    for sink in &built.model.sinks {
        if !asked.ways.iter().any(|way| way.sink == sink.id) {
            asked.notes.insert(if howls {
                format!(
                    "no level is told at {}: a ring of devices howls in every state that reaches it",
                    sink.id
                )
            } else {
                format!("no signal reaches {}{}", sink.id, ends_of(input.rig, &built, |_| true))
            });
        }
    }
    for source in &built.model.sources {
        if !asked.ways.is_empty() && !asked.ways.iter().any(|way| way.source == source.id) {
            let ends = ends_of(input.rig, &built, |id| id == source.id);
            asked.notes.insert(format!("{} reaches no amp or desk{ends}", source.id));
        }
    }
    if asked.ways.iter().any(|way| !way.band.exact) {
        asked
            .notes
            .insert("more work than one question may take: some bands are bounds or those of the states visited, not exact".to_owned());
    }
    let heard = |state: usize, source: usize, port: &rig::PortRef| {
        let node = &built.heard_at(port)?;
        let answers: &Answers = answers.get(source)?.get(state)?;
        let at = |answer: &Option<Answer>| Some(answer.as_ref()?.voltages.get(node)?.get(AT_1K)?.size());
        Some(branches::Volts { unity: at(&answers.plain)?, largest: at(&answers.gained)? })
    };
    let alone = |state: usize, source: usize, ways: [&[rig::PortRef]; 2]| {
        let answers: &Answers = answers.get(source)?.get(state)?;
        let positions = &asked.named.get(state)?.1;
        let of = |model: &Model, answer: &Option<Answer>| {
            shares::at_meeting(&built, model, answer.as_ref()?, positions, source, ways)
        };
        let (plain, gained) = (of(&built.model, &answers.plain)?, of(&built.gained, &answers.gained)?);
        let volts = |at: usize| branches::Volts { unity: plain[at], largest: gained[at] };
        Some([volts(0), volts(1)])
    };
    asked.notes.extend(rings.iter().map(crate::outcome::Ring::words));
    let whole = if input.rig.states.is_empty() { whole_states(input, &built) } else { Vec::new() };
    let branches = branches::in_states(
        input.rig,
        &built,
        &asked.named,
        &branches::Ears { heard: &heard, alone: &alone },
    );
    // Where branches meet, what is not known of their polarity and delay decides what comes out.
    let summed: BTreeSet<Field> =
        branches.iter().filter(|one| one.meets.is_some()).flat_map(|one| one.lacks.iter().cloned()).collect();
    asked.lacks.extend(summed.iter().cloned());
    for way in &mut asked.ways {
        let own = |one: &&Branches| {
            one.meets.is_some() && one.source == way.source && one.sinks.contains(&way.sink)
        };
        let lacks: BTreeSet<Field> =
            branches.iter().filter(own).flat_map(|one| &one.lacks).chain(&way.lacks).cloned().collect();
        way.lacks = lacks.into_iter().collect();
    }
    asked.work.steps += budget.demanded() + asked.budget.demanded();
    let advice = match search {
        BufferSearch::Run => advice::advise(input, config).resting_on(&summed),
        BufferSearch::Skip => crate::outcome::Advice::default(),
    };
    Outcome {
        frequencies: asked.sweep.hertz,
        ways: asked.ways,
        junctions: asked.junctions.into_values().collect(),
        loads,
        levels: asked.levels,
        stated: stated::stated_levels(input.rig),
        rings,
        whole,
        answered: asked.named.iter().map(|(state, _)| state.name.clone()).collect(),
        branches,
        advice,
        assumed: asked.assumed.into_iter().collect(),
        lacks: asked.lacks.into_iter().collect(),
        stand_ins: asked.stand_ins,
        notes: asked.notes.into_iter().collect(),
        work: asked.work,
    }
}

/// Where the ways of signal from some sources end that do not reach an amp or desk: `: it ends at D4 and PNL.S1`.
fn ends_of(rig: &rig::Rig, built: &Built, counts: impl Fn(&str) -> bool) -> String {
    let mut seen: BTreeSet<&rig::PortRef> = built
        .hops
        .iter()
        .map(|hop| &hop.from)
        .filter(|port| {
            built.model.sources.iter().any(|source| source.id == port.device && counts(&source.id))
        })
        .collect();
    let mut open: Vec<&rig::PortRef> = seen.iter().copied().collect();
    let mut out: BTreeSet<String> = BTreeSet::new();
    while let Some(port) = open.pop() {
        let next: Vec<_> = built.hops.iter().filter(|hop| hop.from == *port).map(|hop| &hop.to).collect();
        if next.is_empty() && !built.model.sinks.iter().any(|sink| sink.id == port.device) {
            // The jack matters where there are many: at a panel, a patch bay.
            let is_panel = rig.device(&port.device).is_some_and(|device| device.role == rig::Role::Panel);
            out.insert(if is_panel { port.to_string() } else { port.device.clone() });
        }
        open.extend(next.into_iter().filter(|port| seen.insert(port)));
    }
    let out: Vec<String> = out.into_iter().collect();
    match out.as_slice() {
        [] => String::new(),
        [one] => format!(": it ends at {one}"),
        [front @ .., last] => format!(": it ends at {} and {last}", front.join(", ")),
    }
}

/// A named state solved for one source.
struct Answers {
    /// With every stage at 0 dB.
    plain: Option<Answer>,
    /// With devices' own gains.
    gained: Option<Answer>,
    /// Whether a ring howls with those.
    is_loud: bool,
    /// What it means that there is no answer, or that nothing arrives by it.
    silence: WhyNot,
}

/// What has been found so far.
struct Asked<'a> {
    input: &'a Input<'a>,
    config: &'a Config,
    built: &'a Built,
    sparing: Option<Model>,
    sweep: Sweep,
    named: Vec<(State, SwitchPositions)>,
    /// What the named states may take.
    budget: Budget,
    /// What their noise may take where several inputs share it.
    noise: Budget,
    /// References by source and load.
    references: BTreeMap<(usize, u64), Rc<Reference>>,
    ways: Vec<Way>,
    junctions: BTreeMap<(String, String), Junction>,
    levels: Vec<Level>,
    assumed: BTreeSet<Field>,
    lacks: BTreeSet<Field>,
    stand_ins: BTreeMap<Field, f64>,
    notes: BTreeSet<String>,
    work: Work,
}

impl<'a> Asked<'a> {
    fn new(input: &'a Input<'a>, config: &'a Config, built: &'a Built) -> Self {
        let named = named_states(input, built);
        let mut notes = built.notes.clone();
        for (state, _) in &named {
            notes.extend(parts_of_groups(input, built, state));
        }
        for state in input.rig.states.iter().chain(&input.states) {
            if !built.model.allows(&positions(built, &state.engaged)) {
                notes.insert(format!(
                    "state {} puts on what excludes each other: there is no such state, and none is answered for",
                    state.name
                ));
            }
        }
        Self {
            input,
            config,
            built,
            sparing: sparing(input, built),
            sweep: Sweep::new(frequencies()),
            named,
            budget: Budget::new(WHOLE),
            noise: Budget::new(WHOLE / 4),
            references: BTreeMap::new(),
            ways: Vec::new(),
            junctions: BTreeMap::new(),
            levels: Vec::new(),
            assumed: built.assumed.clone(),
            lacks: built.lacks.clone(),
            stand_ins: built.stand_ins.clone(),
            notes,
            work: Work::default(),
        }
    }

    /// Every named state for one source.
    fn states(&mut self, source: usize) -> Vec<Answers> {
        let mut out = Vec::new();
        for (named, positions) in &self.named {
            let solve = |model: &Model| state::solve(model, positions, source, &self.sweep, &self.budget);
            let mut plain = solve(&self.built.model);
            let gained = solve(&self.built.gained);
            let howls = |model: &Model, answer: &Option<Answer>| {
                answer.as_ref().is_some_and(|answer| rings::howls(model, answer))
            };
            // With its gains up a ring may howl that is quiet at 0 dB: what is told of the one is not of the other.
            let is_loud = howls(&self.built.gained, &gained);
            let mut silence =
                if plain.is_none() && self.budget.is_spent() { WhyNot::NotWorkedOut } else { WhyNot::Silent };
            if howls(&self.built.model, &plain) {
                (plain, silence) = (None, WhyNot::Howls);
            }
            if self.budget.is_spent() {
                self.notes.insert(format!("state {} takes more work than one question may", named.name));
            }
            out.push(Answers { plain, gained, is_loud, silence });
        }
        out
    }

    /// What is worst on each way with a volume pedal on it elsewhere than it stands.
    fn turn(&mut self) {
        let budget = Budget::new(WHOLE / 4);
        let points = Sweep::new(vec![1000.0, 4000.0]);
        for turn in turn::turns(self.input, self.config) {
            for way in self.ways.iter_mut().filter(|way| !way.aside && turn.is_on(&way.source, &way.sink)) {
                let Some(held) = Held::of(way, &turn.model) else { continue };
                let graph = Graph::new(&turn.model, held.source, held.sink, &points, Some((0, 1)), &budget);
                let envelope = graph.solve();
                add(&mut self.work, envelope.work);
                let by_tone = !way.is_amp || way.adds_up || turn.by_tone;
                let [low, high] = held.reference;
                let pair = match envelope.difference {
                    Some(pair) if by_tone => pair.map(|one| (one.db - (high - low), one.state)),
                    _ => [&envelope.upper[1], &envelope.lower[1]].map(|one| (one.db - high, one.state)),
                };
                // Nothing is said by bounds.
                if !envelope.exact || !envelope.arrives {
                    continue;
                }
                let name = |state: Option<usize>| Some(engaged(&turn.built, &envelope.states[state?]));
                let [up, down] = pair;
                let (change_db, state) = if down.0.abs() < up.0.abs() { up } else { down };
                let lowest = &envelope.lower[0];
                way.turned.push(Turned {
                    tag: turn.tag.clone(),
                    share: turn.share,
                    by_tone,
                    change_db,
                    state: name(state),
                    loss_1k_db: (!turn.by_tone).then_some(low - lowest.db),
                    loss_state: name(lowest.state).filter(|_| !turn.by_tone),
                });
            }
        }
    }

    /// One way, if signal can pass it.
    fn way(
        &mut self,
        sections: &Sections,
        (source, sink): (usize, usize),
        answers: &[Answers],
        budget: &Budget,
    ) {
        let (built, sweep) = (self.built, &self.sweep);
        let marks = Some((AT_1K, AT_4K));
        let graph = Graph::knowing(sections, &built.model, (source, sink), sweep, marks, budget);
        let envelope = graph.solve();
        add(&mut self.work, envelope.work);
        if !envelope.arrives {
            return;
        }
        let id = built.model.sources[source].id.clone();
        let load = reference_load(self.input.rig, &built.model, sink);
        // Amps of one impedance share the reference.
        let (input, config) = (self.input, self.config);
        let reference = self
            .references
            .entry((source, load.to_bits()))
            .or_insert_with(|| Rc::new(Reference::new(input, config, &id, load, sweep)));
        let reference = Rc::clone(reference);
        let is_amp = is_amp(input.rig, &built.model, sink);
        let by_tone = !is_amp || graph.adds_up() || turned_down(input);
        // Bounds that keep the limits say enough; beyond them only what some state does counts.
        let keeps = |envelope: &Envelope| {
            let [one, four] = [AT_1K, AT_4K].map(|k| reference.db.get(k).copied().unwrap_or(0.0));
            let ends = [&envelope.upper[AT_4K], &envelope.lower[AT_4K]];
            !by_tone
                && ends.iter().all(|end| (end.db - four).abs() <= config.change_limit)
                && one - envelope.lower[AT_1K].db <= config.loss_limit
        };
        let solved: Vec<reached::Solved<'_>> = self
            .named
            .iter()
            .zip(answers)
            .filter_map(|((_, state), answer)| {
                Some((state, answer.plain.as_ref()?.sink(&built.model, sink)?.as_slice()))
            })
            .collect();
        let or_reached = |model: &Model, envelope: Envelope| {
            if envelope.exact || !reached::is_open(&envelope) && keeps(&envelope) {
                return (envelope, None);
            }
            // A state counts where every switch has the position: with devices left off, those in which they are.
            let has = |(own, whole): (&Switch, &Switch), at: u8| {
                own.positions.len() == whole.positions.len() || usize::from(at) < own.positions.len()
            };
            let pairs = || model.switches.iter().zip(&built.model.switches);
            let counts = |state: &SwitchPositions| pairs().zip(state).all(|(pair, at)| has(pair, *at));
            let solved: Vec<_> = solved.iter().filter(|(state, _)| counts(state)).copied().collect();
            match reached::reached(model, (source, sink), sweep, marks, &solved, budget) {
                Some((found, visited)) => (found, Some(visited)),
                None => (envelope, None),
            }
        };
        let (envelope, visited) = or_reached(&built.model, envelope);
        self.assumed.extend(reference.assumed.iter().cloned());
        self.lacks.extend(reference.lacks.iter().cloned());
        self.stand_ins.extend(reference.stand_ins.clone());
        let mut lacks = concerning(&built.model, &graph, &built.lacks);
        lacks.extend(reference.lacks.iter().cloned());
        let resonance = resonances(self.input, built, &graph, sweep, &reference, budget);
        let mut spared = None;
        if let Some(model) = &self.sparing {
            let envelope = Graph::new(model, source, sink, sweep, marks, budget).solve();
            add(&mut self.work, envelope.work);
            let (envelope, visited) = or_reached(model, envelope);
            spared = Some(band(built, &envelope, visited, &reference.db));
        }
        let states = self
            .named
            .iter()
            .zip(answers)
            .map(|((named, positions), answer)| {
                let named = (named, positions.as_slice());
                respond(input.rig, built, named, answer, sink, sweep, &reference, config, &self.noise)
            })
            .collect();
        self.ways.push(Way {
            source: id.clone(),
            sink: built.model.sinks[sink].id.clone(),
            reference_db: reference.db.clone(),
            reference_load: load,
            knobs: knobs(self.input, &id),
            is_amp,
            aside: rig::way::is_aside(self.input.rig, &id, &built.model.sinks[sink].id),
            turned_down: turned_down(self.input),
            turned: Vec::new(),
            adds_up: graph.adds_up(),
            band: band(built, &envelope, visited, &reference.db),
            band_sparing: spared,
            states,
            resonance,
            lacks: lacks.into_iter().collect(),
        });
    }
}

/// The knobs of a source that are turned down: `volume at 50 %`.
fn knobs(input: &Input<'_>, source: &str) -> String {
    let turned = input.controls.get(source).copied().unwrap_or_default();
    let words = [("volume", turned.volume), ("tone", turned.tone)]
        .into_iter()
        .filter(|(_, share)| *share < 1.0)
        .map(|(knob, share)| format!("{knob} at {:.0} %", share * 100.0));
    words.collect::<Vec<_>>().join(", ")
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

/// Whether a state with this on can be: of what excludes each other it puts on one at most.
pub fn can_be(input: &Input<'_>, config: &Config, engaged: &[String]) -> bool {
    possible(input, config)(engaged)
}

/// [`can_be`] for whoever asks it of many states: the network is built once.
pub fn possible(input: &Input<'_>, config: &Config) -> impl Fn(&[String]) -> bool + use<> {
    let built = build::build(input, config);
    move |engaged| built.model.allows(&positions(&built, engaged))
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
    work.steps += more.steps;
}

/// The reference of a source: its curve, resonance and noise.
pub(crate) struct Reference {
    pub(crate) db: Vec<f64>,
    pub(crate) peak: Option<f64>,
    volts_a: Option<f64>,
    assumed: BTreeSet<Field>,
    lacks: BTreeSet<Field>,
    stand_ins: BTreeMap<Field, f64>,
}

impl Reference {
    pub(crate) fn new(input: &Input<'_>, config: &Config, source: &str, load: f64, sweep: &Sweep) -> Self {
        let built = build::reference(input, config, source, load);
        let budget = Budget::new(WHOLE);
        let answer = state::solve(&built.model, &[], 0, sweep, &budget);
        let values =
            answer.as_ref().and_then(|answer| answer.sink(&built.model, 0).cloned()).unwrap_or_default();
        let losses: Vec<f64> = values.iter().map(|value| 1.0 / value.square()).collect();
        // What a piezo and its pots let through best is no resonance of a coil with its leads.
        let is_coil = input
            .rig
            .source(source)
            .is_some_and(|source| source.pickup.kind.value.unwrap_or_default() == rig::PickupKind::Coil);
        let peak = if is_coil {
            resonance::peak(&losses, sweep, |sweep| {
                let answer = state::solve(&built.model, &[], 0, sweep, &budget)?;
                Some(answer.sink(&built.model, 0)?.iter().map(|value| 1.0 / value.square()).collect())
            })
        } else {
            None
        };
        let noise = answer
            .and_then(|answer| hiss::at_sink((&built.model, &[]), &answer, 0, sweep, config.kelvin, &budget));
        Self {
            db: values.iter().map(|value| value.decibels()).collect(),
            peak,
            volts_a: noise.map(|noise| noise.volts_a),
            assumed: built.assumed,
            lacks: built.lacks,
            stand_ins: built.stand_ins,
        }
    }
}

/// Input impedance of a sink in ohms.
fn sink_load(model: &Model, sink: usize) -> Option<f64> {
    let name = format!("{} input", model.sinks[sink].id);
    model.fixed.elements.iter().find(|element| element.name == name).and_then(|element| match element.part {
        Part::Resistor(ohms) => Some(ohms),
        _ => None,
    })
}

/// What the reference ends in: this sink if it is an amp, else the first amp of the rig, else 1 MΩ.
pub(crate) fn reference_load(rig: &rig::Rig, model: &Model, sink: usize) -> f64 {
    let mut sinks = std::iter::once(sink).chain(0..model.sinks.len());
    sinks.find(|sink| is_amp(rig, model, *sink)).and_then(|sink| sink_load(model, sink)).unwrap_or(1e6)
}

/// Whether a sink is an amp.
pub(crate) fn is_amp(rig: &rig::Rig, model: &Model, sink: usize) -> bool {
    rig.sink(&model.sinks[sink].id).is_none_or(rig::Sink::is_amp)
}

/// The states to answer for, with everything off first; where the rig names none, with everything on next. A state that
/// puts on what excludes each other is none.
fn named_states(input: &Input<'_>, built: &Built) -> Vec<(State, SwitchPositions)> {
    let off = State { name: EVERYTHING_OFF.to_owned(), engaged: Vec::new() };
    let whole = if input.rig.states.is_empty() { whole_states(input, built) } else { Vec::new() };
    let on: Vec<State> =
        whole.into_iter().map(|one| State { name: one.name, engaged: one.engaged }).collect();
    std::iter::once(&off)
        .chain(&on)
        .chain(&input.rig.states)
        .chain(&input.states)
        .map(|state| (state.clone(), positions(built, &state.engaged)))
        .filter(|(_, positions)| built.model.allows(positions))
        .collect()
}

/// What a named state says of things that one switch works together: it puts some on and not the others. They are taken
/// as on too, since that is what the switch does.
fn parts_of_groups(input: &Input<'_>, built: &Built, state: &State) -> Vec<String> {
    let is_on = |name: &&String| {
        let inside =
            built.inside.get(*name).is_some_and(|tags| tags.iter().any(|tag| state.engaged.contains(tag)));
        inside || state.engaged.contains(name)
    };
    let told = |group: &Vec<String>| {
        let (on, off): (Vec<&String>, Vec<&String>) =
            group.iter().filter(|name| built.switches.contains_key(*name)).partition(is_on);
        let words =
            |names: Vec<&String>| names.into_iter().map(String::as_str).collect::<Vec<_>>().join(" and ");
        let verb = if off.len() == 1 { "is" } else { "are" };
        (!on.is_empty() && !off.is_empty()).then(|| {
            let (on, off) = (words(on), words(off));
            format!(
                "state {} puts on {on} without {off}, which one switch works together: {off} {verb} taken as on too",
                state.name
            )
        })
    };
    input.together.iter().filter_map(told).collect()
}

/// Positions of the switches when these tags (or loops) are on: a loop is in when anything in it is, but where it is said
/// to be out.
pub(crate) fn positions(built: &Built, engaged: &[String]) -> SwitchPositions {
    let mut state = built.model.at_rest();
    let is_out = |name: &str| engaged.iter().any(|said| loop_out(said) == Some(name));
    for (name, switch) in built.switches.iter().filter(|(name, _)| !is_out(name)) {
        let inside = built.inside.get(name).is_some_and(|tags| tags.iter().any(|tag| engaged.contains(tag)));
        if inside || engaged.contains(name) {
            state[*switch] = 1;
        }
    }
    state
}

/// The tags and loops that are on in a state, as [`positions`] takes them back.
pub(crate) fn engaged(built: &Built, state: &[u8]) -> Vec<String> {
    engaged_of(built, &SwitchChoice::all_of(state))
}

/// The same of some switches.
pub(crate) fn engaged_of(built: &Built, choices: &[SwitchChoice]) -> Vec<String> {
    let worked = |is_on: bool| {
        let those = choices.iter().filter(move |choice| (choice.position != 0) == is_on);
        those.flat_map(|choice| &built.worked[choice.switch])
    };
    let mut names: Vec<String> = worked(true).cloned().collect();
    names.sort_by(|a, b| rig::tag_order(a, b));
    names.dedup();
    // What is on in a loop would put it in.
    let holds_any = |name: &&String| {
        built.inside.get(*name).is_some_and(|tags| tags.iter().any(|tag| names.contains(tag)))
    };
    let mut out: Vec<&String> = worked(false).filter(holds_any).collect();
    out.sort_by(|a, b| rig::tag_order(a, b));
    out.dedup();
    let out: Vec<String> = out.into_iter().map(|name| format!("{name}{OUT}")).collect();
    names.extend(out);
    names
}

fn band(built: &Built, envelope: &Envelope, visited: Option<usize>, reference: &[f64]) -> Band {
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
        visited,
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
    budget: &Budget,
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
    for variant in resonance::variants(&built.model, graph, sweep, budget) {
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

#[expect(clippy::too_many_arguments, reason = "one state of one way, all of it needed")]
fn respond(
    rig: &rig::Rig,
    built: &Built,
    (named, positions): (&State, &[u8]),
    answers: &Answers,
    sink: usize,
    sweep: &Sweep,
    reference: &Reference,
    config: &Config,
    budget: &Budget,
) -> StateResponse {
    let response: Vec<Complex> = answers
        .plain
        .as_ref()
        .and_then(|answer| answer.heard(&built.model, sink))
        .cloned()
        .unwrap_or_default();
    // A transformer makes no noise of its own beyond that of its winding, which is in.
    let is_active = |tag: &String| rig.device(tag).is_none_or(|device| !device.signal.passive);
    let noise = if response.is_empty() {
        None
    } else {
        answers
            .gained
            .as_ref()
            .and_then(|answer| {
                hiss::at_sink((&built.gained, positions), answer, sink, sweep, config.kelvin, budget)
            })
            .map(|hiss| Noise {
                volts: hiss.volts,
                volts_a: hiss.volts_a,
                over_guitar_db: reference.volts_a.map_or(0.0, |alone| decibels(hiss.volts_a / alone)),
                own: hiss.own.into_iter().collect(),
                not_known: hiss.not_known.into_iter().filter(is_active).collect(),
                from_hz: sweep.hertz.first().copied().unwrap_or(0.0),
                to_hz: sweep.hertz.last().copied().unwrap_or(0.0),
                kelvin: config.kelvin,
            })
    };
    let silence = response.is_empty().then_some(answers.silence);
    StateResponse { name: named.name.clone(), engaged: named.engaged.clone(), response, silence, noise }
}
