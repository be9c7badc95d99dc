//! Energy adds up: a brick gives no more than what it takes in times its efficiency, through any chain of bricks.

use quantity::{Ratio, Volts, Watts};
use rig::{Device, Nature};

use crate::from_rig::{microamps, millivolts, nanowatts, ppm};
use crate::input::{PPM, USUAL_MV};

/// What share of what it takes a supply gives on, where nobody wrote it down. *Common practice, no source.*
pub const EFFICIENCY: Ratio = Ratio::of(0.8);

/// No converter gives all that it takes: a ring of supplies that feed each other would.
const MOST_PPM: i64 = PPM - 1;

/// What a supply that is itself fed at low voltage takes in and gives on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Intake {
    /// The lowest voltage it runs on, in millivolts.
    pub low_mv: i64,
    /// Whether that is what arrives at it or [`USUAL_MV`], because nobody wrote it down.
    pub volts_assumed: bool,
    /// What it may take, in microamperes: printed, else what its outlets together could want.
    pub current_ua: i64,
    /// Whether that is worked out from its outlets, because nobody wrote it down.
    pub worked_out: bool,
    /// The most its outlets can give together.
    pub gives_nw: i64,
    /// Its efficiency in millionths.
    pub efficiency_ppm: i64,
    /// Whether that is [`EFFICIENCY`], because nobody wrote it down.
    pub efficiency_assumed: bool,
}

/// The efficiency counted with, in millionths, and whether it is assumed.
pub fn efficiency(device: &Device) -> (i64, bool) {
    // A battery takes nothing and loses nothing that anybody must provide.
    if device.power.nature.value == Some(Nature::None) {
        return (PPM, false);
    }
    let known = device.efficiency.value.filter(|share| 0.0 < share.get());
    (ppm(known.unwrap_or(EFFICIENCY)).min(MOST_PPM), known.is_none())
}

/// The intake of a supply that hangs on another one; `None` of what runs on mains or has no outlets.
///
/// P_out ≤ η · U · I, with U the lower end of its window, where it takes the most current for the same work. Where its
/// voltage is unknown, U is what arrives at it now, else [`USUAL_MV`]. Where its current is unknown, I is what its outlets
/// together could make it take, P_out / (η · U).
pub fn intake(device: &Device, arrives: Option<Volts>) -> Option<Intake> {
    let low = matches!(device.power.nature.value, Some(Nature::Dc | Nature::Ac));
    if !low || device.outlets.is_empty() {
        return None;
    }
    let window = device.power.volts.value;
    let low_mv = window.map(quantity::Window::low).or(arrives).map_or(USUAL_MV, millivolts);
    let mv = i128::from(low_mv.max(1));
    let (efficiency_ppm, efficiency_assumed) = efficiency(device);
    let (eta, whole) = (i128::from(efficiency_ppm), i128::from(PPM));
    let narrow = |wide: i128| i64::try_from(wide).unwrap_or(i64::MAX);
    let (current_ua, worked_out) = match device.power.current.value {
        Some(current) => (microamps(current), false),
        None => (narrow((i128::from(most(device)) * whole + mv * eta - 1) / (mv * eta)), true),
    };
    let gives_nw = narrow(mv * i128::from(current_ua) * eta / whole);
    let volts_assumed = window.is_none();
    Some(Intake {
        low_mv,
        volts_assumed,
        current_ua,
        worked_out,
        gives_nw,
        efficiency_ppm,
        efficiency_assumed,
    })
}

/// The same in watts, for findings.
pub fn gives(intake: &Intake) -> Watts {
    Watts::new(crate::input::watts(intake.gives_nw)).unwrap_or_default()
}

/// What its outlets can give together: what it states in all, else the sum of their strongest settings.
fn most(device: &Device) -> i64 {
    let each = device.outlets.iter().map(|outlet| {
        let settings = outlet.settings.iter();
        let watts = settings.filter_map(|s| Some(millivolts(s.volts) * microamps(s.current.value?)));
        watts.max().unwrap_or(0)
    });
    let sum = each.fold(0, i64::saturating_add);
    device.total.value.map_or(sum, |total| nanowatts(total).min(sum))
}
