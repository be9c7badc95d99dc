//! The Path.

use std::sync::Arc;

use document::Family;
use rig::{Device, PortRef, Rig, Stop as RigStop};

use super::{Query, beside, kinds};
use crate::bench::Bench;
use crate::pages::band::{Listed, Response};
use crate::pages::frame::{Head, Page};
use crate::pages::path::{Path, Run, Stop};
use crate::read::{Opened, Read};

pub(crate) fn page(head: Head, read: &Read, query: &Query) -> Page {
    let rig = &read.design.rig;
    let response = if head.later { None } else { response(&head, read, query) };
    let on = response.as_ref().map(|response| (response.on.as_slice(), response.switches.as_slice()));
    let entries = |family| {
        kinds(&read.job, family).into_iter().map(|entry| (entry.id, entry.title)).collect::<Vec<_>>()
    };
    let path = Path {
        head: &head,
        runs: rig.runs.iter().map(|run| strip(read, run, on)).collect(),
        direction: rig.board.direction,
        choices: choices(rig),
        shelf: shelf(rig),
        sources: rig.sources.iter().map(|source| (source.id.clone(), source.title.clone())).collect(),
        sinks: rig.sinks.iter().map(|sink| (sink.id.clone(), sink.title.clone())).collect(),
        loops: rig
            .devices
            .iter()
            .flat_map(|device| {
                device.loops.iter().map(|pair| {
                    let port = |name: &str| PortRef::new(&device.tag, name).to_string();
                    (format!("{} {}", device.tag, pair.name), port(&pair.send), port(&pair.back))
                })
            })
            .collect(),
        inserts: design::insert_tables(&read.design),
        pickups: entries(Family::Pickup),
        inputs: entries(Family::Input),
        notes: if head.later { Vec::new() } else { read.shown().signal().notes.clone() },
        later: head.later,
        response,
    };
    let (tools, main) = (path.tools(), path.main());
    let side = maud::html! { (path.side()) (beside(&head, read, None)) };
    Page { tools, main: Some(main), side, sums: None, head }
}

/// Looks for buffers beside the answer; the pages of the job are told when it is known.
pub(crate) fn advise(bench: &Arc<Bench>, opened: &Arc<Opened>) {
    if !opened.read.as_ref().is_ok_and(Read::wants_advice) {
        return;
    }
    let (bench, opened) = (Arc::clone(bench), Arc::clone(opened));
    tokio::task::spawn_blocking(move || {
        if let Ok(read) = &opened.read {
            read.advise();
            bench.tell(&opened.name, opened.state.version, "advice");
        }
    });
}

fn response<'a>(head: &'a Head, read: &'a Read, query: &Query) -> Option<Response<'a>> {
    let design = read.shown();
    let outcome = design.signal();
    let index = query.get("way").and_then(|word| word.parse::<usize>().ok()).unwrap_or(0);
    let index = index.min(outcome.ways.len().checked_sub(1)?);
    let way = outcome.ways.get(index)?;
    let (input, config) = (design.signal_input(), design.signal_config());
    let switches = signal::switches(&input, &config);
    let bad = &way.judged().worst;
    let bad = if way.is_judged_by_tone() { &bad.tone_state } else { &bad.state };
    let chosen: Option<Vec<String>> = query
        .get("on")
        .map(|on| on.split(',').filter(|tag| switches.iter().any(|s| s == tag)).map(str::to_owned).collect());
    let is_worst = chosen.is_none();
    let on = chosen.unwrap_or_else(|| bad.clone().unwrap_or_default());
    let at = |on: &[String]| signal::in_state(&input, &config, on, &way.source, &way.sink);
    let (shown, worst) = (at(&on), bad.as_ref().and_then(|tags| at(tags)));
    let figures = shown.as_ref().and_then(|state| state.figures(way));
    // What loads the coil on purpose is left off when the worst is looked for.
    let word = if way.band_sparing.is_some() { "worst, bare-pickup devices bypassed:" } else { "worst" };
    let worst_listed = worst.iter().map(|state| (word.to_owned(), state));
    let mut states: Vec<Listed> = way
        .states
        .iter()
        .map(|state| (state.name.clone(), state))
        .chain(worst_listed)
        .map(|(name, state)| Listed { name, engaged: state.engaged.clone(), figures: state.figures(way) })
        .collect();
    let size = |state: &Listed| state.figures.map_or(-1.0, |figures| figures.treble(way).abs());
    states.sort_by(|a, b| size(b).total_cmp(&size(a)));
    Some(Response {
        head,
        design,
        outcome,
        index,
        way,
        switches,
        on,
        is_worst,
        shown,
        figures,
        worst,
        states,
        buffers: if read.advice().is_some() { read.buffers() } else { &[] },
        advice: read.advice().map(|advised| &advised.advice),
        asked: read.advice().and_then(|advised| advised.asked.get(index)).map_or(&[], Vec::as_slice),
    })
}

/// What is lost where signal arrives at a port, in the worst state.
fn loss(read: &Read, port: Option<&PortRef>, name: &str) -> Option<f64> {
    let to = port.map_or_else(|| name.to_owned(), ToString::to_string);
    let at = read.shown().signal().junctions.iter().filter(|junction| junction.to == to && !junction.bare);
    at.map(|junction| junction.loss_db).max_by(f64::total_cmp).filter(|loss| 0.05 <= *loss)
}

