//! The answer: allocation, conflict and cures, with every figure a person asks for.

use std::collections::BTreeSet;

use finding::Field;
use rig::FeedKind;

use crate::allocate::{Allocated, Meter, allocate};
use crate::assignment::{Unwatched, Watch};
use crate::config::Config;
use crate::energy::EFFICIENCY;
use crate::input::{Input, PPM, STRONG_UA, milliamps_text, share_of, volts_text, watts};
use crate::lead_drop::{Grade, lost_pv, volts_from_picovolts};
use crate::model::{Model, count, dropped, margin, starves};
use crate::outcome::{
    BankLine, BrickLine, Conflict, FedBy, Feed, FeedLine, Look, LookKind, Objective, Outcome, Status,
    Unchecked, Unserved,
};
use crate::{conflict, cure, edits, kept};

/// Finds the best allocation, or the conflict and its cures. What is made is undone only where that serves more devices,
/// and then as little of it as is found ([`Outcome::unmade`]).
pub fn solve(input: &Input, config: &Config) -> Outcome {
    solve_watched(input, config, &Unwatched)
}

/// The same, with someone who may stop it.
pub fn solve_watched(input: &Input, config: &Config, watch: &dyn Watch) -> Outcome {
    explain_watched(input, kept::solve(input, config, watch), config, watch)
}

/// The first half of [`solve`]: the best allocation, without conflicts and cures where not all devices can be served.
pub fn allocation(input: &Input, config: &Config) -> Outcome {
    kept::solve(input, config, &Unwatched)
}

/// The second half of [`solve`]: to an allocation of the input that leaves devices without a feed, why, and what would help. One
/// that is explained already gets new cures.
pub fn explain(input: &Input, outcome: Outcome, config: &Config) -> Outcome {
    explain_watched(input, outcome, config, &Unwatched)
}

/// What is made is no lock for what cannot be, and for what helps.
fn explain_watched(input: &Input, outcome: Outcome, config: &Config, watch: &dyn Watch) -> Outcome {
    if outcome.status != Status::Impossible || config.conflicts == 0 {
        return outcome;
    }
    let meter = Meter::after(outcome.nodes, config.nodes, watch);
    let conflicts = if outcome.conflicts.is_empty() {
        let fed = |need: &usize| outcome.allocation.iter().any(|feed| feed.need == *need);
        let left: Vec<usize> = (0..input.needs.len()).filter(|need| !fed(need)).collect();
        conflict::conflicts(input, config, &left, &meter)
    } else {
        outcome.conflicts
    };
    let cures = cure::cures(input, config, (&conflicts, outcome.missing), &meter);
    let is_fed = |need: &usize| outcome.allocation.iter().any(|feed| feed.need == *need);
    let dropped: Vec<usize> = (0..input.needs.len()).filter(|need| !is_fed(need)).collect();
    Outcome {
        status: if meter.stopped() { Status::Cancelled } else { outcome.status },
        unserved: unserved(input, config, &dropped, &conflicts),
        conflicts,
        cures: cures.found,
        untold: cures.untold,
        cures_cut_short: cures.cut_short,
        candidates: config.candidates.len(),
        nodes: meter.used(),
        ..outcome
    }
}

