//! Any allocation against the rules, without anything the solver uses but the input.
//!
//! The rules are written down again here, one by one, as a person would check them with a list in hand.

use std::collections::BTreeMap;

use rig::FeedKind;

pub use crate::breach::{Breach, BreachKind};
use crate::fit::adapted;
use crate::input::Input;
use crate::outcome::{Feed, Objective};

/// What a check came to.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Verdict {
    /// The rules broken; none for an allocation that can be built.
    pub breaches: Vec<Breach>,
    /// Devices without a feed.
    pub unfed: Vec<String>,
    /// What they count for: a locked one more than all that are not.
    pub missing: i64,
    /// What the feeds reach by each objective.
    pub objective: Objective,
}

/// Everything that hangs on one outlet.
#[derive(Default)]
struct Hanging {
    volts: Vec<i64>,
    /// Devices with what they draw here, doubled so that halves stay whole.
    doubled: Vec<(usize, i64)>,
    paired: bool,
}

const MILLION: i128 = 1_000_000;

/// Checks feeds against every rule.
pub fn verify(input: &Input, feeds: &[Feed]) -> Verdict {
    let mut verdict = Verdict::default();
    let mut fed = vec![0_usize; input.needs.len()];
    let mut hanging: BTreeMap<usize, Hanging> = BTreeMap::new();
    for feed in feeds {
        fed[feed.need] += 1;
        check_feed(input, feed, &mut verdict);
        for &outlet in &feed.outlets {
            let on = hanging.entry(outlet).or_default();
            on.volts.push(feed.setting_mv);
            let draw = input.draw_at(feed.need, outlet, feed.setting_mv);
            let doubled = if feed.kind == FeedKind::ParallelPair { draw + draw % 2 } else { 2 * draw };
            on.doubled.push((feed.need, doubled));
            on.paired |= matches!(feed.kind, FeedKind::SeriesPair | FeedKind::ParallelPair);
        }
    }
    for (need, times) in fed.iter().enumerate() {
        match times {
            0 => {
                verdict.unfed.push(input.needs[need].tag.clone());
                let locked = input.needs[need].present.as_ref().is_some_and(|present| present.locked);
                let all = i64::try_from(input.needs.len()).unwrap_or(i64::MAX);
                verdict.missing += if locked { all + 1 } else { 1 };
            }
            1 => {}
            _ => say(&mut verdict, input, &[need], BreachKind::FedTwice),
        }
    }
    let mut margin = 1000;
    for (&outlet, on) in &hanging {
        margin = margin.min(check_outlet(input, outlet, on, &mut verdict));
    }
    check_sums(input, &hanging, &mut verdict);
    check_negatives(input, &hanging, &mut verdict);
    check_chains(input, feeds, &hanging, &mut verdict);
    for feed in feeds {
        check_way(input, feed, &hanging, &mut verdict);
    }
    check_sockets(input, feeds, &mut verdict);
    verdict.objective.margin_permille = margin;
    verdict.objective.special += feeds.iter().map(leads).sum::<i64>();
    let known: Vec<i64> = feeds
        .iter()
        .flat_map(|feed| feed.outlets.iter().filter_map(|&outlet| input.distances.get(feed.need)?[outlet]))
        .collect();
    let placed = input.distances.iter().any(|row| row.iter().any(Option::is_some));
    verdict.objective.length_mm = placed.then(|| known.iter().sum());
    verdict
}

fn say(verdict: &mut Verdict, input: &Input, needs: &[usize], kind: BreachKind) {
    let devices = needs.iter().map(|&need| input.needs[need].tag.clone()).collect();
    verdict.breaches.push(Breach { devices, kind });
}

/// Special leads of one feed, an own adaptor for one of them; splitters are counted at their outlet.
fn leads(feed: &Feed) -> i64 {
    let other = i64::from(feed.outlets.len() == 2 || feed.kind == FeedKind::Adaptor);
    other + i64::from(feed.crossing) + i64::from(feed.barrel_adaptor.is_some())
}

