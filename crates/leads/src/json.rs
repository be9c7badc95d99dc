//! An outcome as JSON, for `boardwright leads --format json` and for outside checkers.

use serde_json::{Value, json};

use crate::cut::{CutPlan, Piece, Source};
use crate::input::{End, Input, Point};
use crate::outcome::{Laid, Outcome};

/// The cut plan of one cable.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CableCuts {
    /// The cable; `None` for leads without one yet.
    pub cable: Option<String>,
    /// The pieces.
    pub pieces: Vec<Piece>,
    /// The stock.
    pub sources: Vec<Source>,
    /// The plan.
    pub plan: CutPlan,
}

/// The outcome with all that is needed to judge it, and the cut plans. Lengths are millimetres.
pub fn json(input: &Input, outcome: &Outcome, cuts: &[CableCuts], kerf_mm: i64) -> Value {
    json!({
        "schema": "boardwright.leads.1",
        "leads": outcome.leads.iter().map(|laid| lead(input, laid)).collect::<Vec<_>>(),
        "failed": outcome.failed.iter().map(|failed| json!({ "id": failed.id, "why": failed.why })).collect::<Vec<_>>(),
        "unlaid": input.unlaid.iter().map(|unlaid| json!({ "id": unlaid.id, "why": unlaid.why })).collect::<Vec<_>>(),
        "obstacles": input.bodies.iter().map(|body| json!({
            "what": body.what,
            "owner": body.owner,
            "low_mm": point(body.low),
            "high_mm": point(body.high),
            "keep_off_mm": tidy(body.keep_off),
        })).collect::<Vec<_>>(),
        "separations": outcome.near.iter().map(|near| json!({
            "leads": [near.one, near.other],
            "distance_mm": tidy(near.distance_mm),
            "parallel_mm": tidy(near.parallel_mm),
            "wanted_mm": near.wanted_mm,
        })).collect::<Vec<_>>(),
        "crossings": outcome.crossings.iter().map(|crossing| json!({
            "leads": [crossing.one, crossing.other],
            "angle_deg": tidy(crossing.angle_deg),
            "at_mm": point(crossing.at),
        })).collect::<Vec<_>>(),
        "looms": outcome.looms.iter().map(|loom| json!({
            "number": loom.number,
            "class": loom.class.word(),
            "leads": loom.leads,
            "trunk_mm": tidy(loom.trunk_mm),
            "members": loom.members.iter().map(|member| json!({
                "lead": member.id,
                "on_trunk_mm": member.on_trunk_mm.map(tidy),
                "tails_mm": member.tails_mm.map(tidy),
            })).collect::<Vec<_>>(),
            "breakouts": loom.breakouts.iter().map(|(lead, at)| json!({ "lead": lead, "at_mm": point(*at) })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "passages": outcome.passing.iter().map(|passing| json!({
            "hole": passing.hole,
            "leads": passing.leads,
            "fill": tidy(passing.fill),
            "too_wide": passing.too_wide,
        })).collect::<Vec<_>>(),
        "rules": {
            "radius_diameters": input.rules.radius_times,
            "apart_dc_mm": input.rules.apart_dc_mm,
            "apart_mains_mm": input.rules.apart_mains_mm,
            "parallel_mm": input.rules.parallel_mm,
            "slack_mm": input.rules.slack_mm,
            "slack_share": input.rules.slack_share,
            "rounding_mm": input.rules.rounding_mm,
        },
        "stock": cuts.iter().flat_map(|cut| cut.sources.iter().map(|source| json!({
            "cable": cut.cable,
            "id": source.id,
            "length_mm": source.mm,
            "reel": source.reel,
        }))).collect::<Vec<_>>(),
        "cut_plan": cuts.iter().flat_map(|cut| cut.plan.steps.iter().map(|step| json!({
            "cable": cut.cable,
            "lead": cut.pieces[step.piece].id,
            "piece_mm": cut.pieces[step.piece].mm,
            "source": cut.sources[step.source].id,
            "offset_mm": step.offset_mm,
        }))).collect::<Vec<_>>(),
        "kerf_mm": kerf_mm,
        "fresh_mm": cuts.iter().map(|cut| cut.plan.fresh_mm).sum::<i64>(),
        "fresh_bound_mm": cuts.iter().map(|cut| cut.plan.fresh_bound_mm).sum::<i64>(),
        "waste_mm": cuts.iter().map(|cut| cut.plan.waste_mm).sum::<i64>(),
        "bound_mm": cuts.iter().map(|cut| cut.plan.bound_mm).sum::<i64>(),
        "reels_cut": cuts.iter().map(|cut| cut.plan.reels).sum::<usize>(),
        "reels_bound": cuts.iter().map(|cut| cut.plan.reels_bound).sum::<usize>(),
    })
}

fn lead(input: &Input, laid: &Laid) -> Value {
    let wanted = &input.leads[laid.lead];
    let ends = [&wanted.from, &wanted.to];
    let of = |value: fn(&End) -> Value| ends.map(value);
    json!({
        "id": laid.id,
        "leg_of": wanted.leg_of,
        "class": wanted.class.word(),
        "from": wanted.from.port,
        "to": wanted.to.port,
        "cable": wanted.cable,
        "diameter_mm": wanted.diameter_mm,
        "path_mm": laid.path.iter().map(|at| point(*at)).collect::<Vec<_>>(),
        "bends_mm": laid.radii.iter().map(|radius| (radius * 1e6).floor() / 1e6).collect::<Vec<_>>(),
        "radius_mm": (laid.tightest_mm * 1e6).floor() / 1e6,
        "wanted_radius_mm": wanted.radius_mm,
        "tightest_mm": tidy(laid.tightest_mm),
        "exit": of(|end| json!({
            "at_mm": point(end.at),
            "direction": end.out,
            "straight_mm": end.straight_mm,
            // The obstacles it may touch there, as places in the list: its own plug, and the wall that it leaves.
            "own_obstacles": end.bodies,
        })),
        "ties_mm": wanted.ties,
        "route_mm": tidy(laid.route_mm),
        "allowance_mm": of(|end| json!(end.allowance_mm)),
        "slack_mm": tidy(laid.slack_mm),
        "service_mm": laid.service_mm,
        "cut_mm": laid.cut_mm,
        "plugs": of(|end| json!({ "plug": end.plug, "exit": end.exit, "proposed": end.proposed })),
        "clocking": wanted.clocking,
        "capacitance_pf": laid.capacitance_pf.map(tidy),
        "resistance_ohm": laid.resistance_ohm.map(|ohm| (ohm * 1e5).round() / 1e5),
        "loom": laid.loom,
        "batch": laid.batch,
        "estimated": laid.estimated,
        "spare_mm": laid.spare_mm.map(tidy),
    })
}

/// To a thousandth.
fn tidy(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

fn point(at: Point) -> Point {
    at.map(|value| (value * 1e6).round() / 1e6)
}