/// The best allocation with the locks that the input names, of a document in which what is made may be no lock.
pub(crate) fn solve_once(input: &Input, document: &Input, config: &Config, watch: &dyn Watch) -> Outcome {
    let meter = Meter::new(config.nodes, watch);
    let allocated = allocate(input, config, false, &meter);
    let feeds = &allocated.feeds;
    let now = measure(input, feeds);
    let plugged = with_locked(input, feeds);
    Outcome {
        status: status(input, &allocated),
        missing: allocated.unserved.iter().map(|&need| crate::model::missing(input, need)).sum(),
        missing_bound: allocated.unserved_bound,
        objective: allocated.objective,
        bound: allocated.bound,
        looks: looks(input, feeds),
        feeds: feeds.iter().map(|feed| line(input, feeds, feed, &now)).collect(),
        outlets: crate::totals::outlets(input, &plugged),
        mains: crate::totals::mains(input, &plugged, &bricks(input, &plugged)),
        banks: banks(input, &plugged),
        bricks: bricks(input, &plugged),
        distances: distances(input),
        locks: input
            .needs
            .iter()
            .filter_map(|need| Some((need.tag.clone(), need.lock()?.written.clone())))
            .collect(),
        unserved: unserved(input, config, &allocated.unserved, &[]),
        conflicts: Vec::new(),
        cures: Vec::new(),
        cures_cut_short: false,
        untold: crate::outcome::Untold::default(),
        edit: edits::edit(input, feeds),
        rules: input.rules,
        lacks: input.lacks.iter().flat_map(|lack| lack.fields.clone()).collect(),
        assumed: crate::assumed::assumed(input, feeds),
        unchecked: unchecked(input),
        unmade: Vec::new(),
        free_sockets: crate::sockets::empty_sockets(document).len(),
        candidates: config.candidates.len(),
        nodes: meter.used(),
        allocation: allocated.feeds,
    }
}

fn status(input: &Input, allocated: &Allocated) -> Status {
    if allocated.stopped {
        return Status::Cancelled;
    }
    if !allocated.unserved.is_empty() {
        let certain = 0 < allocated.unserved_bound;
        return if certain { Status::Impossible } else { Status::Feasible };
    }
    let lacking = input.lacks.iter().any(|lack| lack.unserved);
    if allocated.objective == allocated.bound && !lacking { Status::Proven } else { Status::Feasible }
}

/// What hangs on an outlet: how much in all, and which devices.
pub(crate) fn on_outlet(input: &Input, feeds: &[Feed], outlet: usize) -> (i64, Vec<usize>) {
    let on = feeds.iter().filter(|feed| feed.outlets.contains(&outlet));
    let mut load = 0;
    let mut needs = Vec::new();
    for feed in on {
        let draw = input.draw_at(feed.need, outlet, feed.setting_mv);
        load += if feed.kind == FeedKind::ParallelPair { (draw + 1) / 2 } else { draw };
        needs.push(feed.need);
    }
    (load, needs)
}

/// The feeds with those of devices that go without because their lock cannot be met: the document keeps these plugged in, and
/// what they draw there is drawn.
fn with_locked(input: &Input, feeds: &[Feed]) -> Vec<Feed> {
    let mut all = feeds.to_vec();
    for (index, need) in input.needs.iter().enumerate() {
        let Some(lock) = need.present.as_ref().filter(|present| present.locked) else { continue };
        let is_whole = !lock.outlets.is_empty() && lock.outlets.len() == lock.written.len();
        if !is_whole || lock.kind == FeedKind::Adaptor || feeds.iter().any(|feed| feed.need == index) {
            continue;
        }
        let first = &input.outlets[lock.outlets[0]];
        let at = |outlet: &usize| feeds.iter().find(|feed| feed.outlets.contains(outlet));
        let shared = lock.outlets.iter().find_map(at).map(|feed| feed.setting_mv);
        let setting = first.settings.first().map(|setting| setting.mv);
        let Some(setting_mv) = shared.or(first.set_mv).or(setting) else { continue };
        all.push(Feed {
            need: index,
            kind: lock.kind,
            outlets: lock.outlets.clone(),
            setting_mv,
            crossing: lock.crossing,
            barrel_adaptor: None,
            socket: None,
        });
    }
    all
}

/// What an outlet gives at a voltage.
fn gives(input: &Input, outlet: usize, mv: i64) -> i64 {
    input.outlets[outlet].settings.iter().find(|setting| setting.mv == mv).map_or(0, |setting| setting.ua)
}

/// Outlets in use with their voltage, in input order.
fn used(input: &Input, feeds: &[Feed]) -> Vec<(usize, i64)> {
    (0..input.outlets.len())
        .filter_map(|outlet| {
            Some((outlet, feeds.iter().find(|feed| feed.outlets.contains(&outlet))?.setting_mv))
        })
        .collect()
}

