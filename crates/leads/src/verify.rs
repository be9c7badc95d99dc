//! Whether leads keep their own rules, judged by the bodies and the rules alone: no code of the router is used.
//!
//! Each way is walked in small steps, straight pieces and arcs made anew from the corners and radii, and every step is
//! held against every body.

mod cross;

use crate::input::{End, Input, Point, Wanted};
use crate::outcome::{Laid, Outcome};

/// Ways are walked in steps of this length.
const STEP_MM: f64 = 1.0;
/// So near counts as the same, and so deep in a body as touching.
const SAME_MM: f64 = 0.02;

/// A lead passes so near its tie points, the bend it makes there apart.
const TIE_MM: f64 = 10.0;

/// A rule broken.
#[derive(Debug, Clone, PartialEq)]
pub struct Breach {
    /// The lead.
    pub lead: String,
    /// What is wrong, for people.
    pub what: String,
}

/// What the judge found.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Verdict {
    /// Broken rules: the outcome must not be used.
    pub breaches: Vec<Breach>,
    /// Leads that are bent sharper than their cable should be, with the sharpest radius; they say so themselves.
    pub sharp: Vec<(String, f64)>,
}

/// Judges an outcome.
pub fn verify(input: &Input, outcome: &Outcome) -> Verdict {
    let mut verdict = Verdict::default();
    for wanted in &input.leads {
        let told = outcome.leads.iter().filter(|laid| laid.id == wanted.id).count()
            + outcome.failed.iter().filter(|failed| failed.id == wanted.id).count();
        if told != 1 {
            breach(&mut verdict, &wanted.id, format!("told of {told} times"));
        }
    }
    for laid in &outcome.leads {
        match input.leads.get(laid.lead).filter(|wanted| wanted.id == laid.id) {
            Some(wanted) => judge(input, wanted, laid, &mut verdict),
            None => breach(&mut verdict, &laid.id, "no such lead is wanted".to_owned()),
        }
    }
    cross::judge(input, outcome, &mut verdict);
    verdict
}

fn breach(verdict: &mut Verdict, lead: &str, what: String) {
    verdict.breaches.push(Breach { lead: lead.to_owned(), what });
}

fn judge(input: &Input, wanted: &Wanted, laid: &Laid, verdict: &mut Verdict) {
    let path = &laid.path;
    if path.len() < 2 || laid.radii.len() + 2 != path.len() {
        breach(verdict, &laid.id, "its way has no two ends or not a radius for each corner".to_owned());
        return;
    }
    let (first, last) = (path[0], path[path.len() - 1]);
    for (end, at, next) in [(&wanted.from, first, path[1]), (&wanted.to, last, path[path.len() - 2])] {
        if SAME_MM < distance(at, end.at) {
            breach(verdict, &laid.id, format!("it does not end at {}", end.port));
        }
        let way = unit(at, next);
        if (0..3).map(|i| way[i] * end.out[i]).sum::<f64>() < 0.9999 {
            breach(verdict, &laid.id, format!("it does not leave {} in its direction", end.port));
        }
    }
    let Some(walk) = walk(laid) else {
        breach(verdict, &laid.id, "its arcs are longer than its legs".to_owned());
        return;
    };
    let sharpest = laid
        .radii
        .iter()
        .zip(path.windows(3))
        .filter(|(_, c)| turns(c))
        .map(|(r, _)| *r)
        .fold(wanted.radius_mm, f64::min);
    if SAME_MM < (sharpest - laid.tightest_mm).abs() {
        breach(
            verdict,
            &laid.id,
            format!("its sharpest bend is {sharpest:.2} mm, {:.2} mm told", laid.tightest_mm),
        );
    }
    if sharpest < wanted.radius_mm - SAME_MM {
        verdict.sharp.push((laid.id.clone(), sharpest));
    }
    if 0.01 < (walk.1 - laid.route_mm).abs() {
        breach(verdict, &laid.id, format!("its way is {:.3} mm long, {:.3} mm told", walk.1, laid.route_mm));
    }
    let mut after = 0;
    for tie in &wanted.ties {
        let near = |at: &Point| libm::hypot(at[0] - tie[0], at[1] - tie[1]) <= TIE_MM + wanted.radius_mm;
        match walk.0.iter().skip(after).position(near) {
            Some(found) => after += found,
            None => {
                breach(
                    verdict,
                    &laid.id,
                    format!("it does not pass its tie point at {:.1}, {:.1}", tie[0], tie[1]),
                );
                break;
            }
        }
    }
    let radius = wanted.diameter_mm / 2.0;
    for at in &walk.0 {
        if (0..3).any(|i| at[i] < input.low[i] - SAME_MM || input.high[i] + SAME_MM < at[i]) {
            breach(verdict, &laid.id, "it leaves the room of the board".to_owned());
            break;
        }
        let hit = input.bodies.iter().enumerate().find(|(index, body)| {
            let top = body.high[2].max(body.keep_off);
            let high = [body.high[0], body.high[1], top];
            let inside =
                (0..3).all(|i| body.low[i] - radius + SAME_MM < at[i] && at[i] < high[i] + radius - SAME_MM);
            inside
                && !is_own(&wanted.from, *index, *at, wanted.radius_mm)
                && !is_own(&wanted.to, *index, *at, wanted.radius_mm)
        });
        if let Some((_, body)) = hit {
            breach(
                verdict,
                &laid.id,
                format!(
                    "it runs through the {} of {} at {:.1}, {:.1}, {:.1}",
                    body.what, body.owner, at[0], at[1], at[2]
                ),
            );
            break;
        }
    }
    let plugs = wanted.from.allowance_mm.unwrap_or(0.0) + wanted.to.allowance_mm.unwrap_or(0.0);
    let rules = &input.rules;
    let least = walk.1
        + plugs
        + rules.slack_mm.max(walk.1 * rules.slack_share)
        + wanted.from.service_mm
        + wanted.to.service_mm
        + wanted.hinge_mm;
    if laid.cut_mm < least - 0.02 || least + rules.rounding_mm + 0.02 < laid.cut_mm {
        breach(verdict, &laid.id, format!("it is cut to {} mm and needs {least:.1} mm", laid.cut_mm));
    }
}

