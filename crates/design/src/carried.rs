//! Along which leads signal goes in a state, by the network that is solved for it.

use std::collections::BTreeSet;

use signal::model::{Circuit, EARTH, Node};
use signal::{Config, Input};

use crate::Design;

/// What of the leads hangs on switches.
pub(crate) struct Leads {
    /// Those that more than one switch has a say in, by their two jacks.
    pub(crate) own: Vec<String>,
    /// Those along which signal goes in every state that was looked at.
    pub(crate) always: Vec<String>,
}

/// Looks at some states which leads go on and off with one switch, which never, and which otherwise.
pub(crate) fn leads(input: &Input<'_>, config: &Config, states: &[Vec<String>]) -> Leads {
    let on: Vec<BTreeSet<String>> = states.iter().map(|state| self::on(input, config, state)).collect();
    let switched = signal::on_in_states(input, config, states.iter().map(Vec::as_slice));
    let names = signal::switches(input, config);
    let all: BTreeSet<&String> = on.iter().flatten().collect();
    let (mut own, mut always) = (Vec::new(), Vec::new());
    for lead in all {
        let pattern: Vec<bool> = on.iter().map(|on| on.contains(lead)).collect();
        if pattern.iter().all(|is_on| *is_on) {
            always.push(lead.clone());
            continue;
        }
        let is_with = |name: &String| {
            let with: Vec<bool> = switched.iter().map(|on| on.contains(name)).collect();
            with == pattern || with.iter().zip(&pattern).all(|(a, b)| a != b)
        };
        if !names.iter().any(is_with) {
            own.push(lead.clone());
        }
    }
    Leads { own, always }
}

/// The leads along which signal goes in a state: from a source to a sink or into a device that listens.
pub(crate) fn on(input: &Input<'_>, config: &Config, engaged: &[String]) -> BTreeSet<String> {
    let circuit = signal::circuit(input, config, engaged);
    let ends: BTreeSet<Node> = circuit
        .sinks
        .iter()
        .map(|sink| sink.node)
        .chain(circuit.stages.iter().flat_map(|stage| stage.inputs.iter().copied()))
        .collect();
    let starts: Vec<Node> = circuit.sources.iter().map(|source| source.node).collect();
    let steps = steps(&circuit);
    let mut out = BTreeSet::new();
    for (at, element) in circuit.elements.iter().enumerate() {
        let Some(lead) = element.name.strip_suffix(" core") else { continue };
        let from_source = reached(&steps, &starts, at);
        let goes = |from: Node, to: Node| {
            let onward = reached(&steps, &[to], at);
            from_source[from] && ends.iter().any(|end| onward[*end])
        };
        if goes(element.a, element.b) || goes(element.b, element.a) {
            out.insert(lead.to_owned());
        }
    }
    out
}

/// Where signal gets to from each node: along whatever lies between two nodes, each with its place, and through stages.
fn steps(circuit: &Circuit) -> Vec<Vec<(Option<usize>, Node)>> {
    let mut out = vec![Vec::new(); circuit.nodes.len().max(1)];
    for (at, element) in circuit.elements.iter().enumerate() {
        if element.a != EARTH && element.b != EARTH {
            out[element.a].push((Some(at), element.b));
            out[element.b].push((Some(at), element.a));
        }
    }
    for stage in &circuit.stages {
        for input in &stage.inputs {
            out[*input].push((None, stage.output));
        }
    }
    out
}

/// Whether signal gets to each node from some, without one element.
fn reached(steps: &[Vec<(Option<usize>, Node)>], from: &[Node], without: usize) -> Vec<bool> {
    let mut seen = vec![false; steps.len()];
    let mut open: Vec<Node> = from.to_vec();
    for node in from {
        seen[*node] = true;
    }
    while let Some(node) = open.pop() {
        for (at, next) in &steps[node] {
            if *at != Some(without) && !seen[*next] {
                seen[*next] = true;
                open.push(*next);
            }
        }
    }
    seen
}

/// The tags of the devices that hang in a loop, which puts them in and out.
pub(crate) fn looped(design: &Design) -> BTreeSet<&str> {
    let (input, config) = (design.signal_input(), design.signal_config());
    let devices = &design.rig.devices;
    let alone: Vec<[String; 1]> = devices.iter().map(|device| [device.tag.clone()]).collect();
    let on = signal::on_in_states(&input, &config, alone.iter().map(|tag| &tag[..]));
    let tags = devices.iter().map(|device| device.tag.as_str());
    tags.zip(on).filter(|(_, on)| on.iter().any(|name| name.contains('.'))).map(|(tag, _)| tag).collect()
}
