//! One state looked at by itself, for whoever switches devices on and off and wants to see what it does.

use rig::State;

use crate::budget::{Budget, WHOLE};
use crate::build;
use crate::grid::{AT_1K, AT_4K, frequencies};
use crate::input::{Config, Input};
use crate::ladder::Sweep;
use crate::outcome::{StateResponse, Way};
use crate::rings::howls;
use crate::silence::WhyNot;
use crate::solve::{engaged, positions};
use crate::state::solve;

/// The figures of one state on one way, in dB; a way on which nothing arrives has none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StateFigures {
    /// Level at 1 kHz against the EMF of the source, devices' own gain at 0 dB.
    pub level_1k_db: f64,
    /// Change at 4 kHz against the reference.
    pub change_at_4k_db: f64,
    /// Change of 4 kHz minus 1 kHz against the reference.
    pub tone_change_db: f64,
    /// Loss at 1 kHz against the reference; positive is quieter.
    pub insertion_loss_1k_db: f64,
}

/// What can be switched: tags, and `TAG.loop` where a loop can be in or out.
pub fn switches(input: &Input<'_>, config: &Config) -> Vec<String> {
    build::build(input, config).switches.keys().cloned().collect()
}

/// Everything that is on in some states, loops included: one is in where anything in it is on.
pub fn on_in_states<'s>(
    input: &Input<'_>,
    config: &Config,
    states: impl IntoIterator<Item = &'s [String]>,
) -> Vec<Vec<String>> {
    let built = build::build(input, config);
    states.into_iter().map(|state| engaged(&built, &positions(&built, state))).collect()
}

/// What one state does on a way from a source to a sink: what is named is on, all else is off. Without noise.
///
/// `None` where the rig has no such source or sink.
pub fn in_state(
    input: &Input<'_>,
    config: &Config,
    engaged: &[String],
    source: &str,
    sink: &str,
) -> Option<StateResponse> {
    let built = build::build(input, config);
    let source = built.model.sources.iter().position(|terminal| terminal.id == source)?;
    let sink = built.model.sinks.iter().position(|terminal| terminal.id == sink)?;
    let named = State { name: engaged.join(","), engaged: engaged.to_vec() };
    let sweep = Sweep::new(frequencies());
    let budget = Budget::new(WHOLE);
    let answer = solve(&built.model, &positions(&built, engaged), source, &sweep, &budget);
    let silence = if answer.is_none() && budget.is_spent() { WhyNot::NotWorkedOut } else { WhyNot::Silent };
    let is_loud = answer.as_ref().is_some_and(|answer| howls(&built.model, answer));
    let (answer, silence) = if is_loud { (None, WhyNot::Howls) } else { (answer, silence) };
    let response = answer.as_ref().and_then(|answer| answer.heard(&built.model, sink)).cloned();
    Some(StateResponse {
        name: named.name,
        engaged: named.engaged,
        silence: response.is_none().then_some(silence),
        response: response.unwrap_or_default(),
        noise: None,
    })
}

impl StateFigures {
    /// The change that limits of treble are held against on a way: as [`crate::Way::treble`], of this state.
    pub fn treble(&self, way: &Way) -> f64 {
        if way.is_judged_by_tone() { self.tone_change_db } else { self.change_at_4k_db }
    }
}

impl StateResponse {
    /// The figures of this state against the reference of a way.
    pub fn figures(&self, way: &Way) -> Option<StateFigures> {
        let level = self.level_db();
        let (low, high) = (*level.get(AT_1K)?, *level.get(AT_4K)?);
        let (low_reference, high_reference) = (*way.reference_db.get(AT_1K)?, *way.reference_db.get(AT_4K)?);
        Some(StateFigures {
            level_1k_db: low,
            change_at_4k_db: high - high_reference,
            tone_change_db: (high - low) - (high_reference - low_reference),
            insertion_loss_1k_db: low_reference - low,
        })
    }
}
