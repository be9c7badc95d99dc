//! Which plugs a supply lead can end in: what is made up as an ordinary lead, what wants an adaptor, what fits nothing.

use rig::ConnectorFamily;

/// Families of connectors whose leads are made up or bought with any of them at either end.
///
/// *Common practice, no source.*
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Family {
    /// Barrels and 3.5 mm jacks: coaxial, adapted to each other by a piece on the lead.
    Coaxial,
    /// USB of types A, B and C, large and small: 5 V until a device asks for more.
    Usb,
    /// The two snaps of a 9 V battery.
    Snap,
    /// Screw or spring terminals.
    Terminals,
}

/// A connector that a supply lead goes into.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fitting {
    /// Its catalogue id.
    pub id: String,
    /// What it belongs to, whatever its id.
    pub family: ConnectorFamily,
}

impl Fitting {
    /// A connector of a device.
    pub fn of(connector: &rig::Connector) -> Self {
        Self { id: connector.id.clone(), family: connector.family }
    }

    fn leads(&self) -> Option<Family> {
        Some(match self.family {
            ConnectorFamily::Barrel | ConnectorFamily::Jack => Family::Coaxial,
            ConnectorFamily::Usb => Family::Usb,
            ConnectorFamily::Snap => Family::Snap,
            ConnectorFamily::Bare => Family::Terminals,
            ConnectorFamily::Xlr | ConnectorFamily::Din | ConnectorFamily::Mains | ConnectorFamily::Fixed => {
                return None;
            }
        })
    }

    /// Whether it is no connector but a lead that stays.
    pub(crate) fn is_captive(&self) -> bool {
        self.family == ConnectorFamily::Fixed
    }

    /// Whether the plugs of a lead must be written down, because the usual ones of a board do not fit it.
    pub(crate) fn is_unusual(&self) -> bool {
        matches!(self.leads(), Some(Family::Usb | Family::Snap | Family::Terminals))
    }
}

/// How a plug at an outlet's connector gets to a device's: `Some(false)` plainly, `Some(true)` by a barrel adaptor,
/// `None` not at all. An unknown connector is taken as fitting, and so is a captive lead.
///
/// Barrels and 3.5 mm jacks are adapted to each other in the trade. USB plugs of any type are at the two ends of one
/// ordinary lead. A lead with a battery snap or with bare ends for terminals is made up like any other. *Common practice,
/// no source.*
pub(crate) fn adapted(outlet: Option<&Fitting>, device: Option<&Fitting>) -> Option<bool> {
    let (Some(outlet), Some(device)) = (outlet, device) else { return Some(false) };
    if outlet.id == device.id || outlet.is_captive() || device.is_captive() {
        return Some(false);
    }
    match (outlet.leads()?, device.leads()?) {
        (Family::Coaxial, Family::Coaxial) => Some(true),
        (Family::Usb, Family::Usb) => Some(false),
        (Family::Usb, _) | (_, Family::Usb) => None,
        // A snap or a terminal at either end is part of the lead, not a piece on it.
        _ => Some(false),
    }
}

/// The plug that a supply lead ends in at a connector, by the ids of the catalogue: documents name the plug. For the
/// 5.5 mm barrels the angled one, as on most leads under a board; the others bear the connector's name.
pub(crate) fn plug_for(connector: &str) -> String {
    match connector.strip_prefix("barrel-5.5-") {
        Some(pin) => format!("barrel-{pin}-angled"),
        None => connector.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ordinary_leads_are_plain_and_adaptors_are_told() {
        use ConnectorFamily::{Bare, Barrel, Fixed, Jack, Snap, Usb, Xlr};
        let fitting = |(id, family): (&str, ConnectorFamily)| Fitting { id: id.to_owned(), family };
        for (outlet, device, wanted) in [
            (("barrel-5.5-2.1", Barrel), ("barrel-5.5-2.1", Barrel), Some(false)),
            (("barrel-5.5-2.1", Barrel), ("barrel-5.5-2.5", Barrel), Some(true)),
            (("barrel-5.5-2.1", Barrel), ("jack-3.5-trs", Jack), Some(true)),
            (("usb-c", Usb), ("usb-b", Usb), Some(false)),
            (("usb-a", Usb), ("usb-micro-b", Usb), Some(false)),
            (("usb-c", Usb), ("barrel-5.5-2.1", Barrel), None),
            (("barrel-5.5-2.1", Barrel), ("snap-9v", Snap), Some(false)),
            (("terminals", Bare), ("barrel-5.5-2.5", Barrel), Some(false)),
            (("xlr-3-male", Xlr), ("barrel-5.5-2.1", Barrel), None),
            (("fixed", Fixed), ("usb-b", Usb), Some(false)),
            (("own-5v", Usb), ("usb-c", Usb), Some(false)),
        ] {
            let (outlet, device) = (fitting(outlet), fitting(device));
            assert_eq!(adapted(Some(&outlet), Some(&device)), wanted, "{outlet:?} to {device:?}");
        }
        assert_eq!(adapted(None, Some(&fitting(("usb-b", Usb)))), Some(false));
    }
}
