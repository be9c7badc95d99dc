//! The rows in which foot-worked devices stand: one front line each is what a builder lays.

use super::body::Body;
use crate::model::{Model, Stand};

/// Front edges nearer than this and not in one line look like a mistake. *Common practice, no source.*
pub(crate) const NEAR_MISS: i64 = 25_000_000;

/// The look of the rows, over all decks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Rows {
    /// Different front edges.
    pub(crate) lines: i64,
    /// Pairs that miss one line by less than [`NEAR_MISS`].
    pub(crate) near: i64,
    /// How far the gaps on both sides of a device differ, in nanometres, added up.
    pub(crate) uneven: i64,
}

/// A foot-worked device as its row sees it: surface, front edge, left and right.
pub(crate) type Front = (usize, i64, i64, i64);

/// Whether an item stands in a row where it is.
pub(crate) fn in_row(model: &Model, item: usize, stand: &Stand) -> bool {
    let surface = &model.surfaces[stand.spot.surface];
    model.items[item].is_foot_operated && !surface.under && !surface.is_floor
}

/// The rows of all bodies; `fronts` is room to work in.
pub(crate) fn rows(model: &Model, bodies: &[Body], fronts: &mut Vec<Front>) -> Rows {
    fronts.clear();
    for (_, body) in bodies.iter().enumerate().filter(|(item, body)| in_row(model, *item, &body.stand)) {
        fronts.push((body.stand.spot.surface, body.plan.low[1], body.plan.low[0], body.plan.high[0]));
    }
    fronts.sort_unstable();
    let mut rows = Rows::default();
    for (index, a) in fronts.iter().enumerate() {
        let starts = index == 0 || (fronts[index - 1].0, fronts[index - 1].1) != (a.0, a.1);
        rows.lines += i64::from(starts);
        let ahead = fronts[index + 1..].iter().take_while(|b| b.0 == a.0 && b.1 - a.1 < NEAR_MISS);
        rows.near += i64::try_from(ahead.filter(|b| b.1 != a.1).count()).unwrap_or(0);
    }
    for three in fronts.windows(3) {
        if three.iter().all(|front| (front.0, front.1) == (three[0].0, three[0].1)) {
            let [left, right] = [three[1].2 - three[0].3, three[2].2 - three[1].3];
            rows.uneven += (left - right).abs();
        }
    }
    rows
}

/// The front line nearest to a stand among those of the others, if it is near enough to be meant.
pub(crate) fn nearest_line(model: &Model, bodies: &[Body], item: usize, stand: &Stand) -> Option<i64> {
    if !in_row(model, item, stand) {
        return None;
    }
    let others = bodies.iter().enumerate().filter(|(other, body)| {
        *other != item && body.stand.spot.surface == stand.spot.surface && in_row(model, *other, &body.stand)
    });
    others
        .map(|(_, body)| body.plan.low[1])
        .filter(|line| (line - stand.spot.y).abs() < NEAR_MISS)
        .min_by_key(|line| ((line - stand.spot.y).abs(), *line))
}
