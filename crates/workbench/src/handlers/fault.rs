//! A fault: one question on a phone. Every answer stands in the address, so that going back is undoing.

use std::sync::Arc;

use axum::extract::{Path, RawQuery, State};
use axum::response::{Html, IntoResponse, Redirect, Response};
use faults::{Answer, Complaint, Config, Given, Symptom, Tool, Walk};

use super::Query;
use super::asked::Asked;
use super::off::off;
use crate::bench::Bench;
use crate::error::Refusal;
use crate::pages::fault::{Ask, Choose};
use crate::pages::mended::Mended;

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
        let mut input = design.fault_input(query.get("state"), query.get("at"));
        input.history = crate::mended::history(&bench.store)?;
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
            let repairs = bench.store.repairs(&job)?;
            let choose = Choose {
                job: &job,
                repairs: &repairs,
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
    let without = without.unwrap_or_default().split(',').filter_map(Tool::of).collect();
    Config { without, ..Config::default() }
}

/// The answers so far: `into:D5.IN=yes,swap:L07=no`. What is no answer is passed over.
fn given(text: &str) -> Vec<Given> {
    let one = |text: &str| {
        let (trial, word) = text.rsplit_once('=')?;
        Some(Given { trial: trial.to_owned(), answer: Answer::of(word)? })
    };
    text.split(',').filter_map(one).collect()
}

/// What is written down of a repair: the form, filled in as far as the walk knows, and what was written before.
pub(crate) async fn mended(
    State(bench): State<Arc<Bench>>,
    Path(job): Path<String>,
    RawQuery(query): RawQuery,
) -> Result<Response, Refusal> {
    off(move || {
        let opened = bench.look(&job).map_err(Refusal::from)?;
        let read = opened.read.as_ref().map_err(|trouble| Refusal::senseless(trouble.said.clone()))?;
        let query = Query::of(&query.unwrap_or_default());
        let (parts, repairs) = (crate::mended::parts(&read.design), bench.store.repairs(&job)?);
        let page = Mended {
            job: &job,
            parts: &parts,
            repairs: &repairs,
            part: query.get("part"),
            symptom: query.get("symptom").and_then(Symptom::of),
        };
        Ok(Html(page.html()).into_response())
    })
    .await
}

/// Writes a repair down, or takes one back.
pub(crate) async fn mend(asked: Asked) -> Result<Response, Refusal> {
    asked
        .done(|asked| {
            let Asked { bench, job, form, .. } = asked;
            let opened = bench.look(job)?;
            let read = opened.read.as_ref().map_err(|trouble| Refusal::senseless(trouble.said.clone()))?;
            let text = |name: &str| form.get(name).map(str::trim).filter(|text| !text.is_empty());
            if let Some(id) = text("back") {
                let id = id.parse().map_err(|_| Refusal::senseless("no such repair"))?;
                bench.store.unmend(job, id)?;
            } else {
                let said = crate::mended::Said {
                    part: text("part").ok_or_else(|| Refusal::senseless("say what was at fault"))?,
                    symptom: text("symptom"),
                    found: text("found"),
                    did: text("did"),
                    lent: text("lent"),
                    by: text("by"),
                    on: text("on"),
                };
                crate::mended::mend(&bench.store, job, &read.design, said)?;
            }
            let job = crate::pages::value::query(job);
            Ok(Redirect::to(&format!("/job/{job}/fault/mended")).into_response())
        })
        .await
}
