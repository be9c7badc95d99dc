//! One item where it stands, and what is wrong with it alone or beside another.

use rig::geometry::BoxClass;

use crate::model::{Cell, Flat, Model, Stand, Wrong};

/// An item with its boxes in the board's frame.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Body {
    pub(crate) stand: Stand,
    pub(crate) cells: Vec<Cell>,
    /// Around all boxes.
    pub(crate) hull: Flat,
    /// The body alone.
    pub(crate) plan: Flat,
    pub(crate) base: i64,
}

impl Body {
    pub(crate) fn new(model: &Model, item: usize, stand: Stand) -> Self {
        let plan = Flat { low: [0, 0], high: [0, 0] };
        let mut body = Self { stand, cells: Vec::new(), hull: plan, plan, base: 0 };
        body.settle(model, item);
        body
    }

    /// Makes the boxes anew from the stand.
    pub(crate) fn settle(&mut self, model: &Model, item: usize) {
        let it = &model.items[item];
        let spot = self.stand.spot;
        let turn = usize::from(spot.turn);
        let [width, depth] = it.plan(spot.turn);
        self.plan = Flat { low: [spot.x, spot.y], high: [spot.x + width, spot.y + depth] };
        self.base = model.surfaces[spot.surface].base(&self.plan, it.size[2]);
        let by = [spot.x, spot.y, self.base];
        self.cells.clear();
        self.cells.extend(it.cells[turn].iter().map(|cell| cell.moved(by)));
        for (end, choice) in it.ends.iter().zip(&self.stand.choices) {
            self.cells
                .extend(end.choices[usize::from(*choice)].cells[turn].iter().map(|cell| cell.moved(by)));
        }
        self.hull = self.plan;
        for cell in &self.cells {
            for axis in 0..2 {
                self.hull.low[axis] = self.hull.low[axis].min(cell.low[axis]);
                self.hull.high[axis] = self.hull.high[axis].max(cell.high[axis]);
            }
        }
    }
}

impl Body {
    /// The least and the greatest height of the body alone.
    pub(crate) fn heights(&self, model: &Model, item: usize) -> (i64, i64) {
        let body = self.cells.iter().find(|cell| cell.is(BoxClass::Body));
        body.map_or_else(
            || (self.base, self.base + model.items[item].size[2]),
            |body| (body.low[2], body.high[2]),
        )
    }
}

/// What is wrong with an item by itself: parts of the board in its way, over the edge, above the lid, too low.
pub(crate) fn alone(model: &Model, item: usize, body: &Body) -> Wrong {
    let it = &model.items[item];
    let surface = &model.surfaces[body.stand.spot.surface];
    let mut wrong = Wrong::default();
    for (index, cell) in body.cells.iter().enumerate() {
        for part in &model.parts {
            wrong += model.gaps.judge(cell, part);
        }
        // Plugs in neighbouring jacks of one device.
        if cell.is(BoxClass::Plug) {
            for other in
                body.cells[index + 1..].iter().filter(|o| o.is(BoxClass::Plug) && o.owner != cell.owner)
            {
                wrong += model.gaps.judge_own(cell, other);
            }
        }
    }
    for (end, choice) in it.ends.iter().zip(&body.stand.choices) {
        wrong.looks += i32::from(end.choices[usize::from(*choice)].loose);
    }
    if surface.is_floor {
        return wrong;
    }
    for cell in body.cells.iter().filter(|cell| cell.bounded) {
        let over = over_edge(model, cell);
        if 0 < over {
            wrong += Wrong::by(over);
        }
    }
    let covered = covered(model, it, body);
    if 0 < covered {
        wrong += Wrong::by(covered);
    }
    let beside = surface.beside(&body.plan);
    if 0 < beside {
        wrong += Wrong::by(beside);
    }
    if let Some(lid) = model.lid
        && let Some(top) = body.cells.iter().filter(|cell| cell.lidded).map(|cell| cell.high[2]).max()
    {
        wrong += too_near(lid - top, model.rules.lid_look, model.rules.lid_stop);
    }
    if let Some(ground) = surface.ground
        && let Some(low) =
            body.cells.iter().filter(|cell| !cell.is(BoxClass::Service)).map(|cell| cell.low[2]).min()
    {
        wrong += too_near(low - ground, model.rules.clear_look, model.rules.clear_stop);
    }
    // A panel that the search moves belongs in the rim; one that is locked a little off it stays, and is no fault.
    if let Some(face) = it.rim.filter(|_| it.movable) {
        let away = rim_distance(model, face.turned(body.stand.spot.turn), &body.plan);
        if away != 0 {
            wrong += Wrong::by(away);
        }
    }
    if it.is_spare {
        // What is put there later covers no passage.
        let covers = surface.openings.iter().map(|opening| opening.depth(&body.plan)).sum();
        if 0 < covers {
            wrong += Wrong::by(covers);
        }
        return wrong;
    }
    let plugged = surface.openings.iter().filter(|opening| is_plugged(opening, &body.plan)).count();
    let hidden = it.is_foot_operated && is_hidden(model, surface.under, body);
    wrong.looks += i32::try_from(plugged).unwrap_or(0) * PLUGGED + i32::from(hidden) * HIDDEN;
    if !surface.under && !surface.rails.is_empty() && holds_badly(it.mass, &body.plan, &surface.rails) {
        wrong += Wrong::look();
    }
    wrong
}

