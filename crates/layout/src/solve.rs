//! From an input to an outcome.

use rig::geometry::solids;

use crate::edits::{applied, edit, placements, stands_of};
use crate::model::{Model, Stand, spares};
use crate::outcome::{Alternative, Outcome, Placement, Relaxation, Terms, Unmet};
use crate::plane::{Found, Rooms, State, mm, search};
use crate::verify::{self, verify};
use crate::watch::{Cancel, Progress};
use crate::{Config, Input, Judge, packing, relax};

/// Where it is proven that nothing fits, the search makes one move in so many: it shows how near it comes.
const IN_VAIN: u64 = 40;
/// Whether there is room for a free place is tried in one move of so many.
const PROBED: u64 = 8;

/// Arranges the rig: the best placement found, alternatives that differ, or what would make it fit.
pub fn solve(input: &Input, config: &Config, progress: &dyn Progress, cancel: &dyn Cancel) -> Outcome {
    let mut outcome = solve_from(input, config, &[], progress, cancel);
    if config.relax {
        outcome.relaxations = relaxations(input, config, &outcome, &mut relax::Nobody, cancel);
    }
    outcome
}

/// What would help where nothing fits, each found by trying it and asked of `judge`, the least first. None where something
/// fits, or where there is nothing to place.
pub fn relaxations(
    input: &Input,
    config: &Config,
    outcome: &Outcome,
    judge: &mut dyn Judge,
    cancel: &dyn Cancel,
) -> Vec<Relaxation> {
    if outcome.feasible || outcome.placements.is_empty() || cancel.is_cancelled() {
        return Vec::new();
    }
    let hopeless = packing::hopeless(&mut Model::new(input, config));
    relax::relaxations(input, config, outcome, hopeless.as_ref(), (first_fits, judge), cancel)
}

/// Arranges the rig under another configuration, beginning with all placements of an earlier answer: most of the way is
/// gone already, so that far fewer moves do.
pub fn again(
    input: &Input,
    config: &Config,
    before: &Outcome,
    progress: &dyn Progress,
    cancel: &dyn Cancel,
) -> Outcome {
    let others = before.alternatives.iter().chain(&before.further).map(|other| &other.placements);
    let starts: Vec<&[Placement]> =
        [&before.placements].into_iter().chain(others).map(Vec::as_slice).collect();
    let mut outcome = solve_from(input, config, &starts, progress, cancel);
    if config.relax {
        outcome.relaxations = relaxations(input, config, &outcome, &mut relax::Nobody, cancel);
    }
    outcome
}

fn solve_from(
    input: &Input,
    config: &Config,
    starts: &[&[Placement]],
    progress: &dyn Progress,
    cancel: &dyn Cancel,
) -> Outcome {
    let mut model = Model::new(input, config);
    let hopeless = packing::hopeless(&mut model);
    let starts: Vec<Vec<Stand>> = starts.iter().filter_map(|start| stands_of(&model, start)).collect();
    let plan =
        Config { moves: config.moves / if hopeless.is_some() { IN_VAIN } else { 1 }, ..config.clone() };
    let found = spacious(input, &model, &plan, &starts, progress, cancel);
    // The judge has the last word: the first of the placements that fit by it too.
    let judged = found.kept.iter().map(|kept| outcome_of(input, config, &model, &kept.placement));
    let mut judged = judged.filter(|outcome| outcome.feasible);
    let nearest = found.kept.first().map_or(&found.nearest, |best| &best.placement);
    let best = judged.next();
    let mut outcome = best.unwrap_or_else(|| outcome_of(input, config, &model, nearest));
    outcome.moves = found.moves;
    outcome.first_fit = found.first_fit;
    outcome.cancelled = found.cancelled;
    (outcome.alternatives, outcome.further) = alternatives(input, config, &model, &found);
    outcome.proof = hopeless.filter(|_| !outcome.feasible).map(|hopeless| hopeless.why);
    outcome
}

