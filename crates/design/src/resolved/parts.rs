//! Devices, ends, runs, leads, loads and masses.

use rig::geometry::{port_direction, port_point, standing};
use rig::{Device, LIMITS, LimitValue, Limits, Outlet, Port, Run, Sink, Source};
use serde_json::{Map, Value, json};

use super::{known, mm};
use crate::{Design, Lead, Mass, OutletLoad};

pub(super) fn limits(limits: &Limits) -> Value {
    let mut out = Map::new();
    for limit in LIMITS {
        let Some(value) = limits.get(limit.key) else { continue };
        let (unit, number) = match value {
            LimitValue::Length(length) => ("mm", mm(length)),
            LimitValue::Ratio(ratio) => ("ratio", ratio.get()),
            LimitValue::Decibels(level) => ("db", level.get()),
            LimitValue::Ohms(ohms) => ("ohm", ohms.get()),
            LimitValue::Seconds(seconds) => ("s", seconds.get()),
            LimitValue::Grams(grams) => ("g", grams.get()),
            LimitValue::Milliamps(current) => ("ma", current.get()),
            LimitValue::Watts(watts) => ("w", watts.get()),
            LimitValue::Area(area) => ("cm2", area.get()),
            LimitValue::Devices(devices) => ("devices", devices.get()),
        };
        out.insert(format!("{}_{unit}", limit.key), json!(number));
    }
    Value::Object(out)
}

pub(super) fn source(source: &Source) -> Value {
    json!({
        "id": source.id,
        "title": source.title,
        "kind": known(source.pickup.kind, |kind| json!(match kind {
            rig::PickupKind::Coil => "coil",
            rig::PickupKind::Piezo => "piezo",
            rig::PickupKind::Active => "active",
        })),
        "inductance_h": known(source.pickup.inductance, |v| json!(v.get())),
        "resistance_ohm": known(source.pickup.resistance, |v| json!(v.get())),
        "capacitance_f": known(source.pickup.capacitance, |v| json!(v.get())),
        "volume_pot_ohm": known(source.pickup.volume_pot, |v| json!(v.get())),
        "tone_pot_ohm": known(source.pickup.tone_pot, |v| json!(v.get())),
        "tone_capacitor_f": known(source.pickup.tone_capacitor, |v| json!(v.get())),
        "lead_mm": known(source.lead, |l| json!(mm(l))),
        "cable": source.cable.as_ref().map(|cable| &cable.id),
    })
}

pub(super) fn sink(sink: &Sink) -> Value {
    json!({
        "id": sink.id,
        "title": sink.title,
        "z_ohm": known(sink.z, |z| json!(z.get())),
        "lead_mm": known(sink.lead, |l| json!(mm(l))),
        "cable": sink.cable.as_ref().map(|cable| &cable.id),
        "earthed": known(sink.earthed, |v| json!(v)),
        "phantom": known(sink.phantom, |v| json!(v)),
    })
}