/// What a passage counts that is covered, and what a foot-worked device whose body reaches under a deck, in things to look at.
/// *Common practice, no source.*
const PLUGGED: i32 = 3;
const HIDDEN: i32 = 3;

/// Whether some of a body on a deck lies under another deck, where nobody sees it or gets at its jacks.
fn is_hidden(model: &Model, under: bool, body: &Body) -> bool {
    let above = model.roofs.iter().filter(|(_, level)| body.base < *level);
    !under && above.flat_map(|(parts, _)| parts).any(|part| 0 < part.depth(&body.plan))
}

/// Whether a body on a deck, or hung under it, covers more than half of a passage.
fn is_plugged(opening: &Flat, plan: &Flat) -> bool {
    let side = |flat: &Flat, axis: usize| i128::from(flat.high[axis] - flat.low[axis]);
    let shared = |axis: usize| {
        i128::from((opening.high[axis].min(plan.high[axis]) - opening.low[axis].max(plan.low[axis])).max(0))
    };
    side(opening, 0) * side(opening, 1) < 2 * shared(0) * shared(1)
}

/// How far what a foot works lies under a deck that leaves no room for the foot. What hangs is not meant to be worked.
pub(crate) fn covered(model: &Model, it: &crate::model::Item, body: &Body) -> i64 {
    let spot = body.stand.spot;
    let feet = &it.feet[usize::from(spot.turn)];
    if feet.is_empty() || model.surfaces[spot.surface].under {
        return 0;
    }
    let above = |level: &i64| body.base < *level && level - (body.base + it.sole) < model.rules.foot_room;
    let roofs = model.roofs.iter().filter(|(_, level)| above(level)).flat_map(|(parts, _)| parts);
    let feet: Vec<Flat> = feet.iter().map(|foot| foot.moved([spot.x, spot.y])).collect();
    roofs.map(|roof| feet.iter().map(|foot| roof.depth(foot)).max().unwrap_or(0)).max().unwrap_or(0)
}

/// How far a box stands over the edge.
fn over_edge(model: &Model, cell: &Cell) -> i64 {
    let plan = cell.plan();
    if plan.is_empty() {
        return 0;
    }
    let wide = Flat { low: plan.low.map(|at| at - model.edge), high: plan.high.map(|at| at + model.edge) };
    let over = |axis: usize| {
        (model.extent.low[axis] - wide.low[axis]).max(0) + (wide.high[axis] - model.extent.high[axis]).max(0)
    };
    over(0) + over(1) + model.void.iter().map(|void| void.depth(&wide)).sum::<i64>()
}

/// How far the outer side of a panel is from the rim of the board.
fn rim_distance(model: &Model, face: rig::Face, plan: &Flat) -> i64 {
    let board = &model.board;
    match face {
        rig::Face::Front => plan.low[1] - board.low[1],
        rig::Face::Back => board.high[1] - plan.high[1],
        rig::Face::Left => plan.low[0] - board.low[0],
        rig::Face::Right => board.high[0] - plan.high[0],
    }
    .abs()
}

fn too_near(room: i64, look: i64, stop: i64) -> Wrong {
    if room < stop {
        Wrong::by(stop - room)
    } else if room < look {
        Wrong::look()
    } else {
        Wrong::default()
    }
}

/// Hook and loop wants 40 cm² on the rails for each kilogram, and two strips at least
/// (*common practice, no source*, as the table of limits has it).
fn holds_badly(milligrams: i64, plan: &Flat, rails: &[Flat]) -> bool {
    const SQUARE_MM_PER_KILOGRAM: i64 = 4000;
    let on =
        |axis: usize, rail: &Flat| plan.high[axis].min(rail.high[axis]) - plan.low[axis].max(rail.low[axis]);
    let strips: Vec<i64> = rails
        .iter()
        .filter(|rail| 0 < on(0, rail) && 0 < on(1, rail))
        .map(|rail| (on(0, rail) / 1_000_000) * (on(1, rail) / 1_000_000))
        .collect();
    strips.len() < 2 || strips.iter().sum::<i64>() * 1_000_000 < milligrams * SQUARE_MM_PER_KILOGRAM
}

