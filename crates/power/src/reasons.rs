//! The true reason why several devices cannot be served together, where it is another than numbers: a lock, a polarity, a
//! ground, something that nobody knows.

use std::collections::BTreeSet;

use rig::Sign;

use crate::allocate::{Meter, ask_all};
use crate::assignment::Unwatched;
use crate::change::CureStep;
use crate::config::Config;
use crate::input::{Input, Need, Unknown, milliamps_text, watts, watts_apart};
use crate::list::{list, number};
use crate::lossy::is_lossy;
use crate::remade::Remade;
use crate::words::{gives, some, windows};

/// The plain reason, when there is one: what would be otherwise without it.
pub(crate) fn plain(input: &Input, set: &[usize]) -> Option<String> {
    let needs: Vec<&Need> = set.iter().map(|&need| &input.needs[need]).collect();
    ring(input, &needs)
        .or_else(|| each_other(input, &needs))
        .or_else(|| made(input, set))
        .or_else(|| locks(input, set).filter(|_| is_of_locks(input, set)))
        .or_else(|| lost(input, set))
        .or_else(|| company(input, set, fewer_than(input, &needs)?))
        .or_else(|| chain(input, &needs))
}

/// What one question may cost, in search nodes: what is not found to be a reason within them is not told as one.
const NODES: u64 = 500;

/// What no board draws: a thousand amperes.
const MORE_THAN_ANY_UA: i64 = 1_000_000_000;

/// Whether the devices of a set could all be served, were something otherwise.
fn would(input: &Input, set: &[usize], otherwise: impl Fn(&mut Need)) -> bool {
    let mut part = input.only(set);
    part.needs.iter_mut().for_each(otherwise);
    ask_all(&part, &Config::standard(), &Meter::new(NODES, &Unwatched)).all == Some(true)
}

fn unlocked(need: &mut Need) {
    if let Some(present) = &mut need.present {
        present.locked = false;
    }
}

/// One that draws next to nothing.
fn light(need: &mut Need) {
    (need.current_ua, need.surge_ua) = (1, None);
}

/// Supplies whose locked feeds go round in a ring, the first of the devices among them.
pub(crate) fn ring(input: &Input, needs: &[&Need]) -> Option<String> {
    let feeder = |need: &Need| {
        let outlet = *need.lock()?.outlets.first()?;
        let brick = input.outlets[outlet].brick;
        input.needs.iter().find(|other| other.supplies == Some(brick))
    };
    let mut tags = needs.iter().filter(|need| need.supplies.is_some()).find_map(|&first| {
        let mut round = vec![first.tag.as_str()];
        let mut next = feeder(first)?;
        while next.tag != first.tag {
            if round.contains(&next.tag.as_str()) {
                return None;
            }
            round.push(&next.tag);
            next = feeder(next)?;
        }
        Some(round)
    })?;
    tags.sort_unstable();
    Some(match tags.as_slice() {
        [one] => format!("{one} is locked to its own outlet"),
        [_, _] => format!("{} are locked to each other in a ring, so neither gets anything", list(&tags)),
        _ => format!("{} are locked to each other in a ring, so none of them gets anything", list(&tags)),
    })
}

/// Supplies that could be fed by one another only, and by nothing that has anything to give.
pub(crate) fn each_other(input: &Input, needs: &[&Need]) -> Option<String> {
    let first = needs.iter().find(|need| need.supplies.is_some() && need.lock().is_none())?;
    let mut round: Vec<&Need> = vec![first];
    let mut at = 0;
    while at < round.len() {
        let need = round[at];
        at += 1;
        for outlet in &input.outlets {
            if gives(outlet, need.ac, need.low_mv, need.high_mv).is_none() {
                continue;
            }
            let feeder = input.needs.iter().find(|other| other.supplies == Some(outlet.brick));
            // One that hangs on nothing else has something to give.
            let feeder = feeder?;
            if round.iter().all(|known| known.tag != feeder.tag) {
                round.push(feeder);
            }
        }
    }
    let mut tags: Vec<&str> = round.iter().map(|need| need.tag.as_str()).collect();
    tags.sort_unstable();
    match tags.as_slice() {
        [_] => None,
        [_, _] => Some(format!("{} could only feed each other, and nothing feeds either", list(&tags))),
        _ => Some(format!("{} could only feed one another, and nothing feeds any of them", list(&tags))),
    }
}

