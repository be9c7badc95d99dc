//! A sink that still gets signal when some devices are out of action.

use std::collections::BTreeSet;

use rig::Rig;

use super::unmet::{Found, Unmet};
use crate::way::{Way, is_wall, ways};
use crate::words::list;

/// One route to the sink passes none of the devices.
pub(super) fn judge(rig: &Rig, sink: &str, without: &[String], from: Option<&str>) -> Found {
    let mut blocks: Option<Vec<&str>> = None;
    for way in routes(rig, sink).iter().filter(|way| from.is_none_or(|from| way.start() == from)) {
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
    let name = rig.sink_words(sink);
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

/// Routes are counted no further than this; a rig with more is beyond what anyone builds.
const MOST_ROUTES: usize = 1000;

/// Every route to the sink. A run that ends at a device goes on by each that passes it: so do the instruments at a
/// selector, and the branches at a mixer.
fn routes<'a>(rig: &'a Rig, sink: &str) -> Vec<Way<'a>> {
    let (mut out, mut joining): (Vec<Way<'a>>, Vec<Way<'a>>) =
        ways(rig).into_iter().partition(|way| way.end() == sink);
    joining.retain(|way| rig.device(way.end()).is_some_and(|device| !is_wall(device)));
    let mut at = 0;
    while let Some(route) = out.get(at).cloned() {
        for way in &joining {
            let behind = route.steps.iter().skip(1).position(|step| step.name == way.end());
            let Some(behind) = behind.map(|behind| behind + 1) else { continue };
            let mut steps = way.steps.clone();
            if let (Some(last), Some(step)) = (steps.last_mut(), route.steps.get(behind)) {
                last.leaves = step.leaves;
            }
            steps.extend(route.steps.iter().skip(behind + 1).copied());
            let new = Way { run: route.run, steps };
            if out.len() < MOST_ROUTES && !out.iter().any(|known| passes_the_same(known, &new)) {
                out.push(new);
            }
        }
        at += 1;
    }
    out
}

fn passes_the_same(a: &Way<'_>, b: &Way<'_>) -> bool {
    a.steps.iter().map(|step| step.name).eq(b.steps.iter().map(|step| step.name))
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