pub(super) fn device(design: &Design, device: &Device) -> Value {
    let rig = &design.rig;
    let at = standing(rig, device);
    json!({
        "tag": device.tag,
        "title": device.title,
        "kind": device.kind,
        "role": format!("{:?}", device.role).to_lowercase(),
        "outside": device.outside,
        "size_mm": known(device.size, |size| json!([mm(size.width), mm(size.depth), mm(size.height)])),
        "corner_mm": mm(device.corner),
        "knobs_mm": known(device.knobs, |l| json!(mm(l))),
        "treadle_mm": device.treadle.map(|treadle| known(treadle, |l| json!(mm(l)))),
        "bracket_mm": known(device.bracket, |l| json!(mm(l))),
        "mass_g": known(device.mass, |mass| json!(mass.get())),
        "place": device.place.as_ref().map(|place| json!({
            "deck": place.deck,
            "x_mm": mm(place.x),
            "y_mm": mm(place.y),
            "turn_deg": u32::from(place.quarters) * 90,
            "under": place.under,
            "locked": place.locked,
        })),
        "base_mm": at.map(|at| mm(at.base)),
        "switches": device.switches.iter().map(|switch| json!({ "name": switch.name, "x_mm": mm(switch.x), "y_mm": mm(switch.y) })).collect::<Vec<_>>(),
        "ports": device.ports.iter().map(|item| port(design, device, item)).collect::<Vec<_>>(),
        "signal": {
            "bypass": known(device.signal.bypass, |bypass| json!(bypass.word())),
            "passive": device.signal.passive,
            "bare_pickup": known(device.signal.bare_pickup, |v| json!(v)),
            "inverts": known(device.signal.inverts, |v| json!(v)),
            "latency_s": known(device.signal.latency, |v| json!(v.get())),
            "gain_db": known(device.signal.gain, |v| json!(v.get())),
        },
        "power": {
            "type": known(device.power.nature, |nature| json!(nature.word())),
            "volts_v": known(device.power.volts, |window| json!([window.low().get(), window.high().get()])),
            "current_ma": known(device.power.current, |v| json!(v.get())),
            "surge_ma": known(device.power.surge, |v| json!(v.get())),
            "sign": known(device.power.sign, |sign| json!(sign.word())),
            "class": known(device.power.class, |class| json!(format!("{class:?}").to_lowercase())),
            "positive_ground": known(device.power.positive_ground, |v| json!(v)),
            "selector_v": known(device.power.selector, |v| json!(v.get())),
        },
        "feed": device.feed.as_ref().map(|feed| json!({
            "type": feed.kind.word(),
            "outlets": feed.outlets.iter().map(ToString::to_string).collect::<Vec<_>>(),
            "crossing": feed.crossing,
            "locked": feed.locked,
            "barrel_adaptor": feed.barrel_adaptor,
            "adaptor": feed.adaptor.as_ref().map(|adaptor| json!({
                "size_mm": known(adaptor.size, |size| json!([mm(size.width), mm(size.depth), mm(size.height)])),
                "prongs": adaptor.prongs.as_ref().map(|prongs| &prongs.id),
                "prongs_left_mm": known(adaptor.prongs_left, |l| json!(mm(l))),
                "prongs_up_mm": known(adaptor.prongs_up, |l| json!(mm(l))),
                "lies": known(adaptor.lies, |lies| json!(lies.word())),
                "lead_mm": known(adaptor.lead, |l| json!(mm(l))),
                "shortened_mm": adaptor.shortened.map(mm),
                "held": known(adaptor.held, |held| json!(held.word())),
                "mass_g": known(adaptor.mass, |mass| json!(mass.get())),
            })),
        })),
        "outlets": device.outlets.iter().map(outlet).collect::<Vec<_>>(),
        "banks": device.banks.iter().map(|bank| json!({ "name": bank.name, "current_ma": known(bank.current, |v| json!(v.get())) })).collect::<Vec<_>>(),
        "total_w": known(device.total, |v| json!(v.get())),
        "efficiency_ratio": known(device.efficiency, |v| json!(v.get())),
    })
}

fn port(design: &Design, device: &Device, port: &Port) -> Value {
    let point = port_point(&design.rig, device, &port.name);
    json!({
        "name": port.name,
        "role": known(port.role, |role| json!(role.word())),
        "connector": port.connector.as_ref().map(|connector| &connector.id),
        "nut_mm": port.connector.as_ref().map(|connector| known(connector.nut, |l| json!(mm(l)))),
        "hole_mm": port.connector.as_ref().map(|connector| known(connector.hole, |l| json!(mm(l)))),
        "hole_height_mm":
            port.connector.as_ref().map(|connector| known(connector.hole_height, |l| json!(mm(l)))),
        "face": known(port.face, |face| json!(face.word())),
        "offset_mm": known(port.offset, |l| json!(mm(l))),
        "height_mm": known(port.height, |l| json!(mm(l))),
        "behind_mm": known(port.behind, |l| json!(mm(l))),
        "service": port.service,
        "z_ohm": known(port.z, |z| json!(z.get())),
        "at_mm": point.map(|point| point.map(mm)),
        "looks": port_direction(device, &port.name).map(rig::Face::word),
    })
}