/// Whether locks are why: all of the devices have one, or could be served without.
fn is_of_locks(input: &Input, set: &[usize]) -> bool {
    set.iter().all(|&need| input.needs[need].lock().is_some()) || would(input, set, unlocked)
}

/// Leads that are made lose too much as they were cut: made anew as long as they must be, all of the devices could be served.
/// As few of them as make the difference are named.
pub(crate) fn made(input: &Input, set: &[usize]) -> Option<String> {
    let is_of = |remade: &&Remade| {
        let devices = remade.devices();
        set.iter().any(|&need| devices.contains(&input.needs[need].tag))
    };
    let mut leads: Vec<&Remade> =
        input.remade.iter().filter(is_of).filter(|lead| is_lossy(input, lead)).collect();
    let part = input.only(set);
    let served = |leads: &[&Remade]| {
        let each = leads.iter().map(|lead| CureStep::Remake { lead: lead.lead.clone(), cable: None });
        let (anew, config) = CureStep::Several(each.collect()).apply(&part, &Config::standard());
        ask_all(&anew, &config, &Meter::new(NODES, &Unwatched)).all == Some(true)
    };
    if leads.is_empty() || !served(&leads) {
        return None;
    }
    let mut place = 0;
    while place < leads.len() && 1 < leads.len() {
        let gone = leads.remove(place);
        if !served(&leads) {
            leads.insert(place, gone);
            place += 1;
        }
    }
    let each =
        leads.iter().map(|lead| format!("{} of {}, {}", lead.tag, list(&lead.devices()), lead.cut_words()));
    let each: Vec<String> = each.collect();
    Some(match each.as_slice() {
        [one] => format!("too much of the voltage is lost along lead {one}: make it anew, shorter"),
        several => {
            format!(
                "too much of the voltage is lost along leads {}: make them anew, shorter",
                several.join("; and ")
            )
        }
    })
}

/// Whether all of some devices could be served, were nothing lost along the leads.
pub(crate) fn is_of_loss(input: &Input, set: &[usize]) -> bool {
    let mut part = input.only(set);
    part.loops.iter_mut().flatten().for_each(|uohm| *uohm = None);
    ask_all(&part, &Config::standard(), &Meter::new(NODES, &Unwatched)).all == Some(true)
}

/// Along the leads too much of the voltage is lost: with shorter or thicker ones they could be served.
fn lost(input: &Input, set: &[usize]) -> Option<String> {
    if input.outlets.iter().enumerate().all(|(outlet, _)| !crate::model::loses(input, outlet)) {
        return None;
    }
    let served = is_of_loss(input, set);
    let needs: Vec<&Need> = set.iter().map(|&need| &input.needs[need]).collect();
    let sum = milliamps_text(needs.iter().map(|need| need.current_ua).sum());
    served.then(|| {
        format!(
            "{} draw {sum} together, and along their leads too much of the voltage is lost: \
             take thicker cable or move them nearer",
            some(&tags(&needs))
        )
    })
}

