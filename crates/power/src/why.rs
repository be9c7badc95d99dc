//! Why a device hangs where it hangs and not on the neighbour: one line each, found by trying the neighbour.

use rig::FeedKind;

use crate::input::{Input, milliamps_text, share_of, volts_text, window_text};
use crate::list::list;
use crate::outcome::{Feed, Objective};
use crate::report::{looks_of, measure};
use crate::verify::{BreachKind, verify};

/// The reason in one line; `now` is what the feeds reach.
pub(crate) fn why(input: &Input, feeds: &[Feed], feed: &Feed, now: &Objective) -> String {
    let need = &input.needs[feed.need];
    let is_made = need
        .present
        .as_ref()
        .is_some_and(|now| now.made && now.kind == feed.kind && same(&now.outlets, &feed.outlets));
    if is_made {
        return "its lead is made and stays".to_owned();
    }
    if let Some(lock) = need.lock() {
        return format!("locked to {}", list(&lock.written));
    }
    let others = neighbours(input, feeds, feed);
    let Some((other, moved)) = others.first() else {
        let window = window_text(need.low_mv, need.high_mv);
        let nature = if need.ac { "AC" } else { "DC" };
        let draws =
            if need.unknown.draw { "whatever it draws".to_owned() } else { milliamps_text(need.current_ua) };
        return match feed.kind {
            FeedKind::Single => format!("no other outlet gives it {window} {nature} and {draws}"),
            FeedKind::Adaptor => format!("no outlet gives it {window} {nature} and {draws}"),
            _ => format!("no outlet by itself gives it {window} {nature} and {draws}"),
        };
    };
    let name = input.outlet_name(*other);
    let on_it: Vec<usize> = (0..feeds.len())
        .filter(|&at| feeds[at].outlets.contains(other) && feeds[at].need != feed.need)
        .collect();
    let mut tried: Vec<Feed> = feeds.to_vec();
    for one in &mut tried {
        if one.need == feed.need {
            *one = moved.clone();
        }
    }
    if on_it.is_empty() {
        // A lock that cannot be met holds its outlets all the same.
        let holds = |holder: &&crate::Need| {
            holder.tag != need.tag && holder.lock().is_some_and(|lock| lock.outlets.contains(other))
        };
        if let Some(holder) = input.needs.iter().find(holds) {
            let is_made = holder.present.as_ref().is_some_and(|present| present.made);
            return if is_made {
                format!("the made lead of {} is plugged in at {name}", holder.tag)
            } else {
                format!("{name} is locked to {}", holder.tag)
            };
        }
        return match compared(input, feeds, &tried, now) {
            Some(worse) => format!("{name} is free; there {worse}"),
            None => format!("{name} is free; moving there gains nothing"),
        };
    }
    let who: Vec<&str> = on_it.iter().map(|&at| input.needs[feeds[at].need].tag.as_str()).collect();
    let who = list(&who);
    if let Some(stays) = stays(input, feeds, &on_it) {
        return format!("{name} feeds {stays}");
    }
    let here = list(&feed.outlets.iter().map(|&at| input.outlet_name(at)).collect::<Vec<_>>());
    let Some(&place) = feed.outlets.first() else {
        return format!("{name} feeds {who}, and its own adaptor gives it what it needs");
    };
    let swapped = on_it.iter().all(|&at| {
        let back = feeds[at].kind == FeedKind::Single;
        let there = back.then(|| option(input, feeds[at].need, place, feed.setting_mv)).flatten();
        there.map(|there| tried[at] = there).is_some()
    });
    if !swapped {
        return format!("{name} feeds {who}, which cannot go to {here}");
    }
    match compared(input, feeds, &tried, now) {
        Some(worse) => format!("{name} feeds {who}; exchanged, {worse}"),
        None if on_it.len() == 1 => format!("{name} feeds {who}; swapping the two gains nothing"),
        None => format!("{name} feeds {who}; swapping them gains nothing"),
    }
}

/// Who among those on an outlet does not move at all, and why not.
fn stays(input: &Input, feeds: &[Feed], on_it: &[usize]) -> Option<String> {
    on_it.iter().find_map(|&at| {
        let need = &input.needs[feeds[at].need];
        let present = need.present.as_ref()?;
        let is_here = present.kind == feeds[at].kind && same(&present.outlets, &feeds[at].outlets);
        let why = match (present.locked, present.made && is_here) {
            // What is made stands like a lock.
            (_, true) => "whose lead is made",
            (true, _) => "which is locked there",
            _ => return None,
        };
        Some(format!("{}, {why}", need.tag))
    })
}

fn same(a: &[usize], b: &[usize]) -> bool {
    let (mut a, mut b) = (a.to_vec(), b.to_vec());
    a.sort_unstable();
    b.sort_unstable();
    a == b
}

