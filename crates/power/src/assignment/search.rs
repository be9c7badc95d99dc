//! Depth-first branch and bound over the columns.

use super::flat::Flat;
use super::linear::{Place, Simplex};
use super::relaxation::Relaxation;
use super::{Answer, Choice, Effort, Prices, Problem, SAFE, SearchEnd, Watch, real, safe_ceiling};

/// Subgradient steps at the root, and at every other node.
const ROOT_STEPS: usize = 400;
const NODE_STEPS: usize = 24;
/// Steps without a better bound before the step length is halved.
const PATIENCE: usize = 8;
/// The step length below which climbing ends.
const SHORTEST: f64 = 1e-3;
/// What the linear relaxation pays for an item it leaves out, in units of what is left to the best cost: so much that
/// it does so only where it must, and then the bound shows it.
const PENALTY: f64 = 100.0;
/// From so many columns on a dive takes larger steps.
const MANY: usize = 1_500;
/// Multiplications that setting up a column is worth.
const SETTING_UP: u64 = 50;
/// Multiplications that a column is worth in a subgradient step.
const STEP: u64 = 8;
/// At the root a choice is tried every so many steps.
const DIVE_EVERY: usize = 10;

/// Chooses the cheapest columns so that each item is served once and no row is overdrawn.
///
/// `prices` may come from a similar problem; the search starts there.
pub fn solve(problem: &Problem, effort: &Effort, prices: Option<&Prices>, watch: &dyn Watch) -> Answer {
    solve_priced(problem, effort, prices, watch, &mut |_, _| true)
}

/// The same; the first prices are shown to `goes_on`, and again once a choice was tried, with what choices must cost less than.
/// Where columns that are not there should come first, it says no.
pub(crate) fn solve_priced(
    problem: &Problem,
    effort: &Effort,
    prices: Option<&Prices>,
    watch: &dyn Watch,
    goes_on: &mut GoesOn<'_>,
) -> Answer {
    let flat = Flat::new(problem);
    let rows = flat.capacity.len();
    let start = match prices {
        Some(given) if given.item.len() == flat.items && given.row.len() == rows => Point {
            item: given.item.clone(),
            row: given.row.iter().zip(&flat.scale).map(|(price, scale)| price * scale).collect(),
        },
        _ => Point { item: vec![0.0; flat.items], row: vec![0.0; rows] },
    };
    let mut search = Search {
        relaxation: Relaxation::new(&flat),
        simplex: None,
        alive: vec![true; flat.columns()],
        open: vec![true; flat.items],
        left: flat.capacity.clone(),
        cost: 0,
        chosen: Vec::new(),
        trail: Vec::new(),
        taken: vec![0.0; flat.columns()],
        best: None,
        upper: effort.below,
        effort: *effort,
        nodes: 0,
        work: u64::try_from(flat.columns()).unwrap_or(u64::MAX).saturating_mul(SETTING_UP),
        end: SearchEnd::Complete,
        root: None,
        watch,
        goes_on,
        flat: &flat,
    };
    search.node(&start, true);
    let root = search.root.take();
    let root_bound = root.as_ref().map_or(i64::MIN, |(value, _)| safe_ceiling(*value));
    let bound = match search.end {
        SearchEnd::Complete => search.upper,
        _ => root_bound.min(search.upper),
    };
    let prices = root.map_or_else(
        || Prices { item: vec![0.0; flat.items], row: vec![0.0; rows], value: f64::NEG_INFINITY },
        |(value, point)| point.prices(&flat, value),
    );
    Answer { best: search.best, bound, end: search.end, nodes: search.nodes, work: search.work, prices }
}

/// Whether a search goes on with the columns that there are.
pub(crate) type GoesOn<'a> = dyn FnMut(&Prices, Option<i64>) -> bool + 'a;

/// Prices, rows in units of their scale.
#[derive(Clone)]
struct Point {
    item: Vec<f64>,
    row: Vec<f64>,
}

impl Point {
    fn prices(self, flat: &Flat, value: f64) -> Prices {
        let row = self.row.iter().zip(&flat.scale).map(|(price, scale)| price / scale).collect();
        Prices { item: self.item, row, value }
    }
}

/// What was done since, to be undone.
enum Step {
    Killed(usize),
    Fixed(usize),
}