/// One feed by itself: the right number of outlets, of the right nature, voltage, polarity and plug; the lock kept.
fn check_feed(input: &Input, feed: &Feed, verdict: &mut Verdict) {
    let need = &input.needs[feed.need];
    let mut wrong = |kind: BreachKind| say(verdict, input, &[feed.need], kind);
    let count = match feed.kind {
        FeedKind::Single => 1,
        FeedKind::SeriesPair | FeedKind::ParallelPair => 2,
        FeedKind::Adaptor => 0,
    };
    if feed.outlets.len() != count {
        wrong(BreachKind::OutletCount { kind: feed.kind, outlets: feed.outlets.len() });
        return;
    }
    if let Some(lock) = need.present.as_ref().filter(|present| present.locked) {
        let mut named = lock.outlets.clone();
        let mut has = feed.outlets.clone();
        named.sort_unstable();
        has.sort_unstable();
        let moved = named != has || lock.crossing != feed.crossing;
        if lock.kind != feed.kind || (lock.kind != FeedKind::Adaptor && moved) {
            wrong(BreachKind::LockedFeedChanged);
        }
        // What the outlet of a locked feed is set to, where it is known, stays with it.
        if feed
            .outlets
            .iter()
            .any(|&outlet| input.outlets[outlet].set_mv.is_some_and(|mv| mv != feed.setting_mv))
        {
            wrong(BreachKind::LockedOutletReset);
        }
    }
    if feed.kind == FeedKind::Adaptor {
        match &need.adaptor {
            None => wrong(BreachKind::NoAdaptor),
            Some(own) => {
                let Some(unit) = &own.unit else { return };
                if unit.ac == Some(!need.ac) {
                    wrong(BreachKind::MixedCurrents);
                } else if !need.unknown.volts
                    && unit.mv.is_some_and(|mv| mv < need.low_mv || need.high_mv < mv)
                {
                    wrong(BreachKind::AdaptorVoltage);
                } else if !need.ac && !need.unknown.sign && unit.sign.is_some() && unit.sign != need.sign {
                    wrong(BreachKind::Polarity);
                }
            }
        }
        return;
    }
    let volts = if feed.kind == FeedKind::SeriesPair { 2 * feed.setting_mv } else { feed.setting_mv };
    if volts < need.low_mv || need.high_mv < volts {
        wrong(BreachKind::Voltage { arrives_mv: volts, low_mv: need.low_mv, high_mv: need.high_mv });
    }
    let mut barrel = false;
    for &index in &feed.outlets {
        let outlet = &input.outlets[index];
        if outlet.reserved {
            wrong(BreachKind::Reserved);
        }
        if outlet.ac != need.ac {
            wrong(BreachKind::MixedCurrents);
        }
        if input.bricks[outlet.brick].tag == need.tag {
            wrong(BreachKind::OwnOutlet);
        }
        if need.positive_ground && outlet.joined.is_some() {
            wrong(BreachKind::PositiveGround);
        }
        let arrives = if feed.crossing { outlet.sign.map(rig::Sign::crossed) } else { outlet.sign };
        if !need.ac && arrives != need.sign {
            wrong(BreachKind::Polarity);
        }
        match adapted(outlet.connector.as_ref(), need.connector.as_ref()) {
            None => wrong(BreachKind::Plug),
            Some(adaptor) => barrel |= adaptor,
        }
    }
    if barrel != feed.barrel_adaptor.is_some() {
        wrong(BreachKind::BarrelAdaptor);
    }
    // One plug is written for both legs of a pair, unless its lead is there or the builder's own matter.
    let is_own = need.present.as_ref().is_some_and(|present| present.locked || present.made);
    let connectors = || feed.outlets.iter().map(|&outlet| &input.outlets[outlet].connector);
    if !is_own && connectors().any(|connector| Some(connector) != connectors().next()) {
        wrong(BreachKind::Plug);
    }
    if let [a, b] = feed.outlets[..] {
        let (first, second) = (&input.outlets[a], &input.outlets[b]);
        let series = feed.kind == FeedKind::SeriesPair;
        let leave = [first, second].iter().all(|o| if series { o.series } else { o.parallel } == Some(true));
        let direct = !first.ac && !second.ac;
        if a == b
            || !leave
            || !direct
            || first.joined.is_some()
            || second.joined.is_some()
            || first.sign != second.sign
        {
            wrong(BreachKind::NotJoinable);
        }
        if !series && first.brick != second.brick {
            wrong(BreachKind::ParallelAcrossBricks);
        }
    }
    if need.unknown.draw && feed.kind == FeedKind::ParallelPair {
        wrong(BreachKind::UnknownHalved);
    }
}

