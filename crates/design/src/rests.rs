//! What a computed length rests on that nobody measured.

use finding::Field;
use rig::{FLOOR, Known};

use crate::{Design, Lead};

/// The values that are assumed or unknown and that a lead's computed length rests on, by their addresses: sizes and places
/// of its two devices' ports, plugs with their allowances, the cable's diameter, an open exit. Empty for a lead that is
/// measured, or that rests on measured and printed values alone.
pub fn rests_on(design: &Design, lead: &Lead) -> Vec<Field> {
    let mut out = Vec::new();
    if lead.made {
        return out;
    }
    let mut ask = |known: bool, field: Field| {
        if !known && !out.contains(&field) {
            out.push(field);
        }
    };
    for end in &lead.ends {
        let tag = &end.port.device;
        let Some(device) = design.rig.device(tag) else { continue };
        ask(is_sure(device.size), Field::device(tag, "size"));
        ask(device.place.as_ref().is_some_and(|place| place.deck != FLOOR), Field::device(tag, "place"));
        if let Some(port) = device.port(&end.port.port) {
            let of = |key: &str| Field::of("device", tag, "port").below(&port.name).below(key);
            ask(is_sure(port.face), of("face"));
            ask(is_sure(port.offset), of("offset"));
            ask(is_sure(port.height), of("height"));
        }
        if !end.has_plug() {
            continue;
        }
        match &end.plug.plug {
            Some(plug) => {
                ask(is_sure(plug.depth), Field::of("plug", &plug.id, "depth"));
                ask(is_sure(plug.allowance), Field::of("plug", &plug.id, "allowance"));
                let open = plug.angle == rig::PlugAngle::Angled && end.plug.exit.is_none();
                ask(!open, Field::new(["lead", &lead.name, "exit"]));
            }
            None => ask(false, Field::new(["lead", &lead.name, "plug"])),
        }
    }
    if let Some(cable) = &lead.cable {
        ask(is_sure(cable.diameter), Field::of("cable", &cable.id, "diameter"));
    }
    out
}

fn is_sure<T: Copy>(value: Known<T>) -> bool {
    value.value.is_some() && !value.is_assumed()
}