struct Search<'a> {
    flat: &'a Flat,
    relaxation: Relaxation,
    /// The linear relaxation with the basis of the last node.
    simplex: Option<Simplex>,
    alive: Vec<bool>,
    open: Vec<bool>,
    left: Vec<i64>,
    cost: i64,
    chosen: Vec<usize>,
    trail: Vec<Step>,
    /// The part of each column that the last linear relaxation takes.
    taken: Vec<f64>,
    best: Option<Choice>,
    upper: i64,
    effort: Effort,
    nodes: u64,
    work: u64,
    end: SearchEnd,
    /// Bound and prices of the first node.
    root: Option<(f64, Point)>,
    watch: &'a dyn Watch,
    goes_on: &'a mut GoesOn<'a>,
}

impl Search<'_> {
    /// Whether the search is over, whatever is still open.
    fn is_over(&self) -> bool {
        self.end != SearchEnd::Complete
    }

    fn node(&mut self, from: &Point, is_root: bool) {
        if self.is_over() {
            return;
        }
        if self.nodes >= self.effort.nodes || (0 < self.nodes && self.effort.work <= self.work) {
            self.end = SearchEnd::Budget;
            return;
        }
        if self.watch.stop(self.nodes) {
            self.end = SearchEnd::Stopped;
            return;
        }
        self.nodes += 1;
        // The first bound rests on prices alone, so that columns nobody made yet can be judged by them.
        let start = if is_root {
            self.trim();
            match self.price(from, true) {
                Some((point, _)) => point,
                None => return,
            }
        } else {
            from.clone()
        };
        if !self.propagate() || self.upper <= self.cost {
            return;
        }
        let Some((mut point, mut value)) = self.price(&start, false) else {
            return;
        };
        loop {
            if self.open.iter().all(|open| !open) {
                self.keep();
                return;
            }
            // What would lift the bound too far cannot be part of a better choice.
            let live = self.live();
            self.relaxation.evaluate(self.flat, &live, &self.open, &self.left, &point.item, &point.row);
            let mut killed = 0;
            for &column in &live {
                let rise = self.relaxation.rise(self.flat, column, &self.left);
                if self.upper <= safe_ceiling(value + rise) && !self.flat.is_extra(column) {
                    self.kill(column);
                    killed += 1;
                }
            }
            if killed == 0 || (killed * 4 < live.len() && !is_root) {
                break;
            }
            if !self.propagate() || self.upper <= self.cost {
                return;
            }
            match self.price(&point, false) {
                Some((next, better)) => (point, value) = (next, better),
                None => return,
            }
            if killed * 10 < live.len() {
                break;
            }
        }
        if !self.propagate() || self.upper <= self.cost {
            return;
        }
        if self.open.iter().all(|open| !open) {
            self.keep();
            return;
        }
        let live = self.live();
        value = self.relaxation.evaluate(self.flat, &live, &self.open, &self.left, &point.item, &point.row)
            + real(self.cost);
        if self.upper <= safe_ceiling(value) {
            return;
        }
        self.branch(&live, &point, value);
    }

    /// The live columns, in flat order.
    fn live(&self) -> Vec<usize> {
        (0..self.flat.columns()).filter(|&column| self.alive[column]).collect()
    }

    fn branch(&mut self, live: &[usize], point: &Point, value: f64) {
        // An extra that the prices take in part is decided before anything else: yes or no.
        let torn = live.iter().copied().find(|&column| {
            self.flat.is_extra(column)
                && self.flat.uses_of(column).iter().any(|&(row, amount)| amount < 0 && 1e-9 < point.row[row])
        });
        if let Some(extra) = torn {
            for take in [false, true] {
                let mark = self.trail.len();
                if take {
                    if self.fix(extra) {
                        self.node(point, false);
                    }
                } else {
                    self.kill(extra);
                    self.node(point, false);
                }
                self.undo(mark);
                if self.is_over() {
                    return;
                }
            }
            return;
        }
        let Some(item) = self.pick(live) else { return };
        let mut ways: Vec<(f64, usize)> = live
            .iter()
            .filter(|&&column| self.flat.items_of(column).contains(&item))
            .map(|&column| {
                let rise =
                    self.relaxation.rise(self.flat, column, &self.left).max(self.relaxation.reduced[column]);
                (rise, column)
            })
            .collect();
        let lean = |column: usize| self.taken[column];
        ways.sort_by(|a, b| lean(b.1).total_cmp(&lean(a.1)).then(a.0.total_cmp(&b.0)).then(a.1.cmp(&b.1)));
        for (rise, column) in ways {
            if self.is_over() {
                return;
            }
            if self.upper <= safe_ceiling(value + rise.max(0.0)) {
                continue;
            }
            let mark = self.trail.len();
            if self.fix(column) {
                self.node(point, false);
            }
            self.undo(mark);
        }
    }

    /// The open item to decide next: one that the relaxation serves wrongly, with the fewest ways, the dearest second
    /// best.
    fn pick(&self, live: &[usize]) -> Option<usize> {
        let choices = self.choices(live);
        if self.flat.counts {
            // The most torn item: the one whose largest part is the smallest.
            let mut largest = vec![0.0_f64; self.flat.items];
            for &column in live {
                for &item in self.flat.items_of(column) {
                    largest[item] = largest[item].max(self.taken[column]);
                }
            }
            return (0..self.flat.items).filter(|&item| self.open[item]).min_by(|&a, &b| {
                largest[a]
                    .total_cmp(&largest[b])
                    .then(choices[a].count.cmp(&choices[b].count))
                    .then(a.cmp(&b))
            });
        }
        (0..self.flat.items).filter(|&item| self.open[item]).min_by(|&a, &b| {
            let wrong = |item: usize| (self.relaxation.cover[item] - 1.0).abs() < 0.5;
            let regret = |item: usize| choices[item].second - choices[item].first;
            wrong(a)
                .cmp(&wrong(b))
                .then(regret(b).total_cmp(&regret(a)))
                .then(choices[a].count.cmp(&choices[b].count))
                .then(a.cmp(&b))
        })
    }

    fn choices(&self, live: &[usize]) -> Vec<Choices> {
        let mut choices = vec![Choices::default(); self.flat.items];
        for &column in live {
            let reduced = self.relaxation.reduced[column];
            for &item in self.flat.items_of(column) {
                choices[item].add(reduced, column);
            }
        }
        choices
    }

    /// Takes a column; `false` when a row cannot bear it.
    fn fix(&mut self, column: usize) -> bool {
        if !self.alive[column] || self.flat.items_of(column).iter().any(|&item| !self.open[item]) {
            return false;
        }
        self.cost += self.flat.cost[column];
        self.chosen.push(column);
        for &item in self.flat.items_of(column) {
            self.open[item] = false;
        }
        for &(row, amount) in self.flat.uses_of(column) {
            self.left[row] -= amount;
        }
        self.trail.push(Step::Fixed(column));
        self.kill(column);
        for place in 0..self.flat.uses_of(column).len() {
            let row = self.flat.uses_of(column)[place].0;
            if self.left[row] < 0 {
                match self.flat.extra[row] {
                    Some((extra, _)) if self.alive[extra] => {
                        if !self.fix(extra) || self.left[row] < 0 {
                            return false;
                        }
                    }
                    _ => return false,
                }
            }
        }
        true
    }

    fn kill(&mut self, column: usize) {
        if self.alive[column] {
            self.alive[column] = false;
            self.trail.push(Step::Killed(column));
        }
    }

    fn undo(&mut self, mark: usize) {
        while mark < self.trail.len() {
            match self.trail.pop() {
                Some(Step::Killed(column)) => self.alive[column] = true,
                Some(Step::Fixed(column)) => {
                    self.cost -= self.flat.cost[column];
                    self.chosen.pop();
                    for &item in self.flat.items_of(column) {
                        self.open[item] = true;
                    }
                    for &(row, amount) in self.flat.uses_of(column) {
                        self.left[row] += amount;
                    }
                }
                None => {}
            }
        }
    }

    /// What is left of a row, an extra counted that may still be taken.
    fn room(&self, row: usize) -> i64 {
        let more = self.flat.extra[row].filter(|&(extra, _)| self.alive[extra]).map_or(0, |(_, gain)| gain);
        self.left[row] + more
    }

    /// Removes what no longer fits; for each item, how many columns are left and the last of them.
    fn trim(&mut self) -> Vec<(usize, usize)> {
        let room: Vec<i64> = (0..self.left.len()).map(|row| self.room(row)).collect();
        let mut ways = vec![(0_usize, usize::MAX); self.flat.items];
        for column in 0..self.flat.columns() {
            if !self.alive[column] {
                continue;
            }
            let served = self.flat.items_of(column).iter().any(|&item| !self.open[item]);
            let too_much =
                self.flat.uses_of(column).iter().any(|&(row, amount)| 0 < amount && room[row] < amount);
            if served || too_much || self.upper <= self.cost + self.flat.cost[column] {
                self.kill(column);
                continue;
            }
            for &item in self.flat.items_of(column) {
                ways[item].0 += 1;
                ways[item].1 = column;
            }
        }
        ways
    }

    /// Removes what no longer fits and takes what is forced, until nothing changes. `false` at a dead end.
    fn propagate(&mut self) -> bool {
        loop {
            let ways = self.trim();
            if (0..self.flat.items).any(|item| self.open[item] && ways[item].0 == 0) {
                return false;
            }
            let forced = (0..self.flat.items).find(|&item| self.open[item] && ways[item].0 == 1);
            match forced {
                Some(item) => {
                    if !self.fix(ways[item].1) {
                        return false;
                    }
                }
                None => return true,
            }
        }
    }

    /// All items are served: keeps the choice if it is better.
    fn keep(&mut self) {
        if self.cost < self.upper {
            let mut columns: Vec<usize> =
                self.chosen.iter().map(|&column| self.flat.original[column]).collect();
            columns.sort_unstable();
            self.best = Some(Choice { cost: self.cost, columns });
            self.upper = self.cost;
            if self.cost <= self.effort.enough {
                self.end = SearchEnd::Enough;
            }
        }
    }

    /// Finds prices for what is open. `None` when the bound rules the node out or the search is over.
    fn price(&mut self, from: &Point, is_root: bool) -> Option<(Point, f64)> {
        if !self.flat.counts {
            return self.climb(from, is_root);
        }
        let live = self.live();
        let (point, value) = self.linear(&live);
        if is_root {
            self.root = Some((value, point.clone()));
            if !self.goes_on(&point, value, None) {
                return None;
            }
        }
        if self.upper <= safe_ceiling(value) {
            return None;
        }
        if is_root {
            self.linear_dive();
            if self.is_over()
                || self.upper <= safe_ceiling(value)
                || !self.goes_on(&point, value, Some(self.upper))
            {
                return None;
            }
        }
        Some((point, value))
    }

    fn goes_on(&mut self, point: &Point, value: f64, below: Option<i64>) -> bool {
        let goes_on = (self.goes_on)(&point.clone().prices(self.flat, value), below);
        if !goes_on {
            self.end = SearchEnd::Columns;
        }
        goes_on
    }

    /// Prices and bound of the linear relaxation; remembers what it takes.
    fn linear(&mut self, live: &[usize]) -> (Point, f64) {
        let penalty = PENALTY * if self.upper < FAR { real(self.upper - self.cost) } else { real(FAR) };
        let place = Place { alive: &self.alive, live, open: &self.open, left: &self.left, penalty };
        let simplex = self.simplex.get_or_insert_with(|| Simplex::new(self.flat, live));
        let linear = simplex.relax(self.flat, &place);
        self.work += linear.work;
        for part in &mut self.taken {
            *part = 0.0;
        }
        for &(column, part) in &linear.taken {
            self.taken[column] = part;
        }
        let point = Point { item: linear.item, row: linear.row };
        let value = real(self.cost)
            + self.relaxation.evaluate(self.flat, live, &self.open, &self.left, &point.item, &point.row);
        (point, value)
    }

    /// Goes straight down: takes what the linear relaxation takes wholly, and else the largest part, again and again.
    fn linear_dive(&mut self) {
        let mark = self.trail.len();
        let kept = self.taken.clone();
        let found = loop {
            if !self.propagate() || self.upper <= self.cost {
                break false;
            }
            if self.open.iter().all(|open| !open) {
                break true;
            }
            let live = self.live();
            let (_, value) = self.linear(&live);
            if self.upper <= safe_ceiling(value) {
                break false;
            }
            let mut ways: Vec<(f64, usize)> = live
                .iter()
                .copied()
                .filter(|&column| !self.flat.is_extra(column) && 0.0 < self.taken[column])
                .map(|column| (self.taken[column], column))
                .collect();
            ways.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
            // Where there are very many ways, what is taken for the most part is taken at once.
            let enough = if live.len() < MANY { 0.999 } else { 0.5 };
            let mut fixed = 0;
            for (part, column) in ways {
                if 0 < fixed && part < enough {
                    break;
                }
                let here = self.trail.len();
                if self.fix(column) {
                    fixed += 1;
                } else {
                    self.undo(here);
                    self.kill(column);
                }
            }
            if fixed == 0 {
                break false;
            }
        };
        if found {
            self.keep();
        }
        self.undo(mark);
        self.taken = kept;
    }

    /// Climbs with the prices. `None` when the bound rules the node out or the search is over.
    fn climb(&mut self, from: &Point, is_root: bool) -> Option<(Point, f64)> {
        let live = self.live();
        let (mut point, mut best_point) = (from.clone(), from.clone());
        let mut best = f64::NEG_INFINITY;
        let (mut length, mut stale) = (1.0, 0);
        for step in 0..if is_root { ROOT_STEPS } else { NODE_STEPS } {
            self.work += u64::try_from(live.len()).unwrap_or(u64::MAX).saturating_mul(STEP);
            let value = real(self.cost)
                + self.relaxation.evaluate(self.flat, &live, &self.open, &self.left, &point.item, &point.row);
            if best + 1e-9 < value {
                best = value;
                best_point.clone_from(&point);
                stale = 0;
            } else {
                stale += 1;
                if PATIENCE <= stale {
                    length *= 0.5;
                    stale = 0;
                    point.clone_from(&best_point);
                    if length < SHORTEST {
                        break;
                    }
                    // The relaxation must show the slopes at the point gone back to.
                    self.relaxation.evaluate(
                        self.flat,
                        &live,
                        &self.open,
                        &self.left,
                        &point.item,
                        &point.row,
                    );
                }
            }
            if is_root && self.root.as_ref().is_none_or(|(value, _)| *value < best) {
                self.root = Some((best, best_point.clone()));
            }
            if self.upper <= safe_ceiling(best) {
                return None;
            }
            if is_root && step % DIVE_EVERY == 0 {
                self.dive(&live);
                if self.is_over() {
                    return None;
                }
                if self.upper <= safe_ceiling(best) {
                    return None;
                }
                self.relaxation.evaluate(self.flat, &live, &self.open, &self.left, &point.item, &point.row);
            }
            let target =
                if self.upper < FAR { real(self.upper) } else { best + best.abs().mul_add(0.05, 1.0) };
            let norm = self.slope();
            if norm < 1e-12 {
                break;
            }
            let step = length * (target - value).max(SAFE) / norm;
            for item in (0..self.flat.items).filter(|&item| self.open[item]) {
                point.item[item] += step * (1.0 - self.relaxation.cover[item]);
            }
            for row in (0..self.left.len()).filter(|&row| self.flat.priced[row]) {
                let over = self.relaxation.load[row] - real(self.left[row]) / self.flat.scale[row];
                point.row[row] = (point.row[row] + step * over).max(0.0);
            }
        }
        Some((best_point, best))
    }

    /// The square of the subgradient's length.
    fn slope(&self) -> f64 {
        let items: f64 = (0..self.flat.items)
            .filter(|&item| self.open[item])
            .map(|item| (1.0 - self.relaxation.cover[item]) * (1.0 - self.relaxation.cover[item]))
            .sum();
        let rows: f64 = (0..self.left.len())
            .filter(|&row| self.flat.priced[row])
            .map(|row| {
                let over = self.relaxation.load[row] - real(self.left[row]) / self.flat.scale[row];
                over * over
            })
            .sum();
        items + rows
    }

    /// Goes straight down by regret at the prices of the last evaluation, then swaps; keeps what it finds.
    fn dive(&mut self, live: &[usize]) {
        let mark = self.trail.len();
        let found = loop {
            if !self.propagate() || self.upper <= self.cost {
                break false;
            }
            let now: Vec<usize> = live.iter().copied().filter(|&column| self.alive[column]).collect();
            let choices = self.choices(&now);
            let next = (0..self.flat.items).filter(|&item| self.open[item]).max_by(|&a, &b| {
                let regret = |item: usize| choices[item].second - choices[item].first;
                regret(a).total_cmp(&regret(b)).then(choices[b].count.cmp(&choices[a].count)).then(b.cmp(&a))
            });
            let Some(item) = next else { break true };
            // A way that a row cannot bear after all is no way.
            let way = choices[item].column;
            let here = self.trail.len();
            if !self.fix(way) {
                self.undo(here);
                self.kill(way);
            }
        };
        if found {
            self.keep();
        }
        self.undo(mark);
    }
}

/// A limit from which on no cost is known yet.
const FAR: i64 = 1 << 50;

/// The cheapest two ways of an item.
#[derive(Clone, Copy)]
struct Choices {
    first: f64,
    second: f64,
    column: usize,
    count: usize,
}

impl Default for Choices {
    fn default() -> Self {
        Self { first: 1e12, second: 1e12, column: 0, count: 0 }
    }
}

impl Choices {
    fn add(&mut self, reduced: f64, column: usize) {
        self.count += 1;
        if reduced < self.first {
            self.second = self.first;
            self.first = reduced;
            self.column = column;
        } else if reduced < self.second {
            self.second = reduced;
        }
    }
}
