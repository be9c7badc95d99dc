//! A fault: one question on a phone. Every answer stands in the address, so that going back is undoing.

use std::sync::Arc;

use axum::extract::{Path, RawQuery, State};
use axum::response::{Html, IntoResponse, Response};
use faults::{Answer, Complaint, Config, Given, Symptom, Walk};

use super::Query;
use super::off::off;
use crate::bench::Bench;
use crate::error::Refusal;
use crate::pages::fault::{Ask, Choose};

pub(crate) async fn show(
    State(bench): State<Arc<Bench>>,
    Path(job): Path<String>,
    RawQuery(query): RawQuery,
) -> Result<Response, Refusal> {
    off(move || {
        let opened = bench.look(&job).map_err(Refusal::from)?;
        let read = opened.read.as_ref().map_err(|trouble| Refusal::senseless(trouble.said.clone()))?;
        let query = Query::of(&query.unwrap_or_default());
        let design = &read.design;
        let input = design.fault_input(query.get("state"), query.get("at"));
        let heard = design::heard_sinks(&input, &design.rig);
        let sink = query
            .get("at")
            .and_then(|id| input.sinks.iter().position(|end| end.id == id))
            .or_else(|| heard.first().copied())
            .unwrap_or(0);
        let device = query.get("device").filter(|tag| input.powered.iter().any(|own| own.device == **tag));
        let symptom = query.get("symptom").and_then(Symptom::of);
        let is_whole = symptom.is_some_and(|symptom| symptom != Symptom::NoPower || device.is_some());
        let Some(symptom) = symptom.filter(|_| is_whole) else {
            let states = design.fault_states();
            let loops = design.shields();
            let choose = Choose {
                job: &job,
                design,
                loops: &loops,
                input: &input,
                heard: &heard,
                sink,
                states: &states,
                symptom,
            };
            return Ok(Html(choose.html()).into_response());
        };
        let source = faults::source_of(&input, sink).unwrap_or(0);
        let complaint = Complaint { symptom, sink, source, device: device.map(str::to_owned) };
        let given = given(query.get("told").unwrap_or_default());
        let config = config(query.get("without"));
        let walk = Walk::new(&input, &complaint, &config, &given);
        let ask = Ask {
            job: &job,
            design,
            input: &input,
            complaint: &complaint,
            walk: &walk,
            given: &given,
            without: query.get("without"),
        };
        Ok(Html(ask.html()).into_response())
    })
    .await
}

/// What is not at hand.
fn config(without: Option<&str>) -> Config {
    let without = without.unwrap_or_default();
    Config {
        has_meter: !without.split(',').any(|tool| tool == "meter"),
        has_spare_lead: !without.split(',').any(|tool| tool == "spare-lead"),
        ..Config::default()
    }
}

/// The answers so far: `into:D5.IN=yes,swap:L07=no`. What is no answer is passed over.
fn given(text: &str) -> Vec<Given> {
    let one = |text: &str| {
        let (trial, word) = text.rsplit_once('=')?;
        Some(Given { trial: trial.to_owned(), answer: Answer::of(word)? })
    };
    text.split(',').filter_map(one).collect()
}
