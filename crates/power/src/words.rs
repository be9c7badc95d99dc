//! Why devices cannot be served, in words that a person believes.

use std::collections::BTreeSet;

use finding::Field;

use crate::input::{Input, Outlet, milliamps_text, share_of, watts_apart, window_text};
use crate::list::{list, number};
use crate::model::{Model, count};
use crate::obstacle::{Obstacle, mixed, obstacle};

pub(crate) fn outlets(amount: usize) -> String {
    format!("{} outlet{}", number(amount), if amount == 1 { "" } else { "s" })
}

/// What an outlet gives at most at a voltage in a window.
pub(crate) fn gives(outlet: &Outlet, ac: bool, low: i64, high: i64) -> Option<i64> {
    if outlet.ac != ac || outlet.reserved {
        return None;
    }
    outlet
        .settings
        .iter()
        .filter(|setting| low <= setting.mv && setting.mv <= high)
        .map(|setting| setting.ua)
        .max()
}

/// Why one device cannot be served by all the outlets; `None` when no single reason is plain. Outlets that might serve it, and
/// are not checked because something of them is not known, are named.
pub(crate) fn alone(input: &Input, index: usize) -> Option<String> {
    let need = &input.needs[index];
    let why = alone_as_known(input, index).map(|why| {
        if !need.unknown.volts {
            return why;
        }
        let taken = window_text(need.low_mv, need.high_mv);
        format!("{why}; nobody knows which voltage {} needs, and {taken} is taken", need.tag)
    });
    let Some((names, fields)) = might_serve(input, &[index]).filter(|_| need.lock().is_none()) else {
        return why;
    };
    let gives = |outlet: &Outlet| gives(outlet, need.ac, need.low_mv, need.high_mv).is_some();
    let why = why.filter(|_| input.outlets.iter().any(gives)).unwrap_or_else(|| {
        let (window, nature) = (window_text(need.low_mv, need.high_mv), if need.ac { "AC" } else { "DC" });
        format!("{} needs {window} {nature}, and no outlet is known to give that", need.tag)
    });
    let is = if names.len() == 1 { "is" } else { "are" };
    Some(format!("{why}; {} might and {is} not checked: find out {}", list(&names), list(&fields)))
}

/// The outlets that might serve one of some devices for all that is known, and what to find out of them.
fn might_serve(input: &Input, set: &[usize]) -> Option<(Vec<String>, Vec<String>)> {
    let (mut names, mut fields) = (Vec::new(), Vec::new());
    for (index, outlet) in input.outlets.iter().enumerate().filter(|(_, outlet)| !outlet.reserved) {
        let Some(unseen) = &outlet.unchecked else { continue };
        let might = |&need: &usize| {
            let need = &input.needs[need];
            let fits = crate::fit::adapted(outlet.connector.as_ref(), need.connector.as_ref());
            unseen.might(need) && fits.is_some() && input.bricks[outlet.brick].tag != need.tag
        };
        if set.iter().any(might) {
            names.push(input.outlet_name(index));
            fields.extend(unseen.fields.iter().map(Field::words));
        }
    }
    (!names.is_empty()).then_some((names, fields))
}

