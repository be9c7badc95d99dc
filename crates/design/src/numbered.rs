//! From what the signal engine calls a lead to the number on its labels.

use crate::{Design, Lead};

impl Design {
    /// The number on the labels of a lead that the signal engine names, by its two jacks or the one of a leg.
    pub fn lead_number(&self, name: &str) -> Option<String> {
        let leg = name.strip_suffix(" leg");
        let is_it = |lead: &&Lead| {
            lead.flows.iter().any(|(from, to)| match leg {
                Some(port) => from.to_string() == port || to.to_string() == port,
                None => format!("{from} > {to}") == name,
            })
        };
        self.leads.iter().find(is_it).map(|lead| lead.tag.clone())
    }
}
