//! How far a placement is from what the client wants of places.
//!
//! The measures are those of `rig::geometry`, which the checks judge by; here they are taken of bodies as they are moved.

use quantity::Length;
use rig::geometry::{Bulk, RowEdge, further_out, shared};
use rig::{Rect, Spot};

use super::body::Body;
use super::rows::in_row;
use crate::model::{Flat, Model, Want};

/// What a wish counts that is not met, however near it is; how far it is off is added, at most as much again.
pub(crate) const ONE: i64 = 1_000_000_000;

/// All wishes: [`ONE`] for each that is not met, and how far that is off.
pub(crate) fn wishes(model: &Model, bodies: &[Body]) -> i64 {
    let count = |want: &Want| match off(model, bodies, want) {
        0 => 0,
        off => ONE + off.min(ONE),
    };
    model.wants.iter().map(count).sum()
}

/// How far a placement is from a wish, in nanometres; nought where it is met.
pub(crate) fn off(model: &Model, bodies: &[Body], want: &Want) -> i64 {
    let stage = Stage { model, bodies };
    match want {
        Want::Never => ONE,
        Want::Place { at, items } => items.iter().map(|item| stage.place(*at, *item, items)).sum(),
        Want::OutOfTheWay { items, often } => items.iter().map(|item| stage.in_the_way(*item, often)).sum(),
        Want::Beside { items, most } => stage.beside(*items, *most),
        Want::Together { items, most } => stage.together(items, *most),
        Want::Apart { items, least } => stage.apart(items, *least),
    }
}

#[derive(Clone, Copy)]
struct Stage<'a> {
    model: &'a Model,
    bodies: &'a [Body],
}

fn rect(flat: &Flat) -> Rect {
    let [x, y] = flat.low.map(Length::from_nm);
    Rect { x, y, width: Length::from_nm(flat.high[0]) - x, depth: Length::from_nm(flat.high[1]) - y }
}

impl Stage<'_> {
    fn plan(&self, item: usize) -> Rect {
        rect(&self.bodies[item].plan)
    }

    fn surface(&self, item: usize) -> usize {
        self.bodies[item].stand.spot.surface
    }

    fn deck(&self, item: usize) -> Rect {
        rect(&self.model.surfaces[self.surface(item)].extent)
    }

    fn is_on_deck(&self, item: usize) -> bool {
        let surface = &self.model.surfaces[self.surface(item)];
        !surface.under && !surface.is_floor
    }

    fn bulk(&self, item: usize) -> Bulk {
        let body = &self.bodies[item];
        let height = |at: i64| Length::from_nm(at);
        let plan = self.plan(item);
        let (low, high) = body.heights(self.model, item);
        Bulk { low: [plan.x, plan.y, height(low)], high: [plan.right(), plan.back(), height(high)] }
    }

    /// What else a foot works on the same deck.
    fn foot_worked(&self, item: usize) -> impl Iterator<Item = usize> {
        let surface = self.surface(item);
        (0..self.bodies.len()).filter(move |other| {
            *other != item
                && self.surface(*other) == surface
                && in_row(self.model, *other, &self.bodies[*other].stand)
        })
    }

    fn place(&self, at: Spot, item: usize, with: &[usize]) -> i64 {
        let surface = &self.model.surfaces[self.surface(item)];
        let is_so = match at {
            Spot::UnderDeck => surface.under,
            Spot::UpperDeck => self.is_on_deck(item) && self.model.is_upper(self.surface(item)),
            _ => self.is_on_deck(item),
        };
        if !is_so {
            return ONE;
        }
        let own = self.plan(item);
        let off = match at {
            Spot::UnderDeck | Spot::UpperDeck => Length::ZERO,
            Spot::Flat => {
                surface.raised().map(|riser| shared(&rect(riser), &own)).max().unwrap_or(Length::ZERO)
            }
            Spot::RightEnd | Spot::LeftEnd => {
                let others = self.foot_worked(item).filter(|other| !with.contains(other));
                others.map(|other| further_out(at, &own, &self.plan(other))).sum()
            }
            Spot::FrontRow => self.out_of_row(RowEdge::Front, item),
            Spot::BackRow => self.out_of_row(RowEdge::Back, item),
            Spot::ByFeel => return self.not_by_feel(item),
        };
        off.nm()
    }

    fn out_of_row(&self, edge: RowEdge, item: usize) -> Length {
        let own = self.plan(item);
        let others = self.foot_worked(item).map(|other| edge.in_the_way(&own, &self.plan(other)));
        others.fold(edge.out_of_half(&self.deck(item), &own), |sum, by| sum + by)
    }

    /// Out of the front row, or how far from the nearer end of it.
    fn not_by_feel(&self, item: usize) -> i64 {
        let out = self.out_of_row(RowEdge::Front, item);
        if Length::ZERO < out {
            return out.nm();
        }
        let own = self.plan(item);
        let mut beyond = [0, 0];
        for other in self.foot_worked(item) {
            if self.out_of_row(RowEdge::Front, other) == Length::ZERO {
                let at = self.plan(other);
                let side = &mut beyond[usize::from(own.x < at.x)];
                *side = (*side).max((own.x - at.x).abs().nm() + 1);
            }
        }
        beyond[0].min(beyond[1])
    }

    fn in_the_way(&self, item: usize, often: &[usize]) -> i64 {
        if !self.is_on_deck(item) {
            return 0;
        }
        let own = self.plan(item);
        let here =
            often.iter().filter(|other| **other != item && self.surface(**other) == self.surface(item));
        here.map(|other| RowEdge::Front.in_the_way(&self.plan(*other), &own).nm()).sum()
    }

    fn beside(&self, [a, b]: [usize; 2], most: Length) -> i64 {
        if self.surface(a) != self.surface(b) {
            return ONE;
        }
        let (one, other) = (self.bulk(a), self.bulk(b));
        let out = one.out_of_row(&other);
        let between = one.between(&other);
        let far = (between.width - most).max(Length::ZERO);
        if Length::ZERO < out {
            return (out + far).nm();
        }
        let in_between = (0..self.bodies.len()).filter(|item| *item != a && *item != b).map(|item| {
            let body = self.bulk(item);
            if body.is_level_with(&one) { shared(&body.plan(), &between) } else { Length::ZERO }
        });
        in_between.fold(far, |sum, by| sum + by).nm()
    }

    fn together(&self, items: &[usize], most: Length) -> i64 {
        let bulks: Vec<Bulk> = items.iter().map(|item| self.bulk(*item)).collect();
        let (mut group, mut rest) = (vec![0], (1..bulks.len()).collect::<Vec<usize>>());
        let mut off = 0;
        loop {
            let ways =
                rest.iter().flat_map(|at| group.iter().map(|from| (bulks[*at].air(&bulks[*from]), *at)));
            let Some((air, at)) = ways.min() else { return off };
            off += (air - most).max(Length::ZERO).nm();
            rest.retain(|other| *other != at);
            group.push(at);
        }
    }

    fn apart(&self, items: &[usize], least: Length) -> i64 {
        let mut off = 0;
        for (place, one) in items.iter().enumerate() {
            for other in &items[place + 1..] {
                off += (least - self.bulk(*one).air(&self.bulk(*other))).max(Length::ZERO).nm();
            }
        }
        off
    }
}
