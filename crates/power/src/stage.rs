//! One objective at a time: the pool of ways becomes a problem, and prices call for the groups it still lacks.

use std::collections::BTreeSet;

use crate::assignment::{
    Column, Effort, Prices, Problem, SAFE, SearchEnd, Watch, real, safe_ceiling, solve_priced,
};
use crate::input::{PPM, share_of};
use crate::model::{Key, Kind, Model, WHOLE, Way, count, missing};
use crate::share::{Wanted, groups};

/// Groups made in one round, and in all.
const ROUND_GROUPS: usize = 2_000;
const POOL_LIMIT: usize = 30_000;
/// Groups made of each kind where the prices call for better ones.
const EACH: usize = 4;
/// Times that groups are made before a search for the same cost, each at the prices that those before have left.
const TRIED: usize = 5;
/// Rounds of asking for more.
const ROUNDS: usize = 60;
/// A group that costs no less than this at the prices is no reason to look further.
const CLOSE: f64 = -1e-4;

/// What is made small.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Objective {
    /// Devices without a feed.
    Unserved,
    /// Adaptors that would have to be bought.
    Bought,
    /// Findings to look at.
    Looks,
    /// Special leads.
    Special,
    /// Millimetres of lead.
    Length,
}

/// One question: an objective, and what earlier answers allow.
#[derive(Debug, Clone)]
pub(crate) struct Stage {
    pub(crate) objective: Objective,
    /// Devices that may go without.
    pub(crate) unserved: Option<i64>,
    pub(crate) looks: Option<i64>,
    pub(crate) special: Option<i64>,
    /// The least margin of an outlet.
    pub(crate) margin: i64,
    /// Devices that may not go without, whatever the others do.
    pub(crate) musts: Vec<usize>,
    /// Devices that are not there for the question.
    pub(crate) absent: Vec<bool>,
    /// Rows of the budgets, set when the problem is made.
    rows: [Option<usize>; 3],
}

impl Stage {
    pub(crate) fn new(objective: Objective) -> Self {
        Self {
            objective,
            unserved: None,
            looks: None,
            special: None,
            margin: i64::MIN,
            musts: Vec::new(),
            absent: Vec::new(),
            rows: [None; 3],
        }
    }

    /// What a look and a special lead cost at the prices.
    pub(crate) fn rates(&self, prices: &Prices) -> (f64, f64) {
        let price = |row: Option<usize>| row.map_or(0.0, |row| prices.row[row]);
        let own = |objective: Objective| if self.objective == objective { 1.0 } else { 0.0 };
        (own(Objective::Looks) + price(self.rows[1]), own(Objective::Special) + price(self.rows[2]))
    }

    /// What a millimetre costs.
    pub(crate) fn length_rate(&self) -> f64 {
        if self.objective == Objective::Length { 1.0 } else { 0.0 }
    }

    /// No way with more looks than this is of use.
    pub(crate) fn most_looks(&self) -> i64 {
        self.looks.unwrap_or(i64::MAX)
    }

    /// The largest load of an outlet that leaves the margin asked for.
    pub(crate) fn most_load(&self, limit_ua: i64) -> i64 {
        if self.margin < -WHOLE {
            i64::MAX
        } else {
            share_of(limit_ua, (WHOLE - self.margin) * (PPM / WHOLE))
        }
    }

    /// The same, asked of some devices only.
    pub(crate) fn of(self, needs: &[usize], model: &Model<'_>) -> Self {
        let mut absent = vec![true; model.input.needs.len()];
        for &need in needs {
            absent[need] = false;
        }
        Self { absent, ..self }
    }

    /// Whether a device is not there for the question.
    pub(crate) fn is_absent(&self, need: usize) -> bool {
        self.absent.get(need).copied().unwrap_or(false)
    }

    fn admits(&self, way: &Way) -> bool {
        let within = |budget: Option<i64>, amount: i64| budget.is_none_or(|budget| amount <= budget);
        let drop = way.kind == Kind::Drop;
        let absent = way.needs.iter().any(|&need| self.is_absent(need));
        if absent {
            return false;
        }
        self.margin <= way.margin
            && within(self.looks, way.looks)
            && within(self.special, way.special)
            && within(self.unserved, way.missing)
            && !(drop && way.needs.iter().any(|need| self.musts.contains(need)))
    }

