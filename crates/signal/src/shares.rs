//! How loud each of two branches is where passive parts join them: by superposition, what drives the other at nought.

use std::f64::consts::TAU;

use rig::PortRef;

use crate::build::Built;
use crate::grid::{AT_1K, frequencies};
use crate::model::{Model, Node};
use crate::section::{Driver, StageRef};
use crate::state::{Answer, Link};

/// The volts at 1 kHz, for 1 V of a source, that each of two ways makes behind the place where they come together for
/// good, while what drives the other stands at nought.
///
/// `None` where one thing drives both, stages feed back, or nothing listens behind that place.
pub(crate) fn at_meeting(
    built: &Built,
    model: &Model,
    answer: &Answer,
    state: &[u8],
    source: usize,
    ways: [&[PortRef]; 2],
) -> Option<[f64; 2]> {
    if answer.feeds_back {
        return None;
    }
    let [one, other] = ways;
    let behind = one.iter().rev().zip(other.iter().rev()).take_while(|(a, b)| a == b).count();
    let before = |way: &[PortRef]| driver(built, model, state, source, &way[..way.len() - behind]);
    let drivers = [before(one), before(other)];
    if drivers[0] == drivers[1] {
        return None;
    }
    let links = |driver: Driver| answer.sections.iter().find(|(of, _)| *of == driver).map(|(_, links)| links);
    let (first, second) = (links(drivers[0])?, links(drivers[1])?);
    let at = |links: &[Link], node: Node| links.iter().find(|link| link.node == node).cloned();
    // The first place behind the meeting where both are heard.
    let nodes = one[one.len() - behind..].iter().filter_map(|port| built.heard_at(port));
    let sinks = model.sinks.iter().map(|sink| sink.node);
    let heard = nodes.chain(sinks).find_map(|node| Some([at(first, node)?, at(second, node)?]))?;
    let volts =
        |driver: Driver, link: &Link| Some(drive(model, answer, driver)? * link.transfer.get(AT_1K)?.size());
    Some([volts(drivers[0], &heard[0])?, volts(drivers[1], &heard[1])?])
}

/// The last thing on a way that drives: a stage of a device, else the source.
fn driver(built: &Built, model: &Model, state: &[u8], source: usize, way: &[PortRef]) -> Driver {
    let mut hops = way.windows(2).rev();
    hops.find_map(|pair| {
        let is_this = |hop: &&crate::build::Hop| hop.from == pair[0] && hop.to == pair[1];
        let tag = built.hops.iter().find(is_this)?.device.as_ref()?;
        // The driven node behind an output has a name of its own.
        let drive = PortRef::new(&pair[1].device, format!("{} drive", pair[1].port));
        stage(model, state, tag, *built.ports.get(&drive)?)
    })
    .map_or(Driver::Source(source), Driver::Stage)
}

/// The stage of a device that drives a node in a state.
fn stage(model: &Model, state: &[u8], tag: &str, driven: Node) -> Option<StageRef> {
    let switched = model.blocks.iter().enumerate().filter_map(|(block, of)| {
        let position = state.get(of.switch).copied().unwrap_or(0);
        Some((Some((block, position)), of.variants.get(usize::from(position))?))
    });
    std::iter::once((None, &model.fixed)).chain(switched).find_map(|(variant, of)| {
        let index = of.stages.iter().position(|stage| stage.device == tag && stage.output == driven)?;
        Some(StageRef { variant, index })
    })
}

/// What stands at a driver at 1 kHz, in volts for 1 V of the source.
fn drive(model: &Model, answer: &Answer, driver: Driver) -> Option<f64> {
    let Driver::Stage(stage) = driver else { return Some(1.0) };
    let stage = model.stage_at(stage.variant, stage.index);
    let mut sum = crate::complex::Complex::ZERO;
    for value in stage.inputs.iter().filter_map(|input| answer.voltages.get(input)) {
        sum = sum + *value.get(AT_1K)?;
    }
    let w = TAU * frequencies().get(AT_1K)?;
    Some((sum * stage.transfer(w)).size())
}
