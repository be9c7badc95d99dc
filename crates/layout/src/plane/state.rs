//! A whole placement with its sums, kept up to date move by move; built from scratch by its twin.

use rig::{Direction, LeadClass};

use super::body::{Body, alone, between};
use super::rows::{Front, Rows, in_row, rows};
use super::wishes::{ONE, wishes};
use crate::Weights;
use crate::model::{Model, Stand, Wrong};

/// The way to the nearer end counts for a treadle one part in so many of the way to the front edge.
const TO_END: i64 = 10;

/// What a brick or strip on a deck counts that could hang, as so much way to the back edge. *Common practice, no source*: under a deck
/// it takes no room from what a foot works.
const UNDERNEATH: i64 = 1_000_000_000;

/// One lead as it lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Line {
    length: i64,
    /// Against the direction within a row.
    backward: bool,
    /// From and to seen from above, in micrometres; only when it counts for crossings.
    seen: Option<[[i64; 2]; 2]>,
}

/// The sums of a placement; whole numbers, so that both ways of making them agree to the last.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Sums {
    pub(crate) wrong: Wrong,
    /// Nanometres of lead.
    pub(crate) lead: i64,
    /// The same of leads that are to be short, as often as they count beyond once.
    extra: i64,
    pub(crate) backward: i64,
    /// Switch depths times their use, in nanometres.
    pub(crate) reach: i64,
    /// Mass by x and y: milligrams times micrometres.
    moment: [i64; 2],
    pub(crate) crossings: i64,
    /// Made leads that have to be made again.
    pub(crate) remade: i64,
    pub(crate) rows: Rows,
    /// Nanometres of treadles behind the front edge, and a tenth of those to the nearer end.
    pub(crate) treadles: i64,
    /// Nanometres of set-and-forget devices before the back edge.
    pub(crate) set_and_forget: i64,
    /// Wishes that are not met, as [`wishes`] counts them.
    pub(crate) wishes: i64,
}

/// A placement.
#[derive(Debug, Clone)]
pub(crate) struct State<'m> {
    model: &'m Model,
    pub(crate) bodies: Vec<Body>,
    alone: Vec<Wrong>,
    pairs: Vec<Wrong>,
    lines: Vec<Line>,
    /// Which lines each line crosses, a bit each.
    crossed: Vec<u64>,
    words: usize,
    /// Which of the made leads have to be made again.
    remade: Vec<bool>,
    /// Room to make the rows in.
    fronts: Vec<Front>,
    pub(crate) sums: Sums,
}

/// What an item adds by itself.
struct Own {
    /// Switch depth by use.
    reach: i64,
    /// Mass by place.
    moment: [i64; 2],
    treadles: i64,
    set_and_forget: i64,
}

impl Sums {
    fn add(&mut self, own: &Own, sign: i64) {
        self.reach += sign * own.reach;
        self.moment[0] += sign * own.moment[0];
        self.moment[1] += sign * own.moment[1];
        self.treadles += sign * own.treadles;
        self.set_and_forget += sign * own.set_and_forget;
    }
}

/// What a move overwrote.
#[derive(Debug)]
pub(crate) struct Undo {
    item: usize,
    body: Body,
    alone: Wrong,
    pairs: Vec<Wrong>,
    lines: Vec<Line>,
    crossed: Vec<u64>,
    remade: Vec<bool>,
    sums: Sums,
}

impl<'m> State<'m> {
    pub(crate) fn new(model: &'m Model, stands: Vec<Stand>) -> Self {
        let bodies =
            stands.into_iter().enumerate().map(|(item, stand)| Body::new(model, item, stand)).collect();
        let mut state = Self {
            model,
            bodies,
            alone: Vec::new(),
            pairs: Vec::new(),
            lines: Vec::new(),
            crossed: Vec::new(),
            words: model.wires.len().div_ceil(64),
            remade: Vec::new(),
            fronts: Vec::new(),
            sums: Sums::default(),
        };
        state.make_anew();
        state
    }

    pub(crate) fn stands(&self) -> Vec<Stand> {
        self.bodies.iter().map(|body| body.stand.clone()).collect()
    }

    pub(crate) fn fits(&self) -> bool {
        self.sums.wrong.pairs == 0
    }

    pub(crate) fn alone_of(&self, item: usize) -> Wrong {
        self.alone[item]
    }

    pub(crate) fn pair_of(&self, i: usize, j: usize) -> Wrong {
        self.pairs[i * self.bodies.len() + j]
    }

