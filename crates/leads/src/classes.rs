//! What the classes of leads are to one another: who is laid first, who gives way, who keeps apart.

use rig::LeadClass;

use crate::input::Input;

/// The classes in the order they are laid in: those that others keep away from first.
pub(crate) fn rank(class: LeadClass) -> u8 {
    match class {
        LeadClass::Mains => 0,
        LeadClass::Ac => 1,
        LeadClass::Dc => 2,
        LeadClass::Signal => 3,
        LeadClass::Control => 4,
    }
}

/// Whether a lead of this class gives way to those of supplies.
pub(crate) fn is_signal(class: LeadClass) -> bool {
    matches!(class, LeadClass::Signal | LeadClass::Control)
}

/// How far two classes ought to be apart; `None` when they may lie side by side.
pub(crate) fn apart(input: &Input, one: LeadClass, other: LeadClass) -> Option<f64> {
    match (one, other) {
        // The secondary of an adaptor hums like mains: the same current, the same field.
        (LeadClass::Mains | LeadClass::Ac, class) | (class, LeadClass::Mains | LeadClass::Ac)
            if is_signal(class) =>
        {
            Some(input.rules.apart_mains_mm)
        }
        (LeadClass::Dc, LeadClass::Signal) | (LeadClass::Signal, LeadClass::Dc) => {
            Some(input.rules.apart_dc_mm)
        }
        _ => None,
    }
}
