//! The worst states that an outcome names, to hold other networks of the same switches against.

use crate::build::Built;
use crate::model::SwitchPositions;
use crate::outcome::Way;
use crate::solve::positions;

/// The states that are worst on a way as they stand, and with one volume pedal elsewhere: those that its outcome names.
pub(crate) fn worst_states(way: &Way, built: &Built, turn: Option<(&str, f64)>) -> Vec<SwitchPositions> {
    let worst = &way.judged().worst;
    let named: Vec<&Vec<String>> = match turn {
        None => [&worst.state, &worst.tone_state, &worst.loss_state].into_iter().flatten().collect(),
        Some((tag, share)) => way
            .turned
            .iter()
            .filter(|turned| turned.tag == tag && turned.share.total_cmp(&share).is_eq())
            .flat_map(|turned| [&turned.state, &turned.loss_state])
            .flatten()
            .collect(),
    };
    let mut out: Vec<SwitchPositions> = Vec::new();
    for state in named {
        let state = positions(built, state);
        if !out.contains(&state) {
            out.push(state);
        }
    }
    out
}
