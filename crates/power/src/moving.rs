//! What it would cost to hang a device on another outlet, before anybody does.

use finding::{Change, Edit, Field};
use rig::FeedKind;

use crate::edits::of_feed;
use crate::input::{Input, Need, Outlet, volts_text};
use crate::outcome::{Feed, Objective};
use crate::report::{looks_of, measure};
use crate::stated::stated;
use crate::verify::verify;

/// A device on another outlet, all else as the document states it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Move {
    /// The outlet, as documents write it.
    pub outlet: String,
    /// Whether it hangs there now.
    pub here: bool,
    /// The rules that would be broken, and are not now.
    pub breaches: Vec<String>,
    /// What would deserve a look, and does not now.
    pub looks: Vec<String>,
    /// Special leads more (or fewer) than now.
    pub special: i64,
    /// Worst margin of an outlet then, in thousandths.
    pub margin_permille: i64,
    /// All leads then against now, in millimetres, where things are placed.
    pub longer_mm: Option<i64>,
    /// The edit that does it; `None` for the outlet it hangs on now and where its feed is locked.
    pub edit: Option<Edit>,
}

impl Move {
    /// What it costs, in one line.
    pub fn words(&self) -> String {
        if self.here {
            return "hangs here now".to_owned();
        }
        if let Some(breach) = self.breaches.first() {
            return match self.breaches.len() {
                1 => breach.clone(),
                more => format!("{breach}, and {} more", more - 1),
            };
        }
        let mut words = self.looks.clone();
        match self.special {
            0 => {}
            1 => words.push("one special lead more".to_owned()),
            -1 => words.push("one special lead fewer".to_owned()),
            more if 0 < more => words.push(format!("{more} special leads more")),
            fewer => words.push(format!("{} special leads fewer", -fewer)),
        }
        match self.longer_mm {
            Some(0) | None => {}
            Some(more) if 0 < more => words.push(format!("lead {more} mm longer")),
            Some(fewer) => words.push(format!("lead {} mm shorter", -fewer)),
        }
        words.push(format!("tightest outlet has {} % to spare", self.margin_permille.div_euclid(10)));
        words.join(", ")
    }
}

/// What each outlet would cost a device; empty for a device that cannot be judged or wants no power.
pub fn moves(input: &Input, tag: &str) -> Vec<Move> {
    let Some(index) = input.need(tag) else { return Vec::new() };
    let need = &input.needs[index];
    let now = stated(input);
    let others: Vec<Feed> = now.iter().filter(|feed| feed.need != index).cloned().collect();
    let (broken, seen) = (verify(input, &now).breaches, looks_of(input, &now));
    let (before, is_single) = (measure(input, &now), now.iter().find(|feed| feed.need == index));
    (0..input.outlets.len())
        .map(|outlet| {
            let feed = single(input, need, index, outlet, &others);
            let here = is_single.is_some_and(|now| now.kind == FeedKind::Single && now.outlets == [outlet]);
            let mut feeds = others.clone();
            feeds.push(feed.clone());
            let after: Objective = measure(input, &feeds);
            let looks = looks_of(input, &feeds);
            let edit = (!here && need.lock().is_none()).then(|| edit(input, need, &feed));
            Move {
                outlet: input.outlet_name(outlet),
                here,
                breaches: verify(input, &feeds)
                    .breaches
                    .iter()
                    .filter(|breach| !broken.contains(breach))
                    .map(told)
                    .collect(),
                looks: looks.into_iter().filter(|look| !seen.contains(look)).collect(),
                special: after.special - before.special,
                margin_permille: after.margin_permille,
                longer_mm: after.length_mm.zip(before.length_mm).map(|(after, before)| after - before),
                edit,
            }
        })
        .collect()
}

fn told(breach: &crate::verify::Breach) -> String {
    if breach.devices.is_empty() {
        breach.words()
    } else {
        format!("{}: {}", crate::list::list(&breach.devices), breach.words())
    }
}

/// A single feed from an outlet: at the voltage others have there, else at the one it is set to where that suits,
/// else at the first that suits.
fn single(input: &Input, need: &Need, index: usize, outlet: usize, others: &[Feed]) -> Feed {
    let of = &input.outlets[outlet];
    let suits = |mv: i64| need.low_mv <= mv && mv <= need.high_mv;
    let shared = others.iter().find(|feed| feed.outlets.contains(&outlet)).map(|feed| feed.setting_mv);
    let set = of.set_mv.filter(|mv| suits(*mv));
    let first = || of.settings.iter().map(|setting| setting.mv).find(|mv| suits(*mv));
    let setting_mv = shared.or(set).or_else(first).or(of.set_mv).unwrap_or_default();
    Feed {
        need: index,
        kind: FeedKind::Single,
        outlets: vec![outlet],
        setting_mv,
        crossing: crosses(need, of),
        barrel_adaptor: (need.adapted(of) == Some(true)).then(|| need.inlet_id()).flatten(),
        socket: None,
    }
}

fn crosses(need: &Need, outlet: &Outlet) -> bool {
    need.sign.zip(outlet.sign).is_some_and(|(wants, gives)| wants != gives)
}

fn edit(input: &Input, need: &Need, feed: &Feed) -> Edit {
    let mut changes = of_feed(input, feed);
    for &outlet in &feed.outlets {
        let of = &input.outlets[outlet];
        if of.set_mv != Some(feed.setting_mv) && 0 < feed.setting_mv {
            let brick = &input.bricks[of.brick].tag;
            let field = Field::device(brick, "outlet").below(&of.name).below("set");
            changes.push(Change::set(field, volts_text(feed.setting_mv)));
        }
    }
    let names: Vec<String> = feed.outlets.iter().map(|&outlet| input.outlet_name(outlet)).collect();
    Edit::new(format!("feed {} from {}", need.tag, names.join(" and ")), changes)
}
