//! The requirements of the brief with their wishes.

use rig::{Requirement, Wish};

use super::wire;

pub(super) fn requirement(requirement: &Requirement) -> wire::Requirement<'_> {
    wire::Requirement {
        id: &requirement.id,
        text: &requirement.text,
        wants: requirement.wishes.iter().map(wish).collect(),
    }
}

fn wish(wish: &Wish) -> wire::Wish<'_> {
    let mut out = wire::Wish {
        kind: wish.kind(),
        devices: wish.devices(),
        word: None,
        run: None,
        by_mm: None,
        width_mm: None,
        depth_mm: None,
        deck: None,
        mass_g: None,
        cased: None,
        sink: None,
        from: None,
    };
    match wish {
        Wish::Order { run, .. } => out.run = run.as_deref(),
        Wish::Place { at, .. } => out.word = Some(at.word()),
        Wish::Beside { .. } | Wish::Together { .. } => {}
        Wish::Apart { by, .. } => out.by_mm = Some(by.as_mm()),
        Wish::Spare { width, depth, deck } => {
            (out.width_mm, out.depth_mm) = (Some(width.as_mm()), Some(depth.as_mm()));
            out.deck = deck.as_deref();
        }
        Wish::Mass { most, cased } => (out.mass_g, out.cased) = (Some(most.get()), Some(*cased)),
        Wish::Plays { sink, from, .. } => (out.sink, out.from) = (Some(sink.as_str()), from.as_deref()),
        Wish::Mono { sink } => out.sink = Some(sink.as_str()),
        Wish::Use { how, .. } => out.word = Some(how.word()),
    }
    out
}
