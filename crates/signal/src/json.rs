//! The outcome as data for others: units in the names of keys, the network for those who want to recompute it.

use indexmap::IndexMap;

use crate::answers::{self, Answers};
use crate::input::{Config, Input};
use crate::level::dbu;
use crate::longest::Longest;
use crate::model::{Circuit, Element, Part, Stage, Terminal};
use crate::outcome::{
    Advice, AdviceStatus, Alternative, Band, Branches, Figures, Junction, Level, Load, Noise, Outcome,
    Resonance, Ring, StateResponse, Way, Worst,
};
use crate::shown::StateFigures;
use crate::solve::{circuit, reference_circuit};
use crate::stated::StatedLevel;
use crate::wire::{self, Number};

/// The outcome of an input as JSON.
///
/// Levels are in dB against the EMF of the source. A bound that says nothing is `null`. Each way has its `network`:
/// the reference, and the circuit of each named state, as elements between numbered nodes with their R, L or C, gain
/// stages, EMFs and sinks.
pub fn json<'a>(outcome: &'a Outcome, input: &Input<'_>, config: &Config) -> wire::Signal<'a> {
    let mut states: IndexMap<String, wire::Network> = IndexMap::new();
    for state in outcome.ways.iter().flat_map(|way| &way.states) {
        if !states.contains_key(&state.name) {
            states.insert(state.name.clone(), network(&circuit(input, config, &state.engaged)));
        }
    }
    let ways = outcome.ways.iter().enumerate().map(|(index, way)| {
        let reference = reference_circuit(input, config, &way.source, way.reference_load);
        let networks = wire::Networks { reference: network(&reference), states: states.clone() };
        self::way(way, index, outcome, networks)
    });
    let answers = answers::answers(input, config, outcome);
    wire::Signal {
        schema: wire::SCHEMA,
        sinks: ways.collect(),
        junctions: outcome.junctions.iter().map(junction).collect(),
        loads: outcome.loads.iter().map(load).collect(),
        levels: outcome.levels.iter().map(level).collect(),
        stated_levels: outcome.stated.iter().map(stated).collect(),
        rings: outcome.rings.iter().map(ring).collect(),
        branches: outcome.branches.iter().map(branches).collect(),
        answers: answers.into_iter().map(answer).collect(),
        advice: advice(&outcome.advice),
        assumed: fields(&outcome.assumed),
        lacks: fields(&outcome.lacks),
        notes: &outcome.notes,
        work: wire::Work {
            drivers: outcome.work.drivers,
            edges: outcome.work.edges,
            outer: outcome.work.outer,
            states: outcome.work.states,
            steps: outcome.work.steps,
        },
    }
}

fn fields(fields: &[finding::Field]) -> Vec<String> {
    fields.iter().map(ToString::to_string).collect()
}

/// A number, or nothing for what JSON cannot hold.
fn number(value: f64) -> Number {
    value.is_finite().then_some(value)
}

fn numbers(values: &[f64]) -> Vec<Number> {
    values.iter().copied().map(number).collect()
}

fn way<'a>(way: &'a Way, index: usize, outcome: &'a Outcome, network: wire::Networks) -> wire::Way<'a> {
    let noises =
        way.states.iter().filter_map(|state| Some((state.name.as_str(), noise(state.noise.as_ref()?))));
    wire::Way {
        source: &way.source,
        sink: &way.sink,
        frequencies_hz: &outcome.frequencies,
        reference_db: numbers(&way.reference_db),
        reference_load_ohm: number(way.reference_load),
        is_amp: way.is_amp,
        turned_down: way.turned_down,
        adds_up: way.adds_up,
        aside: way.aside,
        exact: way.band.exact,
        envelope: band(&way.band),
        envelope_sparing_bare: way.band_sparing.as_ref().map(band),
        states: way.states.iter().map(|state| (state.name.as_str(), self::state(state))).collect(),
        worst: worst(&way.band.worst),
        worst_sparing_bare: way.band_sparing.as_ref().map(|band| worst(&band.worst)),
        resonance_hz: resonance(&way.resonance),
        network,
        noise: noises.collect(),
        advice: alternatives(&outcome.advice, Some(index)),
    }
}