#[expect(clippy::cast_precision_loss, reason = "microvolts of a supply are small beside what a double holds")]
/// What depends on the company as well: starting, what is lost on the way, what was assumed.
fn check_way(input: &Input, feed: &Feed, hanging: &BTreeMap<usize, Hanging>, verdict: &mut Verdict) {
    let need = &input.needs[feed.need];
    let Some(&first) = feed.outlets.first() else { return };
    let gives = feed.outlets.iter().map(|&outlet| limit(input, outlet, feed.setting_mv));
    let given = if feed.kind == FeedKind::ParallelPair { gives.sum() } else { gives.min().unwrap_or(0) };
    // A measured surge wants what the others leave. A digital device, or one nobody knows to be analogue, that was not
    // measured wants more than it draws.
    let on = |outlet: &usize| hanging.get(outlet).map_or(&[][..], |on| &on.doubled[..]);
    let others: i64 =
        on(&first).iter().filter(|(other, _)| *other != feed.need).map(|(_, doubled)| doubled / 2).sum();
    let shared = 1 < on(&first).len();
    let wanted = match need.surge_ua {
        Some(surge) => i128::from(surge) * MILLION,
        None if !shared && need.alone && !need.unknown.draw => {
            i128::from(need.current_ua) * i128::from(input.rules.surge_ppm)
        }
        None => 0,
    };
    verdict.objective.looks += i64::from(i128::from(given - others) * MILLION < wanted);
    // Each thing assumed is a look, and so is an unknown draw on a weak outlet.
    let unknown = need.unknown;
    verdict.objective.looks += i64::from(unknown.draw || unknown.volts || unknown.sign);
    verdict.objective.looks += i64::from(unknown.draw && given < 500_000);
    verdict.objective.looks += i64::from(unknown.ground && input.outlets[first].joined.is_some());
    // Ohm's law along the lead, in microvolts: all the current of the outlet, 30 mΩ of contacts on each lead.
    let ohms: Vec<f64> = feed
        .outlets
        .iter()
        .filter_map(|&outlet| Some((*input.loops.get(feed.need)?.get(outlet)?)? as f64))
        .collect();
    if need.ac || unknown.draw || ohms.len() != feed.outlets.len() {
        return;
    }
    let own = need.current_ua + if feed.outlets.len() == 1 { others } else { 0 };
    let (current, contacts) = (own as f64 / 1e6, 30_000.0);
    let lost = match feed.kind {
        FeedKind::SeriesPair => current * (ohms.iter().sum::<f64>() + contacts),
        FeedKind::ParallelPair => current / 2.0 * (ohms.iter().sum::<f64>() / 2.0 + contacts),
        _ => current * (ohms[0] + contacts),
    };
    let volts = if feed.kind == FeedKind::SeriesPair { 2.0 } else { 1.0 } * feed.setting_mv as f64 * 1000.0;
    let share = input.rules.drop_look_ppm as f64 / 1e6;
    let low = need.low_mv as f64 * 1000.0 * (1.0 - share);
    // A microvolt is nothing: the sums of doubles are no nearer.
    if volts - lost < low - 1.0 {
        let given_mv = if feed.kind == FeedKind::SeriesPair { 2 * feed.setting_mv } else { feed.setting_mv };
        say(verdict, input, &[feed.need], BreachKind::Lost { lost: lost / 1e6, given_mv });
    } else if volts * share + 1e-3 < lost {
        verdict.objective.looks += 1;
    }
}

