//! An outcome as text, for a terminal.

use std::fmt::Write;

use crate::input::{milliamps, milliamps_text, watts};
use crate::list::list;
use crate::outcome::{FeedLine, Outcome, Status, Untold};
use crate::why::at;

/// The outcome in lines: feeds with their reasons, what goes without and why, what was assumed, what to look at, loads of
/// outlets, bricks and the mains, what would help, and what was reached. `money` says a sum of the smallest coin, where there
/// is a price list.
pub fn text(outcome: &Outcome, money: Option<&dyn Fn(i64) -> String>) -> String {
    let mut out = String::new();
    for feed in &outcome.feeds {
        let _ = writeln!(out, "{}", of_feed(feed));
        let _ = writeln!(out, "{:<8}   why: {}", "", feed.why);
    }
    for tag in &outcome.unmade {
        let what =
            if outcome.feeds.iter().any(|feed| feed.device == *tag) { "is rewired" } else { "goes without" };
        let _ = writeln!(out, "{tag:<8} {what}: its supply lead is made, and this takes it out");
    }
    for unserved in &outcome.unserved {
        let _ = writeln!(out, "{:<8} no feed: {}", unserved.device, unserved.why);
    }
    for assumed in &outcome.assumed {
        let _ = writeln!(out, "assumed: {}", assumed.words);
    }
    for unchecked in &outcome.unchecked {
        let _ = writeln!(out, "not checked: {}", unchecked.words);
    }
    for look in &outcome.looks {
        let _ = writeln!(out, "look: {}", look.words);
    }
    loads(&mut out, outcome);
    for conflict in &outcome.conflicts {
        let who = list(&conflict.devices);
        let _ = match conflict.devices.as_slice() {
            [_] => writeln!(out, "cannot be served: {who}: {}", conflict.words),
            _ => writeln!(out, "cannot be served together: {who}: {}", conflict.words),
        };
    }
    for (place, cure) in outcome.cures.iter().enumerate() {
        let number = if cure.edit.is_some() { format!(" ({})", place + 1) } else { String::new() };
        let price = money.and_then(|shown| cure.price.words(shown)).unwrap_or_default();
        let _ = writeln!(out, "would help{number}: {}{price}", cure.name);
        for line in &cure.follows {
            let _ = writeln!(out, "  then {line}");
        }
    }
    if let Some(words) = outcome.more_cures() {
        let _ = writeln!(out, "{words}");
    }
    if let Some(words) = outcome.uncured() {
        let _ = writeln!(out, "{words}");
    }
    out + &reached(outcome)
}

impl Outcome {
    /// How many ways out work and are not listed: `6 more ways out work and cost more`.
    pub fn more_cures(&self) -> Option<String> {
        let Untold { count, is_counted, is_cheaper, is_open } = self.untold;
        let least = if is_counted { "" } else { "at least " };
        if self.cures.first().is_some_and(|cure| !cure.leaves.is_empty()) {
            return Some(
                "none of these feeds every device; whether another leaves fewer or costs less is not proven"
                    .to_owned(),
            );
        }
        match count {
            _ if is_open => {
                Some("not proven cheapest: some that cost less could not be tried to the end".to_owned())
            }
            0 if is_counted => None,
            0 => Some("more ways out may work, and cost more than these: they were not counted".to_owned()),
            1 if is_cheaper => Some(format!("{least}1 more way out works, and costs less, but does not fit")),
            _ if is_cheaper => {
                Some(format!("{least}{count} more ways out work; those that cost less than these do not fit"))
            }
            1 => Some(format!("{least}1 more way out works, and costs no less than these")),
            _ => Some(format!("{least}{count} more ways out work, and cost no less than these")),
        }
    }

    /// What was tried in vain, as far as the work for it went, where not all can be fed and nothing was found that helps: `nothing was found that would help:
    /// …`.
    pub fn uncured(&self) -> Option<String> {
        if self.status != Status::Impossible || !self.cures.is_empty() {
            return None;
        }
        if self.cures_cut_short {
            return Some(
                "nothing was found that would help before the work that one answer may take ended; not all was tried"
                    .to_owned(),
            );
        }
        let bricks = match self.candidates {
            0 => "no brick was tried, as there is no catalogue of them".to_owned(),
            1 => "nor the one brick of the catalogue".to_owned(),
            count => {
                format!("nor any of the {count} bricks and converters of the catalogue, one or two of them")
            }
        };
        let sockets = match self.free_sockets {
            0 => "; no strip with a free socket stands here, so no device was given an adaptor of its own: one would help whatever \
                  it needs"
                .to_owned(),
            1 => ", nor an adaptor in the free socket".to_owned(),
            count => format!(", nor adaptors in the {count} free sockets"),
        };
        Some(format!("nothing was found that would help: no setting, no lock given up, {bricks}{sockets}"))
    }
}