    fn cost(&self, way: &Way) -> i64 {
        match self.objective {
            Objective::Unserved => way.missing,
            Objective::Bought => way.bought,
            Objective::Looks => way.looks,
            Objective::Special => way.special,
            Objective::Length => way.length,
        }
    }

    /// What a way costs more than its devices pay.
    fn reduced(&self, way: &Way, prices: &Prices) -> f64 {
        let own = way.uses.iter().map(|&(row, amount)| prices.row[row] * real(amount));
        let amounts = [way.missing, way.looks, way.special];
        let budgets = self.rows.iter().zip(amounts);
        let budgets = budgets.filter_map(|(row, amount)| Some(prices.row[(*row)?] * real(amount)));
        let pays: f64 = way.needs.iter().map(|&need| prices.item[need]).sum();
        real(self.cost(way)) + own.sum::<f64>() + budgets.sum::<f64>() - pays
    }
}

/// The ways made so far.
#[derive(Default)]
pub(crate) struct Pool {
    pub(crate) ways: Vec<Way>,
    keys: BTreeSet<Key>,
}

impl Pool {
    /// Each device alone, no feed at all, and the groups that are forced by locks.
    pub(crate) fn new(model: &Model<'_>) -> Self {
        let mut pool = Self::default();
        for need in 0..model.input.needs.len() {
            for way in model.alone(need) {
                pool.add(way);
            }
            pool.add(model.drop(need));
        }
        for class in 0..model.classes.len() {
            for together in several(&model.classes[class].locked) {
                let settings = 0..model.classes[class].settings.len();
                pool.extend(model, settings.map(|setting| (together.clone(), (class, setting))).collect());
            }
        }
        pool
    }

    /// Adds a way unless it is there; tells whether it was new.
    pub(crate) fn add(&mut self, way: Way) -> bool {
        let new = self.keys.insert(way.key());
        if new {
            self.ways.push(way);
        }
        new
    }

    fn extend(&mut self, model: &Model<'_>, groups: Vec<(Vec<usize>, crate::model::Place)>) -> usize {
        let ways = groups.into_iter().filter_map(|(needs, place)| model.single(&needs, place));
        ways.map(|way| usize::from(self.add(way))).sum()
    }
}

/// Every two or more of those that are locked to one outlet: when they do not all go together, some may.
fn several(locked: &[usize]) -> Vec<Vec<usize>> {
    /// More are locked to one outlet by mistake only.
    const MOST: usize = 8;
    let locked = &locked[..locked.len().min(MOST)];
    (0_u32..1 << locked.len())
        .filter(|bits| 1 < bits.count_ones())
        .map(|bits| {
            locked.iter().enumerate().filter(|(at, _)| bits >> at & 1 == 1).map(|(_, need)| *need).collect()
        })
        .collect()
}

/// What came of one question.
#[derive(Debug, Clone)]
pub(crate) struct StageAnswer {
    /// The ways chosen, as positions in the pool, when a better choice than asked for was found.
    pub(crate) chosen: Option<Vec<usize>>,
    /// What they cost.
    pub(crate) cost: i64,
    /// No choice costs less.
    pub(crate) bound: i64,
    pub(crate) end: SearchEnd,
    pub(crate) nodes: u64,
    pub(crate) work: u64,
    /// The prices at the root of the last search, and the question with the rows that they are for.
    pub(crate) prices: Prices,
    stage: Stage,
}

impl StageAnswer {
    /// Once it is known that a margin cannot be had: the widest that still may be, of those above `low`. At the prices that show
    /// it, what has less margin than was asked for must cost little enough to matter. `None` where there is too much of that.
    pub(crate) fn next_margin(
        &self,
        model: &Model<'_>,
        pool: &mut Pool,
        low: i64,
        below: i64,
    ) -> Option<i64> {
        let asked = self.stage.margin;
        let stage = Stage { margin: low + 1, ..self.stage.clone() };
        let reduced = dearest(real(below - 1) - self.prices.value, model.input.needs.len());
        let found =
            groups(model, &stage, &self.prices, Wanted { reduced, count: ROUND_GROUPS, each: usize::MAX });
        if found.cut_short {
            return None;
        }
        pool.extend(model, found.list);
        let matters = |way: &&Way| {
            way.margin < asked && stage.admits(way) && stage.reduced(way, &self.prices) <= reduced
        };
        Some(pool.ways.iter().filter(matters).map(|way| way.margin).max().unwrap_or(low))
    }
}