/// Searches with the free places of the brief kept free, or with as many of them as there is room for, the smaller ones first.
fn spacious(
    input: &Input,
    model: &Model,
    plan: &Config,
    starts: &[Vec<Stand>],
    progress: &dyn Progress,
    cancel: &dyn Cancel,
) -> Found {
    let spares = spares(&input.rig, &input.limits);
    let probe = Config { moves: plan.moves / PROBED, ..plan.clone() };
    for left_out in 0..spares.len() {
        let roomy = model.with_spares(&spares[left_out..]);
        if roomy.items.len() == model.items.len()
            || search(&roomy, &probe, &[], true, &crate::NoProgress, cancel).kept.is_empty()
        {
            continue;
        }
        let starts: Vec<Vec<Stand>> =
            starts.iter().map(|start| with_room(&roomy, start, plan.seed)).collect();
        let mut found = search(&roomy, plan, &starts, false, progress, cancel);
        if found.kept.is_empty() {
            continue;
        }
        found.nearest.truncate(model.items.len());
        for kept in &mut found.kept {
            kept.placement.truncate(model.items.len());
            kept.total = terms_of(model, &kept.placement, &[]).total(&plan.weights);
        }
        found.sort();
        return found;
    }
    search(model, plan, starts, false, progress, cancel)
}

/// Stands with the free places somewhere.
fn with_room(roomy: &Model, stands: &[Stand], seed: u64) -> Vec<Stand> {
    let mut random = crate::random::Random::new(seed, 0);
    let mut all = crate::plane::at_home(roomy, &mut random);
    all[..stands.len()].clone_from_slice(stands);
    all
}

/// The terms of the places and plugs that the rig has now, and what the judge says of them.
///
/// Devices without a place stand wherever the first guess puts them, so this is meant for rigs that are placed.
pub fn measure(input: &Input, config: &Config) -> Outcome {
    let model = Model::new(input, config);
    let mut random = crate::random::Random::new(config.seed, 0);
    let stands = crate::plane::at_home(&model, &mut random);
    outcome_of(input, config, &model, &stands)
}

/// The places that the rig has now, only straightened: front edges that nearly agree brought into one line and gaps in a row
/// evened, where there is room and nothing is lost by it. Nothing is put elsewhere, turned, or plugged otherwise.
pub fn straightened(input: &Input, config: &Config) -> Outcome {
    let model = Model::new(input, config);
    let mut random = crate::random::Random::new(config.seed, 0);
    let mut state = State::new(&model, crate::plane::at_home(&model, &mut random));
    crate::plane::straighten(&model, &mut state, &config.weights);
    outcome_of(input, config, &model, &state.stands())
}

/// An outcome with other plugs or exits at the lead ends of its placements: terms, edit and judgement anew, all else of the
/// search as it was. `None` where one of them is not open to choice.
pub fn replugged(
    input: &Input,
    config: &Config,
    outcome: &Outcome,
    placements: &[Placement],
) -> Option<Outcome> {
    let model = Model::new(input, config);
    let stands = stands_of(&model, placements)?;
    let fresh = outcome_of(input, config, &model, &stands);
    Some(Outcome {
        relaxations: outcome.relaxations.clone(),
        alternatives: outcome.alternatives.clone(),
        further: outcome.further.clone(),
        moves: outcome.moves,
        planned: outcome.planned,
        first_fit: outcome.first_fit,
        cancelled: outcome.cancelled,
        ..fresh
    })
}

fn terms_of(model: &Model, stands: &[Stand], unmet: &[Unmet]) -> Terms {
    let state = State::new(model, stands.to_vec());
    let free = Rooms::new(model).largest(&state).map_or(0.0, |free| free.area());
    // A free place is there or is not.
    let no_room = unmet.iter().filter(|unmet| unmet.kind == "spare").count();
    let whole = |value: i64| f64::from(i32::try_from(value).unwrap_or(i32::MAX));
    Terms {
        lead: mm(state.sums.lead),
        reach: state.reach_mm(),
        order: whole(state.sums.backward),
        balance: state.balance_mm(),
        free_room: free,
        crossings: whole(state.sums.crossings),
        looks: f64::from(state.sums.wrong.looks),
        remade: whole(state.sums.remade),
        rows: whole(state.sums.rows.lines),
        near_misses: whole(state.sums.rows.near),
        gaps: mm(state.sums.rows.uneven),
        treadles: mm(state.sums.treadles),
        set_and_forget: mm(state.sums.set_and_forget),
        wishes: state.wishes() + whole(i64::try_from(no_room).unwrap_or(0)),
    }
}

