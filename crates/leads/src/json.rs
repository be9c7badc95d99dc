//! An outcome as JSON, for `boardwright leads --format json` and for outside checkers.

use crate::cut::{CutPlan, Piece, Source};
use crate::input::{Body, End, Input, Point};
use crate::outcome::{Laid, LoomLead, Outcome};
use crate::wire;

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
pub fn json<'a>(
    input: &'a Input,
    outcome: &'a Outcome,
    cuts: &'a [CableCuts],
    kerf_mm: i64,
) -> wire::Leads<'a> {
    wire::Leads {
        schema: wire::Leads::SCHEMA,
        leads: outcome.leads.iter().map(|laid| lead(input, laid)).collect(),
        failed: outcome
            .failed
            .iter()
            .map(|failed| wire::Without { id: &failed.id, why: &failed.why })
            .collect(),
        unlaid: input
            .unlaid
            .iter()
            .map(|unlaid| wire::Without { id: &unlaid.id, why: &unlaid.why })
            .collect(),
        obstacles: obstacles(input),
        separations: separations(outcome),
        crossings: crossings(outcome),
        looms: looms(outcome),
        passages: passages(outcome),
        rules: wire::Rules {
            radius_diameters: input.rules.radius_times,
            apart_dc_mm: input.rules.apart_dc_mm,
            apart_mains_mm: input.rules.apart_mains_mm,
            parallel_mm: input.rules.parallel_mm,
            slack_mm: input.rules.slack_mm,
            slack_share: input.rules.slack_share,
            rounding_mm: input.rules.rounding_mm,
        },
        stock: cuts.iter().flat_map(stock).collect(),
        cut_plan: cuts.iter().flat_map(cut_plan).collect(),
        kerf_mm,
        fresh_mm: cuts.iter().map(|cut| cut.plan.fresh_mm).sum(),
        fresh_bound_mm: cuts.iter().map(|cut| cut.plan.fresh_bound_mm).sum(),
        waste_mm: cuts.iter().map(|cut| cut.plan.waste_mm).sum(),
        waste_bound_mm: cuts.iter().map(|cut| cut.plan.bound_mm).sum(),
        reels_cut: cuts.iter().map(|cut| cut.plan.reels).sum(),
        reels_bound: cuts.iter().map(|cut| cut.plan.reels_bound).sum(),
    }
}

fn lead<'a>(input: &'a Input, laid: &'a Laid) -> wire::Lead<'a> {
    let wanted = &input.leads[laid.lead];
    let ends = [&wanted.from, &wanted.to];
    wire::Lead {
        id: &laid.id,
        leg_of: wanted.leg_of.as_deref(),
        class: wanted.class.word(),
        from: &wanted.from.port,
        to: &wanted.to.port,
        cable: wanted.cable.as_deref(),
        diameter_mm: wanted.diameter_mm,
        path_mm: laid.path.iter().map(|at| point(*at)).collect(),
        bends_mm: laid.radii.iter().map(|radius| (radius * 1e6).floor() / 1e6).collect(),
        radius_mm: (laid.tightest_mm * 1e6).floor() / 1e6,
        wanted_radius_mm: wanted.radius_mm,
        tightest_mm: tidy(laid.tightest_mm),
        exit: ends.map(exit),
        ties_mm: &wanted.ties,
        route_mm: tidy(laid.route_mm),
        allowance_mm: ends.map(|end| end.allowance_mm),
        slack_mm: tidy(laid.slack_mm),
        service_mm: laid.service_mm,
        cut_mm: laid.cut_mm,
        plugs: ends.map(plug),
        clocking: wanted.clocking.as_deref(),
        capacitance_pf: laid.capacitance_pf.map(tidy),
        resistance_ohm: laid.resistance_ohm.map(|ohm| (ohm * 1e5).round() / 1e5),
        loom: laid.loom,
        batch: laid.batch,
        estimated: laid.estimated,
        spare_mm: laid.spare_mm.map(tidy),
    }
}

fn exit(end: &End) -> wire::Exit<'_> {
    wire::Exit {
        at_mm: point(end.at),
        direction: end.out,
        straight_mm: end.straight_mm,
        own_obstacles: &end.bodies,
    }
}

fn plug(end: &End) -> wire::Plug<'_> {
    wire::Plug { plug: end.plug.as_deref(), exit: end.exit, proposed: end.proposed }
}

fn obstacles<'a>(input: &'a Input) -> Vec<wire::Obstacle<'a>> {
    let one = |body: &'a Body| wire::Obstacle {
        what: body.what,
        owner: &body.owner,
        low_mm: point(body.low),
        high_mm: point(body.high),
        keep_off_mm: tidy(body.keep_off),
    };
    input.bodies.iter().map(one).collect()
}

fn separations(outcome: &Outcome) -> Vec<wire::Separation<'_>> {
    let each = outcome.near.iter().map(|near| wire::Separation {
        leads: [&near.one, &near.other],
        distance_mm: tidy(near.distance_mm),
        parallel_mm: tidy(near.parallel_mm),
        wanted_mm: near.wanted_mm,
    });
    each.collect()
}

fn crossings(outcome: &Outcome) -> Vec<wire::Crossing<'_>> {
    let each = outcome.crossings.iter().map(|crossing| wire::Crossing {
        leads: [&crossing.one, &crossing.other],
        angle_deg: tidy(crossing.angle_deg),
        at_mm: point(crossing.at),
    });
    each.collect()
}

fn looms(outcome: &Outcome) -> Vec<wire::Loom<'_>> {
    let each = outcome.looms.iter().map(|loom| wire::Loom {
        number: loom.number,
        class: loom.class.word(),
        leads: &loom.leads,
        trunk_mm: tidy(loom.trunk_mm),
        members: loom.members.iter().map(member).collect(),
        breakouts: loom
            .breakouts
            .iter()
            .map(|(lead, at)| wire::Breakout { lead, at_mm: point(*at) })
            .collect(),
    });
    each.collect()
}

fn member(member: &LoomLead) -> wire::LoomLead<'_> {
    wire::LoomLead {
        lead: &member.id,
        on_trunk_mm: member.on_trunk_mm.map(tidy),
        tails_mm: member.tails_mm.map(tidy),
    }
}

fn passages(outcome: &Outcome) -> Vec<wire::Passage<'_>> {
    let each = outcome.passing.iter().map(|passing| wire::Passage {
        hole: &passing.hole,
        leads: &passing.leads,
        fill_ratio: tidy(passing.fill),
        too_wide: &passing.too_wide,
    });
    each.collect()
}

fn stock(cut: &CableCuts) -> impl Iterator<Item = wire::Stock<'_>> {
    cut.sources.iter().map(|source| wire::Stock {
        cable: cut.cable.as_deref(),
        id: &source.id,
        length_mm: source.mm,
        reel: source.reel,
    })
}

fn cut_plan(cut: &CableCuts) -> impl Iterator<Item = wire::Cut<'_>> {
    cut.plan.steps.iter().map(|step| wire::Cut {
        cable: cut.cable.as_deref(),
        lead: &cut.pieces[step.piece].id,
        piece_mm: cut.pieces[step.piece].mm,
        source: &cut.sources[step.source].id,
        offset_mm: step.offset_mm,
    })
}

/// To a thousandth.
fn tidy(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

fn point(at: Point) -> Point {
    at.map(|value| (value * 1e6).round() / 1e6)
}
