//! Boards in one row.

use faults::{End, Input, Jack, Kind, Link, Part};

/// So many devices in one row between a guitar and an amp, each with two jacks and a lead before it: the smallest board
/// that everything can be shown on.
pub(crate) fn chain(devices: usize) -> Input {
    let mut input = Input { state: "all on".to_owned(), ..Input::default() };
    let part = |input: &mut Input, id: String, kind: Kind, device: Option<String>| {
        let title = if kind == Kind::Lead { format!("lead {id}") } else { id.clone() };
        input.parts.push(Part { id, kind, title, device });
        input.parts.len() - 1
    };
    let guitar = part(&mut input, "guitar".into(), Kind::Source, None);
    let mut before: (usize, Option<usize>) = (0, None);
    let mut first = None;
    input.nodes = 1;
    let mut joined = Vec::new();
    for number in 1..=devices {
        let tag = format!("D{number}");
        let lead = part(&mut input, format!("L{number:02}"), Kind::Lead, None);
        let into = part(&mut input, format!("{tag}.IN"), Kind::Jack, Some(tag.clone()));
        let device = part(&mut input, tag.clone(), Kind::Device, Some(tag.clone()));
        let out = part(&mut input, format!("{tag}.OUT"), Kind::Jack, Some(tag.clone()));
        let (a, b) = (input.nodes, input.nodes + 1);
        input.nodes += 2;
        let mut needs: Vec<usize> = before.1.into_iter().collect();
        needs.extend([lead, into]);
        if number == 1 {
            needs.push(guitar);
        }
        first.get_or_insert(lead);
        joined.push(Link { from: before.0, to: a, both: true, wire: true, parts: needs });
        joined.push(Link { from: a, to: b, both: false, wire: false, parts: vec![device] });
        let jack = |port: String, node: usize, part: usize, pulls: Option<usize>, is_in: bool| Jack {
            port,
            node,
            part,
            pulls,
            opens: Vec::new(),
            is_in,
        };
        input.jacks.push(jack(format!("{tag}.IN"), a, into, Some(lead), true));
        input.jacks.push(jack(format!("{tag}.OUT"), b, out, None, false));
        before = (b, Some(out));
    }
    let lead = part(&mut input, format!("L{:02}", devices + 1), Kind::Lead, None);
    let amp = part(&mut input, "amp".into(), Kind::Sink, None);
    let node = input.nodes;
    input.nodes += 1;
    let mut needs: Vec<usize> = before.1.into_iter().collect();
    needs.extend([lead, amp]);
    joined.push(Link { from: before.0, to: node, both: true, wire: true, parts: needs });
    input.links = joined;
    let leads = first.into_iter().collect();
    input.sources.push(End { id: "guitar".into(), node: 0, part: guitar, leads });
    input.sinks.push(End { id: "amp".into(), node, part: amp, leads: vec![lead] });
    input
}

/// The same with a second device beside every fifth, from the output before it into the jack behind it.
pub(crate) fn branched(devices: usize) -> Input {
    let mut input = chain(devices);
    for number in (3..devices).step_by(5) {
        let mut part = |id: String, kind: Kind| {
            input.parts.push(Part { title: id.clone(), id, kind, device: None });
            input.parts.len() - 1
        };
        let parts = [
            part(format!("X{number}"), Kind::Device),
            part(format!("XL{number}"), Kind::Lead),
            part(format!("XM{number}"), Kind::Lead),
        ];
        // The nodes of a device are its input and its output, in this order.
        let (from, to) = (2 * number - 2, 2 * number + 1);
        input.links.push(Link { from, to, both: false, wire: false, parts: parts.to_vec() });
    }
    input
}
