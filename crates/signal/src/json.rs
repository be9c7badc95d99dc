//! The outcome as data for others: units in the names of keys, the network for those who want to recompute it.

use serde_json::{Map, Value, json};

use crate::answers::{Answers, answers};
use crate::input::{Config, Input};
use crate::level::dbu;
use crate::longest::Longest;
use crate::model::{Circuit, Part};
use crate::outcome::{Advice, Alternative, Band, Figures, Outcome, StateResponse, Verdict, Way, Worst};
use crate::shown::StateFigures;
use crate::solve::{circuit, reference_circuit};

/// Version of the layout of [`json()`]'s answer.
pub const SCHEMA: &str = "boardwright-signal-1";

/// The outcome of an input as JSON.
///
/// Levels are in dB against the EMF of the source. A bound that says nothing is `null`. Each way has its `network`:
/// the reference, and the circuit of each named state, as elements between numbered nodes with their R, L or C, gain
/// stages, EMFs and sinks.
pub fn json(outcome: &Outcome, input: &Input<'_>, config: &Config) -> Value {
    let mut states: Map<String, Value> = Map::new();
    for state in outcome.ways.iter().flat_map(|way| &way.states) {
        if !states.contains_key(&state.name) {
            states.insert(state.name.clone(), network(&circuit(input, config, &state.engaged)));
        }
    }
    let ways = outcome.ways.iter().enumerate().map(|(index, way)| {
        let reference = reference_circuit(input, config, &way.source, way.reference_load);
        let network = json!({ "reference": network(&reference), "states": states });
        way_json(way, index, outcome, &network)
    });
    json!({
        "schema": SCHEMA,
        "sinks": ways.collect::<Vec<_>>(),
        "junctions": outcome.junctions.iter().map(|junction| json!({
            "from": junction.from,
            "to": junction.to,
            "loss_1k_db": number(junction.loss_db),
            "state": junction.state,
            "off_1k_db": junction.off_db.map(number),
            "between": junction.between,
            "against": junction.against,
            "bare": junction.bare,
            "listens": junction.listens,
        })).collect::<Vec<_>>(),
        "loads": outcome.loads.iter().map(|load| json!({
            "source": load.source,
            "ohm": number(load.ohms),
            "at": load.at.iter().map(|port| if port.port.is_empty() { port.device.clone() } else { port.to_string() }).collect::<Vec<_>>(),
            "state": load.state,
            "lacks": fields(&load.lacks),
        })).collect::<Vec<_>>(),
        "levels": outcome.levels.iter().map(|level| json!({
            "state": level.state,
            "source": level.source,
            "port": level.port,
            "level_db": number(level.db),
            "level_dbu": level.dbu.map(number),
            "peak_v": level.peak.map(number),
            "headroom_db": level.headroom_db.map(number),
            "headroom_gains_at_0_db": level.least_headroom_db.map(number),
            "lacks": fields(&level.lacks),
        })).collect::<Vec<_>>(),
        "branches": outcome.branches.iter().map(|branches| json!({
            "state": branches.state,
            "source": branches.source,
            "sinks": branches.sinks,
            "own": branches.own,
            "inversions": branches.inversions,
            "opposite": branches.opposite,
            "latency_s": branches.latency,
            "meets": branches.meets,
            "notch_hz": branches.notch,
            "notches_hz": numbers(&branches.notches),
            "louder_db": branches.louder_db.map(number),
            "apart_db": branches.apart_db.map(number),
            "lacks": fields(&branches.lacks),
        })).collect::<Vec<_>>(),
        "answers": answers(input, config, outcome).iter().map(answers_json).collect::<Vec<_>>(),
        "advice": advice(&outcome.advice),
        "assumed": fields(&outcome.assumed),
        "lacks": fields(&outcome.lacks),
        "notes": outcome.notes,
        "work": {
            "drivers": outcome.work.drivers,
            "edges": outcome.work.edges,
            "outer": outcome.work.outer,
            "states": outcome.work.states,
            "steps": outcome.work.steps,
        },
    })
}

