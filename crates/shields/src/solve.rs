//! Every loop of every use, with its figures and its cure.

use crate::cure::cheapest;
use crate::induced::{area, induced};
use crate::input::{Config, CureKind, Input};
use crate::paths::{roots, way};

/// What was found.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Outcome {
    /// One for each use, in their order.
    pub uses: Vec<UseOutcome>,
}

/// What was found of one use.
#[derive(Debug, Clone, PartialEq)]
pub struct UseOutcome {
    /// Its name.
    pub name: String,
    /// Groups of ends that hang together, earthed or perhaps: two or more each, by name.
    pub meeting: Vec<Vec<usize>>,
    /// The loops: for each group one less than it has earthed ends, all others are made of these.
    pub loops: Vec<EarthLoop>,
    /// What opens all of them at the least cost.
    pub cure: Cure,
}

/// One loop through two earthed ends.
#[derive(Debug, Clone, PartialEq)]
pub struct EarthLoop {
    /// The two ends.
    pub ends: [String; 2],
    /// What it passes from the one to the other, by name; the building's earth closes it.
    pub joins: Vec<String>,
    /// The area it encloses, in square metres: on the board by its dressed leads, outside by length and distance.
    pub area_m2: f64,
    /// Whether all of its ways on the board are known, so that the area is more than an estimate.
    pub is_routed: bool,
    /// What the stated field induces in it, in volts.
    pub volts: f64,
}

/// What opens loops.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Cure {
    /// What to do, by name of the join.
    pub steps: Vec<Step>,
    /// What it costs, against other cures.
    pub cost: u64,
    /// Whether nothing that may be done opens them: two ends are bonded to each other.
    pub is_impossible: bool,
}

/// One act of a cure.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Step {
    /// The join that it opens.
    pub join: String,
    /// What is done there.
    pub kind: CureKind,
}

/// Finds the loops of each use and what opens them.
///
/// Neither the order of joins nor that of pieces matters: ties go by name.
pub fn solve(input: &Input, config: &Config) -> Outcome {
    let input = sorted(input);
    Outcome { uses: input.uses.iter().map(|own| of_use(&input, config, &own.name, &own.ends)).collect() }
}

/// The same with joins in the order of their names, and pieces in the order of theirs.
fn sorted(input: &Input) -> Input {
    let mut order: Vec<usize> = (0..input.pieces.len()).collect();
    order.sort_by(|a, b| input.pieces[*a].cmp(&input.pieces[*b]));
    let mut place = vec![0; order.len()];
    for (new, old) in order.iter().enumerate() {
        place[*old] = new;
    }
    let mut out = input.clone();
    out.pieces = order.iter().map(|old| input.pieces[*old].clone()).collect();
    for join in &mut out.joins {
        let (a, b) = (place[join.a], place[join.b]);
        if b < a {
            join.route.reverse();
        }
        (join.a, join.b) = (a.min(b), a.max(b));
    }
    out.joins.sort_by(|x, y| x.id.cmp(&y.id).then((x.a, x.b).cmp(&(y.a, y.b))));
    for end in &mut out.ends {
        end.piece = place[end.piece];
    }
    for own in &mut out.uses {
        own.ends.sort_by(|a, b| input.ends[*a].id.cmp(&input.ends[*b].id));
    }
    out
}

fn of_use(input: &Input, config: &Config, name: &str, ends: &[usize]) -> UseOutcome {
    let stands = vec![true; input.joins.len()];
    let root = roots(input.pieces.len(), input, &stands);
    let mut meeting: Vec<Vec<usize>> = Vec::new();
    for end in ends.iter().copied().filter(|end| input.ends[*end].earthed != Some(false)) {
        let own = root[input.ends[end].piece];
        match meeting.iter_mut().find(|group| root[input.ends[group[0]].piece] == own) {
            Some(group) => group.push(end),
            None => meeting.push(vec![end]),
        }
    }
    meeting.retain(|group| 1 < group.len());
    let mut loops = Vec::new();
    for group in &meeting {
        let earthed: Vec<usize> =
            group.iter().copied().filter(|end| input.ends[*end].earthed == Some(true)).collect();
        for pair in earthed.windows(2) {
            let (from, to) = (&input.ends[pair[0]], &input.ends[pair[1]]);
            let Some(joins) = way(input, from.piece, to.piece) else { continue };
            let (area_m2, is_routed) = enclosed(input, config, from.piece, &joins);
            loops.push(EarthLoop {
                ends: [from.id.clone(), to.id.clone()],
                joins: joins.iter().map(|at| input.joins[*at].id.clone()).collect(),
                area_m2,
                is_routed,
                volts: induced(area_m2, config.tesla, config.hertz),
            });
        }
    }
    let cure = cure(input, config, ends);
    UseOutcome { name: name.to_owned(), meeting, loops, cure }
}

/// The area of a loop: its ways on the board as they lie, and outside a strip between each lead and the mains leads.
fn enclosed(input: &Input, config: &Config, from: usize, joins: &[usize]) -> (f64, bool) {
    let mut corners: Vec<[f64; 3]> = Vec::new();
    let (mut strips, mut is_routed) = (0.0, true);
    let mut at = from;
    for join in joins.iter().map(|at| &input.joins[*at]) {
        let forwards = join.a == at;
        at = if forwards { join.b } else { join.a };
        strips += join.outside_m * config.apart_m;
        if forwards {
            corners.extend(join.route.iter().copied());
        } else {
            corners.extend(join.route.iter().rev().copied());
        }
        is_routed &= !join.route.is_empty() || 0.0 < join.outside_m || join.kind == crate::JoinKind::Bond;
    }
    let inside = if corners.len() < 3 { 0.0 } else { area(&corners) };
    (inside + strips, is_routed)
}

fn cure(input: &Input, config: &Config, ends: &[usize]) -> Cure {
    let earthed: Vec<usize> =
        ends.iter().copied().filter(|end| input.ends[*end].earthed == Some(true)).collect();
    if earthed.len() < 2 {
        return Cure::default();
    }
    let Some(opened) = cheapest(input, config, &earthed) else {
        return Cure { is_impossible: true, ..Cure::default() };
    };
    let kinds = opened.iter().filter_map(|at| Some((at, config.cure(&input.joins[*at])?)));
    let mut steps = Vec::new();
    let mut cost = 0;
    for (at, (kind, own)) in kinds {
        steps.push(Step { join: input.joins[*at].id.clone(), kind });
        cost += own;
    }
    steps.sort();
    Cure { steps, cost, is_impossible: false }
}