fn line(input: &Input, feeds: &[Feed], feed: &Feed, now: &Objective) -> FeedLine {
    let need = &input.needs[feed.need];
    let is_own = feed.kind == FeedKind::Adaptor;
    let worst = feed
        .outlets
        .iter()
        .map(|&outlet| {
            let (load, _) = on_outlet(input, feeds, outlet);
            let limit = gives(input, outlet, feed.setting_mv);
            let known = !need.unknown.draw;
            (if known { margin(limit, load) } else { crate::model::WHOLE }, load, limit)
        })
        .min();
    let shares_with = feed
        .outlets
        .iter()
        .flat_map(|&outlet| on_outlet(input, feeds, outlet).1)
        .filter(|&other| other != feed.need)
        .map(|other| input.needs[other].tag.clone())
        .collect();
    FeedLine {
        device: need.tag.clone(),
        kind: feed.kind,
        outlets: feed
            .outlets
            .iter()
            .map(|&outlet| FedBy {
                brick: input.bricks[input.outlets[outlet].brick].tag.clone(),
                outlet: input.outlets[outlet].name.clone(),
                setting_mv: feed.setting_mv,
                sign: input.outlets[outlet].sign,
                distance_mm: input.distances.get(feed.need).and_then(|row| *row.get(outlet)?),
            })
            .collect(),
        socket: feed
            .socket
            .clone()
            .or_else(|| Some(need.adaptor.as_ref().filter(|_| is_own)?.unit.as_ref()?.at.clone())),
        load_ua: worst.map_or(need.current_ua, |(_, load, _)| load),
        limit_ua: worst.map(|(_, _, limit)| limit),
        margin_permille: worst.map(|(margin, _, _)| margin),
        requirement: need.stated.clone(),
        crossing: feed.crossing,
        barrel_adaptor: need.adaptor_on(feed.barrel_adaptor.as_ref()).cloned(),
        is_between_sizes: feed.barrel_adaptor.is_some(),
        shares_with,
        locked: need.lock().is_some(),
        lost: lost(input, feeds, feed),
        why: crate::why::why(input, feeds, feed, now),
        inlet: need.inlet.clone(),
    }
}

/// The terms of the first objective as sentences.
pub(crate) fn looks_of(input: &Input, feeds: &[Feed]) -> Vec<String> {
    looks(input, feeds).into_iter().map(|look| look.words).collect()
}

/// Who of some devices has much gain, and of whom nobody knows.
fn gains(input: &Input, needs: &[usize]) -> String {
    let named = |is_known: bool| -> Vec<&str> {
        let all = needs.iter().map(|&need| &input.needs[need]);
        let some = all.filter(|need| need.loud && need.unknown.gain != is_known);
        some.map(|need| need.tag.as_str()).collect()
    };
    let (loud, open) = (named(true), named(false));
    let has = if loud.len() == 1 { "has" } else { "have" };
    let each = [
        (!loud.is_empty()).then(|| format!("{} {has} much gain", crate::list::list(&loud))),
        (!open.is_empty()).then(|| format!("nobody knows the gain of {}", crate::list::list(&open))),
    ];
    crate::list::list(&each.into_iter().flatten().collect::<Vec<_>>())
}