fn alone_as_known(input: &Input, index: usize) -> Option<String> {
    let need = &input.needs[index];
    let (tag, nature) = (&need.tag, if need.ac { "AC" } else { "DC" });
    let window = window_text(need.low_mv, need.high_mv);
    let unit = need.adaptor.as_ref().and_then(|own| own.unit.as_ref()).filter(|unit| !need.suits(unit));
    if let Some(unit) = unit {
        let volts = unit.mv.map_or_else(String::new, |mv| format!(" {}", crate::input::volts_text(mv)));
        let current = unit.ac.map_or("", |ac| if ac { " AC" } else { " DC" });
        let sign = unit.sign.filter(|_| !need.ac && unit.ac == Some(false)).map_or("", rig::Sign::word);
        let sign = if sign.is_empty() { String::new() } else { format!(", {}", sign.replace('-', " ")) };
        let wants = need.sign.filter(|_| !sign.is_empty()).map_or("", rig::Sign::word).replace('-', " ");
        let wants = if wants.is_empty() { String::new() } else { format!(", {wants}") };
        return Some(format!(
            "{tag} needs {window} {nature}{wants}, and its own adaptor gives{volts}{current}{sign}"
        ));
    }
    if let Some(words) = crate::reasons::made(input, &[index]) {
        return Some(words);
    }
    if let Some(lock) = need.lock() {
        let why = crate::locked::misfit(input, index);
        let why = why.unwrap_or_else(|| "which does not suit it".to_owned());
        return Some(format!("{tag} is locked to {}, {why}", list(&lock.written)));
    }
    let all: Vec<&Outlet> =
        input.outlets.iter().filter(|outlet| outlet.ac == need.ac && !outlet.reserved).collect();
    if all.iter().all(|outlet| outlet.settings.is_empty()) {
        return Some(format!("{tag} needs {window} {nature}, and no outlet gives {nature}"));
    }
    let at: Vec<(&Outlet, i64)> = all
        .iter()
        .filter_map(|outlet| Some((*outlet, gives(outlet, need.ac, need.low_mv, need.high_mv)?)))
        .collect();
    if at.is_empty() {
        let leave = !need.ac && pairs_by_voltage(input, need.low_mv, need.high_mv);
        if leave && crate::reasons::is_of_loss(input, &[index]) {
            let help = crate::locked::shorter(need);
            return Some(format!(
                "{tag} needs {window} {nature}, which two outlets in series give, and along the lead too much of the voltage is lost: {help}"
            ));
        }
        let pair = if leave {
            ", nor may two be joined to make it at the current it draws"
        } else if need.ac {
            ""
        } else {
            ", nor two in series that may be joined"
        };
        return Some(format!("{tag} needs {window} {nature}, and no outlet gives that{pair}"));
    }
    let is_enough = |ua: i64| need.current_ua <= share_of(ua, input.rules.outlet_stop_ppm);
    if at.iter().all(|(_, ua)| !is_enough(*ua)) {
        let most = at.iter().map(|(_, ua)| *ua).max().unwrap_or(0);
        let allowed = milliamps_text(share_of(most, input.rules.outlet_stop_ppm));
        let allowed = (need.current_ua <= most).then(|| format!(", of which the limits allow {allowed}"));
        return Some(format!(
            "{tag} draws {} at {window}, and the strongest outlet gives {}{}",
            milliamps_text(need.current_ua),
            milliamps_text(most),
            allowed.unwrap_or_default()
        ));
    }
    if need.positive_ground && at.iter().all(|(outlet, _)| outlet.joined.is_some()) {
        return Some(format!("{tag} has positive ground, and no isolated outlet gives {window}"));
    }
    if at.iter().all(|(outlet, _)| need.adapted(outlet).is_none()) {
        return Some(format!("no lead fits {tag} and an outlet that gives {window}"));
    }
    if at.iter().all(|(outlet, _)| input.bricks[outlet.brick].tag == *tag) {
        return Some(format!("{tag} cannot feed itself"));
    }
    let places: Vec<(usize, i64)> = input
        .outlets
        .iter()
        .enumerate()
        .filter_map(|(index, outlet)| Some((index, gives(outlet, need.ac, need.low_mv, need.high_mv)?)))
        .collect();
    let all =
        |what: Obstacle| places.iter().all(|&(outlet, ua)| obstacle(input, index, outlet, ua) == Some(what));
    if all(Obstacle::Intake)
        && let Some(words) = crate::reasons::intake(input, need)
    {
        return Some(words);
    }
    if all(Obstacle::Far) {
        return Some(format!(
            "{tag} draws {} at {window}, and along the lead to any outlet too much of the voltage is lost: {}",
            milliamps_text(need.current_ua),
            crate::locked::shorter(need)
        ));
    }
    if all(Obstacle::Limit) {
        return Some(format!("{tag} draws more than any bank or brick with its voltage gives in all"));
    }
    mixed(input, index, &places)
}

/// Whether two outlets that may be joined in series make a voltage of the window.
fn pairs_by_voltage(input: &Input, low: i64, high: i64) -> bool {
    let may = |outlet: &&Outlet| outlet.series == Some(true) && outlet.joined.is_none() && !outlet.ac;
    let joinable = input.outlets.iter().filter(may);
    let volts: Vec<i64> =
        joinable.flat_map(|outlet| outlet.settings.iter().map(|setting| setting.mv)).collect();
    volts
        .iter()
        .any(|mv| low <= 2 * mv && 2 * mv <= high && 2 <= volts.iter().filter(|other| *other == mv).count())
}