/// Locked feeds take what the others want.
pub(crate) fn locks(input: &Input, set: &[usize]) -> Option<String> {
    let needs: Vec<&Need> = set.iter().map(|&need| &input.needs[need]).collect();
    let (locked, free): (Vec<&Need>, Vec<&Need>) =
        needs.iter().copied().partition(|need| need.lock().is_some());
    if locked.is_empty() {
        return None;
    }
    let mut places: Vec<(&[String], Vec<&str>)> = Vec::new();
    for need in &locked {
        let Some(lock) = need.lock() else { continue };
        match places.iter_mut().find(|(written, _)| *written == lock.written.as_slice()) {
            Some((_, tags)) => tags.push(&need.tag),
            None => places.push((&lock.written, vec![&need.tag])),
        }
    }
    let is = |tags: &[&str]| if tags.len() == 1 { "is" } else { "are" };
    let held: Vec<String> = places
        .iter()
        .map(|(written, tags)| format!("{} {} locked to {}", list(tags), is(tags), list(written)))
        .collect();
    let held = list(&held);
    Some(match free.as_slice() {
        [] => match locked_together(input, set) {
            Some(why) => format!("{held}, and {why}"),
            None => format!("{held}, and that does not go together"),
        },
        [one] => format!("{held}, and nothing else suits {}", one.tag),
        several => format!("{held}, and what is left is not enough for {}", some(&tags(several))),
    })
}

/// Why devices that are locked to the same outlets do not go together.
fn locked_together(input: &Input, set: &[usize]) -> Option<String> {
    let needs: Vec<&Need> = set.iter().map(|&need| &input.needs[need]).collect();
    let first = &needs.first()?.lock()?.outlets;
    if !needs.iter().all(|need| need.lock().is_some_and(|lock| lock.outlets == *first)) {
        return None;
    }
    let most = input.rules.share_most;
    if most < needs.len() {
        return Some(format!("no more than {} may share one outlet", number(most)));
    }
    let open: Vec<&str> = names(&needs, |need| need.unknown.draw);
    if !open.is_empty() {
        let draws = if open.len() == 1 { "draws" } else { "draw" };
        return Some(format!("nobody knows what {} {draws}: find that out", list(&open)));
    }
    let grounds: Vec<&str> = names(&needs, |need| need.positive_ground);
    if !grounds.is_empty() && 1 < needs.len() {
        let has = if grounds.len() == 1 { "has" } else { "have" };
        return Some(format!("{} {has} positive ground and cannot share", list(&grounds)));
    }
    let alone: Vec<&str> = names(&needs, |need| need.alone);
    if !alone.is_empty() && would(input, set, |need| need.alone = false) {
        return Some(format!("{} must be alone on an outlet", list(&alone)));
    }
    let negative = names(&needs, |need| need.sign == Some(Sign::CentreNegative)).len();
    if 0 < negative && negative < needs.len() {
        return Some("their polarities differ".to_owned());
    }
    let sum: i64 = needs.iter().map(|need| need.current_ua).sum();
    let each = first.iter().flat_map(|&outlet| &input.outlets[outlet].settings);
    let most = each.map(|setting| setting.ua).max()?;
    let (sum, most) = (milliamps_text(sum), milliamps_text(most));
    would(input, set, light).then(|| format!("they draw {sum} together where {most} are given"))
}

/// The number of outlets that suit any of them, when it is less than that of the devices.
fn fewer_than(input: &Input, needs: &[&Need]) -> Option<usize> {
    let suits = |outlet: &&crate::Outlet| {
        needs.iter().any(|need| gives(outlet, need.ac, need.low_mv, need.high_mv).is_some())
    };
    let outlets = input.outlets.iter().filter(suits).count();
    (outlets < needs.len()).then_some(outlets)
}