/// No ring of bricks, nobody on a brick that goes without, and no brick that gives more than it takes.
fn check_chains(input: &Input, feeds: &[Feed], hanging: &BTreeMap<usize, Hanging>, verdict: &mut Verdict) {
    for (index, brick) in input.bricks.iter().enumerate() {
        let own = hanging.iter().filter(|(outlet, _)| input.outlets[**outlet].brick == index);
        let given: i64 = own
            .map(|(_, on)| on.volts[0] * (on.doubled.iter().map(|(_, doubled)| doubled).sum::<i64>() / 2))
            .sum();
        if brick.intake_nw.is_some_and(|gives| gives < given) {
            let kind = BreachKind::IntakeOverloaded { brick: brick.tag.clone(), drawn_nw: given };
            verdict.breaches.push(Breach { devices: Vec::new(), kind });
        }
        let needs = || (0..input.needs.len()).filter(|&need| input.needs[need].supplies == Some(index));
        if 0 < given && needs().any(|need| feeds.iter().all(|feed| feed.need != need)) {
            let kind = BreachKind::BrickUnfed { brick: brick.tag.clone() };
            verdict.breaches.push(Breach { devices: Vec::new(), kind });
        }
        // Upstream as often as there are bricks: whoever comes back to where it began is in a ring.
        let mut at = vec![index];
        for _ in 0..input.bricks.len() {
            at = at
                .iter()
                .flat_map(|brick| feeds.iter().filter(|feed| input.needs[feed.need].supplies == Some(*brick)))
                .flat_map(|feed| &feed.outlets)
                .map(|&outlet| input.outlets[outlet].brick)
                .collect();
            at.dedup();
            if at.contains(&index) {
                let kind = BreachKind::Ring { brick: brick.tag.clone() };
                verdict.breaches.push(Breach { devices: Vec::new(), kind });
                break;
            }
        }
    }
}

/// What an outlet gives at a voltage; zero when it cannot be set to it.
fn limit(input: &Input, outlet: usize, mv: i64) -> i64 {
    let settings = &input.outlets[outlet].settings;
    settings.iter().filter(|setting| setting.mv == mv).map(|setting| setting.ua).next().unwrap_or(0)
}

/// One outlet with all that hangs on it; its margin in thousandths.
fn check_outlet(input: &Input, outlet: usize, on: &Hanging, verdict: &mut Verdict) -> i64 {
    let needs: Vec<usize> = on.doubled.iter().map(|(need, _)| *need).collect();
    let mv = on.volts[0];
    let rules = &input.rules;
    if on.volts.iter().any(|other| *other != mv) {
        say(verdict, input, &needs, BreachKind::TwoVoltages);
    }
    let limit = limit(input, outlet, mv);
    let load = on.doubled.iter().map(|(_, doubled)| doubled).sum::<i64>() / 2;
    let over = |ppm: i64| i128::from(limit) * i128::from(ppm) < i128::from(load) * MILLION;
    if over(rules.outlet_stop_ppm) {
        say(verdict, input, &needs, BreachKind::OutletOverloaded { drawn_ua: load, given_ua: limit });
    }
    let unknown = needs.iter().any(|&need| input.needs[need].unknown.draw);
    verdict.objective.looks += i64::from(!unknown && over(rules.outlet_look_ppm));
    if 1 < needs.len() {
        let devices: Vec<_> = needs.iter().map(|&need| &input.needs[need]).collect();
        if on.paired {
            say(verdict, input, &needs, BreachKind::PairedShared);
        }
        if rules.share_most < needs.len() {
            say(verdict, input, &needs, BreachKind::TooManyShare { most: rules.share_most });
        }
        // Who stands together by a lock, or on a lead that is made, stays together.
        let together = |need: &crate::Need| {
            need.present
                .as_ref()
                .is_some_and(|present| present.locked || (present.made && present.outlets.contains(&outlet)))
        };
        let apart = |need: &crate::Need| {
            let unknown = need.unknown;
            unknown.draw || unknown.volts || unknown.sign || unknown.ground
        };
        let kept = devices.iter().all(|need| together(need) && !need.unknown.draw);
        if !kept && devices.iter().any(|need| apart(need)) {
            say(verdict, input, &needs, BreachKind::UnknownShared);
        }
        if devices.iter().any(|need| need.alone || need.ac || need.positive_ground) {
            say(verdict, input, &needs, BreachKind::AloneShared);
        }
        if devices.iter().any(|need| need.sign != devices[0].sign) {
            say(verdict, input, &needs, BreachKind::PolaritiesShared);
        }
        verdict.objective.looks += i64::from(rules.shared_look_ua < load);
        verdict.objective.looks += i64::from(devices.iter().any(|need| need.loud));
        verdict.objective.special += i64::try_from(needs.len()).unwrap_or(i64::MAX) - 1;
    }
    if unknown {
        return 1000;
    }
    if limit == 0 { 0 } else { ((limit - load) * 1000).div_euclid(limit) }
}

