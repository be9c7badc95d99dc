//! The Path.

use document::Family;
use rig::{Device, PortRef, Rig, Stop as RigStop};

use super::{beside, kinds};
use crate::bench::Read;
use crate::pages::frame::{Head, Page};
use crate::pages::path::{Path, Run, Stop};

pub(crate) fn page(head: Head, read: &Read) -> Page {
    let rig = &read.design.rig;
    let entries = |family| {
        kinds(&read.job, family).into_iter().map(|entry| (entry.id, entry.title)).collect::<Vec<_>>()
    };
    let path = Path {
        head: &head,
        runs: rig.runs.iter().map(|run| strip(read, run)).collect(),
        direction: rig.board.direction,
        choices: choices(rig),
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
    };
    let (tools, main) = (path.tools(), path.main());
    let side = beside(&head, read, None);
    Page { tools, main: Some(main), side, sums: None, head }
}

fn strip(read: &Read, run: &rig::Run) -> Run {
    let rig = &read.design.rig;
    let stops = run
        .stops
        .iter()
        .enumerate()
        .map(|(index, stop)| {
            let tag = stop
                .arrives
                .as_ref()
                .or(stop.leaves.as_ref())
                .map_or(stop.text.clone(), |p| p.device.clone());
            let device = rig.device(&tag);
            let lead = run.stops.get(index + 1).and_then(|next| lead(read, stop, next));
            Stop {
                text: stop.text.clone(),
                title: title(rig, &tag),
                on_board: device.is_some_and(|device| !device.outside),
                bypass: device.and_then(|device| device.signal.bypass.value).map(rig::Bypass::word),
                input: device
                    .and_then(|device| z(device, stop.arrives.as_ref(), rig::PortRole::takes_signal)),
                output: device
                    .and_then(|device| z(device, stop.leaves.as_ref(), rig::PortRole::gives_signal)),
                lead,
            }
        })
        .collect();
    Run { name: run.name.clone(), carries: run.carries, stops }
}

fn lead(read: &Read, from: &RigStop, to: &RigStop) -> Option<(String, Option<quantity::Length>)> {
    let (from, to) = (from.leaves.as_ref()?, to.arrives.as_ref()?);
    let lead = read.design.leads.iter().find(|lead| lead.from.port == *from && lead.to.port == *to)?;
    Some((lead.tag.clone(), lead.cut.value))
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