fn outcome_of(input: &Input, config: &Config, model: &Model, stands: &[Stand]) -> Outcome {
    let rig = applied(&input.rig, model, stands);
    let unmet = verify::wishes(&rig, &input.limits);
    let terms = terms_of(model, stands, &unmet);
    let breaches = verify(&input.rig, &rig, &input.limits);
    Outcome {
        placements: placements(model, stands),
        boxes: solids(&rig, &input.limits).boxes,
        rig,
        terms,
        weights: config.weights,
        total: terms.total(&config.weights),
        // Where every device is left out there is nothing that could fit.
        feasible: breaches.is_empty() && (!model.items.is_empty() || model.left_out.is_empty()),
        breaches,
        unmet,
        proof: None,
        relaxations: Vec::new(),
        alternatives: Vec::new(),
        further: Vec::new(),
        seed: config.seed,
        workers: config.workers.max(1),
        moves: 0,
        planned: config.moves,
        first_fit: None,
        cancelled: false,
        lacks: model.lacks.clone(),
        left_out: model.left_out.clone(),
        was_placed: model.left_out.is_empty()
            && input.rig.devices.iter().all(|device| device.outside || device.place.is_some()),
        edit: edit(&input.rig, model, stands),
        limits: input.limits.clone(),
    }
}

/// Of the other workers' best, those that differ from all before, to be shown; and the others.
fn alternatives(
    input: &Input,
    config: &Config,
    model: &Model,
    found: &Found,
) -> (Vec<Alternative>, Vec<Alternative>) {
    let mut shown: Vec<&[Stand]> = found.kept.iter().take(1).map(|kept| kept.placement.as_slice()).collect();
    let (mut out, mut further): (Vec<Alternative>, Vec<Alternative>) = Default::default();
    for (place, kept) in found.kept.iter().enumerate().skip(1) {
        if found.kept[..place].iter().any(|before| before.placement == kept.placement) {
            continue;
        }
        let rig = applied(&input.rig, model, &kept.placement);
        if !verify(&input.rig, &rig, &input.limits).is_empty() {
            continue;
        }
        let differs = |other: &&[Stand]| elsewhere(model, other, &kept.placement);
        let least = shown.iter().map(differs).min().unwrap_or(0);
        let unmet = verify::wishes(&rig, &input.limits);
        let terms = terms_of(model, &kept.placement, &unmet);
        let other = Alternative {
            placements: placements(model, &kept.placement),
            terms,
            total: terms.total(&config.weights),
            differs: elsewhere(model, shown[0], &kept.placement),
            unmet,
            rig,
            edit: edit(&input.rig, model, &kept.placement),
        };
        if out.len() == config.alternatives || least < 2.min(model.items.len()) {
            further.push(other);
        } else {
            out.push(other);
            shown.push(&kept.placement);
        }
    }
    (out, further)
}

/// How many items stand elsewhere by more than half their width or depth, on another surface, or turned.
fn elsewhere(model: &Model, a: &[Stand], b: &[Stand]) -> usize {
    let differs = |item: usize| {
        let (p, q) = (a[item].spot, b[item].spot);
        let [width, depth] = model.items[item].plan(p.turn);
        p.surface != q.surface
            || p.turn != q.turn
            || width < 2 * (p.x - q.x).abs()
            || depth < 2 * (p.y - q.y).abs()
    };
    (0..model.items.len()).filter(|item| differs(*item)).count()
}

/// What a search for a first fit found: the placements that fit, each with the edit that writes it; and the moves made.
pub(crate) fn first_fits(
    input: &Input,
    config: &Config,
    cancel: &dyn Cancel,
) -> (Vec<(Vec<Placement>, finding::Edit)>, u64) {
    let mut model = Model::new(input, config);
    if packing::hopeless(&mut model).is_some() {
        return (Vec::new(), 0);
    }
    let found = search(&model, config, &[], true, &crate::NoProgress, cancel);
    let mut out = Vec::new();
    for kept in &found.kept {
        let rig = applied(&input.rig, &model, &kept.placement);
        if verify(&input.rig, &rig, &input.limits).is_empty() {
            out.push((placements(&model, &kept.placement), edit(&input.rig, &model, &kept.placement)));
        }
    }
    (out, found.moves)
}
