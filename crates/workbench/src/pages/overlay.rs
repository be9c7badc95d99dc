//! What can be laid over the plan: padlocks, the room a shoe takes, corridors to ports that must stay reachable, and
//! the room that plugs, coils and aerials want around them.

use design::Design;
use drawing::Drawing;
use maud::{Markup, PreEscaped, html};
use quantity::Length;
use rig::geometry::{BoxClass, Solid, standing, switch_point};
use rig::{Device, Rig, Role};

/// How far a shoe reaches from the switch towards its heel, in widths of it (common practice, no source).
const HEEL: f64 = 1.5;

fn is_shown(device: &Device, deck: Option<&str>) -> bool {
    !device.outside && device.place.as_ref().is_some_and(|place| deck.is_none_or(|deck| deck == place.deck))
}

fn number(value: f64) -> String {
    format!("{value:.3}")
}

/// The overlays of a plan. A padlock stands on every locked device and on the picked one; a shoe on every
/// switch, or on those of the picked device.
pub(crate) fn over(design: &Design, drawing: &Drawing, deck: Option<&str>, picked: Option<&str>) -> Markup {
    let rig = &design.rig;
    let k = drawing.scale.factor();
    let at = |x: Length, y: Length| (drawing.datum.x + x.as_mm() * k, drawing.datum.y - y.as_mm() * k);
    let shoe = rig.brief.shoe_width.value.unwrap_or(design.limits.shoe_width);
    let of_picked = picked.and_then(|tag| rig.device(tag)).is_some_and(|device| !device.switches.is_empty());
    let area = |solid: &Solid, by: Length| {
        let (left, top) = at(solid.low[0] - by, solid.high[1] + by);
        let (right, bottom) = at(solid.high[0] + by, solid.low[1] - by);
        (left, top, right - left, bottom - top)
    };
    let of_shown = |solid: &&Solid| {
        solid.owner.device().and_then(|tag| rig.device(tag)).is_some_and(|device| is_shown(device, deck))
    };
    html! {
        @for solid in design.solids.boxes.iter().filter(of_shown) {
            @if solid.class == BoxClass::Service { (room("service", area(solid, Length::ZERO), 0.0)) }
            @if let Some((by, round)) = clear_around(design, solid) {
                (room("keep", area(solid, by), if round { by.as_mm() * k } else { 0.0 }))
            }
        }
        @for device in rig.devices.iter().filter(|device| is_shown(device, deck)) {
            @if !of_picked || picked == Some(device.tag.as_str()) {
                @for (x, y) in switches(rig, device) {
                    @let (cx, cy) = at(x, y);
                    @let (r, long) = (shoe.as_mm() * k / 2.0, shoe.as_mm() * k * HEEL);
                    g.shoe data-device=(device.tag) aria-hidden="true" {
                        path d={ "M" (number(cx - r)) " " (number(cy + long)) "V" (number(cy)) "A" (number(r)) " " (number(r)) " 0 0 1 " (number(cx + r)) " " (number(cy)) "V" (number(cy + long)) "A" (number(r)) " " (number(r)) " 0 0 1 " (number(cx - r)) " " (number(cy + long)) } {}
                    }
                }
            }
            @let locked = device.place.as_ref().is_some_and(|place| place.locked);
            @if let (true, Some(stands)) = (locked || picked == Some(device.tag.as_str()), standing(rig, device)) {
                @let (x, y) = at(stands.at.right(), stands.at.back());
                (padlock(device, locked, x - 6.4, y + 1.0))
            }
        }
    }
}

/// How far other things keep off a box, and whether that is a distance all round: plugs want their clearance, what holds
/// a coil keeps off switching bricks, what has an aerial off bricks and other radios.
fn clear_around(design: &Design, solid: &Solid) -> Option<(Length, bool)> {
    let limits = &design.limits;
    let device = design.rig.device(solid.owner.device()?)?;
    match solid.class {
        BoxClass::Plug => Some((limits.plug_clearance, false)),
        BoxClass::Body if device.role == Role::Brick => None,
        BoxClass::Body if device.signal.aerial.value == Some(true) => {
            Some((limits.aerial_distance_look, true))
        }
        BoxClass::Body if device.signal.coil.value == Some(true) => {
            Some((limits.switching_distance_look, true))
        }
        _ => None,
    }
}

fn room(class: &str, (x, y, width, height): (f64, f64, f64, f64), round: f64) -> Markup {
    html! {
        rect.{ "room " (class) } aria-hidden="true" x=(number(x)) y=(number(y)) width=(number(width)) height=(number(height)) rx=(number(round)) {}
    }
}

fn switches(rig: &Rig, device: &Device) -> Vec<(Length, Length)> {
    if device.place.as_ref().is_some_and(|place| place.under) {
        return Vec::new();
    }
    (0..device.switches.len()).filter_map(|index| switch_point(rig, device, index)).collect()
}

/// A padlock that a pointer can press; the keyboard has the device's own key and button.
fn padlock(device: &Device, locked: bool, x: f64, y: f64) -> Markup {
    let (shape, title) = if locked { ("lock", "unlock") } else { ("unlock", "lock") };
    html! {
        g.padlock data-device=(device.tag) data-lock=(device.tag) aria-hidden="true" {
            title { (title) " " (device.tag) }
            rect x=(number(x)) y=(number(y)) width="5.4" height="5.4" {}
            (PreEscaped(format!("<use href=\"#{shape}\" x=\"{}\" y=\"{}\" width=\"4\" height=\"4\"/>", number(x + 0.7), number(y + 0.7))))
        }
    }
}