    /// Makes everything anew, without what was known.
    fn make_anew(&mut self) {
        let (model, n) = (self.model, self.bodies.len());
        let mut sums = Sums::default();
        self.alone = (0..n).map(|item| alone(model, item, &self.bodies[item])).collect();
        self.pairs = vec![Wrong::default(); n * n];
        for i in 0..n {
            sums.wrong += self.alone[i];
            for j in i + 1..n {
                let wrong = between(model, (i, &self.bodies[i]), (j, &self.bodies[j]));
                self.pairs[i * n + j] = wrong;
                self.pairs[j * n + i] = wrong;
                sums.wrong += wrong;
            }
            sums.add(&self.own(i), 1);
        }
        sums.rows = rows(model, &self.bodies, &mut self.fronts);
        sums.wishes = wishes(model, &self.bodies);
        self.lines = (0..model.wires.len()).map(|wire| self.line(wire)).collect();
        self.crossed = vec![0; self.words * self.lines.len()];
        for (a, line) in self.lines.iter().enumerate() {
            sums.lead += line.length;
            sums.extra += line.length * (model.wires[a].weight - 1);
            sums.backward += i64::from(line.backward);
            for b in a + 1..self.lines.len() {
                if cross(line, &self.lines[b]) {
                    self.crossed[a * self.words + b / 64] |= 1 << (b % 64);
                    self.crossed[b * self.words + a / 64] |= 1 << (a % 64);
                    sums.crossings += 1;
                }
            }
        }
        self.remade = (0..model.made.len()).map(|made| self.is_remade(made)).collect();
        sums.remade = i64::try_from(self.remade.iter().filter(|is| **is).count()).unwrap_or(i64::MAX);
        self.sums = sums;
    }

    /// Whether a made lead has to be made again: it no longer reaches, or its plugs would be turned otherwise.
    fn is_remade(&self, made: usize) -> bool {
        let made = &self.model.made[made];
        let is_short = |(wire, limit): &(usize, i64)| *limit < self.lines[*wire].length;
        made.reach.iter().any(is_short)
            || made.clock.as_ref().is_some_and(|clock| {
                let [from, to] = [0, 1].map(|end| self.port(clock.wire, end));
                let items = self.model.wires[clock.wire].items;
                let turns = items.map(|item| usize::from(self.bodies[item].stand.spot.turn));
                clock.degrees(turns, from, to) != Some(clock.home)
            })
    }

    /// Whether the sums are those that the twin makes.
    pub(crate) fn agrees_with_twin(&self) -> bool {
        let twin = Self::new(self.model, self.stands());
        twin.sums == self.sums
            && twin.pairs == self.pairs
            && twin.alone == self.alone
            && twin.lines == self.lines
            && twin.remade == self.remade
    }

    fn own(&self, item: usize) -> Own {
        let (it, body) = (&self.model.items[item], &self.bodies[item]);
        let (spot, plan, board) = (body.stand.spot, &body.plan, &self.model.board);
        let reach = it.switches[usize::from(spot.turn)]
            .iter()
            .map(|at| (spot.y + at[1] - board.low[1]) * it.used)
            .max()
            .unwrap_or(0);
        let surface = &self.model.surfaces[spot.surface];
        if surface.is_floor {
            return Own { reach: 0, moment: [0, 0], treadles: 0, set_and_forget: 0 };
        }
        let moment = |axis: usize| it.mass * (i64::midpoint(plan.low[axis], plan.high[axis]) / 1000);
        let to_end = (plan.low[0] - board.low[0]).min(board.high[0] - plan.high[0]).max(0);
        let heel = (plan.low[1] - board.low[1]).max(0) + to_end / TO_END;
        let to_back = (board.high[1] - plan.high[1]).max(0);
        Own {
            reach,
            moment: [moment(0), moment(1)],
            treadles: if it.has_treadle && !surface.under { heel } else { 0 },
            set_and_forget: if it.is_forgotten && !surface.under { to_back + self.hangs(item) } else { 0 },
        }
    }

    /// What a brick or strip counts for standing on a deck though it could hang under one.
    fn hangs(&self, item: usize) -> i64 {
        if self.model.items[item].could_hang { UNDERNEATH } else { 0 }
    }

    /// The height of a port's centre and its place on the board.
    pub(crate) fn port(&self, wire: usize, end: usize) -> [i64; 3] {
        let wire = &self.model.wires[wire];
        let body = &self.bodies[wire.items[end]];
        let at = wire.points[end][usize::from(body.stand.spot.turn)];
        [at[0] + body.stand.spot.x, at[1] + body.stand.spot.y, at[2] + body.base]
    }

