//! What each outlet gives and has left, and what strips and inlets must give for it.

use rig::FeedKind;

use crate::from_rig::ppm;
use crate::input::{Input, PPM, Setting};
use crate::mains::POWER_FACTOR;
use crate::model::margin;
use crate::outcome::{BrickLine, Feed, MainsLine, OutletLine};
use crate::report::on_outlet;

/// Every outlet with what hangs on it: what it gives, what is free, what share that is.
pub(crate) fn outlets(input: &Input, feeds: &[Feed]) -> Vec<OutletLine> {
    (0..input.outlets.len())
        .filter(|&outlet| !input.outlets[outlet].settings.is_empty())
        .map(|outlet| line(input, feeds, outlet))
        .collect()
}

fn line(input: &Input, feeds: &[Feed], index: usize) -> OutletLine {
    let outlet = &input.outlets[index];
    let fed = feeds.iter().find(|feed| feed.outlets.contains(&index)).map(|feed| feed.setting_mv);
    let is_set = |setting: &&Setting| fed.or(outlet.set_mv) == Some(setting.mv);
    let setting = outlet.settings.iter().find(is_set).or(outlet.settings.first());
    let (mv, limit_ua) = setting.map_or((0, 0), |setting| (setting.mv, setting.ua));
    let (load_ua, needs) = on_outlet(input, feeds, index);
    OutletLine {
        brick: input.bricks[outlet.brick].tag.clone(),
        outlet: outlet.name.clone(),
        setting_mv: mv,
        devices: needs.iter().map(|&need| input.needs[need].tag.clone()).collect(),
        load_ua,
        up_to: needs.iter().any(|&need| input.needs[need].unknown.draw),
        limit_ua,
        free_ua: limit_ua - load_ua,
        margin_permille: margin(limit_ua, load_ua),
        load_nw: mv.saturating_mul(load_ua),
        kept: outlet.reserved,
    }
}

/// Apparent power for real power, both in thousand-millionths: P / pf.
pub(crate) fn apparent(nw: i64) -> i64 {
    let wide = i128::from(nw) * i128::from(PPM) / i128::from(ppm(POWER_FACTOR).max(1));
    i64::try_from(wide).unwrap_or(i64::MAX)
}

/// Microamperes at the mains voltage of the job, where that is known.
pub(crate) fn at_mains(input: &Input, nva: i64) -> Option<i64> {
    input.mains_mv.filter(|mv| 0 < *mv).map(|mv| nva / mv)
}

/// What every strip, inlet and wall outlet on the way of a mains lead must give, in the order of the document; last, under no
/// name, the whole rig.
pub(crate) fn mains(input: &Input, feeds: &[Feed], bricks: &[BrickLine]) -> Vec<MainsLine> {
    let mut at: Vec<&str> = Vec::new();
    for tag in input.mains.iter().map(|(from, _)| from).chain(input.strips.iter().map(|strip| &strip.tag)) {
        if !at.contains(&tag.as_str()) {
            at.push(tag);
        }
    }
    let mut lines: Vec<MainsLine> = at
        .into_iter()
        .map(|tag| {
            let beyond = beyond(input, tag);
            total(input, feeds, bricks, Some(tag), |other| beyond.iter().any(|tag| tag == other))
        })
        .collect();
    lines.push(total(input, feeds, bricks, None, |_| true));
    lines
}

/// A point of the mains and everything that hangs on it, through strips as well.
fn beyond(input: &Input, tag: &str) -> Vec<String> {
    let mut found = vec![tag.to_owned()];
    let mut place = 0;
    while place < found.len() {
        let next: Vec<String> = input
            .mains
            .iter()
            .filter(|(from, to)| *from == found[place] && !found.contains(to))
            .map(|(_, to)| to.clone())
            .collect();
        for to in next {
            if !found.contains(&to) {
                found.push(to);
            }
        }
        place += 1;
    }
    found
}

fn total(
    input: &Input,
    feeds: &[Feed],
    bricks: &[BrickLine],
    tag: Option<&str>,
    holds: impl Fn(&str) -> bool,
) -> MainsLine {
    let mut takers = Vec::new();
    let (mut load_nw, mut up_to) = (0_i64, false);
    // A brick that hangs on another, or nowhere on the mains, takes nothing from it.
    let own = bricks.iter().filter(|brick| brick.intake_nw.is_none() && brick.mains && holds(&brick.brick));
    for brick in own {
        takers.push(brick.brick.clone());
        load_nw = load_nw.saturating_add(brick.takes_nw);
        up_to |= brick.up_to;
    }
    for feed in feeds.iter().filter(|feed| feed.kind == FeedKind::Adaptor) {
        let need = &input.needs[feed.need];
        if feed.socket.as_ref().map_or(tag.is_none(), |socket| holds(&socket.device)) {
            takers.push(need.tag.clone());
            up_to |= need.unknown.draw;
            load_nw = load_nw
                .saturating_add(crate::report::usual_taken(need.low_mv.saturating_mul(need.current_ua)));
        }
    }
    let load_nva = apparent(load_nw);
    MainsLine {
        at: tag.map(str::to_owned),
        takers,
        load_nw,
        up_to,
        load_nva,
        load_ua: at_mains(input, load_nva),
        mains_mv: input.mains_mv,
    }
}
