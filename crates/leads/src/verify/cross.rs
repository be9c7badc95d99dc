//! Crossings as told against the ways as they are: none made up, none kept back.

use rig::LeadClass;

use super::{Verdict, breach, distance, unit};
use crate::input::{Input, Point};
use crate::outcome::{Crossing, Laid, Outcome};

/// A corner that lies so near the other way may count as crossing it or not.
const EDGE_MM: f64 = 0.05;
/// So near is the same place.
const PLACE_MM: f64 = 0.1;
/// So near is the same angle.
const ANGLE_DEG: f64 = 0.1;

/// Holds every crossing told against the ways, and every crossing of the ways against what is told.
pub(super) fn judge(input: &Input, outcome: &Outcome, verdict: &mut Verdict) {
    for told in &outcome.crossings {
        let by_id = |id: &str| outcome.leads.iter().find(|laid| laid.id == id);
        let is_true = match (by_id(&told.one), by_id(&told.other)) {
            (Some(one), Some(other)) => wanted(input, one, other).is_some_and(|apart| {
                legs(one, other).any(|(a, b)| {
                    on_leg(told.at, a, b, apart) && (angle(a, b) - told.angle_deg).abs() < ANGLE_DEG
                })
            }),
            _ => false,
        };
        if !is_true {
            breach(verdict, &told.one, format!("it does not cross {} where it is told to", told.other));
        }
    }
    for (index, one) in outcome.leads.iter().enumerate() {
        for other in &outcome.leads[index + 1..] {
            let Some(apart) = wanted(input, one, other) else { continue };
            for (a, b) in legs(one, other) {
                let Some((at, over)) = across(a, b) else { continue };
                let is_near = (at[2] - over).abs() < apart - EDGE_MM;
                let is_told = |told: &Crossing| {
                    let same = (told.one == one.id && told.other == other.id)
                        || (told.one == other.id && told.other == one.id);
                    same && libm::hypot(told.at[0] - at[0], told.at[1] - at[1]) < PLACE_MM
                };
                if is_near && !outcome.crossings.iter().any(is_told) {
                    breach(verdict, &one.id, format!("it crosses {}, and that is not told", other.id));
                }
            }
        }
    }
}

/// How far two leads ought to be apart by the rules.
fn wanted(input: &Input, one: &Laid, other: &Laid) -> Option<f64> {
    let class = |laid: &Laid| input.leads.get(laid.lead).map(|lead| lead.class);
    let classes = [class(one)?, class(other)?];
    let has = |class: LeadClass| classes.contains(&class);
    if (has(LeadClass::Mains) || has(LeadClass::Ac)) && (has(LeadClass::Signal) || has(LeadClass::Control)) {
        Some(input.rules.apart_mains_mm)
    } else if has(LeadClass::Dc) && has(LeadClass::Signal) {
        Some(input.rules.apart_dc_mm)
    } else {
        None
    }
}

fn legs<'a>(one: &'a Laid, other: &'a Laid) -> impl Iterator<Item = (&'a [Point], &'a [Point])> {
    one.path.windows(2).flat_map(|a| other.path.windows(2).map(move |b| (a, b)))
}

/// The angle between two legs, 90 at most.
fn angle(a: &[Point], b: &[Point]) -> f64 {
    let (a, b) = (unit(a[0], a[1]), unit(b[0], b[1]));
    // By the chords between the directions: exact for flat angles too.
    let (same, against) = (distance(a, b), distance(a, b.map(|part| -part)));
    (2.0 * libm::atan2(same, against)).to_degrees().min((2.0 * libm::atan2(against, same)).to_degrees())
}

/// How far a place lies to the left of a leg, seen from above; nothing for a leg that stands upright.
fn left_of(leg: &[Point], at: Point) -> Option<f64> {
    let (x, y) = (leg[1][0] - leg[0][0], leg[1][1] - leg[0][1]);
    let long = libm::hypot(x, y);
    (1e-6 < long).then(|| (x * (at[1] - leg[0][1]) - y * (at[0] - leg[0][0])) / long)
}

/// Where one leg passes over or under another with both ends clearly on either side: the place on the one, and the
/// height of the other there.
fn across(a: &[Point], b: &[Point]) -> Option<(Point, f64)> {
    let share = |line: &[Point], leg: &[Point]| {
        let (first, last) = (left_of(line, leg[0])?, left_of(line, leg[1])?);
        let is_clear = first * last < 0.0 && EDGE_MM < first.abs().min(last.abs());
        is_clear.then(|| first / (first - last))
    };
    let (on_a, on_b) = (share(b, a)?, share(a, b)?);
    let at = [0, 1, 2].map(|i| a[0][i] * (1.0 - on_a) + a[1][i] * on_a);
    Some((at, b[0][2] * (1.0 - on_b) + b[1][2] * on_b))
}

/// Whether a place lies on the one leg, and the other passes over or under it nearer than wanted.
fn on_leg(at: Point, a: &[Point], b: &[Point], apart: f64) -> bool {
    let beyond = distance(a[0], at) + distance(at, a[1]) - distance(a[0], a[1]);
    let (x, y) = (b[1][0] - b[0][0], b[1][1] - b[0][1]);
    let Some(aside) = left_of(b, at) else { return false };
    let share = ((at[0] - b[0][0]) * x + (at[1] - b[0][1]) * y) / (x * x + y * y);
    let over = b[0][2] + (b[1][2] - b[0][2]) * share;
    beyond < 1e-3
        && aside.abs() < PLACE_MM
        && (-1e-6..=1.0 + 1e-6).contains(&share)
        && (at[2] - over).abs() < apart + EDGE_MM
}