    fn line(&self, index: usize) -> Line {
        let wire = &self.model.wires[index];
        let [from, to] = [self.port(index, 0), self.port(index, 1)];
        let [a, b] = wire.items.map(|item| &self.bodies[item]);
        let surfaces = [a, b].map(|body| &self.model.surfaces[body.stand.spot.surface]);
        let apart = a.stand.spot.surface != b.stand.spot.surface;
        let same_row = {
            let overlap = a.plan.high[1].min(b.plan.high[1]) - a.plan.low[1].max(b.plan.low[1]);
            let shorter = (a.plan.high[1] - a.plan.low[1]).min(b.plan.high[1] - b.plan.low[1]);
            !apart && shorter < 2 * overlap
        };
        let by = (b.plan.low[0] + b.plan.high[0]) - (a.plan.low[0] + a.plan.high[0]);
        let backward = match self.model.direction {
            Direction::RightToLeft => 0 < by,
            Direction::LeftToRight => by < 0,
        };
        let above = surfaces.iter().all(|surface| !surface.under && !surface.is_floor);
        let counts = above && matches!(wire.class, LeadClass::Signal | LeadClass::Control);
        Line {
            length: self.model.way([a, b].map(|body| body.stand.spot.surface), from, to),
            backward: wire.ordered && same_row && backward,
            seen: counts.then(|| [[from[0] / 1000, from[1] / 1000], [to[0] / 1000, to[1] / 1000]]),
        }
    }

    /// Stands an item elsewhere; hands back what undoes it.
    pub(crate) fn put(&mut self, item: usize, stand: Stand) -> Undo {
        self.put_unless(item, stand, |_| false).0
    }

    /// Stands an item elsewhere, or stops half-way once `too_much` says of the sums that the move is none: what is wrong
    /// only grows from then on. Hands back what undoes it, and whether the move is whole; what is not must be undone.
    pub(crate) fn put_unless(
        &mut self,
        item: usize,
        stand: Stand,
        too_much: impl Fn(&Self) -> bool,
    ) -> (Undo, bool) {
        let n = self.bodies.len();
        let wires = &self.model.wires_at[item];
        let mut undo = Undo {
            item,
            body: self.bodies[item].clone(),
            alone: self.alone[item],
            pairs: self.pairs[item * n..(item + 1) * n].to_vec(),
            lines: wires.iter().map(|wire| self.lines[*wire]).collect(),
            crossed: Vec::with_capacity(wires.len() * self.words),
            remade: self.model.made_at[item].iter().map(|made| self.remade[*made]).collect(),
            sums: self.sums.clone(),
        };
        for wire in wires {
            undo.crossed.extend_from_slice(&self.crossed[wire * self.words..(wire + 1) * self.words]);
        }
        let before = self.own(item);
        let moves = self.bodies[item].stand.spot != stand.spot;
        let was_in_row = moves && in_row(self.model, item, &self.bodies[item].stand);
        self.bodies[item].stand = stand;
        self.bodies[item].settle(self.model, item);
        self.sums.add(&before, -1);
        self.sums.add(&self.own(item), 1);
        if was_in_row || moves && in_row(self.model, item, &self.bodies[item].stand) {
            self.sums.rows = rows(self.model, &self.bodies, &mut self.fronts);
        }
        if moves && !self.model.wants.is_empty() {
            self.sums.wishes = wishes(self.model, &self.bodies);
        }
        for wire in wires {
            let line = self.line(*wire);
            let old = std::mem::replace(&mut self.lines[*wire], line);
            self.sums.lead += line.length - old.length;
            self.sums.extra += (line.length - old.length) * (self.model.wires[*wire].weight - 1);
            self.sums.backward += i64::from(line.backward) - i64::from(old.backward);
            if line.seen != old.seen {
                self.cross_anew(*wire);
            }
        }
        for made in &self.model.made_at[item] {
            let is = self.is_remade(*made);
            let was = std::mem::replace(&mut self.remade[*made], is);
            self.sums.remade += i64::from(is) - i64::from(was);
        }
        let whole = self.judge_anew(item, too_much);
        (undo, whole)
    }

    /// Finds anew what is wrong with an item; stops half-way when that is too much, and says whether it did not.
    fn judge_anew(&mut self, item: usize, too_much: impl Fn(&Self) -> bool) -> bool {
        let n = self.bodies.len();
        self.sums.wrong -= self.alone[item];
        for other in (0..n).filter(|other| *other != item) {
            self.sums.wrong -= self.pairs[item * n + other];
        }
        if too_much(self) {
            return false;
        }
        self.alone[item] = alone(self.model, item, &self.bodies[item]);
        self.sums.wrong += self.alone[item];
        if self.alone[item] != Wrong::default() && too_much(self) {
            return false;
        }
        for other in (0..n).filter(|other| *other != item) {
            let wrong = between(self.model, (item, &self.bodies[item]), (other, &self.bodies[other]));
            self.sums.wrong += wrong;
            self.pairs[item * n + other] = wrong;
            self.pairs[other * n + item] = wrong;
            if wrong != Wrong::default() && too_much(self) {
                return false;
            }
        }
        true
    }