fn fields(fields: &[finding::Field]) -> Vec<String> {
    fields.iter().map(ToString::to_string).collect()
}

/// A number, or `null` for what JSON cannot hold.
fn number(value: f64) -> Value {
    serde_json::Number::from_f64(value).map_or(Value::Null, Value::Number)
}

fn numbers(values: &[f64]) -> Vec<Value> {
    values.iter().copied().map(number).collect()
}

fn way_json(way: &Way, index: usize, outcome: &Outcome, network: &Value) -> Value {
    let states: Map<String, Value> =
        way.states.iter().map(|state| (state.name.clone(), state_json(state))).collect();
    let noise: Map<String, Value> = way
        .states
        .iter()
        .filter_map(|state| {
            let noise = state.noise?;
            let value = json!({
                "level_dbu": number(dbu(noise.volts)),
                "level_dbu_a": number(dbu(noise.volts_a)),
                "over_guitar_db_a": number(noise.over_guitar_db),
                "from_hz": noise.from_hz,
                "to_hz": noise.to_hz,
                "temperature_k": noise.kelvin,
            });
            Some((state.name.clone(), value))
        })
        .collect();
    json!({
        "source": way.source,
        "sink": way.sink,
        "frequencies_hz": numbers(&outcome.frequencies),
        "reference_db": numbers(&way.reference_db),
        "reference_load_ohm": number(way.reference_load),
        "is_amp": way.is_amp,
        "turned_down": way.turned_down,
        "exact": way.band.exact,
        "envelope": band(&way.band),
        "envelope_sparing_bare": way.band_sparing.as_ref().map(band),
        "states": states,
        "worst": worst(&way.band.worst),
        "worst_sparing_bare": way.band_sparing.as_ref().map(|band| worst(&band.worst)),
        "resonance_hz": {
            "reference": way.resonance.reference,
            "worst": way.resonance.worst,
            "shift": way.resonance.shift,
            "state": way.resonance.state,
            "lost": way.resonance.lost,
            "variants": way.resonance.variants.iter().map(|(state, hertz)| json!({
                "state": state,
                "hz": hertz,
            })).collect::<Vec<_>>(),
        },
        "network": network,
        "noise": noise,
        "advice": alternatives(&outcome.advice, Some(index)),
    })
}

fn band(band: &Band) -> Value {
    let states = |places: &[Option<usize>]| -> Vec<Value> {
        places.iter().map(|place| place.map_or(Value::Null, |at| json!(band.states[at]))).collect()
    };
    json!({
        "exact": band.exact,
        "states_visited": band.visited,
        "upper_db": numbers(&band.upper_db),
        "lower_db": numbers(&band.lower_db),
        "upper_state": states(&band.upper_state),
        "lower_state": states(&band.lower_state),
    })
}

fn state_json(state: &StateResponse) -> Value {
    json!({
        "engaged": state.engaged,
        "level_db": numbers(&state.level_db()),
        "re": state.response.iter().map(|value| number(value.re)).collect::<Vec<_>>(),
        "im": state.response.iter().map(|value| number(value.im)).collect::<Vec<_>>(),
    })
}

fn worst(worst: &Worst) -> Value {
    json!({
        "change_at_4k_db": number(worst.change_at_4k_db),
        "tone_change_db": worst.tone_change_db.map(number),
        "insertion_loss_1k_db": number(worst.insertion_loss_1k_db),
        "state": worst.state,
        "tone_state": worst.tone_state,
        "loss_state": worst.loss_state,
    })
}

fn state_figures(figures: Option<StateFigures>) -> Value {
    figures.map_or(Value::Null, |figures| {
        json!({
            "level_1k_db": number(figures.level_1k_db),
            "change_at_4k_db": number(figures.change_at_4k_db),
            "tone_change_db": number(figures.tone_change_db),
            "insertion_loss_1k_db": number(figures.insertion_loss_1k_db),
        })
    })
}

