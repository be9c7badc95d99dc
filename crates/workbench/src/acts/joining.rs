//! The button that makes one Y lead of two that leave one jack.

use rig::{PortRef, Rig};
use verdict::joint;

use crate::act::{Form, Made};

/// The edit of a button that offers it.
pub(super) fn edit(rig: &Rig, form: &Form) -> Made {
    let (device, port) = (form.need("device")?, form.need("port")?);
    joint(rig, &PortRef::new(device, port))
        .ok_or_else(|| format!("{device}.{port} is not left by two leads any more"))
}
