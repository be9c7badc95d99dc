//! Why a locked feed does not suit its device.

use rig::{FeedKind, Sign};

use crate::input::{
    Brick, Input, Need, Outlet, Present, Setting, milliamps_text, share_of, volts_text, watts_apart,
    window_text,
};

/// What is wrong with the outlets that a device is locked to: `which gives 9 V, and it needs 18 V`. `None` when no single thing
/// is plain.
pub(crate) fn misfit(input: &Input, index: usize) -> Option<String> {
    let need = &input.needs[index];
    let lock = need.lock().filter(|lock| lock.kind != FeedKind::Adaptor)?;
    if lock.outlets.len() < lock.written.len() {
        return Some(match lock.written.len() {
            1 => "which is not there".to_owned(),
            _ => "which are not all there".to_owned(),
        });
    }
    let outlets: Vec<&Outlet> = lock.outlets.iter().map(|&outlet| &input.outlets[outlet]).collect();
    let brick = &input.bricks[outlets.first()?.brick];
    unseen(input, lock, &outlets)
        .or_else(|| kind_of_current(input, need, lock, &outlets))
        .or_else(|| joined(input, need, lock, &outlets))
        .or_else(|| strength(input, index, lock, &outlets, brick))
}

/// What nobody knows of them.
fn unseen(input: &Input, lock: &Present, outlets: &[&Outlet]) -> Option<String> {
    let at = outlets.iter().position(|outlet| outlet.settings.is_empty())?;
    let which = match outlets {
        [_] => "which".to_owned(),
        _ => format!("of which {}", input.outlet_name(lock.outlets[at])),
    };
    let Some(unseen) = &outlets[at].unchecked else { return Some(format!("{which} gives nothing")) };
    let fields: Vec<String> = unseen.fields.iter().map(finding::Field::words).collect();
    Some(format!("{which} is not checked: find out {}", crate::list::list(&fields)))
}

/// The verb for what so many outlets do.
fn gives(outlets: usize) -> &'static str {
    if outlets == 1 { "gives" } else { "give" }
}

fn kind_of_current(input: &Input, need: &Need, lock: &Present, outlets: &[&Outlet]) -> Option<String> {
    let word = |ac: bool| if ac { "AC" } else { "DC" };
    let others: Vec<usize> = (0..outlets.len()).filter(|&at| outlets[at].ac != need.ac).collect();
    let (given, needs) = (word(!need.ac), word(need.ac));
    Some(match others.as_slice() {
        [] => return None,
        // Of a pair one alone may be of the other kind.
        [one] if 1 < outlets.len() => {
            format!("of which {} gives {given}, and it needs {needs}", input.outlet_name(lock.outlets[*one]))
        }
        several => format!("which {} {given}, and it needs {needs}", gives(several.len())),
    })
}

/// Polarity, negative, plug, and the maker's leave.
fn joined(input: &Input, need: &Need, lock: &Present, outlets: &[&Outlet]) -> Option<String> {
    if outlets.iter().any(|outlet| input.bricks[outlet.brick].tag == need.tag) {
        return Some("which is its own".to_owned());
    }
    if let (Some(sign), Some(wanted)) = (outlets[0].sign, need.sign) {
        let arrives = if lock.crossing { sign.crossed() } else { sign };
        if arrives != wanted {
            let word = |sign: Sign| sign.word().replace('-', " ");
            return Some(format!("from which {} arrives, and it needs {}", word(arrives), word(wanted)));
        }
    }
    if need.positive_ground && outlets.iter().any(|outlet| outlet.joined.is_some()) {
        return Some(match outlets {
            [_] => "which is not isolated, and it has positive ground".to_owned(),
            _ => "which are not both isolated, and it has positive ground".to_owned(),
        });
    }
    let fits =
        |outlet: &Outlet| crate::fit::adapted(outlet.connector.as_ref(), need.connector.as_ref()).is_some();
    if !outlets.iter().all(|outlet| fits(outlet)) {
        return Some("and no lead fits both".to_owned());
    }
    let leave = |outlet: &Outlet| match lock.kind {
        FeedKind::SeriesPair => outlet.series == Some(true) && outlet.joined.is_none(),
        FeedKind::ParallelPair => outlet.parallel == Some(true) && outlet.joined.is_none(),
        FeedKind::Single | FeedKind::Adaptor => true,
    };
    (!outlets.iter().all(|outlet| leave(outlet))).then(|| "which may not be joined".to_owned())
}

/// Voltage, current, power, and what is lost on the way.
fn strength(
    input: &Input,
    index: usize,
    lock: &Present,
    outlets: &[&Outlet],
    brick: &Brick,
) -> Option<String> {
    let need = &input.needs[index];
    let times = if lock.kind == FeedKind::SeriesPair { 2 } else { 1 };
    let set = outlets[0].set_mv;
    let given: Vec<&Setting> =
        outlets[0].settings.iter().filter(|setting| set.is_none_or(|set| set == setting.mv)).collect();
    let suits = |setting: &&&Setting| need.low_mv <= times * setting.mv && times * setting.mv <= need.high_mv;
    let suiting: Vec<&&Setting> = given.iter().filter(suits).collect();
    let Some(mv) = suiting.iter().map(|setting| setting.mv).min() else {
        let volts: Vec<String> = given.iter().map(|setting| volts_text(times * setting.mv)).collect();
        let needs = window_text(need.low_mv, need.high_mv);
        return Some(match (volts.is_empty(), set) {
            (true, Some(set)) => format!(
                "which {} set to {}, where nobody knows what current it gives, and it needs {needs}",
                if outlets.len() == 1 { "is" } else { "are" },
                volts_text(times * set)
            ),
            _ => {
                format!("which {} {}, and it needs {needs}", gives(outlets.len()), crate::list::list(&volts))
            }
        });
    };
    let most = suiting.iter().map(|setting| setting.ua).max()?;
    let halves = lock.kind == FeedKind::ParallelPair;
    let draws = if halves { (need.current_ua + 1) / 2 } else { need.current_ua };
    if share_of(most, input.rules.outlet_stop_ppm) < draws {
        let each = if halves { " of each" } else { "" };
        let (most, draws) = (milliamps_text(most), milliamps_text(draws));
        let which = if outlets.len() == 1 { "which gives" } else { "each of which gives" };
        return Some(format!("{which} {most}, and it draws {draws}{each}"));
    }
    let drawn = (times * mv).saturating_mul(need.current_ua);
    let fed = brick.intake_nw.map(|gives| (gives, "at most ", " on what it takes itself"));
    let whole = brick.limit_nw.map(|gives| (gives, "", " in all"));
    if let Some((gives, at_most, on)) =
        [fed, whole].into_iter().flatten().find(|(gives, _, _)| *gives < drawn)
    {
        let (drawn, gives) = watts_apart(drawn, gives);
        return Some(format!("it draws {drawn}, and {} gives {at_most}{gives}{on}", brick.tag));
    }
    let lost = crate::model::dropped(input, index, lock.kind, &lock.outlets, mv, need.current_ua);
    let too_much = lost == crate::lead_drop::Grade::Stop;
    too_much.then(|| format!("and along the lead too much of the voltage is lost: {}", shorter(need)))
}

/// What helps where too much is lost on the way: a lead that is made may be longer than it must be.
pub(crate) fn shorter(need: &Need) -> &'static str {
    if need.present.as_ref().is_some_and(|present| present.made) {
        "its lead is made, and a shorter one loses less; else take thicker cable or move them together"
    } else {
        "take thicker cable or move them together"
    }
}
