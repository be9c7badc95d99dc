//! A sink that still gets signal when some devices are out of action.

use std::collections::BTreeSet;

use rig::Rig;

use super::{Found, Unmet, words};
use crate::way::{Way, ways};
use crate::words::list;

/// One route to the sink passes none of the devices.
pub(super) fn judge(rig: &Rig, sink: &str, without: &[String], from: Option<&str>) -> Found {
    let all = ways(rig);
    let to: Vec<&Way<'_>> =
        (all.iter()).filter(|way| way.end() == sink && from.is_none_or(|from| way.start() == from)).collect();
    let mut blocks: Option<Vec<&str>> = None;
    for way in to {
        let passed = passed(rig, way);
        let blocked: Vec<&str> =
            without.iter().map(String::as_str).filter(|tag| passed.contains(tag)).collect();
        if blocked.is_empty() {
            return Ok(());
        }
        // The route with the fewest of them tells most.
        if blocks.as_ref().is_none_or(|known| blocked.len() < known.len()) {
            blocks = Some(blocked);
        }
    }
    let name = words::sink(rig, sink);
    Err(match blocks {
        Some(blocked) => {
            Unmet::words(format!("every route to {name} passes {}", list(&blocked)), list(&blocked), "none")
        }
        None => {
            let from = from.map_or_else(String::new, |from| format!(" from {from}"));
            Unmet::words(format!("no run leads{from} to {name}"), "no run", "one")
        }
    })
}

/// What a route cannot do without: all that it passes but what sits in a loop that a switcher takes out.
fn passed<'a>(rig: &Rig, way: &Way<'a>) -> BTreeSet<&'a str> {
    let mut out = BTreeSet::new();
    let mut at = 0;
    while let Some(step) = way.steps.get(at) {
        out.insert(step.name);
        at = back_of_loop(rig, way, at).unwrap_or(at + 1);
    }
    out
}

/// The step at which signal is back from the loop that it leaves by here.
fn back_of_loop(rig: &Rig, way: &Way<'_>, at: usize) -> Option<usize> {
    let step = way.steps.get(at)?;
    let device = rig.device(step.name)?;
    let send = step.leaves?;
    let circuit = device.loops.iter().find(|circuit| circuit.send == send.port)?;
    let back = way.steps.iter().skip(at + 1).position(|later| {
        later.name == step.name && later.arrives.is_some_and(|port| port.port == circuit.back)
    })?;
    Some(at + 1 + back)
}