/// The terms of the first objective, one by one.
fn looks(input: &Input, feeds: &[Feed]) -> Vec<Look> {
    let rules = &input.rules;
    let mut looks = Vec::new();
    let mut say = |what: LookKind, about: String, words: String| looks.push(Look { what, about, words });
    for (outlet, mv) in used(input, feeds) {
        let (load, needs) = on_outlet(input, feeds, outlet);
        let (limit, name) = (gives(input, outlet, mv), input.outlet_name(outlet));
        let known = needs.iter().all(|&need| !input.needs[need].unknown.draw);
        if known && share_of(limit, rules.outlet_look_ppm) < load {
            let words = format!("{name} gives {} of {}", milliamps_text(load), milliamps_text(limit));
            say(LookKind::OutletLoad, name.clone(), words);
        }
        if 1 < needs.len() {
            let tags: Vec<&str> = needs.iter().map(|&need| input.needs[need].tag.as_str()).collect();
            let who = crate::list::list(&tags);
            if rules.shared_look_ua < load {
                let words = format!("{who} share {name} and draw {} together", milliamps_text(load));
                say(LookKind::SharedLoad, name.clone(), words);
            }
            if needs.iter().any(|&need| input.needs[need].loud) {
                let words = format!("{who} share {name}: {}", gains(input, &needs));
                say(LookKind::SharedGain, name.clone(), words);
            }
        }
    }
    for feed in feeds {
        let need = &input.needs[feed.need];
        for (what, words) in of_feed(input, feeds, feed) {
            say(what, need.tag.clone(), words);
        }
    }
    for bank in banks(input, feeds) {
        if share_of(bank.limit_ua, rules.brick_look_ppm) < bank.load_ua {
            let name = format!("{}.{}", bank.brick, bank.bank);
            let words = format!(
                "bank {} of {} gives {} of {}",
                bank.bank,
                bank.brick,
                milliamps_text(bank.load_ua),
                milliamps_text(bank.limit_ua)
            );
            say(LookKind::BankLoad, name, words);
        }
    }
    for brick in bricks(input, feeds) {
        let Some(limit) = brick.limit_nw else { continue };
        if share_of(limit, rules.brick_look_ppm) < brick.load_nw {
            let words =
                format!("{} gives {:.1} W of {:.1} W", brick.brick, watts(brick.load_nw), watts(limit));
            say(LookKind::BrickLoad, brick.brick.clone(), words);
        }
    }
    looks
}

/// What is to be looked at in one feed from outlets: starting, the way there, what was assumed.
fn of_feed(input: &Input, feeds: &[Feed], feed: &Feed) -> Vec<(LookKind, String)> {
    let (need, rules) = (&input.needs[feed.need], &input.rules);
    let mut out = Vec::new();
    let Some(&first) = feed.outlets.first() else { return out };
    let (load, on) = on_outlet(input, feeds, first);
    let own = input.draw_at(feed.need, first, feed.setting_mv);
    let each = feed.outlets.iter().map(|&outlet| gives(input, outlet, feed.setting_mv));
    let given = if feed.kind == FeedKind::ParallelPair { each.sum() } else { each.min().unwrap_or(0) };
    let left = if feed.kind == FeedKind::Single { given - (load - own) } else { given };
    if starves(need, left, rules, 1 < on.len()) {
        let wanted = need.surge_ua.unwrap_or_else(|| {
            let times = i128::from(need.current_ua) * i128::from(rules.surge_ppm);
            i64::try_from((times + i128::from(PPM) - 1) / i128::from(PPM)).unwrap_or(i64::MAX)
        });
        let guess = if need.surge_ua.is_some() { "draws" } else { "may draw" };
        let (wanted, left) = (milliamps_text(wanted), milliamps_text(left));
        let words = format!("{} {guess} {wanted} when it starts and gets at most {left}", need.tag);
        out.push((LookKind::StartSurge, words));
    }
    if way_grade(input, feeds, feed) == Grade::Look {
        let lost = lost_text(input, feeds, feed);
        out.push((LookKind::SupplyDrop, format!("the lead to {} loses {lost}", need.tag)));
    }
    if need.unknown.is_unsure() {
        out.push((LookKind::Assumed, format!("{} is fed on what was assumed of it", need.tag)));
    }
    if need.unknown.draw && given < STRONG_UA {
        let gives = milliamps_text(given);
        let words = format!("nobody knows what {} draws, and its outlet gives {gives}", need.tag);
        out.push((LookKind::UnknownDraw, words));
    }
    if need.unknown.ground && input.outlets[first].joined.is_some() {
        let name = input.outlet_name(first);
        let words =
            format!("nobody knows whether {} has positive ground, and {name} is not isolated", need.tag);
        out.push((LookKind::UnknownGround, words));
    }
    out
}