fn outlet(outlet: &Outlet) -> Value {
    json!({
        "name": outlet.name,
        "type": known(outlet.nature, |nature| json!(nature.word())),
        "settings": outlet.settings.iter().map(|setting| json!({
            "volts_v": setting.volts.get(),
            "current_ma": known(setting.current, |v| json!(v.get())),
        })).collect::<Vec<_>>(),
        "set_v": known(outlet.set, |v| json!(v.get())),
        "sign": known(outlet.sign, |sign| json!(sign.word())),
        "isolation": known(outlet.isolation, |isolation| json!(format!("{isolation:?}").to_lowercase())),
        "bank": outlet.bank,
        "parallel": known(outlet.parallel, |v| json!(v)),
        "series": known(outlet.series, |v| json!(v)),
    })
}

pub(super) fn run(run: &Run) -> Value {
    json!({
        "name": run.name,
        "carries": run.carries.word(),
        "stops": run.stops.iter().map(|stop| json!({
            "text": stop.text,
            "arrives": stop.arrives.as_ref().map(ToString::to_string),
            "leaves": stop.leaves.as_ref().map(ToString::to_string),
        })).collect::<Vec<_>>(),
    })
}

/// Where a lead comes from, in a word.
fn making(lead: &Lead) -> &'static str {
    match lead.making {
        rig::Making::Made => "made",
        rig::Making::Bought => "bought",
        rig::Making::Captive => "captive",
        rig::Making::Theirs => "theirs",
    }
}

pub(super) fn lead(design: &Design, lead: &Lead) -> Value {
    json!({
        "tag": lead.tag,
        "run": lead.run,
        "class": lead.class.word(),
        "issued": lead.issued,
        "rests_on": crate::rests_on(design, lead).iter().map(ToString::to_string).collect::<Vec<_>>(),
        "shape": lead.shape.word(),
        "making": making(lead),
        "from": lead.words_of(rig::geometry::EndKind::From),
        "to": lead.words_of(rig::geometry::EndKind::To),
        "ends": lead.ends.iter().enumerate().map(|(leg, end)| json!({
            "leg": lead.part(leg),
            "port": end.port.to_string(),
            "end": if end.kind == rig::geometry::EndKind::From { "from" } else { "to" },
            "fitting": end.fitting.word(),
            "plug": end.plug.plug.as_ref().filter(|_| end.has_plug()).map(|plug| &plug.id),
            "cut_mm": lead.legs.get(leg).map(|leg| known(leg.cut, |l| json!(mm(l)))),
        })).collect::<Vec<_>>(),
        "wiring": crate::wiring(&design.rig, lead).iter().map(|wire| json!({
            "from": format!("{} {}", lead.ends[wire.from.0].port, wire.from.1.word()),
            "to": format!("{} {}", lead.ends[wire.to.0].port, wire.to.1.word()),
        })).collect::<Vec<_>>(),
        "cable": lead.cable.as_ref().map(|cable| &cable.id),
        "straight_mm": known(lead.straight, |l| json!(mm(l))),
        "cut_mm": known(lead.cut, |l| json!(mm(l))),
        "outside": lead.outside,
        "through": lead.through.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "sleeves": crate::sleeves(&lead.tag).iter().map(|colour| colour.letters()).collect::<Vec<_>>(),
    })
}

pub(super) fn outlet_load(load: &OutletLoad) -> Value {
    json!({
        "outlet": load.outlet.to_string(),
        "devices": load.devices,
        "load_ma": known(load.load, |v| json!(v.get())),
        "limit_ma": known(load.limit, |v| json!(v.get())),
    })
}

pub(super) fn mass(mass: &Mass) -> Value {
    json!({
        "bare_g": mass.bare.get(),
        "cased_g": mass.cased.get(),
        "from": mass.from.word(),
        "items": mass.items.iter().map(|item| json!({ "name": item.name, "mass_g": known(item.mass, |v| json!(v.get())) })).collect::<Vec<_>>(),
    })
}
