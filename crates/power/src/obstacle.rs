//! What keeps one device off each outlet that gives its voltage.

use crate::input::{Input, Need, Outlet, milliamps_text, share_of, watts, window_text};
use crate::list::list;

/// The first thing that is in the way, in the order in which a person would look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Obstacle {
    /// It gives too little current.
    Weak,
    /// It is not isolated, and the device has positive ground.
    NotIsolated,
    /// No lead fits both.
    NoLead,
    /// It is the device's own.
    Own,
    /// Its brick gives too little on what it takes itself.
    Intake,
    /// Too much of the voltage would be lost on the way.
    Far,
    /// Its bank or brick gives too little in all.
    Limit,
}

/// What is in the way at an outlet that gives so much at the device's voltage; `None` where nothing is.
pub(crate) fn obstacle(input: &Input, index: usize, outlet: usize, ua: i64) -> Option<Obstacle> {
    let (need, of) = (&input.needs[index], &input.outlets[outlet]);
    let brick = &input.bricks[of.brick];
    let watts = need.low_mv.saturating_mul(need.current_ua);
    let short = |limit: Option<i64>| limit.is_some_and(|limit| limit < watts);
    let bank = of.bank.is_some_and(|bank| input.banks[bank].limit_ua < need.current_ua);
    [
        (share_of(ua, input.rules.outlet_stop_ppm) < need.current_ua, Obstacle::Weak),
        (need.positive_ground && of.joined.is_some(), Obstacle::NotIsolated),
        (need.adapted(of).is_none(), Obstacle::NoLead),
        (brick.tag == need.tag, Obstacle::Own),
        (short(brick.intake_nw), Obstacle::Intake),
        (is_far(input, index, outlet), Obstacle::Far),
        (bank || short(brick.limit_nw), Obstacle::Limit),
    ]
    .into_iter()
    .find_map(|(is, what)| is.then_some(what))
}

/// Whether too much is lost on the way from an outlet at its highest voltage that suits.
fn is_far(input: &Input, index: usize, outlet: usize) -> bool {
    let need = &input.needs[index];
    let suits = |mv: &i64| need.low_mv <= *mv && *mv <= need.high_mv;
    let most = input.outlets[outlet].settings.iter().map(|setting| setting.mv).filter(suits).max();
    most.is_some_and(|mv| {
        let grade =
            crate::model::dropped(input, index, rig::FeedKind::Single, &[outlet], mv, need.current_ua);
        grade == crate::lead_drop::Grade::Stop
    })
}

/// A sentence where different things are in the way at different outlets: `A draws 200 mA at 9 V: S.1 gives 100 mA, and no lead
/// fits S.2`. `None` where nothing is in the way at one of them.
pub(crate) fn mixed(input: &Input, index: usize, at: &[(usize, i64)]) -> Option<String> {
    let need = &input.needs[index];
    let mut groups: Vec<(Obstacle, Vec<(usize, i64)>)> = Vec::new();
    for &(outlet, ua) in at {
        let what = obstacle(input, index, outlet, ua)?;
        match groups.iter_mut().find(|(other, _)| *other == what) {
            Some((_, all)) => all.push((outlet, ua)),
            None => groups.push((what, vec![(outlet, ua)])),
        }
    }
    let told: Vec<String> = groups.iter().map(|(what, all)| words(input, need, *what, all)).collect();
    let window = window_text(need.low_mv, need.high_mv);
    let joined = match told.as_slice() {
        [] => return None,
        [one] => one.clone(),
        [first @ .., last] => format!("{}, and {last}", first.join(", ")),
    };
    Some(format!("{} draws {} at {window}: {joined}", need.tag, milliamps_text(need.current_ua)))
}

fn words(input: &Input, need: &Need, what: Obstacle, at: &[(usize, i64)]) -> String {
    let names: Vec<String> = at.iter().map(|&(outlet, _)| input.outlet_name(outlet)).collect();
    let (names, is_one) = (list(&names), names.len() == 1);
    let bricks = || -> Vec<&Outlet> {
        let mut all: Vec<&Outlet> = at.iter().map(|&(outlet, _)| &input.outlets[outlet]).collect();
        all.dedup_by_key(|outlet| outlet.brick);
        all
    };
    let of_bricks =
        |limit: &dyn Fn(&Outlet) -> String| list(&bricks().into_iter().map(limit).collect::<Vec<_>>());
    match what {
        Obstacle::Weak => {
            let most = milliamps_text(at.iter().map(|&(_, ua)| ua).max().unwrap_or(0));
            if is_one { format!("{names} gives {most}") } else { format!("{names} give {most} at most") }
        }
        Obstacle::NotIsolated => {
            let are = if is_one { "is" } else { "are" };
            format!("{names} {are} not isolated, as its positive ground wants")
        }
        Obstacle::NoLead => format!("no lead fits {names}"),
        Obstacle::Own => format!("{names} {} its own", if is_one { "is" } else { "are" }),
        Obstacle::Intake => of_bricks(&|outlet| {
            let brick = &input.bricks[outlet.brick];
            let gives = watts(brick.intake_nw.unwrap_or(0));
            format!("{} gives {gives:.1} W at most on what it takes itself", brick.tag)
        }),
        Obstacle::Far => format!("too much of the voltage is lost on the way from {names}"),
        Obstacle::Limit => of_bricks(&|outlet| {
            let brick = &input.bricks[outlet.brick];
            match outlet.bank.map(|bank| &input.banks[bank]).filter(|bank| bank.limit_ua < need.current_ua) {
                Some(bank) => {
                    format!(
                        "bank {} of {} gives {} in all",
                        bank.name,
                        brick.tag,
                        milliamps_text(bank.limit_ua)
                    )
                }
                None => format!("{} gives {:.1} W in all", brick.tag, watts(brick.limit_nw.unwrap_or(0))),
            }
        }),
    }
}