fn of_feed(feed: &FeedLine) -> String {
    let outlets: Vec<String> = feed
        .outlets
        .iter()
        .map(|by| format!("{}.{}{}", by.brick, by.outlet, at(by.setting_mv)))
        .chain(feed.socket.iter().map(ToString::to_string))
        .collect();
    let special = feed.special();
    let special = if special.is_empty() { String::new() } else { format!("  {}", special.join(", ")) };
    format!(
        "{:<8} {:<14} {}{special}",
        feed.device,
        feed.kind.word().replace('-', " "),
        outlets.join(" and ")
    )
}

/// Before a figure that is the most it may be.
fn up_to(is: bool) -> &'static str {
    if is { "up to " } else { "" }
}

/// What outlets, banks, bricks and the mains give.
fn loads(out: &mut String, outcome: &Outcome) {
    for line in outcome.outlets.iter().filter(|line| !line.devices.is_empty()) {
        let name = format!("{}.{}", line.brick, line.outlet);
        if line.free_ua < 0 {
            // A lock that cannot be met stays plugged in.
            let (load, limit) = (milliamps_text(line.load_ua), milliamps_text(line.limit_ua));
            let _ = writeln!(out, "outlet {name}: {load} wanted of {limit} ({})", list(&line.devices));
            continue;
        }
        let _ = writeln!(
            out,
            "outlet {name}: {}{} of {} used, {} free, {} % to spare ({})",
            up_to(line.up_to),
            milliamps_text(line.load_ua),
            milliamps_text(line.limit_ua),
            milliamps_text(line.free_ua),
            line.margin_permille.div_euclid(10),
            list(&line.devices)
        );
    }
    for bank in &outcome.banks {
        let _ = writeln!(
            out,
            "bank {} of {}: {}{} of {}, {:.1} W",
            bank.bank,
            bank.brick,
            up_to(bank.up_to),
            milliamps_text(bank.load_ua),
            milliamps_text(bank.limit_ua),
            watts(bank.load_nw)
        );
    }
    for brick in &outcome.bricks {
        let of = brick.limit_nw.map_or_else(String::new, |limit| format!(" of {:.1} W", watts(limit)));
        let apparent = brick.takes_nva.map_or_else(String::new, |nva| format!(", {:.1} VA", watts(nva)));
        let assumed = if brick.efficiency_assumed { ", efficiency assumed" } else { "" };
        // A battery takes nothing.
        let takes = if brick.mains || brick.intake_nw.is_some() || brick.efficiency_assumed {
            format!("; takes {}{:.1} W{apparent}{assumed}", up_to(brick.up_to), watts(brick.takes_nw))
        } else {
            String::new()
        };
        let _ = writeln!(
            out,
            "brick {}: gives {}{}, {:.1} W{of}{takes}",
            brick.brick,
            up_to(brick.up_to),
            milliamps_text(brick.load_ua),
            watts(brick.load_nw)
        );
    }
    for line in outcome.mains.iter().filter(|line| !line.takers.is_empty()) {
        let name = line.at.as_ref().map_or_else(|| "mains in all".to_owned(), |at| format!("mains at {at}"));
        let current = line.load_ua.map_or_else(String::new, |ua| format!(", {:.0} mA", milliamps(ua)));
        let _ = writeln!(
            out,
            "{name}: {}{:.1} W, {:.1} VA{current} ({})",
            up_to(line.up_to),
            watts(line.load_nw),
            watts(line.load_nva),
            list(&line.takers)
        );
    }
}

/// The last line: what was reached, and of what is not proven how good it could be at best.
fn reached(outcome: &Outcome) -> String {
    let (found, bound) = (&outcome.objective, &outcome.bound);
    let at_best =
        |is: bool, best: String| if is { String::new() } else { format!(" (not proven: {best} at best)") };
    let percent = |permille: i64| format!("{} %", permille.div_euclid(10));
    let way = found.length_mm.map_or_else(String::new, |mm| {
        let best = bound.length_mm.unwrap_or(0);
        format!(", {mm} mm of lead{}", at_best(best == mm, format!("{best} mm")))
    });
    let whole = match outcome.status {
        Status::Impossible => "not possible with these supplies".to_owned(),
        status => match outcome.unserved.len() {
            0 => status.word().to_owned(),
            1 => format!("{}, and one goes without a feed", status.word()),
            many => format!("{}, and {many} go without a feed", status.word()),
        },
    };
    // What is zero is not told; at best it is no less.
    let counted = |count: i64, best: i64, one: &str, more: &str| match count {
        0 => String::new(),
        1 => format!("1 {one}{}, ", at_best(best == 1, best.to_string())),
        _ => format!("{count} {more}{}, ", at_best(best == count, best.to_string())),
    };
    format!(
        "{whole}: {}{}tightest outlet has {} to spare{}{way}\n",
        counted(found.looks, bound.looks, "finding to look at", "findings to look at"),
        counted(found.special, bound.special, "special lead or adaptor", "special leads or adaptors"),
        percent(found.margin_permille),
        at_best(found.margin_permille == bound.margin_permille, percent(bound.margin_permille)),
    )
}