/// Why they may not share: told of the outlets that there are too few of.
fn company(input: &Input, set: &[usize], outlets: usize) -> Option<String> {
    let needs: Vec<&Need> = set.iter().map(|&need| &input.needs[need]).collect();
    let needs = needs.as_slice();
    if needs.iter().any(|need| need.ac) || outlets == 0 {
        return None;
    }
    let there = if outlets == 1 {
        format!("one outlet gives {}", windows(needs))
    } else {
        format!("only {} outlets give {}", number(outlets), windows(needs))
    };
    let unsure: Vec<&str> = names(needs, |need| need.unknown.is_unsure());
    let sure = |need: &mut Need| {
        need.unknown =
            Unknown { ground: need.unknown.ground, class: need.unknown.class, ..Unknown::default() };
    };
    if !unsure.is_empty() && would(input, set, sure) {
        return Some(format!(
            "nobody knows what {} need{}, so {} cannot share an outlet, and {there} for {}",
            list(&unsure),
            if unsure.len() == 1 { "s" } else { "" },
            if unsure.len() == 1 { "it" } else { "they" },
            some(&tags(needs))
        ));
    }
    let grounds: Vec<&str> = names(needs, |need| need.positive_ground);
    if !grounds.is_empty() && would(input, set, |need| need.positive_ground = false) {
        let has = if grounds.len() == 1 { "has" } else { "have" };
        return Some(format!(
            "{} {has} positive ground and cannot share, and {there} for {}",
            list(&grounds),
            some(&tags(needs))
        ));
    }
    let negative: Vec<&str> = names(needs, |need| need.sign == Some(Sign::CentreNegative));
    let positive: Vec<&str> = names(needs, |need| need.sign == Some(Sign::CentrePositive));
    let one_way = |need: &mut Need| need.sign = Some(Sign::CentreNegative);
    if !negative.is_empty() && !positive.is_empty() && would(input, set, one_way) {
        let are = |tags: &[&str]| if tags.len() == 1 { "is" } else { "are" };
        return Some(format!(
            "{} {} centre negative and {} {} centre positive, so they cannot share, and {there}",
            list(&negative),
            are(&negative),
            list(&positive),
            are(&positive)
        ));
    }
    let unknown: Vec<&str> = names(needs, |need| need.unknown.ground);
    if !unknown.is_empty() && would(input, set, |need| need.unknown.ground = false) {
        let has = if unknown.len() == 1 { "has" } else { "have" };
        return Some(format!(
            "nobody knows whether {} {has} positive ground, so they do not share, and {there} for {}",
            list(&unknown),
            some(&tags(needs))
        ));
    }
    let may_share = needs.iter().all(|need| !need.alone) && would(input, set, light);
    may_share.then(|| too_much(input, needs, outlets)).flatten()
}

/// They may share, and draw too much for the outlets that suit them.
fn too_much(input: &Input, needs: &[&Need], outlets: usize) -> Option<String> {
    let sum: i64 = needs.iter().map(|need| need.current_ua).sum();
    let low = needs.iter().map(|need| need.low_mv).min()?;
    let high = needs.iter().map(|need| need.high_mv).max()?;
    let least = needs.iter().map(|need| need.current_ua).min()?;
    let each: Vec<i64> = input.outlets.iter().filter_map(|outlet| gives(outlet, false, low, high)).collect();
    let most = each.iter().copied().max()?;
    // One that is too weak for any of them is another reason, and so is a limit of the brick.
    if each.iter().any(|&ua| ua < least) || outlets == 1 && sum <= most {
        return None;
    }
    let (who, window) = (some(&tags(needs)), windows(needs));
    let (sum, most) = (milliamps_text(sum), milliamps_text(most));
    Some(if outlets == 1 {
        format!("{who} draw {sum} together, and the one outlet that gives {window} gives {most}")
    } else {
        format!(
            "{who} draw {sum} together, and however they share the {} outlets that give {window}, one of these would give more than it can: {most} at most",
            number(outlets)
        )
    })
}

/// A supply that hangs on another gives no more than it takes.
fn chain(input: &Input, needs: &[&Need]) -> Option<String> {
    let draws = |brick: usize| -> i64 {
        let fed = |need: &&&Need| {
            let own = |outlet: &&crate::Outlet| gives(outlet, need.ac, need.low_mv, need.high_mv).is_some();
            let mut suiting = input.outlets.iter().filter(own).peekable();
            suiting.peek().is_some() && suiting.all(|outlet| outlet.brick == brick)
        };
        needs.iter().filter(fed).map(|need| need.low_mv * need.current_ua).sum()
    };
    input.bricks.iter().enumerate().find_map(|(index, brick)| {
        let gives = brick.intake_nw?;
        let wanted = draws(index);
        let (want, most) = watts_apart(wanted, gives);
        (gives < wanted).then(|| {
            format!(
                "{} want {want} from {}, which gives at most {most} on what it takes itself",
                some(&tags(needs)),
                brick.tag
            )
        })
    })
}

