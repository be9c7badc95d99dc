//! Which way the cable leaves an angled plug, where the document leaves that open: as the way goes best.

use std::cmp::Ordering;

use rayon::prelude::*;

use crate::alone::{HAIR_MM, alone, worth};
use crate::field::rounds::Field;
use crate::holes::{FAR, shortest};
use crate::input::{End, Input, Turn, Wanted};
use crate::route::grids::Grids;
use crate::route::shape::Shape;
use crate::route::space::Space;

/// So many of the ways to turn the plugs are looked at in full, where none is good at a glance.
const LIKELY: usize = 2;

/// Turns plugs that are ours to turn, where the way from the first guess is sharp, far, off the board or none at all.
pub(crate) fn settle(input: &mut Input) {
    let open = |wanted: &Wanted| !wanted.from.turns.is_empty() || !wanted.to.turns.is_empty();
    if !input.leads.iter().any(open) {
        return;
    }
    let turned: Vec<(usize, Wanted)> = {
        let input = &*input;
        let space = Space::new(input);
        let (field, grids) = (Field::new(input, &space), Grids::new(input, input.rules.pitch_mm));
        let worth = |wanted: &Wanted, shape: Shape| Worth::new(field.outline, wanted, &shape);
        let glance = |wanted: &Wanted| field.glance(wanted).map(|shape| worth(wanted, shape));
        let full = |wanted: &Wanted| alone(&field, &space, &grids, wanted).map(|shape| worth(wanted, shape));
        let all = input.leads.par_iter().enumerate().filter(|(_, wanted)| open(wanted));
        let found = all.filter_map(|(lead, wanted)| {
            if glance(wanted).is_some_and(|now| now.is_good(wanted)) {
                return None;
            }
            let now = full(wanted);
            if now.as_ref().is_some_and(|now| now.is_good(wanted)) {
                return None;
            }
            let mut others: Vec<(Option<Worth>, Wanted)> =
                others(wanted).map(|other| (glance(&other), other)).collect();
            others.sort_by(|(a, one), (b, other)| {
                b.partial_cmp(a).unwrap_or(Ordering::Equal).then(shortest(one).total_cmp(&shortest(other)))
            });
            let is_good =
                |(its, other): &(Option<Worth>, Wanted)| its.as_ref().is_some_and(|its| its.is_good(other));
            let likely = if others.first().is_some_and(is_good) { 1 } else { LIKELY };
            let mut best = (now, None);
            for (_, other) in others.into_iter().take(likely) {
                let its = full(&other);
                if best.0 < its {
                    best = (its, Some(other));
                }
            }
            best.1.map(|other| (lead, other))
        });
        found.collect()
    };
    for (lead, wanted) in turned {
        input.leads[lead] = wanted;
    }
}

/// How good a way is: what it is worth, and then its length, below nought.
#[derive(Debug, PartialEq, PartialOrd)]
struct Worth((bool, i64, f64), f64);

impl Worth {
    fn new(outline: [f64; 4], wanted: &Wanted, shape: &Shape) -> Self {
        Self(worth(outline, wanted, shape), -shape.length)
    }

    /// Whether no other way to turn its plugs need be looked at.
    fn is_good(&self, wanted: &Wanted) -> bool {
        let &Self((reaches, off, bend), long) = self;
        let is_near = -long <= FAR * shortest(wanted);
        reaches && off == 0 && wanted.radius_mm - 2.0 * HAIR_MM <= bend && is_near
    }
}

/// The lead with its plugs turned each other way that they may be.
fn others(wanted: &Wanted) -> impl Iterator<Item = Wanted> {
    let turned = turns(&wanted.from).into_iter().flat_map(move |from| {
        turns(&wanted.to).into_iter().map(move |to| Wanted { from: from.clone(), to, ..wanted.clone() })
    });
    // The first one is the lead as it is.
    turned.skip(1)
}

/// An end as it is, and turned each other way that it may be.
fn turns(end: &End) -> Vec<End> {
    let turned = end.turns.iter().map(|Turn { at, out, straight_mm, exit }| End {
        at: *at,
        out: *out,
        straight_mm: *straight_mm,
        exit: *exit,
        ..end.clone()
    });
    std::iter::once(end.clone()).chain(turned).collect()
}
