//! Where the joint of a lead with more than two ends lies.

use quantity::Length;

use crate::from_rig::{Given, median};
use crate::input::{Body, End, Input, Point};

/// A joint in its sleeve is so long and so thick. *Common practice, no source.*
const LONG_MM: f64 = 30.0;
const THICK_MM: f64 = 10.0;
/// Room that a joint keeps on all sides.
const CLEAR_MM: f64 = 2.0;
/// From the tip of a plug's sleeve to the joint: nothing is soldered nearer to a plug. *Common practice, no source.*
const OFF_PLUG_MM: f64 = 25.0;
/// The step in which places are tried, and how far out.
const STEP_MM: f64 = 10.0;
const REACH: i32 = 40;

/// The place of a joint, and the axis that its trunk leaves along.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Joint {
    /// Its middle.
    pub(crate) at: Point,
    /// Towards the end that the others branch from.
    pub(crate) axis: Point,
}

/// Places a joint where its legs are shortest along the axes: in the median of the ends, axis by axis (the star of least
/// length; Hanan 1966 for three ends), or as near to that as there is room.
///
/// The document's own place is taken as it is.
pub(crate) fn place(input: &Input, given: &Given, ends: &[End]) -> Joint {
    let tips: Vec<Point> = ends
        .iter()
        .map(|end| [0, 1, 2].map(|axis| end.at[axis] + end.out[axis] * (OFF_PLUG_MM + LONG_MM / 2.0)))
        .collect();
    let centre = [0, 1, 2].map(|axis| median(tips.iter().map(|tip| tip[axis])));
    let axis_from = |at: Point| {
        let way = [0, 1].map(|i| tips[given.trunk][i] - at[i]);
        let mut axis = [0.0; 3];
        let along = usize::from(way[0].abs() < way[1].abs());
        axis[along] = if way[along] < 0.0 { -1.0 } else { 1.0 };
        axis
    };
    if let Some(stated) = given.joint {
        let at = [stated[0].as_mm(), stated[1].as_mm(), centre[2]];
        return Joint { at, axis: axis_from(at) };
    }
    // The heights that ends are at, the middle one first, then lying on a deck.
    let mut heights = vec![centre[2]];
    heights.extend(tips.iter().map(|tip| tip[2]));
    heights.extend(
        input
            .bodies
            .iter()
            .filter(|body| body.what == "sheet")
            .map(|body| body.high[2] + THICK_MM / 2.0 + CLEAR_MM),
    );
    let cost = |at: Point| -> f64 {
        tips.iter().map(|tip| (0..3).map(|axis| (tip[axis] - at[axis]).abs()).sum::<f64>()).sum()
    };
    let mut best: Option<(f64, Point)> = None;
    for ring in 0..=REACH {
        // Whatever lies farther out costs more than what was found: the star's length grows by a step a ring at least.
        if best.is_some_and(|(known, _)| known + STEP_MM < cost(centre) + f64::from(ring) * STEP_MM) {
            break;
        }
        for (i, j) in rim(ring) {
            for &z in &heights {
                let at = [centre[0] + f64::from(i) * STEP_MM, centre[1] + f64::from(j) * STEP_MM, z];
                if input.is_over_a_deck([at[0], at[1]]) && has_room(input, at, axis_from(at)) {
                    let cost = cost(at);
                    if best.is_none_or(|(known, _)| cost < known) {
                        best = Some((cost, at));
                    }
                }
            }
        }
    }
    let at = best.map_or(centre, |(_, at)| at);
    Joint { at, axis: axis_from(at) }
}

/// The places of a square ring.
fn rim(ring: i32) -> Vec<(i32, i32)> {
    if ring == 0 {
        return vec![(0, 0)];
    }
    let mut out = Vec::new();
    for along in -ring..=ring {
        out.extend([(along, -ring), (along, ring)]);
        if along.abs() < ring {
            out.extend([(-ring, along), (ring, along)]);
        }
    }
    out
}

/// Whether a joint can lie at a place: clear of every body, and not on top of a device that a foot works.
fn has_room(input: &Input, at: Point, axis: Point) -> bool {
    let half = [0, 1, 2].map(|i| if axis[i].abs() < 0.5 { THICK_MM / 2.0 } else { LONG_MM / 2.0 } + CLEAR_MM);
    let meets = |body: &Body| {
        (0..2).all(|i| body.low[i] < at[i] + half[i] && at[i] - half[i] < body.high[i])
            && body.low[2] < at[2] + half[2]
            && at[2] - half[2] < body.high[2].max(body.keep_off)
    };
    let within = (0..3).all(|i| input.low[i] <= at[i] - half[i] && at[i] + half[i] <= input.high[i]);
    within && !input.bodies.iter().any(meets)
}

/// The end of a leg in its joint: the trunk leaves along the joint's axis, the branches the other way.
pub(crate) fn end(given: &Given, leg: usize, joint: Joint) -> End {
    let out = if leg == given.trunk { joint.axis } else { joint.axis.map(|part| -part) };
    End {
        port: format!("joint of {}", given.id),
        at: [0, 1, 2].map(|i| joint.at[i] + out[i] * LONG_MM / 2.0),
        out,
        straight_mm: 0.0,
        // From the sleeve's edge to its middle, where the legs are soldered over one another.
        allowance_mm: Some(given.in_joint.max(Length::ZERO).as_mm()),
        plug: Some("joint".to_owned()),
        exit: None,
        proposed: false,
        service_mm: 0.0,
        plug_pf: 0.0,
        plug_width_mm: 0.0,
        bodies: Vec::new(),
    }
}
