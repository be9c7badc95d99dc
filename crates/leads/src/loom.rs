//! Leads that run together, and what passes the holes.

use std::collections::BTreeMap;

use crate::apart::{around, holds, pieces};
use crate::input::{Input, Point};
use crate::outcome::{Laid, Loom, Passing};
use crate::route::vector::{dot, length, minus};

/// Nearer than this, along for as long as that, two leads of a class are tied together. *Common practice, no source.*
const TOGETHER: f64 = 15.0;
const TRUNK: f64 = 80.0;

/// Gathers leads of one class into looms and numbers them.
pub(crate) fn looms(input: &Input, leads: &mut [Laid]) -> Vec<Loom> {
    let cut: Vec<Vec<(Point, Point)>> = leads.iter().map(|laid| pieces(&laid.path)).collect();
    let mut group: Vec<usize> = (0..leads.len()).collect();
    let mut shared: BTreeMap<(usize, usize), (f64, Point)> = BTreeMap::new();
    for one in 0..leads.len() {
        for other in one + 1..leads.len() {
            if input.leads[leads[one].lead].class != input.leads[leads[other].lead].class {
                continue;
            }
            let mut along = 0.0;
            let mut last = None;
            let near = around(&leads[other].path, TOGETHER);
            for (here, way) in cut[one].iter().filter(|(here, _)| holds(&near, *here)) {
                let beside = |(there, direction): &(Point, Point)| {
                    length(minus(*here, *there)) < TOGETHER && 0.8 < dot(*way, *direction).abs()
                };
                if cut[other].iter().any(beside) {
                    along += 5.0;
                    last = Some(*here);
                }
            }
            if let Some(last) = last.filter(|_| TRUNK <= along) {
                shared.insert((one, other), (along, last));
                let (a, b) = (group[one], group[other]);
                for member in &mut group {
                    if *member == b {
                        *member = a;
                    }
                }
            }
        }
    }
    let mut out: Vec<Loom> = Vec::new();
    for root in 0..leads.len() {
        let members: Vec<usize> = (0..leads.len()).filter(|&at| group[at] == group[root]).collect();
        if members.len() < 2 || members[0] != root {
            continue;
        }
        let number = out.len() + 1;
        let among = |at: usize| {
            shared
                .iter()
                .filter(move |((a, b), _)| *a == at || *b == at)
                .max_by(|x, y| x.1.0.total_cmp(&y.1.0))
        };
        out.push(Loom {
            number,
            class: input.leads[leads[root].lead].class,
            leads: members.iter().map(|&at| leads[at].id.clone()).collect(),
            trunk_mm: members
                .iter()
                .filter_map(|&at| among(at))
                .map(|(_, (along, _))| *along)
                .fold(0.0, f64::max),
            breakouts: members
                .iter()
                .filter_map(|&at| among(at).map(|(_, (_, last))| (leads[at].id.clone(), *last)))
                .collect(),
        });
        for &at in &members {
            leads[at].loom = Some(number);
        }
    }
    out
}

/// Which leads pass which hole, and how full it is.
pub(crate) fn passing(input: &Input, leads: &[Laid]) -> Vec<Passing> {
    let mut out = Vec::new();
    for hole in &input.holes {
        let middle = f64::midpoint(hole.low[2], hole.high[2]);
        let through = |laid: &&Laid| {
            laid.path.windows(2).any(|leg| {
                let (a, b) = (leg[0], leg[1]);
                if (a[2] - middle) * (b[2] - middle) >= 0.0 {
                    return false;
                }
                let t = (middle - a[2]) / (b[2] - a[2]);
                (0..2).all(|axis| {
                    let at = a[axis] + (b[axis] - a[axis]) * t;
                    hole.low[axis] <= at && at <= hole.high[axis]
                })
            })
        };
        let inside: Vec<&Laid> = leads.iter().filter(through).collect();
        let area = (hole.high[0] - hole.low[0]) * (hole.high[1] - hole.low[1]);
        let taken: f64 = inside
            .iter()
            .map(|laid| input.leads[laid.lead].diameter_mm)
            .map(|diameter| std::f64::consts::PI / 4.0 * diameter * diameter)
            .sum();
        if !inside.is_empty() && 0.0 < area {
            out.push(Passing {
                hole: hole.name.clone(),
                leads: inside.iter().map(|laid| laid.id.clone()).collect(),
                fill: taken / area,
                too_wide: inside
                    .iter()
                    .map(|laid| &input.leads[laid.lead])
                    .filter(|wanted| {
                        let side = (hole.high[0] - hole.low[0]).min(hole.high[1] - hole.low[1]);
                        [&wanted.from, &wanted.to].iter().all(|end| side < end.plug_width_mm)
                    })
                    .map(|wanted| wanted.id.clone())
                    .collect(),
            });
        }
    }
    out
}
