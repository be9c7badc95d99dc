//! Leads that are made in one go.

use std::collections::BTreeMap;

use crate::input::Input;

/// The batch of each lead, from 1: the same class, cable and plugs at the two ends, whichever way round.
pub(crate) fn batches(input: &Input, order: &[usize]) -> Vec<usize> {
    let mut numbers = BTreeMap::new();
    let mut out = vec![0; input.leads.len()];
    for &lead in order {
        let wanted = &input.leads[lead];
        let mut plugs = [wanted.from.plug.clone(), wanted.to.plug.clone()];
        plugs.sort();
        let next = numbers.len() + 1;
        out[lead] = *numbers.entry((wanted.class, wanted.cable.clone(), plugs)).or_insert(next);
    }
    out
}