/// The current along the lead of a feed: all that hangs on a single outlet, its own from a pair.
fn along(input: &Input, feeds: &[Feed], feed: &Feed) -> i64 {
    match feed.outlets.as_slice() {
        [only] => on_outlet(input, feeds, *only).0,
        _ => input.needs[feed.need].current_ua,
    }
}

fn way_grade(input: &Input, feeds: &[Feed], feed: &Feed) -> Grade {
    let current = along(input, feeds, feed);
    dropped(input, feed.need, feed.kind, &feed.outlets, feed.setting_mv, current)
}

/// What a feed loses on the way, where that is known.
fn lost(input: &Input, feeds: &[Feed], feed: &Feed) -> Option<quantity::Volts> {
    let need = &input.needs[feed.need];
    let loops = input.loops_of(feed.need, &feed.outlets).filter(|loops| !loops.is_empty())?;
    let known = !need.ac && !need.unknown.draw;
    known.then(|| volts_from_picovolts(lost_pv(feed.kind, along(input, feeds, feed), &loops)))
}

fn lost_text(input: &Input, feeds: &[Feed], feed: &Feed) -> String {
    let lost = lost(input, feeds, feed).map_or(0.0, quantity::Volts::get);
    let from = if feed.kind == FeedKind::SeriesPair { 2 * feed.setting_mv } else { feed.setting_mv };
    format!("{lost:.2} V of {}", volts_text(from))
}

fn banks(input: &Input, feeds: &[Feed]) -> Vec<BankLine> {
    let used = used(input, feeds);
    input
        .banks
        .iter()
        .enumerate()
        .map(|(index, bank)| BankLine {
            brick: input.bricks[bank.brick].tag.clone(),
            bank: bank.name.clone(),
            load_ua: used
                .iter()
                .filter(|(outlet, _)| input.outlets[*outlet].bank == Some(index))
                .map(|&(outlet, _)| on_outlet(input, feeds, outlet).0)
                .sum(),
            up_to: used.iter().any(|&(outlet, _)| {
                input.outlets[outlet].bank == Some(index) && is_up_to(input, feeds, outlet)
            }),
            load_nw: used
                .iter()
                .filter(|(outlet, _)| input.outlets[*outlet].bank == Some(index))
                .map(|&(outlet, mv)| mv * on_outlet(input, feeds, outlet).0)
                .sum(),
            limit_ua: bank.limit_ua,
        })
        .collect()
}

fn bricks(input: &Input, feeds: &[Feed]) -> Vec<BrickLine> {
    let used = used(input, feeds);
    input
        .bricks
        .iter()
        .enumerate()
        .map(|(index, brick)| {
            let own: Vec<&(usize, i64)> =
                used.iter().filter(|(outlet, _)| input.outlets[*outlet].brick == index).collect();
            let load_nw: i64 = own.iter().map(|(outlet, mv)| mv * on_outlet(input, feeds, *outlet).0).sum();
            BrickLine {
                brick: brick.tag.clone(),
                load_nw,
                up_to: own.iter().any(|(outlet, _)| is_up_to(input, feeds, *outlet)),
                load_ua: own.iter().map(|(outlet, _)| on_outlet(input, feeds, *outlet).0).sum(),
                // P · (1/η − 1).
                heat_nw: takes(brick, load_nw) - load_nw,
                takes_nw: takes(brick, load_nw),
                takes_nva: brick.mains.then(|| crate::totals::apparent(takes(brick, load_nw))),
                mains: brick.mains,
                efficiency_ppm: brick.efficiency_ppm.unwrap_or_else(|| crate::from_rig::ppm(EFFICIENCY)),
                efficiency_assumed: brick.efficiency_assumed,
                intake_nw: brick.intake_nw,
                limit_nw: brick.limit_nw,
                used: own.len(),
                outlets: input.outlets.iter().filter(|outlet| outlet.brick == index).count(),
            }
        })
        .collect()
}