/// Bricks, or banks, give enough in all and none of them enough for its part of them, however they are spread.
pub(crate) fn spread(input: &Input, set: &[usize]) -> Option<String> {
    let served = |lift: &dyn Fn(&mut Input)| {
        let mut part = input.only(set);
        lift(&mut part);
        ask_all(&part, &Config::standard(), &Meter::new(NODES, &Unwatched)).all == Some(true)
    };
    let needs: Vec<&Need> = set.iter().map(|&need| &input.needs[need]).collect();
    let suits = |outlet: &&crate::Outlet| {
        needs.iter().any(|need| gives(outlet, need.ac, need.low_mv, need.high_mv).is_some())
    };
    let suiting = || input.outlets.iter().filter(suits);
    let (each, limits): (Vec<String>, Vec<String>) =
        if served(&|part| part.bricks.iter_mut().for_each(|brick| brick.limit_nw = None)) {
            let bricks: BTreeSet<usize> = suiting().map(|outlet| outlet.brick).collect();
            let limit = |brick: &usize| {
                let brick = &input.bricks[*brick];
                Some(format!("{} ({:.1} W)", brick.tag, watts(brick.limit_nw?)))
            };
            let draw = |need: &&Need| format!("{:.1} W", watts(need.low_mv * need.current_ua));
            (needs.iter().map(draw).collect(), bricks.iter().filter_map(limit).collect())
        } else if served(&|part| part.banks.iter_mut().for_each(|bank| bank.limit_ua = MORE_THAN_ANY_UA)) {
            let banks: BTreeSet<usize> = suiting().filter_map(|outlet| outlet.bank).collect();
            let limit = |bank: &usize| {
                let bank = &input.banks[*bank];
                let of = &input.bricks[bank.brick].tag;
                format!("bank {} of {of} ({})", bank.name, milliamps_text(bank.limit_ua))
            };
            let draw = |need: &&Need| milliamps_text(need.current_ua);
            (needs.iter().map(draw).collect(), banks.iter().map(limit).collect())
        } else {
            return None;
        };
    Some(format!(
        "{} draw {}, and however they are spread over {}, one of these would give more than it may",
        some(&tags(&needs)),
        some(&each.iter().map(String::as_str).collect::<Vec<_>>()),
        list(&limits)
    ))
}

/// What [`chain`] says, for one device that only one brick could feed.
pub(crate) fn intake(input: &Input, need: &Need) -> Option<String> {
    let own = |outlet: &&crate::Outlet| {
        let other = input.bricks[outlet.brick].tag != need.tag;
        other && gives(outlet, need.ac, need.low_mv, need.high_mv).is_some()
    };
    let bricks: Vec<&crate::Brick> =
        input.outlets.iter().filter(own).map(|outlet| &input.bricks[outlet.brick]).collect();
    let wants = need.low_mv * need.current_ua;
    let short = |brick: &&crate::Brick| brick.intake_nw.is_some_and(|gives| gives < wants);
    let first = bricks.first().filter(|_| bricks.iter().all(short))?;
    let (wants, most) = watts_apart(wants, first.intake_nw?);
    Some(format!(
        "{} draws {wants}, and {} gives at most {most} on what it takes itself",
        need.tag, first.tag
    ))
}

fn tags<'a>(needs: &[&'a Need]) -> Vec<&'a str> {
    needs.iter().map(|need| need.tag.as_str()).collect()
}

fn names<'a>(needs: &[&'a Need], is: impl Fn(&Need) -> bool) -> Vec<&'a str> {
    needs.iter().filter(|need| is(need)).map(|need| need.tag.as_str()).collect()
}
