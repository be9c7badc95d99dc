//! Which way the cable leaves an angled plug, where the document leaves that open: as the way goes best.

use rayon::prelude::*;

use crate::alone::{HAIR_MM, alone, worth};
use crate::field::rounds::Field;
use crate::holes::{FAR, shortest};
use crate::input::{End, Input, Turn, Wanted};
use crate::route::grids::Grids;
use crate::route::space::Space;

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
        let value = |wanted: &Wanted| {
            alone(&field, &space, &grids, wanted).map(|shape| {
                let (reaches, off, bend) = worth(field.outline, wanted, &shape);
                (reaches, off, bend, -shape.length)
            })
        };
        let all = input.leads.par_iter().enumerate().filter(|(_, wanted)| open(wanted));
        let found = all.filter_map(|(lead, wanted)| {
            let now = value(wanted);
            let is_good = now.is_some_and(|(reaches, off, bend, long)| {
                let is_near = -long <= FAR * shortest(wanted);
                reaches && off == 0 && wanted.radius_mm - 2.0 * HAIR_MM <= bend && is_near
            });
            if is_good {
                return None;
            }
            let mut best = (now, None);
            for from in turns(&wanted.from) {
                for to in turns(&wanted.to) {
                    let other = Wanted { from: from.clone(), to, ..wanted.clone() };
                    let its = value(&other);
                    if best.0 < its {
                        best = (its, Some(other));
                    }
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
