//! Ends and leads of a usual kind.

use leads::{End, Point, Wanted};
use rig::LeadClass;

pub(crate) fn end(port: &str, at: Point, out: Point) -> End {
    End {
        port: port.to_owned(),
        at,
        out,
        straight_mm: 0.0,
        allowance_mm: Some(20.0),
        plug: Some("plug".to_owned()),
        exit: None,
        proposed: false,
        turns: Vec::new(),
        service_mm: 0.0,
        plug_pf: 15.0,
        plug_width_mm: 12.0,
        bodies: Vec::new(),
    }
}

pub(crate) fn lead(id: &str, class: LeadClass, from: End, to: End, radius_mm: f64) -> Wanted {
    Wanted {
        id: id.to_owned(),
        leg_of: None,
        class,
        from,
        to,
        cable: Some("patch".to_owned()),
        diameter_mm: 4.0,
        radius_mm,
        pf_per_m: Some(100.0),
        ohm_per_m: Some(0.1),
        clocking: None,
        hinge_mm: 0.0,
        made_mm: None,
        ties: Vec::new(),
    }
}