fn answers_json(answers: &Answers) -> Value {
    let longest = |longest: &Longest| match longest {
        Longest::None(limits) => json!({
            "metres": Value::Null,
            "more": false,
            "broken": limits.iter().map(|limit| limit.word()).collect::<Vec<_>>(),
        }),
        Longest::NotFound => json!({ "metres": Value::Null, "more": Value::Null }),
        Longest::Metres(metres) => json!({ "metres": metres, "more": false }),
        Longest::Beyond(metres) => json!({ "metres": metres, "more": true }),
    };
    json!({
        "source": answers.source,
        "sink": answers.sink,
        "everything_off": state_figures(answers.off),
        "everything_on": state_figures(answers.on),
        "travel": answers.travel.iter().map(|travel| json!({
            "device": travel.tag,
            "share": travel.share,
            "at": travel.word(),
            "figures": state_figures(travel.figures),
        })).collect::<Vec<_>>(),
        "longest_lead_in": longest(&answers.lead_in),
        "longest_lead_out": longest(&answers.lead_out),
    })
}

fn figures(figures: Figures) -> Value {
    json!({ "change_at_4k_db": number(figures.change_at_4k_db), "shift": number(figures.shift), "loss_1k_db": number(figures.loss_1k_db) })
}

fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::NotAsked => "not asked",
        Verdict::NothingArrives => "nothing arrives",
        Verdict::Enough => "no buffer needed",
        Verdict::Proven => "proven smallest",
        Verdict::NoneFound => "none found",
        Verdict::NotProven => "not proven smallest",
        Verdict::CutShort => "cut short",
    }
}

/// The alternatives, with the band of one way or without.
fn alternatives(advice: &Advice, way: Option<usize>) -> Vec<Value> {
    let one = |alternative: &Alternative| {
        let band = way
            .and_then(|way| alternative.bands.get(way))
            .map(|(upper, lower)| json!({ "upper_db": numbers(upper), "lower_db": numbers(lower) }));
        json!({
            "places": alternative.places.iter().map(|place| json!({
                "lead": format!("{} > {}", place.from, place.to),
                "at": place.to_string(),
            })).collect::<Vec<_>>(),
            "verdict": verdict(advice.verdict),
            "before": figures(advice.before),
            "after": figures(alternative.after),
            "envelope": band,
        })
    };
    advice.alternatives.iter().map(one).collect()
}

fn advice(advice: &Advice) -> Value {
    json!({
        "verdict": verdict(advice.verdict),
        "before": figures(advice.before),
        "alternatives": alternatives(advice, None),
        "asks": fields(&advice.asks),
        "rests_on": fields(&advice.rests_on),
        "sets_tried": advice.tried,
        "size_tried": advice.size_tried,
    })
}

/// A circuit as data.
pub fn network(circuit: &Circuit) -> Value {
    let mut elements = Vec::new();
    for element in &circuit.elements {
        let mut put = |kind: &str, value: f64| {
            elements.push(json!({
                "name": element.name,
                "kind": kind,
                "a": element.a,
                "b": element.b,
                "value": number(value),
            }));
        };
        match element.part {
            Part::Resistor(ohms) => put("R", ohms),
            Part::Capacitor(farads) => put("C", farads),
            Part::Inductor(henries) => put("L", henries),
            Part::Lossy { henries, ohms } => {
                put("L", henries);
                put("R", ohms);
            }
        }
    }
    let terminals = |list: &[crate::model::Terminal]| {
        list.iter().map(|terminal| json!({ "id": terminal.id, "node": terminal.node })).collect::<Vec<_>>()
    };
    json!({
        "nodes": circuit.nodes,
        "units": { "R": "ohm", "L": "henry", "C": "farad" },
        "elements": elements,
        "stages": circuit.stages.iter().map(|stage| json!({
            "device": stage.device,
            "inputs": stage.inputs,
            "output": stage.output,
            "gain": number(stage.gain),
            "inverts": stage.inverts,
            "delay_s": number(stage.delay),
        })).collect::<Vec<_>>(),
        "sources": terminals(&circuit.sources),
        "sinks": terminals(&circuit.sinks),
    })
}
