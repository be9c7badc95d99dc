//! How a lead is laid, looked up for the pages.

use design::Routes;
use leads::{Laid, Wanted};

/// A lead that is laid, with what was asked for it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Way<'a> {
    pub(crate) laid: &'a Laid,
    pub(crate) wanted: &'a Wanted,
}

/// The way of a lead by its number.
pub(crate) fn way<'a>(routes: &'a Routes, tag: &str) -> Option<Way<'a>> {
    let laid = routes.way(tag)?;
    Some(Way { laid, wanted: routes.input.leads.get(laid.lead)? })
}

/// Why a lead is not laid.
pub(crate) fn why_not<'a>(routes: &'a Routes, tag: &str) -> Option<&'a str> {
    let failed = routes.outcome.failed.iter().find(|failed| failed.id == tag).map(|failed| &failed.why);
    let unlaid = routes.input.unlaid.iter().find(|unlaid| unlaid.id == tag).map(|unlaid| &unlaid.why);
    failed.or(unlaid).map(String::as_str)
}
