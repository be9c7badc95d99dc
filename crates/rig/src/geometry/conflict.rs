//! When two boxes conflict.

use quantity::Length;

use super::{BoxClass, Clearance, Owner, Solid, clearance};
use crate::Limits;

/// Two boxes that are nearer than they may be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// Index of the box that wants room, in the list given.
    pub of: usize,
    /// Index of the box it wants it from.
    pub from: usize,
    /// The room found: the largest separation over the three axes, negative when they overlap.
    pub found: Length,
    /// The room wanted.
    pub wanted: Length,
}

/// The room between two boxes: the largest of the separations along x, y and z.
pub fn separation(a: &Solid, b: &Solid) -> Length {
    (0..3).map(|axis| (a.low[axis] - b.high[axis]).max(b.low[axis] - a.high[axis])).max().unwrap_or_default()
}

/// Every pair of boxes whose separation is below the clearance on all three axes, in list order.
///
/// Boxes of one device never conflict with each other, except plugs with plugs: two plugs in neighbouring
/// jacks of one device may well collide. A plug and its own bend do not.
pub fn conflicts(solids: &[Solid], limits: &Limits) -> Vec<Conflict> {
    let mut found = Vec::new();
    for (i, a) in solids.iter().enumerate() {
        for (j, b) in solids.iter().enumerate().skip(i + 1) {
            found.extend(conflict((i, a), (j, b), limits));
        }
    }
    found
}

/// The same between two lists: `of` and `from` count in the first and the second, whichever wants room.
pub fn conflicts_between(these: &[Solid], others: &[Solid], limits: &Limits) -> Vec<Conflict> {
    let mut found = Vec::new();
    for (i, a) in these.iter().enumerate() {
        for (j, b) in others.iter().enumerate() {
            found.extend(conflict((i, a), (j, b), limits).map(|conflict| Conflict {
                of: i,
                from: j,
                ..conflict
            }));
        }
    }
    found
}

fn conflict((i, a): (usize, &Solid), (j, b): (usize, &Solid), limits: &Limits) -> Option<Conflict> {
    // The widest clearance in use bounds the pairs worth a closer look, and one axis settles most of them.
    let widest = limits.plug_clearance.max(Length::ZERO);
    if widest <= (a.low[0] - b.high[0]).max(b.low[0] - a.high[0]) {
        return None;
    }
    let apart = separation(a, b);
    if widest <= apart || akin(a, b) {
        return None;
    }
    [(i, j, a, b), (j, i, b, a)].into_iter().find_map(|(of, from, x, y)| {
        match clearance(x.class, y.class, limits) {
            Clearance::AtLeast(wanted) if apart < wanted => Some(Conflict { of, from, found: apart, wanted }),
            _ => None,
        }
    })
}

/// Whether two boxes belong together so that they cannot conflict.
fn akin(a: &Solid, b: &Solid) -> bool {
    if matches!((&a.owner, &b.owner), (Owner::Board { .. }, Owner::Board { .. })) {
        return true;
    }
    let (Some(x), Some(y)) = (a.owner.device(), b.owner.device()) else { return false };
    if x != y {
        return false;
    }
    a.owner == b.owner || (a.class, b.class) != (BoxClass::Plug, BoxClass::Plug)
}
