//! Which plugs a supply lead can end in: what is made up as an ordinary lead, what wants an adaptor, what fits nothing.

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

fn family(connector: &str) -> Option<Family> {
    [
        ("barrel-", Family::Coaxial),
        ("jack-", Family::Coaxial),
        ("usb-", Family::Usb),
        ("snap-", Family::Snap),
        ("terminals", Family::Terminals),
    ]
    .into_iter()
    .find_map(|(start, family)| connector.starts_with(start).then_some(family))
}

/// How a plug at an outlet's connector gets to a device's: `Some(false)` plainly, `Some(true)` by a barrel adaptor,
/// `None` not at all. An unknown connector is taken as fitting, and so is a captive lead (`fixed`).
///
/// Barrels and 3.5 mm jacks are adapted to each other in the trade. USB plugs of any type are at the two ends of one
/// ordinary lead. A lead with a battery snap or with bare ends for terminals is made up like any other. *Common practice,
/// no source.*
pub(crate) fn adapted(outlet: Option<&str>, device: Option<&str>) -> Option<bool> {
    let (Some(outlet), Some(device)) = (outlet, device) else { return Some(false) };
    if outlet == device || outlet == "fixed" || device == "fixed" {
        return Some(false);
    }
    match (family(outlet)?, family(device)?) {
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

/// Whether nobody chooses which contact is plus: USB has it by its standard.
pub(crate) fn has_own_polarity(connector: &str) -> bool {
    family(connector) == Some(Family::Usb)
}

/// Whether the plugs of a lead must be written down, because the usual ones of a board do not fit it.
pub(crate) fn unusual(connector: &str) -> bool {
    matches!(family(connector), Some(Family::Usb | Family::Snap | Family::Terminals))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ordinary_leads_are_plain_and_adaptors_are_told() {
        for (outlet, device, wanted) in [
            ("barrel-5.5-2.1", "barrel-5.5-2.1", Some(false)),
            ("barrel-5.5-2.1", "barrel-5.5-2.5", Some(true)),
            ("barrel-5.5-2.1", "jack-3.5-trs", Some(true)),
            ("usb-c", "usb-b", Some(false)),
            ("usb-a", "usb-micro-b", Some(false)),
            ("usb-c", "barrel-5.5-2.1", None),
            ("barrel-5.5-2.1", "snap-9v", Some(false)),
            ("terminals", "barrel-5.5-2.5", Some(false)),
            ("xlr-3-male", "barrel-5.5-2.1", None),
            ("fixed", "usb-b", Some(false)),
        ] {
            assert_eq!(adapted(Some(outlet), Some(device)), wanted, "{outlet} to {device}");
        }
        assert_eq!(adapted(None, Some("usb-b")), Some(false));
    }
}
