//! One more thing put into a network at the end of a lead: a buffer, or a bypassed device.

use rig::geometry::EndKind;

use crate::build::put_buffer;
use crate::input::{BufferPlace, Config};
use crate::model::{EARTH, Model, Node, Part};

/// The end of a lead that a place names, in a network.
struct LeadEnd {
    /// The node there.
    node: Node,
    /// The element along the lead that touches it.
    core: usize,
    /// The element to earth there; none at a bare wire.
    shunt: Option<usize>,
    /// Whether it is the far end of the core.
    is_far: bool,
}

/// Finds it: at an end of a plain lead, of a leg to a joint, or of a wire behind a panel.
///
/// The lead's own elements are found by their names, which [`build`] gives them.
fn lead_end(model: &Model, place: &BufferPlace) -> Option<LeadEnd> {
    let before = place.at == EndKind::To;
    let whole = format!("{} > {}", place.from, place.to);
    let port = if before { &place.to } else { &place.from };
    let leg = format!("{port} leg");
    let find = |name: &str| model.fixed.elements.iter().position(|element| element.name == name);
    if let Some(core) = find(&format!("{whole} wire")) {
        let own = &model.fixed.elements[core];
        return Some(LeadEnd { node: if before { own.b } else { own.a }, core, shunt: None, is_far: before });
    }
    let name = if find(&format!("{whole} core")).is_some() { whole } else { leg };
    let is_far = before && !name.ends_with(" leg");
    let end = if is_far { "far end" } else { "near end" };
    let (core, shunt) = (find(&format!("{name} core"))?, Some(find(&format!("{name} {end}"))?));
    let own = &model.fixed.elements[core];
    Some(LeadEnd { node: if is_far { own.b } else { own.a }, core, shunt, is_far })
}

/// Puts a buffer into a network.
pub(crate) fn put(model: &mut Model, config: &Config, place: &BufferPlace) {
    let Some(end) = lead_end(model, place) else { return };
    let lead = put_buffer(model, config, place, end.node);
    let own = &mut model.fixed.elements;
    if let Some(shunt) = end.shunt {
        own[shunt].a = lead;
    }
    if end.is_far {
        own[end.core].b = lead;
    } else {
        own[end.core].a = lead;
    }
}

/// Puts a device in hard bypass into a network: one more lead on the board with its plugs, and its own jacks and wiring.
pub(crate) fn put_across(model: &mut Model, config: &Config, place: &BufferPlace) {
    let Some(end) = lead_end(model, place) else { return };
    let farads = config.cable_capacitance * config.lead + 2.0 * config.plug + config.stray;
    model.add(format!("{place} one more"), end.node, EARTH, Part::Capacitor(farads));
}
