//! Each axis by itself: blocks slide between their neighbours to where the wires are shortest.

use super::problem::{Laid, Nets, Problem, wire_length_doubled};
use layout::search::{Axis, Lead};

/// Slides blocks along each axis in turn until neither helps.
pub(super) fn slide(problem: &Problem, nets: &Nets, laid: &mut [Laid]) {
    for turn in 0..8 {
        let axis = turn % 2;
        let before = wire_length_doubled(problem, laid);
        slide_along(problem, nets, laid, axis);
        if turn % 2 == 1 && wire_length_doubled(problem, laid) == before {
            break;
        }
    }
}

fn slide_along(problem: &Problem, nets: &Nets, laid: &mut [Laid], axis: usize) {
    let along = |at: &Laid| if axis == 0 { (at.x, at.width) } else { (at.y, at.height) };
    let across = |at: &Laid| if axis == 0 { (at.y, at.height) } else { (at.x, at.width) };
    let mut line = Axis {
        at: laid.iter().map(|at| 2 * along(at).0).collect(),
        low: vec![0; laid.len()],
        high: laid.iter().map(|at| 2 * (problem.outline[axis] - along(at).1)).collect(),
        beyond: Vec::new(),
        leads: Vec::new(),
        step: 2,
    };
    for (i, a) in laid.iter().enumerate() {
        for (j, b) in laid.iter().enumerate() {
            let meet = across(a).0 < across(b).0 + across(b).1 && across(b).0 < across(a).0 + across(a).1;
            if i != j && meet && along(a).0 + along(a).1 <= along(b).0 {
                line.beyond.push((i, j, 2 * along(a).1));
            }
        }
    }
    for net in 0..nets.count() {
        let pins = nets
            .blocks_of(net)
            .iter()
            .map(|block| (*block as usize, along(&laid[*block as usize]).1))
            .collect();
        let (low, high) = nets.pads[axis][net];
        line.leads.push(Lead {
            pins,
            fixed: (low <= high).then_some((low, high)),
            weight: nets.weights[net],
        });
    }
    line.slide();
    for (at, now) in laid.iter_mut().zip(&line.at) {
        if axis == 0 { at.x = now / 2 } else { at.y = now / 2 }
    }
}