fn band(band: &Band) -> wire::Band<'_> {
    let states = |places: &[Option<usize>]| {
        places.iter().map(|place| place.map(|at| band.states[at].as_slice())).collect()
    };
    wire::Band {
        exact: band.exact,
        states_visited: band.visited,
        upper_db: numbers(&band.upper_db),
        lower_db: numbers(&band.lower_db),
        upper_state: states(&band.upper_state),
        lower_state: states(&band.lower_state),
    }
}

fn state(state: &StateResponse) -> wire::State<'_> {
    wire::State {
        engaged: &state.engaged,
        level_db: numbers(&state.level_db()),
        why_not: state.silence.map(crate::WhyNot::words),
        re: state.response.iter().map(|value| number(value.re)).collect(),
        im: state.response.iter().map(|value| number(value.im)).collect(),
    }
}

fn worst(worst: &Worst) -> wire::Worst<'_> {
    wire::Worst {
        change_at_4k_db: number(worst.change_at_4k_db),
        tone_change_db: worst.tone_change_db.and_then(number),
        insertion_loss_1k_db: number(worst.insertion_loss_1k_db),
        state: worst.state.as_deref(),
        tone_state: worst.tone_state.as_deref(),
        loss_state: worst.loss_state.as_deref(),
    }
}

fn resonance(resonance: &Resonance) -> wire::Resonance<'_> {
    let variants =
        resonance.variants.iter().map(|(state, hz)| wire::Variant { state, hz: hz.and_then(number) });
    wire::Resonance {
        reference: resonance.reference.and_then(number),
        worst: resonance.worst.and_then(number),
        shift_ratio: resonance.shift.and_then(number),
        state: resonance.state.as_deref(),
        lost: resonance.lost.as_deref(),
        variants: variants.collect(),
    }
}

fn noise(noise: &Noise) -> wire::Noise {
    wire::Noise {
        level_dbu: number(dbu(noise.volts)),
        level_dbu_a: number(dbu(noise.volts_a)),
        over_guitar_db_a: number(noise.over_guitar_db),
        from_hz: noise.from_hz,
        to_hz: noise.to_hz,
        temperature_k: noise.kelvin,
        own_noise_of: noise.own.clone(),
        own_noise_not_known_of: noise.not_known.clone(),
    }
}

fn junction(junction: &Junction) -> wire::Junction<'_> {
    wire::Junction {
        from: &junction.from,
        to: &junction.to,
        loss_1k_db: number(junction.loss_db),
        state: &junction.state,
        off_1k_db: junction.off_db.and_then(number),
        between: junction.between.iter().map(|tag| &**tag).collect(),
        through: &junction.through,
        against: &junction.against,
        bare: junction.bare,
        listens: junction.listens,
    }
}

fn load(load: &Load) -> wire::Load<'_> {
    let port =
        |port: &rig::PortRef| if port.port.is_empty() { port.device.clone() } else { port.to_string() };
    wire::Load {
        source: &load.source,
        ohm: number(load.ohms),
        at: load.at.iter().map(port).collect(),
        state: &load.state,
        lacks: fields(&load.lacks),
    }
}

fn level(level: &Level) -> wire::Level<'_> {
    wire::Level {
        state: &level.state,
        source: &level.source,
        port: &level.port,
        level_db: number(level.db),
        level_dbu: level.dbu.and_then(number),
        peak_v: level.peak.and_then(number),
        headroom_db: level.headroom_db.and_then(number),
        headroom_gains_at_0_db: level.least_headroom_db.and_then(number),
        at_other_supply: level
            .at_other_supply
            .iter()
            .map(|(volts, room)| wire::OtherSupply { supply_v: number(*volts), headroom_db: number(*room) })
            .collect(),
        clips_before: level.clips_before.as_ref().map(|found| wire::ClipsBefore {
            device: &found.tag,
            at_most_v: number(found.volts),
            supply_v: found.supply.and_then(number),
        }),
        lacks: fields(&level.lacks),
    }
}

