//! The true reason why several devices cannot be served together, where it is another than numbers: a lock, a polarity, a
//! ground, something that nobody knows.

use crate::input::{Input, Need, window_text};
use crate::words::{gives, list, number, some};

/// The plain reason, when there is one.
pub(crate) fn plain(input: &Input, set: &[usize]) -> Option<String> {
    let needs: Vec<&Need> = set.iter().map(|&need| &input.needs[need]).collect();
    locks(&needs)
        .or_else(|| fewer_than(input, &needs).and_then(|outlets| company(&needs, outlets)))
        .or_else(|| chain(input, &needs))
}

/// Locked feeds take what the others want.
fn locks(needs: &[&Need]) -> Option<String> {
    let (locked, free): (Vec<&Need>, Vec<&Need>) =
        needs.iter().copied().partition(|need| need.lock().is_some());
    if locked.is_empty() {
        return None;
    }
    let held: Vec<String> = locked
        .iter()
        .filter_map(|need| Some(format!("{} is locked to {}", need.tag, list(&need.lock()?.written))))
        .collect();
    let held = list(&held);
    Some(match free.as_slice() {
        [] => format!("{held}, and that does not go together"),
        [one] => format!("{held}, and nothing else suits {}", one.tag),
        several => format!("{held}, and what is left is not enough for {}", some(&tags(several))),
    })
}

/// The number of outlets that suit any of them, when it is less than that of the devices.
fn fewer_than(input: &Input, needs: &[&Need]) -> Option<usize> {
    let suits = |outlet: &&crate::Outlet| {
        needs.iter().any(|need| gives(outlet, need.ac, need.low_mv, need.high_mv).is_some())
    };
    let outlets = input.outlets.iter().filter(suits).count();
    (outlets < needs.len() && needs.len() <= input.rules.share_most).then_some(outlets)
}

/// Why they may not share: told of the outlets that there are too few of.
fn company(needs: &[&Need], outlets: usize) -> Option<String> {
    let low = needs.iter().map(|need| need.low_mv).min()?;
    let high = needs.iter().map(|need| need.high_mv).max()?;
    let there = if outlets == 1 {
        format!("one outlet gives {}", window_text(low, high))
    } else {
        format!("only {} outlets give {}", number(outlets), window_text(low, high))
    };
    let unsure: Vec<&str> = names(needs, |need| need.unknown.is_unsure());
    if !unsure.is_empty() {
        return Some(format!(
            "nobody knows what {} need{}, so {} cannot share an outlet, and {there} for {}",
            list(&unsure),
            if unsure.len() == 1 { "s" } else { "" },
            if unsure.len() == 1 { "it" } else { "they" },
            some(&tags(needs))
        ));
    }
    if needs.iter().any(|need| need.alone || need.ac) {
        return None;
    }
    let grounds: Vec<&str> = names(needs, |need| need.positive_ground);
    if !grounds.is_empty() {
        let has = if grounds.len() == 1 { "has" } else { "have" };
        return Some(format!(
            "{} {has} positive ground and cannot share, and {there} for {}",
            list(&grounds),
            some(&tags(needs))
        ));
    }
    let negative: Vec<&str> = names(needs, |need| need.sign == Some(rig::Sign::CentreNegative));
    let positive: Vec<&str> = names(needs, |need| need.sign == Some(rig::Sign::CentrePositive));
    if !negative.is_empty() && !positive.is_empty() {
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
    if !unknown.is_empty() {
        let has = if unknown.len() == 1 { "has" } else { "have" };
        return Some(format!(
            "nobody knows whether {} {has} positive ground, so they do not share, and {there} for {}",
            list(&unknown),
            some(&tags(needs))
        ));
    }
    None
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
        (gives < wanted).then(|| {
            format!(
                "{} want {:.1} W from {}, which gives at most {:.1} W on what it takes itself",
                some(&tags(needs)),
                crate::input::watts(wanted),
                brick.tag,
                crate::input::watts(gives)
            )
        })
    })
}

/// The same for one device that only one brick could feed.
pub(crate) fn intake(input: &Input, need: &Need) -> Option<String> {
    let own = |outlet: &&crate::Outlet| gives(outlet, need.ac, need.low_mv, need.high_mv).is_some();
    let bricks: Vec<&crate::Brick> =
        input.outlets.iter().filter(own).map(|outlet| &input.bricks[outlet.brick]).collect();
    let wants = need.low_mv * need.current_ua;
    let short = |brick: &&crate::Brick| brick.intake_nw.is_some_and(|gives| gives < wants);
    let first = bricks.first().filter(|_| bricks.iter().all(short))?;
    Some(format!(
        "{} draws {:.1} W, and {} gives at most {:.1} W on what it takes itself",
        need.tag,
        crate::input::watts(wants),
        first.tag,
        crate::input::watts(first.intake_nw?)
    ))
}

fn tags<'a>(needs: &[&'a Need]) -> Vec<&'a str> {
    needs.iter().map(|need| need.tag.as_str()).collect()
}

fn names<'a>(needs: &[&'a Need], is: impl Fn(&Need) -> bool) -> Vec<&'a str> {
    needs.iter().filter(|need| is(need)).map(|need| need.tag.as_str()).collect()
}