/// What is wrong between two items.
pub(crate) fn between(model: &Model, (i, a): (usize, &Body), (j, b): (usize, &Body)) -> Wrong {
    let mut wrong = Wrong::default();
    let spares = [i, j].map(|item| model.items[item].is_spare);
    if spares == [true, true] {
        // The same room may be kept for the one or for the other.
        return wrong;
    }
    let judge = |cell: &Cell, other: &Cell| {
        if spares == [false, false] {
            model.gaps.judge(cell, other)
        } else {
            model.gaps.judge_spare(cell, other)
        }
    };
    let apart =
        |axis: usize| (a.hull.low[axis] - b.hull.high[axis]).max(b.hull.low[axis] - a.hull.high[axis]);
    if apart(0).max(apart(1)) < model.gaps.widest {
        // What is far from all of the other is far from each of its boxes.
        let near = |cell: &&Cell| {
            (0..2).all(|axis| {
                (cell.low[axis] - b.hull.high[axis]).max(b.hull.low[axis] - cell.high[axis])
                    < model.gaps.widest
            })
        };
        for cell in a.cells.iter().filter(near) {
            for other in &b.cells {
                wrong += judge(cell, other);
            }
        }
    }
    let (one, two) = (&model.items[i], &model.items[j]);
    wrong += feet(model, (i, a), (j, b));
    let field = one.is_brick && two.minds_fields || two.is_brick && one.minds_fields;
    let aerial = one.has_aerial && (two.is_brick || two.has_aerial) || two.has_aerial && one.is_brick;
    if field || aerial {
        let limit = if aerial { model.rules.aerial_look } else { 0 }.max(if field {
            model.rules.field_look
        } else {
            0
        });
        // Plan and height of the bodies, in micrometres so that squares fit.
        let high = |body: &Body, item: &crate::model::Item| (body.base, body.base + item.size[2]);
        let (p, q) = (high(a, one), high(b, two));
        let gaps = [
            (a.plan.low[0] - b.plan.high[0]).max(b.plan.low[0] - a.plan.high[0]),
            (a.plan.low[1] - b.plan.high[1]).max(b.plan.low[1] - a.plan.high[1]),
            (p.0 - q.1).max(q.0 - p.1),
        ];
        let square: i64 = gaps.iter().map(|gap| gap.max(&0) / 1000).map(|gap| gap * gap).sum();
        if square < (limit / 1000) * (limit / 1000) {
            wrong += Wrong::look();
        }
    }
    wrong
}

/// Foot switches too near each other.
fn feet(model: &Model, (i, a): (usize, &Body), (j, b): (usize, &Body)) -> Wrong {
    let mut wrong = Wrong::default();
    let under = |body: &Body| model.surfaces[body.stand.spot.surface].under;
    let points = |item: usize, body: &Body| {
        let spot = body.stand.spot;
        model.items[item].switches[usize::from(spot.turn)]
            .iter()
            .map(move |at| [spot.x + at[0], spot.y + at[1]])
    };
    if under(a) || under(b) {
        return wrong;
    }
    let rules = &model.rules;
    let mut nearest: Option<i128> = None;
    for from in points(i, a) {
        for to in points(j, b) {
            let (across, along) = ((from[0] - to[0]).abs(), (from[1] - to[1]).abs());
            let square = i128::from(across) * i128::from(across) + i128::from(along) * i128::from(along);
            nearest = Some(nearest.map_or(square, |least| least.min(square)));
            let (front, rear) = if from[1] <= to[1] { (a.base, b.base) } else { (b.base, a.base) };
            if across < along
                && across < rules.shoe
                && along < rules.row_look
                && rear - front < rules.row_step
            {
                wrong += Wrong::look();
            }
        }
    }
    let Some(nearest) = nearest else { return wrong };
    let squared = |limit: i64| i128::from(limit) * i128::from(limit);
    if nearest < squared(rules.switch_stop) {
        #[expect(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            reason = "a depth for the search only"
        )]
        let apart = (nearest as f64).sqrt() as i64;
        wrong += Wrong::by(rules.switch_stop - apart);
    } else if nearest < squared(rules.switch_look) {
        wrong += Wrong::look();
    }
    wrong
}
