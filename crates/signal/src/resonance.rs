//! Where coil and leads resonate, refined to a tenth of a hertz.

use rayon::prelude::*;

use crate::budget::Budget;
use crate::graph::Graph;
use crate::ladder::Sweep;
use crate::model::{Model, Node, SwitchChoice};
use crate::section::{Driver, Edge, Leaf, Walker};

/// Rise over the level at 100 Hz that counts as a resonance, in dB; common practice, no source.
pub(crate) const LEAST_RISE: f64 = 0.5;

/// Resonance of the first section in one variant, if it has any.
pub(crate) struct Variant {
    pub(crate) choices: Vec<SwitchChoice>,
    pub(crate) hertz: Option<f64>,
}

/// The resonance of each variant of the section behind a source, as a graph has listed them. Many of them are looked at
/// side by side, counted as if one by one.
pub(crate) fn variants(model: &Model, graph: &Graph<'_>, sweep: &Sweep, budget: &Budget) -> Vec<Variant> {
    let (Some(driver), Some(edges)) = (graph.drivers.last(), graph.edges.last()) else { return Vec::new() };
    // The graph may stand at other frequencies than those looked at here; where it does not, a transformer's turns are in
    // its losses, which moves no peak.
    let same = std::ptr::eq(graph.sweep, sweep);
    at_edges(model, *driver, edges, same, sweep, budget)
}

/// The same from what hangs on the source alone, whatever may lie behind that; `None` where there is too much of it.
pub(crate) fn of_source(
    model: &Model,
    (source, sink): (usize, usize),
    sweep: &Sweep,
    budget: &Budget,
) -> Option<Vec<Variant>> {
    let driver = Driver::Source(source);
    let section = Walker::new(model).within(budget).section(driver, &[], sweep);
    let leads_on = |edge: &Edge| edge.leaf == Leaf::Sink(sink) || matches!(edge.leaf, Leaf::Stage(_));
    let edges: Vec<Edge> = section.edges.into_iter().filter(leads_on).collect();
    let is_known = !section.ring && !section.cut_short;
    is_known.then(|| at_edges(model, driver, &edges, true, sweep, budget))
}

/// At the ends of some edges of a driver. `same` where their losses stand at the frequencies that are looked at.
fn at_edges(
    model: &Model,
    driver: Driver,
    edges: &[Edge],
    same: bool,
    sweep: &Sweep,
    budget: &Budget,
) -> Vec<Variant> {
    let edges: Vec<&Edge> = edges.iter().filter(|edge| model.allows_choices(&edge.choices)).collect();
    let look = move |walker: &mut Walker<'_>, edge: &Edge| {
        let to = (edge.leaf, edge.node);
        let asked = (!same).then(|| loss(walker, driver, &edge.choices, to, sweep).unwrap_or_default());
        let losses = asked.as_ref().unwrap_or(&edge.loss);
        peak(losses, sweep, |sweep| loss(walker, driver, &edge.choices, to, sweep))
    };
    let left = budget.left();
    let each = edges.len().div_ceil(rayon::current_num_threads()).max(MANY_VARIANTS);
    let ahead = |edges: &[&Edge]| {
        let budget = Budget::new(left);
        let mut walker = Walker::new(model).within(&budget);
        let mut out = Vec::with_capacity(edges.len());
        for edge in edges {
            let before = budget.left();
            let hertz = look(&mut walker, edge);
            // What comes after the budget is spent is left to whoever looks one by one.
            out.push((!budget.is_spent()).then(|| (hertz, before - budget.left())));
        }
        out
    };
    let found: Vec<_> = if each < edges.len() {
        edges.par_chunks(each).flat_map_iter(ahead).collect()
    } else {
        vec![None; edges.len()]
    };
    let mut walker = Walker::new(model).within(budget);
    let mut variant = |(edge, found): (&Edge, Option<(Option<f64>, u64)>)| {
        let hertz = match found {
            Some((hertz, steps)) if steps <= budget.left() => {
                budget.spend(steps);
                hertz
            }
            _ => look(&mut walker, edge),
        };
        Variant { choices: edge.choices.clone(), hertz }
    };
    edges.into_iter().zip(found).map(&mut variant).collect()
}

/// So many variants are worth a core of their own.
const MANY_VARIANTS: usize = 8;

fn loss(
    walker: &mut Walker<'_>,
    driver: Driver,
    choices: &[SwitchChoice],
    to: (Leaf, Node),
    sweep: &Sweep,
) -> Option<Vec<f64>> {
    let section = walker.section(driver, choices, sweep);
    section.edges.into_iter().find(|edge| (edge.leaf, edge.node) == to).map(|edge| edge.loss)
}

/// The frequency of least loss between 100 Hz and 20 kHz, when it lies [`LEAST_RISE`] above 100 Hz.
///
/// Losses are ratios of power at the sweep's frequencies; `at` gives them anywhere else. Between its neighbours the least
/// is looked for at [`PARTS`] places, and then closely about the vertex of the parabola through the best three.
pub(crate) fn peak(
    losses: &[f64],
    sweep: &Sweep,
    mut at: impl FnMut(&Sweep) -> Option<Vec<f64>>,
) -> Option<f64> {
    const LOW: f64 = 100.0;
    const FINE: f64 = 0.05;
    let first = sweep.hertz.iter().position(|f| LOW <= *f)?;
    let best = (first..losses.len()).min_by(|a, b| losses[*a].total_cmp(&losses[*b]))?;
    if best == first || best + 1 == losses.len() {
        return None;
    }
    let (mut from, mut to) = (sweep.hertz[best - 1], sweep.hertz[best + 1]);
    // 100 Hz is asked along with the first places.
    let mut points = places(from, to);
    points.push(LOW);
    let mut values = at(&Sweep::new(points.clone()))?;
    points.pop();
    let base = values.pop()?;
    loop {
        let best = (0..values.len()).min_by(|a, b| values[*a].total_cmp(&values[*b]))?;
        let top = (points[best], values[best]);
        let (near, far) = (points[best.saturating_sub(1)], points[(best + 1).min(PARTS)]);
        if to - from <= FINE {
            let rise = 10.0 * libm::log10(base / top.1);
            return (LEAST_RISE <= rise).then(|| (top.0 * 10.0).round() / 10.0);
        }
        let step = points[1] - points[0];
        (from, to) = match values.get(best.wrapping_sub(1)).zip(values.get(best + 1)) {
            Some((left, right)) if 0.0 < left - 2.0 * top.1 + right => {
                let vertex = top.0 + step / 2.0 * (left - right) / (left - 2.0 * top.1 + right);
                (vertex - step / CLOSE, vertex + step / CLOSE)
            }
            // At an end of what was looked at: the parabola has missed, and what lies beyond is looked at too.
            _ => (near - step, far + step),
        };
        points = places(from, to);
        values = at(&Sweep::new(points.clone()))?;
    }
}

/// Parts between two frequencies.
const PARTS: usize = 16;

/// The share of a step either side of the vertex that is looked at next.
const CLOSE: f64 = 10.0;

fn places(from: f64, to: f64) -> Vec<f64> {
    #[expect(clippy::cast_precision_loss, reason = "small counts")]
    let part = |part: usize| from + (to - from) / PARTS as f64 * part as f64;
    (0..=PARTS).map(part).collect()
}