fn stated(stated: &StatedLevel) -> wire::StatedLevel {
    wire::StatedLevel {
        from: stated.from.to_string(),
        to: stated.to.to_string(),
        peak_v: number(stated.peak),
        headroom_db: stated.headroom_db.and_then(number),
    }
}

fn ring(ring: &Ring) -> wire::Ring<'_> {
    wire::Ring {
        state: &ring.state,
        devices: &ring.devices,
        gain_db: number(ring.gain_db),
        at_hz: number(ring.hertz),
        howls: ring.howls(),
        lacks: fields(&ring.lacks),
    }
}

fn branches(branches: &Branches) -> wire::Branches<'_> {
    wire::Branches {
        state: &branches.state,
        source: &branches.source,
        sinks: &branches.sinks,
        own: &branches.own,
        by: branches.by.each_ref().map(|port| port.as_ref().map(ToString::to_string)),
        inversions: branches.inversions,
        opposite: branches.opposite,
        latency_s: branches.latency.and_then(number),
        meets: branches.meets.as_deref(),
        notch_hz: branches.notch.and_then(number),
        notches_hz: numbers(&branches.notches),
        louder_db: branches.louder_db.and_then(number),
        apart_db: branches.apart_db.and_then(number),
        lacks: fields(&branches.lacks),
    }
}

fn state_figures(figures: StateFigures) -> wire::StateFigures {
    wire::StateFigures {
        level_1k_db: number(figures.level_1k_db),
        change_at_4k_db: number(figures.change_at_4k_db),
        tone_change_db: number(figures.tone_change_db),
        insertion_loss_1k_db: number(figures.insertion_loss_1k_db),
    }
}

fn answer(answers: Answers) -> wire::Answers {
    let travel = answers.travel.into_iter().map(|travel| wire::Travel {
        at: travel.word(),
        device: travel.tag,
        share: travel.share,
        figures: travel.figures.map(state_figures),
    });
    wire::Answers {
        source: answers.source,
        sink: answers.sink,
        everything_off: answers.off.ok().map(state_figures),
        everything_off_why_not: answers.off.err().map(crate::WhyNot::words),
        everything_on: answers.on.ok().map(state_figures),
        everything_on_why_not: answers.on.err().map(crate::WhyNot::words),
        travel: travel.collect(),
        longest_lead_in: longest(&answers.lead_in),
        longest_lead_out: longest(&answers.lead_out),
        leads_by_states_tried: answers.leads_by_states_tried,
        one_more_device: answers.one_more.map(|found| wire::OneMoreDevice {
            now: figures(found.now),
            at: found
                .at
                .into_iter()
                .map(|one| wire::OneMore {
                    place: one.place.to_string(),
                    bypassed: figures(one.bypassed),
                    buffered: one.buffered.map(figures),
                })
                .collect(),
            complete: found.complete,
            by_states_tried: found.by_states_tried,
        }),
    }
}

fn longest(longest: &Longest) -> wire::Longest {
    let of = |metres, more, broken| wire::Longest { metres, more, broken };
    match longest {
        Longest::None(limits) => {
            of(None, Some(false), Some(limits.iter().map(|limit| limit.word()).collect()))
        }
        Longest::NotFound => of(None, None, None),
        Longest::Metres(metres) => of(number(*metres), Some(false), None),
        Longest::Beyond(metres) => of(number(*metres), Some(true), None),
    }
}

fn figures(figures: Figures) -> wire::Figures {
    wire::Figures {
        change_at_4k_db: number(figures.change_at_4k_db),
        shift_ratio: number(figures.shift),
        loss_1k_db: number(figures.loss_1k_db),
    }
}