/// Answers a question: the cheapest choice below `effort.below`, or that there is none.
pub(crate) fn answer(
    model: &Model<'_>,
    pool: &mut Pool,
    stage: &Stage,
    effort: &Effort,
    watch: &dyn Watch,
) -> StageAnswer {
    let mut stage = stage.clone();
    let mut told = StageAnswer {
        chosen: None,
        cost: effort.below,
        bound: 0,
        end: SearchEnd::Complete,
        nodes: 0,
        work: 0,
        prices: Prices::default(),
        stage: stage.clone(),
    };
    let mut prices: Option<Prices> = None;
    let mut root = 0;
    let mut tried = (i64::MAX, 0);
    for _ in 0..ROUNDS {
        let (problem, origin) = problem(model, pool, &mut stage);
        let left = effort.nodes.saturating_sub(told.nodes).max(1);
        let work = effort.work.saturating_sub(told.work);
        let effort = Effort { nodes: left, work, below: told.cost, enough: effort.enough };
        // The groups that the prices call for come before any search, as long as they can make a difference.
        let mut called = 0;
        let mut goes_on = |prices: &Prices, below: Option<i64>| {
            called = 0;
            if let Some(below) = below {
                // Some of each kind that could be part of something better are there before it is searched for.
                let again = if below < tried.0 { 0 } else { tried.1 + 1 };
                tried = (below, again);
                if TRIED <= again || POOL_LIMIT < pool.ways.len() {
                    return true;
                }
                let reduced = dearest(real(below - 1) - prices.value, model.input.needs.len() / 2);
                let wanted = Wanted { reduced, count: ROUND_GROUPS, each: 1 };
                let found = groups(model, &stage, prices, wanted);
                called = pool.extend(model, found.list);
            } else if real(effort.enough) + SAFE < prices.value && pool.ways.len() <= POOL_LIMIT {
                let wanted = Wanted { reduced: CLOSE, count: ROUND_GROUPS, each: EACH };
                let found = groups(model, &stage, prices, wanted);
                let none = found.list.is_empty();
                called = pool.extend(model, found.list);
                // Then no choice of any groups costs less than the prices say.
                if none {
                    let close = CLOSE * real(count(model.input.needs.len()));
                    root = root.max(safe_ceiling(prices.value + close));
                }
            }
            called == 0
        };
        let answer = solve_priced(&problem, &effort, prices.as_ref(), watch, &mut goes_on);
        told.nodes += answer.nodes;
        told.work += answer.work;
        told.end = answer.end;
        told.prices.clone_from(&answer.prices);
        told.stage.rows = stage.rows;
        if let Some(best) = &answer.best {
            told.cost = best.cost;
            told.chosen = Some(best.columns.iter().filter_map(|&column| origin[column]).collect());
        }
        if matches!(answer.end, SearchEnd::Enough | SearchEnd::Stopped) {
            return told;
        }
        if answer.end == SearchEnd::Columns {
            prices = Some(answer.prices);
            continue;
        }
        let most = model.input.needs.len() / 2;
        let reduced = dearest(real(told.cost - 1) - answer.prices.value, most);
        let wanted = Wanted { reduced, count: ROUND_GROUPS, each: usize::MAX };
        if !answer.prices.value.is_finite() {
            told.end = SearchEnd::Budget;
            return told;
        }
        let found = groups(model, &stage, &answer.prices, wanted);
        let added = pool.extend(model, found.list);
        if added == 0 && !found.cut_short {
            told.bound = answer.bound.max(0);
            return told;
        }
        if answer.end == SearchEnd::Budget || POOL_LIMIT < pool.ways.len() || added == 0 {
            break;
        }
        prices = Some(answer.prices);
    }
    // More groups were called for than could be looked at: no more is proven than the prices say.
    told.bound = root.min(told.cost);
    told.end = SearchEnd::Budget;
    told
}