/// Names, of which only the first are told where there are many.
pub(crate) fn some(tags: &[&str]) -> String {
    const MOST: usize = 8;
    if tags.len() <= MOST {
        return list(tags);
    }
    format!("{} and {} more", tags[..MOST - 2].join(", "), tags.len() + 2 - MOST)
}

/// Why several devices cannot be served together, with the outlets that might help and are not checked.
pub(crate) fn together(input: &Input, set: &[usize]) -> String {
    let why = together_as_known(input, set);
    let Some((names, fields)) = might_serve(input, set).filter(|_| 1 < set.len()) else { return why };
    let is = if names.len() == 1 { "is" } else { "are" };
    format!("{why}; {} {is} not checked: find out {}", list(&names), list(&fields))
}

fn together_as_known(input: &Input, set: &[usize]) -> String {
    if let [only] = set {
        let need = [&input.needs[*only]];
        return crate::reasons::ring(input, &need)
            .or_else(|| crate::reasons::each_other(input, &need))
            .or_else(|| alone(input, *only))
            .unwrap_or_else(|| format!("{} cannot be served by any outlet or pair", input.needs[*only].tag));
    }
    if let Some(words) = crate::reasons::plain(input, set) {
        return words;
    }
    let needs: Vec<_> = set.iter().map(|&need| &input.needs[need]).collect();
    let tags: Vec<&str> = needs.iter().map(|need| need.tag.as_str()).collect();
    let (who, many) = (some(&tags), number(set.len()));
    let ac = needs.iter().all(|need| need.ac);
    let same_nature = ac || needs.iter().all(|need| !need.ac);
    // What all of them ask for at least: the widest window any of them has, the least current, alone or not.
    let low = needs.iter().map(|need| need.low_mv).min().unwrap_or(0);
    let high = needs.iter().map(|need| need.high_mv).max().unwrap_or(0);
    let least = needs.iter().map(|need| need.current_ua).min().unwrap_or(0);
    let window = windows(&needs);
    let nature = if ac { " AC" } else { "" };
    if same_nature {
        let giving: Vec<&Outlet> =
            input.outlets.iter().filter(|outlet| gives(outlet, ac, low, high).is_some()).collect();
        let strong: Vec<&Outlet> = giving
            .iter()
            .filter(|outlet| gives(outlet, ac, low, high).is_some_and(|ua| least <= ua))
            .copied()
            .collect();
        let isolated = strong.iter().filter(|outlet| outlet.joined.is_none()).count();
        if strong.len() < set.len() && strong.len() < giving.len() {
            let (only, alone) = if strong.is_empty() { ("", " by itself") } else { ("only ", "") };
            return format!(
                "{many} devices ({who}) need {window}{nature} and at least {} each, and {only}{} that{alone}",
                milliamps_text(least),
                give(strong.len())
            );
        }
        if !giving.is_empty()
            && giving.len() < set.len()
            && (needs.iter().any(|need| need.alone) || set.len() <= input.rules.share_most)
        {
            return format!(
                "{many} devices ({who}) need {window}{nature}, and only {} that{}",
                give(giving.len()),
                must_be_alone(&needs)
            );
        }
        if needs.iter().any(|need| need.alone) && isolated < set.len() {
            let there = few_isolated(input, isolated, |outlet| gives(outlet, ac, low, high).is_some());
            return format!(
                "{many} devices ({who}) need {window}{nature}, some of them must be alone, and {there}"
            );
        }
        if let Some(words) = by_bank(input, set, &who).or_else(|| by_brick(input, set, &who)) {
            return words;
        }
        if !giving.is_empty() && giving.len() < set.len() {
            return format!(
                "{many} devices ({who}) need {window}{nature}, {} that, and no more than {} may share one",
                give(giving.len()),
                number(input.rules.share_most)
            );
        }
    }
    if let Some(words) = by_bank(input, set, &who).or_else(|| by_brick(input, set, &who)) {
        return words;
    }
    if let Some(words) = by_count(input, set, &who, &many) {
        return words;
    }
    if let Some(words) = crate::reasons::locks(input, set).or_else(|| crate::reasons::spread(input, set)) {
        return words;
    }
    let only = who_can_have(input, set).map_or_else(String::new, |words| format!(" ({words})"));
    format!(
        "{who} want the same outlets{only}: without any one of them the others are served, and with all {many} not"
    )
}