fn status(advice: &Advice) -> &'static str {
    match advice.status {
        AdviceStatus::NotAsked => "not asked",
        AdviceStatus::NothingArrives => "nothing arrives",
        AdviceStatus::NoneNeeded => "no buffer needed",
        AdviceStatus::Proven => "proven smallest",
        AdviceStatus::NoneFound => "none found",
        AdviceStatus::NotProven if advice.by_states_tried => "not proven smallest, by the states tried",
        AdviceStatus::NotProven => "not proven smallest",
        AdviceStatus::CutShort if advice.by_states_tried => "no buffer needed in the states tried",
        AdviceStatus::CutShort => "cut short",
        AdviceStatus::Depends => "depends on what is asked",
    }
}

/// The alternatives, with the band of one way or without.
fn alternatives(advice: &Advice, way: Option<usize>) -> Vec<wire::Alternative> {
    advice.alternatives.iter().map(|one| alternative(advice, one, way)).collect()
}

fn alternative(advice: &Advice, alternative: &Alternative, way: Option<usize>) -> wire::Alternative {
    let band = way.and_then(|way| alternative.bands.get(way));
    let places = alternative
        .places
        .iter()
        .map(|place| wire::Place { lead: format!("{} > {}", place.from, place.to), at: place.to_string() });
    wire::Alternative {
        places: places.collect(),
        verdict: status(advice),
        before: figures(advice.before),
        after: figures(alternative.after),
        envelope: band
            .map(|(upper, lower)| wire::Envelope { upper_db: numbers(upper), lower_db: numbers(lower) }),
    }
}

fn advice(advice: &Advice) -> wire::Advice {
    wire::Advice {
        verdict: status(advice),
        buffer: crate::fitting::BUFFER,
        spared: advice.spared.clone(),
        before: figures(advice.before),
        alternatives: alternatives(advice, None),
        helps: advice.helps.as_ref().map(|one| alternative(advice, one, None)),
        asks: fields(&advice.asks),
        rests_on: fields(&advice.rests_on),
        sets_tried: advice.tried,
        size_tried: advice.size_tried,
        if_wanted: advice.by_wish.as_ref().map(|by| Box::new(self::advice(&by.wanted))),
        if_not_wanted: advice.by_wish.as_ref().map(|by| Box::new(self::advice(&by.not_wanted))),
    }
}

/// A circuit as data.
fn network(circuit: &Circuit) -> wire::Network {
    wire::Network {
        nodes: circuit.nodes.clone(),
        units: wire::Units { resistor: "ohm", coil: "henry", capacitor: "farad" },
        elements: circuit.elements.iter().flat_map(elements).collect(),
        stages: circuit.stages.iter().map(stage).collect(),
        sources: circuit.sources.iter().map(terminal).collect(),
        sinks: circuit.sinks.iter().map(terminal).collect(),
    }
}

fn elements(element: &Element) -> Vec<wire::Element> {
    let of = |kind, value| wire::Element {
        name: element.name.clone(),
        kind,
        a: element.a,
        b: element.b,
        value: number(value),
        turns: None,
    };
    match element.part {
        Part::Resistor(ohms) => vec![of("R", ohms)],
        Part::Capacitor(farads) => vec![of("C", farads)],
        Part::Inductor(henries) => vec![of("L", henries)],
        Part::Lossy { henries, ohms } => vec![of("L", henries), of("R", ohms)],
        Part::Transformer { turns, ohms } => {
            vec![wire::Element { turns: number(turns), ..of("T", ohms) }]
        }
    }
}

fn stage(stage: &Stage) -> wire::Stage {
    wire::Stage {
        device: stage.device.clone(),
        inputs: stage.inputs.clone(),
        output: stage.output,
        gain_ratio: number(stage.gain),
        inverts: stage.inverts,
        delay_s: number(stage.delay),
    }
}

fn terminal(terminal: &Terminal) -> wire::Terminal {
    wire::Terminal { id: terminal.id.clone(), node: terminal.node }
}
