//! Whether a plug goes into a jack.

use rig::{Connector, PlugKind};

/// How a plug sits in a connector.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Fit {
    /// As it should.
    Good,
    /// It goes in but sits loosely.
    Loose,
    /// It does not go in, or makes no contact.
    None,
}

/// How this plug sits in this connector.
pub(crate) fn fit(plug: &PlugKind, connector: &Connector) -> Fit {
    let names = |list: &[String]| list.contains(&connector.id);
    if names(&plug.fits) {
        Fit::Good
    } else if names(&plug.loose_in) {
        Fit::Loose
    } else {
        Fit::None
    }
}