/// Whether a body is the lead's own plug, looked at near it and in front of it.
fn is_own(end: &End, body: usize, at: Point, radius: f64) -> bool {
    let along: f64 = (0..3).map(|i| (at[i] - end.at[i]) * end.out[i]).sum();
    end.bodies.contains(&body) && -SAME_MM <= along && distance(at, end.at) <= end.straight_mm + 6.0 * radius
}

fn turns(corner: &[Point]) -> bool {
    let (a, b) = (unit(corner[0], corner[1]), unit(corner[1], corner[2]));
    (0..3).map(|i| a[i] * b[i]).sum::<f64>() < 1.0 - 1e-9
}

/// The places along a way and its length; `None` when two arcs would overlap.
fn walk(laid: &Laid) -> Option<(Vec<Point>, f64)> {
    let path = &laid.path;
    let mut out = Vec::new();
    let mut total = 0.0;
    let mut here = path[0];
    let mut spent = 0.0;
    for (corner, &radius) in path.windows(3).zip(&laid.radii) {
        let (a, b) = (unit(corner[0], corner[1]), unit(corner[1], corner[2]));
        let cosine: f64 = (0..3).map(|i| a[i] * b[i]).sum::<f64>().clamp(-1.0, 1.0);
        let angle = libm::acos(cosine);
        if !turns(corner) {
            total += line(here, corner[1], &mut out);
            here = corner[1];
            spent = 0.0;
            continue;
        }
        let take = radius * libm::tan(angle / 2.0);
        if distance(corner[0], corner[1]) + SAME_MM < spent + take
            || distance(corner[1], corner[2]) + SAME_MM < take
        {
            return None;
        }
        let start: Point = [0, 1, 2].map(|i| corner[1][i] - a[i] * take);
        total += line(here, start, &mut out);
        // Across the first direction, in the plane of the two: where the arc turns to.
        let side: Point = [0, 1, 2].map(|i| b[i] - a[i] * cosine);
        let size = distance(side, [0.0; 3]);
        let mut swept = 0.0;
        while swept < angle {
            let (sine, rest) = (libm::sin(swept), 1.0 - libm::cos(swept));
            out.push([0, 1, 2].map(|i| start[i] + radius * (sine * a[i] + rest * side[i] / size)));
            swept += (STEP_MM / radius.max(0.5)).min(0.2);
        }
        total += radius * angle;
        here = [0, 1, 2].map(|i| corner[1][i] + b[i] * take);
        spent = take;
    }
    total += line(here, path[path.len() - 1], &mut out);
    Some((out, total))
}

fn line(from: Point, to: Point, out: &mut Vec<Point>) -> f64 {
    let long = distance(from, to);
    let mut done = 0.0;
    while done < long {
        out.push([0, 1, 2].map(|i| from[i] + (to[i] - from[i]) * done / long));
        done += STEP_MM;
    }
    out.push(to);
    long
}

fn distance(a: Point, b: Point) -> f64 {
    (0..3).map(|i| (a[i] - b[i]) * (a[i] - b[i])).sum::<f64>().sqrt()
}

fn unit(a: Point, b: Point) -> Point {
    let long = distance(a, b).max(1e-12);
    [0, 1, 2].map(|i| (b[i] - a[i]) / long)
}