/// The other outlets that could feed a device alone, the nearest on the same brick first.
fn neighbours(input: &Input, feeds: &[Feed], feed: &Feed) -> Vec<(usize, Feed)> {
    let own = feed.outlets.first().copied();
    let mut all: Vec<usize> =
        (0..input.outlets.len()).filter(|outlet| !feed.outlets.contains(outlet)).collect();
    let is_taken = |outlet: usize| feeds.iter().any(|other| other.outlets.contains(&outlet));
    all.sort_by_key(|&outlet| {
        let taken = own.is_none() && is_taken(outlet);
        let brick = own.is_some_and(|own| input.outlets[own].brick == input.outlets[outlet].brick);
        (taken, !brick, own.map_or(outlet, |own| own.abs_diff(outlet)), outlet)
    });
    all.into_iter()
        .filter_map(|outlet| Some((outlet, option(input, feed.need, outlet, feed.setting_mv)?)))
        .collect()
}

/// The feed of one device from one outlet, where that could be by the two alone: as it is set, else at the first voltage.
fn option(input: &Input, need: usize, outlet: usize, wish_mv: i64) -> Option<Feed> {
    let (device, of) = (&input.needs[need], &input.outlets[outlet]);
    let barrel = device.adapted(of)?;
    if of.reserved || of.ac != device.ac || input.bricks[of.brick].tag == device.tag {
        return None;
    }
    if device.positive_ground && of.joined.is_some() {
        return None;
    }
    let fits = |mv: i64, ua: i64| {
        let enough = device.unknown.draw || device.current_ua <= share_of(ua, input.rules.outlet_stop_ppm);
        device.low_mv <= mv && mv <= device.high_mv && enough
    };
    let may =
        |wish: i64| of.settings.iter().find(|setting| setting.mv == wish && fits(setting.mv, setting.ua));
    let setting = may(wish_mv).or_else(|| of.settings.iter().find(|setting| fits(setting.mv, setting.ua)))?;
    Some(Feed {
        need,
        kind: FeedKind::Single,
        outlets: vec![outlet],
        setting_mv: setting.mv,
        crossing: device.sign.is_some() && device.sign != of.sign,
        barrel_adaptor: device.inlet_id().filter(|_| barrel),
        socket: None,
    })
}

/// What is worse where feeds are changed; `None` where nothing is, and nothing is better either.
fn compared(input: &Input, feeds: &[Feed], tried: &[Feed], now: &Objective) -> Option<String> {
    if let Some(breach) = verify(input, tried).breaches.first() {
        return Some(broken(&breach.kind).to_owned());
    }
    worse(input, feeds, tried, now, &measure(input, tried))
}

/// The rule that a change would break, in words.
fn broken(kind: &BreachKind) -> &'static str {
    match kind {
        BreachKind::TwoVoltages => "an outlet would have to be set to two voltages",
        BreachKind::NegativeShared => "who must be alone would share a negative",
        BreachKind::BankOverloaded { .. }
        | BreachKind::BrickOverloaded { .. }
        | BreachKind::IntakeOverloaded { .. } => "a bank or a brick would be overloaded",
        BreachKind::Ring { .. } => "a brick would feed itself in a ring",
        BreachKind::BrickUnfed { .. } => "a brick that is not fed would feed others",
        BreachKind::PositiveGround => "its positive ground would be joined to another negative",
        BreachKind::TooManyShare { .. } => "more would share one outlet than may",
        BreachKind::OutletOverloaded { .. } => "an outlet would give more than it can",
        BreachKind::Lost { .. } => "too much of the voltage would be lost on the way",
        _ => "it does not go with what hangs there",
    }
}

fn worse(input: &Input, feeds: &[Feed], tried: &[Feed], now: &Objective, then: &Objective) -> Option<String> {
    if now.looks != then.looks {
        let known = looks_of(input, feeds);
        let new = looks_of(input, tried).into_iter().find(|words| !known.contains(words))?;
        return (now.looks < then.looks).then(|| format!("one more thing to look at: {new}"));
    }
    if now.special != then.special {
        return (now.special < then.special).then(|| {
            let more = then.special - now.special;
            format!("{more} special lead{} more", if more == 1 { "" } else { "s" })
        });
    }
    let percent = |permille: i64| permille.div_euclid(10);
    if now.margin_permille != then.margin_permille {
        let (kept, left) = (percent(now.margin_permille), percent(then.margin_permille));
        return (then.margin_permille < now.margin_permille)
            .then(|| format!("the tightest outlet would have {left} % to spare, not {kept} %"));
    }
    let (now, then) = (now.length_mm?, then.length_mm?);
    (now < then).then(|| format!("the leads would be {} mm longer", then - now))
}

/// The voltage of an outlet in words, for lists.
pub(crate) fn at(mv: i64) -> String {
    if mv == 0 { String::new() } else { format!(" at {}", volts_text(mv)) }
}
