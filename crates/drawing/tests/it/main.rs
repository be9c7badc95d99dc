//! What drawings promise: true scale, every tag once, nothing hostile, the same bytes for the same design.

mod band;
mod hostile;
mod making;
mod plates;
mod rigs;
mod scale;
mod small;
mod snapshots;
mod tight;

use design::{Design, derive};
use drawing::{Drawing, Group, Item};
use rig::{Limits, Rig};

fn of(rig: Rig) -> Design {
    derive(rig, Limits::default())
}

/// Every group of a drawing, inner ones included.
fn groups(drawing: &Drawing) -> Vec<&Group> {
    fn collect<'a>(items: &'a [Item], out: &mut Vec<&'a Group>) {
        for item in items {
            if let Item::Group(group) = item {
                out.push(group);
                collect(&group.items, out);
            }
        }
    }
    let mut out = Vec::new();
    collect(&drawing.items, &mut out);
    out
}
