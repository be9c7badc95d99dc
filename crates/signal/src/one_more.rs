//! What one more device would do to the tone, at every place on the board where a lead could be parted for it.
//!
//! Bypassed by its switch it is a lead and a pair of jacks more across whatever drives that place; as a buffer it parts what
//! comes after it from what drives it. Both are the usual figures, for no device is known yet.

use std::cell::{Cell, RefCell};

use crate::advice::{asks, is_before_bare, spots};
use crate::budget::{Budget, passes};
use crate::build::Built;
use crate::downstream::is_on_way;
use crate::figures::{Held, Known};
use crate::grid::frequencies;
use crate::input::{BufferPlace, Config, Input};
use crate::kept::worst_states;
use crate::ladder::Sweep;
use crate::model::{Model, SwitchPositions};
use crate::outcome::{Figures, Way};
use crate::put::{put, put_across};
use crate::sparing::sparing;
use crate::turn::turns;

/// One more device at a place: the worst of all states that it leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct OneMore {
    /// Where it would stand.
    pub place: BufferPlace,
    /// With hard bypass, bypassed.
    pub bypassed: Figures,
    /// As a buffer, such as a device with buffered bypass; `None` before a device that wants the bare pickup.
    pub buffered: Option<Figures>,
}

/// What stands now, and each place; places that the budget does not reach are left out.
#[derive(Debug, Clone, PartialEq)]
pub struct OneMoreEverywhere {
    /// The worst of all states as they are.
    pub now: Figures,
    /// Every place, from the source on.
    pub at: Vec<OneMore>,
    /// Whether every place was worked out.
    pub complete: bool,
    /// Whether some figures are those of the worst states found, where not all can be looked at.
    pub by_states_tried: bool,
}

/// Tries every place on a way; `None` where what stands now is not known exactly.
pub(crate) fn one_more(
    input: &Input<'_>,
    config: &Config,
    built: &Built,
    way: &Way,
    budget: &Budget,
) -> Option<OneMoreEverywhere> {
    let held = Held::of(way, &built.model)?;
    let base = sparing(input, built).unwrap_or_else(|| built.model.clone());
    let points = Sweep::new(vec![1000.0, 4000.0]);
    // A peak is found between its neighbours and made finer there; six to the octave are near enough to do so.
    let sweep = Sweep::new(frequencies().into_iter().step_by(4).collect());
    // Volume pedals count over their whole travel, as in what is judged.
    let known = worst_states(way, built, None);
    let mut worst_turned: Vec<RefCell<Vec<SwitchPositions>>> = Vec::new();
    let mut turned: Vec<(Model, Held)> = Vec::new();
    for turn in turns(input, config) {
        let Some(held) = Held::of(way, &turn.model).filter(|_| turn.is_on(&way.source, &way.sink)) else {
            continue;
        };
        let states = worst_states(way, &turn.built, Some((&turn.tag, turn.share)));
        worst_turned.push(RefCell::new(if states.is_empty() { known.clone() } else { states }));
        turned.push((turn.model, held.turned(turn.by_tone)));
    }
    let asks = asks(input, built);
    let on_way = |place: &BufferPlace| is_on_way(built, place, &way.source, &way.sink);
    let places: Vec<BufferPlace> = spots(input, built).into_iter().filter(on_way).collect();
    // Each place is looked at twice; where the budget does not reach for all states of all of them, the worst states as they
    // stand are looked at, which a place may change.
    let probe = budget.share(2 * places.len() + 1);
    let mut all = std::iter::once((&base, &held)).chain(turned.iter().map(|(model, held)| (model, held)));
    let is_within = all.all(|(model, held)| held.is_within(model, &points, &probe));
    budget.settle(&probe);
    let by_kept = !is_within && !known.is_empty();
    let tried = Cell::new(by_kept);
    let worst = RefCell::new(if by_kept { known } else { Vec::new() });
    let figures = |change: &dyn Fn(&mut Model)| {
        let changed = |model: &Model| {
            budget.spend(passes(model, 40));
            let mut model = model.clone();
            change(&mut model);
            model
        };
        let model = changed(&base);
        if by_kept {
            let mut figures = held.levels_of_kept(&model, &worst, budget)?;
            figures.shift = held.shift_by_source(&model, &sweep, budget)?;
            for ((model, held), worst) in turned.iter().zip(&worst_turned) {
                figures = figures.worse(held.levels_of_kept(&changed(model), worst, budget)?);
            }
            return (!budget.is_spent()).then_some(figures);
        }
        let (mut figures, graph, mut known) = held.levels_as_known(&model, &points, &worst, budget);
        figures.shift = held.shift_of_source(&model, &graph, &sweep, budget)?;
        for (model, held) in &turned {
            let model = changed(model);
            let (here, _, also) = held.levels_as_known(&model, &points, &worst, budget);
            figures = figures.worse(here);
            known = known.max(also);
        }
        tried.set(tried.get() || known == Known::ByStatesTried);
        (known != Known::Not && !budget.is_spent()).then_some(figures)
    };
    let now = figures(&|_| {})?;
    let mut out = OneMoreEverywhere { now, at: Vec::new(), complete: true, by_states_tried: false };
    for place in places {
        let may_buffer = !is_before_bare(input, built, &place, &asks);
        let bypassed = figures(&|model| put_across(model, config, &place));
        let buffered = may_buffer.then(|| figures(&|model| put(model, config, &place)));
        match (bypassed, buffered) {
            (Some(bypassed), None) => out.at.push(OneMore { place, bypassed, buffered: None }),
            (Some(bypassed), Some(Some(figures))) => {
                out.at.push(OneMore { place, bypassed, buffered: Some(figures) });
            }
            _ => out.complete = false,
        }
    }
    out.by_states_tried = tried.get();
    Some(out)
}
