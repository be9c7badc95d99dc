//! Which leads bring supply, and which of their ends are plugged with the supplies.

use rig::geometry::EndKind;
use rig::{Device, Role};

use crate::{Design, Lead, LeadEndAt};

/// Whether a device is a supply on the board.
pub(super) fn is_brick(device: &Device) -> bool {
    device.role == Role::Brick && !device.outside
}

/// Whether a lead end is where a supply takes its power in: none of its outlets.
pub(super) fn takes(brick: &Device, end: &LeadEndAt) -> bool {
    end.port.device == brick.tag && brick.outlet(&end.port.port).is_none()
}

/// The ends of a lead that feed something.
pub(super) fn fed(lead: &Lead) -> impl Iterator<Item = &LeadEndAt> {
    lead.ends.iter().filter(|end| end.kind == EndKind::To)
}

/// The low-voltage supply leads.
pub(super) fn supply_leads(design: &Design) -> impl Iterator<Item = &Lead> {
    design.leads.iter().filter(|lead| lead.run.is_none() && lead.class.is_supply())
}

pub(super) fn feeds_brick(design: &Design, lead: &Lead) -> bool {
    fed(lead).any(|end| design.rig.device(&end.port.device).is_some_and(is_brick))
}

/// Whether a supply lead comes from something that is there before the devices are set down.
pub(super) fn is_early(design: &Design, lead: &Lead) -> bool {
    lead.ends.iter().filter(|end| end.kind == EndKind::From).all(|end| {
        design
            .rig
            .device(&end.port.device)
            .is_none_or(|device| device.outside || matches!(device.role, Role::Brick | Role::Strip))
    })
}

/// Whether a lead end is plugged with the supplies, apart from the devices: at its supply, at a supply that it feeds, or at
/// last because it comes from a device.
pub(super) fn is_apart(design: &Design, lead: &Lead, end: &LeadEndAt) -> bool {
    lead.run.is_none()
        && lead.class.is_supply()
        && match (is_early(design, lead), end.kind) {
            (true, EndKind::From) => true,
            (true, EndKind::To) => feeds_brick(design, lead),
            (false, kind) => kind == EndKind::To,
        }
}