/// Whether nobody knows what a device on an outlet draws.
fn is_up_to(input: &Input, feeds: &[Feed], outlet: usize) -> bool {
    on_outlet(input, feeds, outlet).1.iter().any(|&need| input.needs[need].unknown.draw)
}

/// What a brick takes for what it gives: P / η, with the usual efficiency where nobody wrote it down.
fn takes(brick: &crate::input::Brick, load_nw: i64) -> i64 {
    let known = brick.efficiency_ppm.filter(|part| 0 < *part);
    over(load_nw, known.unwrap_or_else(|| crate::from_rig::ppm(EFFICIENCY)))
}

/// The same at the usual efficiency.
pub(crate) fn usual_taken(load_nw: i64) -> i64 {
    over(load_nw, crate::from_rig::ppm(EFFICIENCY))
}

fn over(load_nw: i64, ppm: i64) -> i64 {
    let wide = i128::from(load_nw) * i128::from(PPM) / i128::from(ppm.max(1));
    i64::try_from(wide).unwrap_or(i64::MAX)
}

fn distances(input: &Input) -> Vec<(String, String, i64)> {
    let mut all = Vec::new();
    for (need, row) in input.distances.iter().enumerate() {
        for (outlet, way) in row.iter().enumerate() {
            all.extend(way.map(|way| (input.needs[need].tag.clone(), input.outlet_name(outlet), way)));
        }
    }
    all
}

pub(crate) fn unserved(
    input: &Input,
    config: &Config,
    dropped: &[usize],
    conflicts: &[Conflict],
) -> Vec<Unserved> {
    let model = Model::new(input, config.means, false);
    let why = |need: usize| {
        let tag = &input.needs[need].tag;
        let conflict = conflicts.iter().find(|conflict| conflict.devices.contains(tag));
        let alone = || model.alone(need).is_empty().then(|| crate::words::alone(input, need)).flatten();
        let taken = || taken(input, need);
        let starved = || starved(input, need, dropped);
        let words = conflict.map(|conflict| conflict.words.clone());
        words.or_else(alone).or_else(starved).unwrap_or_else(taken)
    };
    let mut all: Vec<Unserved> = dropped
        .iter()
        .map(|&need| Unserved { device: input.needs[need].tag.clone(), why: why(need), lacks: Vec::new() })
        .collect();
    all.extend(input.lacks.iter().filter(|lack| lack.unserved).map(|lack| {
        let fields: Vec<String> = lack.fields.iter().map(Field::words).collect();
        Unserved {
            device: lack.device.clone(),
            why: format!("nobody knows {}; without it no outlet can be chosen", crate::list::list(&fields)),
            lacks: lack.fields.clone(),
        }
    }));
    all
}

/// Who has what would suit a device: those that are locked there are named.
fn taken(input: &Input, need: usize) -> String {
    let device = &input.needs[need];
    let suits = |outlet: &usize| {
        let of = &input.outlets[*outlet];
        crate::words::gives(of, device.ac, device.low_mv, device.high_mv)
            .is_some_and(|ua| device.current_ua <= ua)
    };
    let locked_to = |outlet: usize| {
        let there = |other: &&crate::Need| other.lock().is_some_and(|lock| lock.outlets.contains(&outlet));
        let holder = input.needs.iter().find(there)?;
        Some(format!("{} is locked to {}", input.outlet_name(outlet), holder.tag))
    };
    let all: Vec<usize> = (0..input.outlets.len()).filter(suits).collect();
    let held: Vec<String> = all.iter().filter_map(|&outlet| locked_to(outlet)).collect();
    match (all.len(), held.len()) {
        (many, held_by) if 0 < held_by && held_by == many && many <= 3 => crate::list::list(&held),
        _ => "what suits it is taken by others that cannot go elsewhere".to_owned(),
    }
}