/// The device, source or sink of a stop.
fn name_of(stop: &RigStop) -> String {
    stop.arrives.as_ref().or(stop.leaves.as_ref()).map_or(stop.text.clone(), |port| port.device.clone())
}

fn strip(read: &Read, run: &rig::Run, state: Option<(&[String], &[String])>) -> Run {
    let rig = &read.design.rig;
    let stops = run
        .stops
        .iter()
        .enumerate()
        .map(|(index, stop)| {
            let tag = name_of(stop);
            let device = rig.device(&tag);
            let switched = state.filter(|(_, switches)| switches.contains(&tag));
            // One cause may touch several stops; each is marked by its own case.
            let about = |case: &finding::Touched| {
                let has = |tag: &String| case.devices.contains(tag);
                let giver =
                    run.stops.iter().take(index).any(|stop| name_of(stop) != tag && has(&name_of(stop)));
                !case.answered && giver && has(&tag)
            };
            let mark = || {
                let open = read
                    .all_findings()
                    .iter()
                    .filter(|finding| finding.rule == "junction-loss" && finding.accepted.is_none());
                open.flat_map(finding::Finding::cases).filter(about).map(|case| case.severity).min()
            };
            let lead = run.stops.get(index + 1).and_then(|next| lead(read, stop, next));
            // A jack of a panel goes by what is printed beside it.
            let jack = device.filter(|device| device.role == rig::Role::Panel).and_then(|panel| {
                let port = stop.arrives.as_ref().or(stop.leaves.as_ref())?;
                panel.port(&port.port).map(rig::Port::printed)
            });
            Stop {
                text: stop.text.clone(),
                title: if jack.is_some() { format!("panel {tag}") } else { title(rig, &tag) },
                shown: jack.unwrap_or_else(|| stop.text.clone()),
                on_board: device.is_some_and(|device| !device.outside),
                bypass: device.and_then(|device| device.signal.bypass.value).map(rig::Bypass::word),
                input: device
                    .and_then(|device| z(device, stop.arrives.as_ref(), rig::PortRole::takes_signal)),
                output: device
                    .and_then(|device| z(device, stop.leaves.as_ref(), rig::PortRole::gives_signal)),
                lead,
                is_on: switched.map(|(on, _)| on.contains(&tag)),
                loss: state.and_then(|_| loss(read, stop.arrives.as_ref(), &tag)),
                mark: state.and_then(|_| mark()),
                tag,
            }
        })
        .collect();
    Run { name: run.name.clone(), carries: run.carries, stops }
}

fn lead(read: &Read, from: &RigStop, to: &RigStop) -> Option<(String, Option<quantity::Length>)> {
    let (from, to) = (from.leaves.as_ref()?, to.arrives.as_ref()?);
    let lead = read
        .shown()
        .leads
        .iter()
        .find(|lead| lead.flows.iter().any(|flow| flow.0 == *from && flow.1 == *to))?;
    Some((lead.tag.clone(), lead.between(from, to).value))
}

/// The impedance of the port where a run meets a device, when the port is of that kind.
fn z(
    device: &Device,
    port: Option<&PortRef>,
    is: impl Fn(rig::PortRole) -> bool,
) -> Option<(String, &'static str)> {
    let port = device.port(&port?.port).filter(|port| port.role.value.is_some_and(is))?;
    let z = port.z;
    Some((z.value?.to_string(), z.from.word()))
}

fn title(rig: &Rig, tag: &str) -> String {
    rig.device(tag)
        .map(|device| device.title.clone())
        .or_else(|| rig.source(tag).map(|source| source.title.clone()))
        .or_else(|| rig.sink(tag).map(|sink| sink.title.clone()))
        .unwrap_or_default()
}

/// Devices that signal goes into and out of and that no run passes.
fn shelf(rig: &Rig) -> Vec<(String, String)> {
    let is_passed = |tag: &str| {
        let stops = rig.runs.iter().flat_map(|run| &run.stops);
        stops.flat_map(|stop| [&stop.arrives, &stop.leaves]).flatten().any(|port| port.device == tag)
    };
    let has =
        |device: &Device, role: rig::PortRole| device.ports.iter().any(|port| port.role.value == Some(role));
    let passes = |device: &&Device| has(device, rig::PortRole::In) && has(device, rig::PortRole::Out);
    let open = rig.devices.iter().filter(passes).filter(|device| !is_passed(&device.tag));
    open.map(|device| (device.tag.clone(), device.title.clone())).collect()
}

/// Everything that may stand in a run.
fn choices(rig: &Rig) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = Vec::new();
    out.extend(rig.sources.iter().map(|source| (source.id.clone(), source.title.clone())));
    for device in &rig.devices {
        let through = device.ports.iter().any(|port| port.name == "IN")
            && device.ports.iter().any(|port| port.name == "OUT");
        if through {
            out.push((device.tag.clone(), device.title.clone()));
        }
        for port in device.ports.iter().filter(|port| port.role.value != Some(rig::PortRole::Power)) {
            let role = port.role.value.map_or("", rig::PortRole::word);
            out.push((
                PortRef::new(&device.tag, &port.name).to_string(),
                format!("{}, {role}", device.title),
            ));
        }
    }
    out.extend(rig.sinks.iter().map(|sink| (sink.id.clone(), sink.title.clone())));
    out
}