/// Which outlets suit whom: `A and B can only have PSU.1 and PSU.2, C only PSU.2`. Nothing where that is too much to read.
fn who_can_have(input: &Input, set: &[usize]) -> Option<String> {
    const MOST: usize = 4;
    let model = Model::new(input, crate::config::Means::ALL, false);
    let mut groups: Vec<(BTreeSet<usize>, Vec<&str>)> = Vec::new();
    for &need in set {
        let ways = model.alone(need);
        let places = ways.iter().flat_map(|way| &way.places);
        let suit: BTreeSet<usize> =
            places.flat_map(|place| model.classes[place.0].members.iter().copied()).collect();
        let tag = input.needs[need].tag.as_str();
        match groups.iter_mut().find(|(other, _)| *other == suit) {
            Some((_, tags)) => tags.push(tag),
            None => groups.push((suit, vec![tag])),
        }
    }
    if MOST < groups.len() || groups.iter().any(|(suit, _)| suit.is_empty() || 2 * MOST < suit.len()) {
        return None;
    }
    let told = groups.iter().enumerate().map(|(place, (suit, tags))| {
        let names: Vec<String> = suit.iter().map(|&outlet| input.outlet_name(outlet)).collect();
        let can = if place == 0 { "can have only" } else { "only" };
        format!("{} {can} {}", some(tags), list(&names))
    });
    Some(told.collect::<Vec<_>>().join("; "))
}

/// What voltages some devices need: `9 V`, or where they differ `9 V (A) and 12 V (B and C)`.
pub(crate) fn windows(needs: &[&crate::input::Need]) -> String {
    let mut groups: Vec<(String, Vec<&str>)> = Vec::new();
    for need in needs {
        let window = window_text(need.low_mv, need.high_mv);
        match groups.iter_mut().find(|(other, _)| *other == window) {
            Some((_, tags)) => tags.push(&need.tag),
            None => groups.push((window, vec![&need.tag])),
        }
    }
    match groups.as_slice() {
        [(window, _)] => window.clone(),
        several => {
            let each: Vec<String> =
                several.iter().map(|(window, tags)| format!("{window} ({})", some(tags))).collect();
            list(&each)
        }
    }
}

/// How many outlets are isolated, with those of which nobody knows.
fn few_isolated(input: &Input, isolated: usize, suits: impl Fn(&Outlet) -> bool) -> String {
    let unknown: Vec<String> = (0..input.outlets.len())
        .filter(|&outlet| input.outlets[outlet].isolation_unknown && suits(&input.outlets[outlet]))
        .map(|outlet| input.outlet_name(outlet))
        .collect();
    let known = if unknown.is_empty() { "" } else { "known to be " };
    let there = match isolated {
        0 => format!("no outlet is {known}isolated"),
        1 => format!("only one outlet is {known}isolated"),
        _ => format!("only {} are {known}isolated", outlets(isolated)),
    };
    let is = if unknown.len() == 1 { "is" } else { "are" };
    if unknown.is_empty() {
        there
    } else {
        format!("{there}; not checked: find out whether {} {is}", list(&unknown))
    }
}

fn give(amount: usize) -> String {
    match amount {
        0 => "no outlet gives".to_owned(),
        1 => "one outlet gives".to_owned(),
        _ => format!("{} give", outlets(amount)),
    }
}

/// Which of some devices must be alone, and of whom only because nobody knows: nothing where none must.
fn must_be_alone(needs: &[&crate::input::Need]) -> String {
    let named = |is_open: bool| -> Vec<&str> {
        let some = needs.iter().filter(|need| need.alone && need.unknown.class == is_open);
        some.map(|need| need.tag.as_str()).collect()
    };
    let (sure, open) = (named(false), named(true));
    // Where all must, nobody wonders.
    if open.is_empty() && sure.len() == needs.len() || open.is_empty() && sure.is_empty() {
        return String::new();
    }
    let each = [
        (!sure.is_empty()).then(|| format!("{} must be alone on one", list(&sure))),
        (!open.is_empty()).then(|| {
            let is = if open.len() == 1 { "is" } else { "are" };
            format!("nobody knows whether {} {is} analogue and may share one", list(&open))
        }),
    ];
    format!("; {}", list(&each.into_iter().flatten().collect::<Vec<_>>()))
}