/// Only supplies that are not fed themselves could feed a device.
fn starved(input: &Input, need: usize, dropped: &[usize]) -> Option<String> {
    let device = &input.needs[need];
    let suits = |outlet: &&crate::Outlet| {
        crate::words::gives(outlet, device.ac, device.low_mv, device.high_mv).is_some()
    };
    let bricks: BTreeSet<usize> = match device.lock() {
        Some(lock) => lock.outlets.iter().map(|&outlet| input.outlets[outlet].brick).collect(),
        None => input.outlets.iter().filter(suits).map(|outlet| outlet.brick).collect(),
    };
    let is_unfed = |brick: &usize| dropped.iter().any(|&other| input.needs[other].supplies == Some(*brick));
    if bricks.is_empty() || !bricks.iter().all(is_unfed) {
        return None;
    }
    let tags: Vec<&str> = bricks.iter().map(|&brick| input.bricks[brick].tag.as_str()).collect();
    let gets = if tags.len() == 1 { "gets" } else { "get" };
    let tags = crate::list::list(&tags);
    let only = if device.lock().is_some() { "by its lock only" } else { "only" };
    Some(format!("{only} {tags} could feed {}, and {tags} {gets} no feed", device.tag))
}

/// What is not known of outlets, so that they feed nobody or not as they might.
fn unchecked(input: &Input) -> Vec<Unchecked> {
    let of = |(index, outlet): (usize, &crate::Outlet)| {
        let name = input.outlet_name(index);
        let (mut words, mut fields) = (Vec::new(), Vec::new());
        if let Some(unseen) = &outlet.unchecked {
            let ask: Vec<String> = unseen.fields.iter().map(Field::words).collect();
            let nobody = outlet.settings.is_empty();
            let what = if nobody { "feeds nobody" } else { "is used as far as it is known" };
            words.push(format!("{name} {what}; find out {}", crate::list::list(&ask)));
            fields.extend(unseen.fields.iter().cloned());
        }
        if outlet.isolation_unknown {
            words.push(format!("whether {name} is isolated, so it is taken as joined to the others"));
            let of_brick = Field::device(&input.bricks[outlet.brick].tag, "outlet");
            fields.push(of_brick.below(&outlet.name).below("isolation"));
        }
        (!words.is_empty()).then(|| Unchecked {
            brick: input.bricks[outlet.brick].tag.clone(),
            outlet: outlet.name.clone(),
            fields,
            words: words.join("; "),
        })
    };
    input.outlets.iter().enumerate().filter_map(of).collect()
}

/// What feeds reach by each objective, counted anew.
pub fn measure(input: &Input, feeds: &[Feed]) -> Objective {
    let special = feeds
        .iter()
        .map(|feed| {
            let pair = matches!(feed.kind, FeedKind::SeriesPair | FeedKind::ParallelPair);
            let own = feed.kind == FeedKind::Adaptor;
            i64::from(pair)
                + i64::from(own)
                + i64::from(feed.crossing)
                + i64::from(feed.barrel_adaptor.is_some())
        })
        .sum::<i64>();
    let outlets = used(input, feeds);
    let splitters: usize =
        outlets.iter().map(|&(outlet, _)| on_outlet(input, feeds, outlet).1.len().saturating_sub(1)).sum();
    let worst = outlets
        .iter()
        .filter(|(outlet, _)| {
            let (_, needs) = on_outlet(input, feeds, *outlet);
            needs.iter().all(|&need| !input.needs[need].unknown.draw)
        })
        .map(|&(outlet, mv)| margin(gives(input, outlet, mv), on_outlet(input, feeds, outlet).0))
        .min();
    let placed = input.distances.iter().flatten().any(Option::is_some);
    Objective {
        looks: count(looks(input, feeds).len()),
        special: special + count(splitters),
        margin_permille: worst.unwrap_or(crate::model::WHOLE),
        length_mm: placed.then(|| crate::allocate::length_of(input, feeds)),
    }
}