    /// Finds the crossings of one line anew.
    fn cross_anew(&mut self, wire: usize) {
        let line = self.lines[wire];
        for other in (0..self.lines.len()).filter(|other| *other != wire) {
            let bit = 1_u64 << (other % 64);
            let at = wire * self.words + other / 64;
            let (was, is) = (self.crossed[at] & bit != 0, cross(&line, &self.lines[other]));
            if was != is {
                self.crossed[at] ^= bit;
                self.crossed[other * self.words + wire / 64] ^= 1 << (wire % 64);
                self.sums.crossings += i64::from(is) - i64::from(was);
            }
        }
    }

    /// Takes the last move back; several are taken back in reverse.
    pub(crate) fn undo(&mut self, undo: Undo) {
        let n = self.bodies.len();
        let item = undo.item;
        self.bodies[item] = undo.body;
        self.alone[item] = undo.alone;
        for (other, wrong) in undo.pairs.into_iter().enumerate() {
            self.pairs[item * n + other] = wrong;
            self.pairs[other * n + item] = wrong;
        }
        for (place, wire) in self.model.wires_at[item].iter().enumerate() {
            self.lines[*wire] = undo.lines[place];
            for word in 0..self.words {
                let old = undo.crossed[place * self.words + word];
                let mut changed = old ^ self.crossed[wire * self.words + word];
                self.crossed[wire * self.words + word] = old;
                while changed != 0 {
                    let other = word * 64 + changed.trailing_zeros() as usize;
                    self.crossed[other * self.words + wire / 64] ^= 1 << (wire % 64);
                    changed &= changed - 1;
                }
            }
        }
        for (made, was) in self.model.made_at[item].iter().zip(undo.remade) {
            self.remade[*made] = was;
        }
        self.sums = undo.sums;
    }

    /// The terms but the free room, weighted.
    pub(crate) fn cost(&self, weights: &Weights) -> f64 {
        let sums = &self.sums;
        weights.lead * mm(sums.lead + sums.extra)
            + weights.reach * self.reach_mm()
            + weights.order * real(sums.backward)
            + weights.balance * self.balance_mm()
            + weights.crossings * real(sums.crossings)
            + weights.remade * real(sums.remade)
            + weights.looks * f64::from(sums.wrong.looks)
            + weights.rows * real(sums.rows.lines)
            + weights.near_misses * real(sums.rows.near)
            + weights.gaps * mm(sums.rows.uneven)
            + weights.treadles * mm(sums.treadles)
            + weights.set_and_forget * mm(sums.set_and_forget)
            + weights.wishes * self.wishes()
    }

    /// Wishes that are not met, with how far each is off in metres.
    pub(crate) fn wishes(&self) -> f64 {
        real(self.sums.wishes) / real(ONE)
    }

    /// Mean depth of the switches, weighed by use.
    pub(crate) fn reach_mm(&self) -> f64 {
        let used: i64 = self.model.items.iter().map(|item| item.used).sum();
        if used == 0 { 0.0 } else { mm(self.sums.reach) / real(used) }
    }

    /// From the centre of mass to the middle of the board, along plus across.
    pub(crate) fn balance_mm(&self) -> f64 {
        let board = &self.model.board;
        let on_board = |item: usize| !self.model.surfaces[self.bodies[item].stand.spot.surface].is_floor;
        let items: i64 =
            (0..self.bodies.len()).filter(|i| on_board(*i)).map(|i| self.model.items[i].mass).sum();
        let total = items + self.model.board_mass;
        if total == 0 {
            return 0.0;
        }
        (0..2)
            .map(|axis| {
                let middle = i64::midpoint(board.low[axis], board.high[axis]);
                // The board itself counts in its middle.
                let off = real(self.sums.moment[axis]) - real(items) * real(middle / 1000);
                (off / real(total) / 1000.0).abs()
            })
            .sum()
    }
}

#[expect(clippy::cast_precision_loss, reason = "sums of one board are far below 2^53")]
pub(crate) fn real(value: i64) -> f64 {
    value as f64
}

/// Nanometres as millimetres.
pub(crate) fn mm(nanometres: i64) -> f64 {
    real(nanometres) / 1e6
}

/// Whether two lines cross properly; touching ends are none.
fn cross(a: &Line, b: &Line) -> bool {
    let (Some([p, q]), Some([r, s])) = (a.seen, b.seen) else { return false };
    // Most are told apart by their extents alone.
    let apart = |axis: usize| {
        p[axis].max(q[axis]) < r[axis].min(s[axis]) || r[axis].max(s[axis]) < p[axis].min(q[axis])
    };
    if apart(0) || apart(1) {
        return false;
    }
    let side = |o: [i64; 2], u: [i64; 2], v: [i64; 2]| {
        ((u[0] - o[0]) * (v[1] - o[1]) - (u[1] - o[1]) * (v[0] - o[0])).signum()
    };
    side(p, q, r) * side(p, q, s) < 0 && side(r, s, p) * side(r, s, q) < 0
}