/// Banks in current, bricks in power.
fn check_sums(input: &Input, hanging: &BTreeMap<usize, Hanging>, verdict: &mut Verdict) {
    let load = |on: &Hanging| on.doubled.iter().map(|(_, doubled)| doubled).sum::<i64>() / 2;
    let mut judge = |found: i64, limit: i64, kind: BreachKind| {
        let over = |ppm: i64| i128::from(limit) * i128::from(ppm) < i128::from(found) * MILLION;
        if over(input.rules.brick_stop_ppm) {
            verdict.breaches.push(Breach { devices: Vec::new(), kind });
        }
        verdict.objective.looks += i64::from(over(input.rules.brick_look_ppm));
    };
    for (index, bank) in input.banks.iter().enumerate() {
        let own = hanging.iter().filter(|(outlet, _)| input.outlets[**outlet].bank == Some(index));
        let (drawn_ua, given_ua) = (own.map(|(_, on)| load(on)).sum(), bank.limit_ua);
        judge(drawn_ua, given_ua, BreachKind::BankOverloaded { bank: bank.name.clone(), drawn_ua, given_ua });
    }
    for (index, brick) in input.bricks.iter().enumerate() {
        let Some(given_nw) = brick.limit_nw else { continue };
        let own = hanging.iter().filter(|(outlet, _)| input.outlets[**outlet].brick == index);
        let drawn_nw = own.map(|(_, on)| on.volts[0] * load(on)).sum();
        judge(
            drawn_nw,
            given_nw,
            BreachKind::BrickOverloaded { brick: brick.tag.clone(), drawn_nw, given_nw },
        );
    }
}

/// Outlets with one negative: whoever must be alone is the only device on all of them.
fn check_negatives(input: &Input, hanging: &BTreeMap<usize, Hanging>, verdict: &mut Verdict) {
    let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (&outlet, on) in hanging {
        if let Some(group) = input.outlets[outlet].joined {
            groups.entry(group).or_default().extend(on.doubled.iter().map(|(need, _)| *need));
        }
    }
    for needs in groups.values() {
        if 1 < needs.len() && needs.iter().any(|&need| input.needs[need].alone) {
            say(verdict, input, needs, BreachKind::NegativeShared);
        }
    }
}

/// No socket of a strip twice, none that is taken.
fn check_sockets(input: &Input, feeds: &[Feed], verdict: &mut Verdict) {
    for (strip_index, strip) in input.strips.iter().enumerate() {
        let mut covered = 0;
        let mut named: Vec<&String> = Vec::new();
        for feed in feeds.iter().filter(|feed| feed.kind == FeedKind::Adaptor) {
            let Some(at) = feed.socket.as_ref().filter(|at| at.device == strip.tag) else { continue };
            covered += input.needs[feed.need].adaptor.as_ref().map_or(1, |adaptor| adaptor.takes);
            named.push(&at.port);
        }
        // The sockets that devices sit in now are theirs, beside those that are free.
        let mut sockets: Vec<&String> = strip.free.iter().collect();
        for (at, name) in input.needs.iter().filter_map(|need| need.adaptor.as_ref()?.socket.as_ref()) {
            if *at == strip_index && !sockets.contains(&name) {
                sockets.push(name);
            }
        }
        let there_are = i64::try_from(sockets.len()).unwrap_or(i64::MAX);
        named.sort();
        let twice = named.windows(2).any(|pair| pair[0] == pair[1]);
        if twice || there_are < covered {
            let kind = BreachKind::TooFewSockets { strip: strip.tag.clone() };
            verdict.breaches.push(Breach { devices: Vec::new(), kind });
        }
    }
}