/// How many outlets they take at least against how many suit any of them, pairs counted as two.
fn by_count(input: &Input, set: &[usize], who: &str, many: &str) -> Option<String> {
    let model = Model::new(input, crate::config::Means::ALL, false);
    let (mut suit, mut wanted, mut paired) = (BTreeSet::new(), 0, Vec::new());
    for &need in set {
        let ways = model.alone(need);
        let least = ways.iter().map(|way| way.places.len()).min()?;
        wanted += least;
        if least == 2 {
            paired.push(input.needs[need].tag.as_str());
        }
        suit.extend(
            ways.iter().flat_map(|way| &way.places).flat_map(|place| model.classes[place.0].members.clone()),
        );
    }
    let names: Vec<String> = suit.iter().map(|&outlet| input.outlet_name(outlet)).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let pairs = match paired.as_slice() {
        [] => String::new(),
        [one] => format!(", {one} two of them"),
        several => format!(", {} two each", list(several)),
    };
    (suit.len() < wanted).then(|| {
        format!(
            "{many} devices ({who}) take {} between them{pairs}, and only {} suit{} any of them ({})",
            outlets(wanted),
            outlets(suit.len()),
            if suit.len() == 1 { "s" } else { "" },
            some(&names)
        )
    })
}

/// The sum of what they draw against what the banks give that all outlets for them belong to.
fn by_bank(input: &Input, set: &[usize], who: &str) -> Option<String> {
    let model = Model::new(input, crate::config::Means::ALL, false);
    let mut banks = BTreeSet::new();
    for &need in set {
        let ways = model.alone(need);
        for place in ways.iter().flat_map(|way| &way.places) {
            for &outlet in &model.classes[place.0].members {
                banks.insert(input.outlets[outlet].bank?);
            }
        }
    }
    // Of whom nobody knows what it draws, all that its outlet gives is kept for it.
    let kept = |need: usize| {
        let ways = model.alone(need);
        let each = ways.iter().flat_map(|way| &way.places).map(|&place| model.draw(need, place));
        each.min().unwrap_or(0)
    };
    let unsure: Vec<&str> = set
        .iter()
        .map(|&need| &input.needs[need])
        .filter(|need| need.unknown.draw)
        .map(|need| need.tag.as_str())
        .collect();
    let of =
        |need: usize| if input.needs[need].unknown.draw { kept(need) } else { input.needs[need].current_ua };
    let draw: i64 = set.iter().map(|&need| of(need)).sum();
    let given: i64 =
        banks.iter().map(|&bank| share_of(input.banks[bank].limit_ua, input.rules.brick_stop_ppm)).sum();
    let named = |&bank: &usize| {
        let bank = &input.banks[bank];
        format!("bank {} of {}", bank.name, input.bricks[bank.brick].tag)
    };
    let names: Vec<String> = banks.iter().map(named).collect();
    (given < draw && !names.is_empty()).then(|| {
        let kept = if unsure.is_empty() {
            String::new()
        } else {
            format!(
                " (nobody knows what {} draw{}: all that the outlet gives is kept)",
                list(&unsure),
                if unsure.len() == 1 { "s" } else { "" }
            )
        };
        format!(
            "{who} draw {} together{kept}, and {} give{} {} in all",
            milliamps_text(draw),
            list(&names),
            if names.len() == 1 { "s" } else { "" },
            milliamps_text(given)
        )
    })
}

/// The sum of what they draw against what the bricks that serve them give.
fn by_brick(input: &Input, set: &[usize], who: &str) -> Option<String> {
    let serves = |brick: usize, need: usize| {
        let need = &input.needs[need];
        input.outlets.iter().any(|outlet| {
            outlet.brick == brick && gives(outlet, need.ac, need.low_mv, need.high_mv).is_some()
        })
    };
    let bricks: Vec<usize> =
        (0..input.bricks.len()).filter(|&brick| set.iter().any(|&need| serves(brick, need))).collect();
    let mut limit = 0;
    for &brick in &bricks {
        limit += input.bricks[brick].limit_nw?;
    }
    let draw: i64 = set.iter().map(|&need| input.needs[need].low_mv * input.needs[need].current_ua).sum();
    let names: Vec<&str> = bricks.iter().map(|&brick| input.bricks[brick].tag.as_str()).collect();
    let (drawn, given) = watts_apart(draw, limit);
    (limit < draw && 0 < count(bricks.len())).then(|| {
        format!(
            "{who} draw {drawn} together, and {} give{} {given} in all",
            list(&names),
            if bricks.len() == 1 { "s" } else { "" }
        )
    })
}