/// The prices of the question how few devices go without, true for every group there is and not only for those in the pool:
/// whatever an outlet or an adaptor more brings, it brings no more than its devices pay. `None` when they were not found.
pub(crate) fn worths(model: &Model<'_>, pool: &mut Pool, watch: &dyn Watch) -> Option<Prices> {
    let mut stage = Stage::new(Objective::Unserved);
    let most: i64 = (0..model.input.needs.len()).map(|need| missing(model.input, need)).sum();
    let effort = Effort { nodes: 1, work: u64::MAX, below: most + 1, enough: i64::MIN };
    for _ in 0..ROUNDS {
        let (problem, _) = problem(model, pool, &mut stage);
        let mut prices = solve_priced(&problem, &effort, None, watch, &mut |_, _| false).prices;
        if !prices.value.is_finite() || POOL_LIMIT < pool.ways.len() {
            return None;
        }
        let found =
            groups(model, &stage, &prices, Wanted { reduced: CLOSE, count: ROUND_GROUPS, each: EACH });
        let cut_short = found.cut_short;
        if pool.extend(model, found.list) == 0 {
            // More outlets must not make room for what is cheap already.
            let mut known = pool.ways.iter().filter(|way| stage.admits(way));
            if known.any(|way| stage.reduced(way, &prices) < CLOSE) {
                return None;
            }
            prices.value += CLOSE * real(count(model.input.needs.len())) - SAFE;
            return (!cut_short).then_some(prices);
        }
    }
    None
}

/// What a group that is not in the pool may cost at the prices and still be part of something better.
///
/// Whatever is chosen costs the value of the prices and, on top, what its groups outside the pool cost at the prices. To be
/// better, these may add up to `gap` at most, the best cost there could still be less that value. With a gap of zero or
/// more no single one may cost more than the gap. With a negative gap one of them must cost no more than its share of
/// it, and a choice holds `most` groups at most. The value may be off by [`SAFE`].
fn dearest(gap: f64, most: usize) -> f64 {
    let gap = gap + SAFE;
    if 0.0 <= gap { gap } else { gap / real(count(most.max(1))) }
}

/// The problem of a question, and the way that each of its columns stands for.
fn problem(model: &Model<'_>, pool: &Pool, stage: &mut Stage) -> (Problem, Vec<Option<usize>>) {
    let mut capacity = model.capacity.clone();
    for (place, budget) in [stage.unserved, stage.looks, stage.special].into_iter().enumerate() {
        stage.rows[place] = budget.filter(|&budget| 0 < budget).map(|budget| {
            capacity.push(budget);
            capacity.len() - 1
        });
    }
    let mut columns = Vec::new();
    let mut origin = Vec::new();
    for (index, way) in pool.ways.iter().enumerate().filter(|(_, way)| stage.admits(way)) {
        let mut uses = way.uses.clone();
        let amounts = [way.missing, way.looks, way.special];
        uses.extend(stage.rows.iter().zip(amounts).filter_map(|(row, amount)| Some(((*row)?, amount))));
        uses.retain(|&(_, amount)| amount != 0);
        columns.push(Column {
            items: way.needs.clone(),
            cost: stage.cost(way),
            uses,
            home: way.places.first().map(|place| place.0),
        });
        origin.push(Some(index));
    }
    // Who is absent is served by nothing, for nothing.
    for need in (0..model.input.needs.len()).filter(|&need| stage.is_absent(need)) {
        columns.push(Column { items: vec![need], ..Column::default() });
        origin.push(None);
    }
    for soft in &model.softs {
        if stage.looks == Some(0) {
            continue;
        }
        if stage.looks.is_none() && stage.objective != Objective::Looks {
            capacity[soft.row] += soft.gain;
            continue;
        }
        let mut uses = vec![(soft.row, -soft.gain)];
        uses.extend(stage.rows[1].map(|row| (row, 1)));
        let cost = i64::from(stage.objective == Objective::Looks);
        columns.push(Column { items: Vec::new(), cost, uses, home: None });
        origin.push(None);
    }
    (Problem { items: model.input.needs.len(), capacity, columns }, origin)
}

/// The sum of an objective over chosen ways, brick and bank looks counted.
pub(crate) fn looks_of(model: &Model<'_>, ways: &[&Way]) -> i64 {
    let own: i64 = ways.iter().map(|way| way.looks).sum();
    let over = model.softs.iter().filter(|soft| {
        let load: i64 = ways
            .iter()
            .flat_map(|way| &way.uses)
            .filter(|(row, _)| *row == soft.row)
            .map(|(_, amount)| amount)
            .sum();
        model.capacity[soft.row] < load
    });
    own + count(over.count())
}
