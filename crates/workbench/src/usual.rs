//! What nobody said of a device that comes as a row of figures: what devices of its class have.

use quantity::Length;
use rig::{Device, PortRole};

use crate::act::Values;

/// Values to assume beside those that a row has.
///
/// A barrel with a polarity carries DC: alternating voltage has none. A device without a kind gets the jacks of the
/// catalogue's class nearest to it in size, at the same share of its depth and width. *Common practice, no source.*
pub(crate) fn of_class(values: &Values, kinds: &[Device]) -> Values {
    let get = |key: &str| values.iter().find(|(known, _)| known == key).map(|(_, value)| value.as_str());
    let mut out = Values::new();
    if get("power.volts").is_some() && get("power.sign").is_some() && get("power.type").is_none() {
        out.push(("power.type".to_owned(), "dc".to_owned()));
    }
    let length = |key: &str| get(key).and_then(|text| text.parse::<Length>().ok());
    if get("kind").is_some() {
        return out;
    }
    let size = [length("size.width"), length("size.depth"), length("size.height")];
    let Some(class) = nearest(size, kinds) else { return out };
    let Some(own) = class.size.value else { return out };
    let takes_power = get("power.type") != Some("none");
    for port in class.ports.iter().filter(|port| takes_power || port.role.value != Some(PortRole::Power)) {
        let mut put = |key: &str, value: String| out.push((format!("port.{}.{key}", port.name), value));
        if let Some(role) = port.role.value {
            put("role", role.word().to_owned());
        }
        if let Some(connector) = &port.connector {
            put("connector", connector.id.clone());
        }
        let Some(face) = port.face.value else { continue };
        put("face", face.word().to_owned());
        let (wide, of) = if matches!(face, rig::Face::Left | rig::Face::Right) {
            (own.depth, size[1])
        } else {
            (own.width, size[0])
        };
        if let (Some(offset), Some(of)) = (port.offset.value, of) {
            put("offset", share(offset, wide, of).to_string());
        }
        // A jack is no higher than the wall it is in.
        if let (Some(height), Some(high)) = (port.height.value, size[2]) {
            put("height", if height < high { height } else { share(height, own.height, high) }.to_string());
        }
    }
    out
}

/// The same share of another length, to the whole millimetre.
fn share(part: Length, whole: Length, of: Length) -> Length {
    Length::from_mm_rounded((of.as_mm() * part.as_mm() / whole.as_mm()).round())
}

/// The class that is nearest in width and depth, among those that signal goes into and out of once and that are fed once.
/// Without a size the first of them: its jacks then stand nowhere yet.
fn nearest(size: [Option<Length>; 3], kinds: &[Device]) -> Option<&Device> {
    let is_plain = |kind: &&Device| {
        let mut roles: Vec<_> = kind.ports.iter().filter_map(|port| port.role.value).collect();
        roles.sort();
        let mut plain = [PortRole::In, PortRole::Out, PortRole::Power];
        plain.sort();
        kind.size.value.is_some() && roles == plain
    };
    let away = |kind: &&Device| {
        let own = kind.size.value.map(|own| [own.width, own.depth, own.height]);
        let sides = own.into_iter().flatten().zip(size);
        sides.filter_map(|(own, side)| Some((own - side?).abs().nm())).sum::<i64>()
    };
    kinds.iter().filter(is_plain).min_by_key(away)
}
