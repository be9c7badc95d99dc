//! How a lead is laid, looked up for the pages.

use design::Routes;
use leads::{Laid, Wanted};

/// A lead that is laid, with what was asked for it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Way<'a> {
    pub(crate) laid: &'a Laid,
    pub(crate) wanted: &'a Wanted,
}

/// The ways of a lead: one, or one for each leg; none when it is not routed.
pub(crate) fn ways<'a>(routes: &'a Routes, lead: &design::Lead) -> Vec<Way<'a>> {
    let found = routes.ways(lead);
    found.filter_map(|(_, laid)| Some(Way { laid, wanted: routes.input.leads.get(laid.lead)? })).collect()
}

/// Why a lead is not laid.
pub(crate) fn why_not<'a>(routes: &'a Routes, tag: &str) -> Option<&'a str> {
    let is_it = |id: &str| id == tag || id.strip_prefix(tag).is_some_and(|leg| leg.starts_with(' '));
    let failed = routes.outcome.failed.iter().find(|failed| is_it(&failed.id)).map(|failed| &failed.why);
    let unlaid = routes.input.unlaid.iter().find(|unlaid| unlaid.id == tag).map(|unlaid| &unlaid.why);
    failed.or(unlaid).map(String::as_str)
}
