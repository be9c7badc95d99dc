//! The figures that an act rests on: where one of them changes, the act is due again.

use rig::Face;

use super::stage::{Deed, Step};
use crate::{Clocking, Design, Lead, clocking, end_words, outlet_words, plates};

/// Acts on a plate that follow its holes.
const PLATE: &[&str] = &["glue", "punch", "drill", "deburr", "jacks"];

/// Every figure of an act, by name.
pub(super) fn figures(design: &Design, step: &Step) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = Vec::new();
    let (verb, of) = step.id.split_once(':').unwrap_or((step.id.as_str(), ""));
    let leads: Vec<&Lead> =
        step.leads.iter().filter_map(|tag| design.leads.iter().find(|lead| lead.tag == *tag)).collect();
    for lead in &leads {
        let length = |leg: usize| lead.legs.get(leg).map_or(lead.cut, |leg| leg.cut).value;
        let parts = lead.parts().into_iter().enumerate();
        out.extend(parts.filter_map(|(leg, part)| Some((part, length(leg)?.to_string()))));
    }
    if verb == "solder" || verb == "finish" {
        for lead in &leads {
            if let Clocking::Turned(degrees) = clocking(&design.rig, lead) {
                out.push((format!("{}, twist", lead.tag), format!("{degrees}°")));
            }
        }
    }
    for deed in &step.does {
        let Deed::Plug(tag, port) = deed else { continue };
        let end = leads.iter().filter(|lead| lead.tag == *tag).flat_map(|lead| &lead.ends);
        for end in end.filter(|end| end.port == *port) {
            let exit = end.plug.exit.map(|exit| format!(", {}", exit.word())).unwrap_or_default();
            out.push((format!("{tag} at {port}"), format!("{}{exit}", end_words(end))));
        }
    }
    if verb == "set"
        && let Some((device, name)) = of.split_once('.')
        && let Some(device) = design.rig.device(device)
        && let Some(outlet) = device.outlet(name)
    {
        out.push((of.to_owned(), outlet_words(device, outlet)));
    }
    let place = step.device.as_ref().filter(|_| verb == "fix");
    if let Some(size) = place.and_then(|tag| design.rig.device(tag)?.size.value) {
        let words = [size.width, size.depth, size.height].map(|side| side.figure_mm(1)).join(" × ");
        out.push((format!("{of}, size"), format!("{words} mm")));
    }
    if let Some(place) = place.and_then(|tag| design.rig.device(tag)?.place.as_ref()) {
        let under = if place.under { ", under it" } else { "" };
        let turn = 90 * u32::from(place.quarters);
        out.push((format!("{of}, deck"), format!("{}, turned {turn}°{under}", place.deck)));
        out.push((format!("{of}, from the left"), place.x.to_string()));
        out.push((format!("{of}, from the front"), place.y.to_string()));
    }
    if PLATE.contains(&verb) {
        let face = |face: Face| face.word();
        let plates = plates(design);
        let own = plates.iter().filter(|plate| format!("{}:{}", plate.panel, face(plate.face)) == of);
        for hole in own.flat_map(|plate| &plate.holes) {
            let figures = [("right", hole.x), ("up", hole.y), ("wide", hole.diameter)];
            out.extend(figures.into_iter().filter_map(|(what, value)| {
                Some((format!("{}, {what}", hole.port), value.value?.to_string()))
            }));
        }
    }
    out
}
