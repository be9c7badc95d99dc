//! What a transformer whose input states no impedance shows there: what its outputs drive, by the square of its turns.

use crate::hung::{Hung, Touched};
use crate::model::{Model, Part, Variant};

/// As good as open, in ohms: nothing hangs on a transformer's outputs.
pub(crate) const OPEN: f64 = 1e12;

/// Works out what every transformer whose input states no impedance shows there, with everything else at rest: the
/// resistance that its secondary drives at 1 kHz, its winding included, by the square of the turns. Several secondaries
/// count side by side.
///
/// For an ideal transformer Z₁ = (N₁/N₂)²·Z₂, a law of physics; its own inductance and losses are neglected.
pub(crate) fn reflect(model: &mut Model) {
    let reflected = model.reflected.clone();
    // One that drives another sees it right once that is right: at most so many rounds as there are of them.
    for _ in 0..reflected.len() {
        let mut is_done = true;
        for one in &reflected {
            let rest = rest_with(model, &one.element);
            let touched = Touched::new(model);
            let siemens: f64 = one
                .outputs
                .iter()
                .filter_map(|node| Hung::new(&touched, &rest, *node).resistance())
                .map(|ohms| 1.0 / (one.turns * one.turns * ohms))
                .sum();
            let ohms = (1.0 / siemens).min(OPEN);
            let blocks = model.blocks.iter_mut().flat_map(|block| &mut block.variants);
            let variants = std::iter::once(&mut model.fixed).chain(blocks);
            for element in variants.flat_map(|variant| &mut variant.elements) {
                if element.name == one.element && element.part != Part::Resistor(ohms) {
                    element.part = Part::Resistor(ohms);
                    is_done = false;
                }
            }
        }
        if is_done {
            return;
        }
    }
}

/// Everything at rest but what an element is part of: it is looked at while it is there.
fn rest_with(model: &Model, element: &str) -> Vec<u8> {
    let mut state = model.at_rest();
    for block in &model.blocks {
        let has = |variant: &Variant| variant.elements.iter().any(|other| other.name == element);
        let at = block.variants.iter().position(has).and_then(|at| u8::try_from(at).ok());
        if let Some(position) = at {
            state[block.switch] = position;
        }
    }
    state
}
