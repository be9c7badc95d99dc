//! What requirements wish, and whether the design meets it: one file per kind of wish.
//!
//! Each judge says what is surely not met as an [`Unmet`](unmet::Unmet); what it could not look at it leaves in [`Asked`]. So a wish is
//! *met* only where every value it rests on is known.

mod mass;
mod mono;
mod near;
mod order;
mod place;
mod plays;
mod spare;
mod unmet;
mod words;

use design::Design;
use finding::{Field, Judged, Verdict};
use rig::Wish;

use self::unmet::Found;
use crate::asked::Asked;
use crate::words::list;

/// Every wish of every requirement, in the order of the document, with its verdict.
pub fn wishes(design: &Design) -> Vec<Judged> {
    let mut out = Vec::new();
    for requirement in &design.rig.brief.requirements {
        for wish in &requirement.wishes {
            let mut asked = Asked::default();
            let found = judge(design, wish, &mut asked);
            asked.lacks.sort();
            asked.lacks.dedup();
            asked.assumed.sort();
            asked.assumed.dedup();
            let verdict = match found {
                Err(unmet) => Verdict::NotMet { why: unmet.why, evidence: unmet.evidence },
                Ok(()) if asked.complete() => Verdict::Met,
                Ok(()) => {
                    let mut missing: Vec<String> = asked.lacks.iter().map(Field::words).collect();
                    missing.dedup();
                    Verdict::NotKnown { missing: list(&missing), lacks: asked.lacks }
                }
            };
            out.push(Judged {
                requirement: requirement.id.clone(),
                wish: wish.words(&design.rig),
                verdict,
                about: words::about(wish),
                assumed: asked.assumed,
            });
        }
    }
    out
}

fn judge(design: &Design, wish: &Wish, asked: &mut Asked) -> Found {
    match wish {
        Wish::Order { devices, run } => order::judge(&design.rig, devices, run.as_deref()),
        Wish::Place { at, devices } => place::judge(&design.rig, *at, devices, asked),
        Wish::Beside { devices } => near::beside(design, devices, asked),
        Wish::Together { devices } => near::together(design, devices, asked),
        Wish::Apart { devices, by } => near::apart(design, devices, *by, asked),
        Wish::Spare { width, depth, deck } => spare::judge(design, (*width, *depth), deck.as_deref(), asked),
        Wish::Mass { most, cased } => mass::judge(design, *most, *cased, asked),
        Wish::Plays { sink, without, from } => plays::judge(&design.rig, sink, without, from.as_deref()),
        Wish::Mono { sink } => mono::judge(design, sink, asked),
        Wish::Use { how, devices } => place::used(&design.rig, *how, devices, asked),
    }
}
