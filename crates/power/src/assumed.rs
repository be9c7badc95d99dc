//! What was assumed of the devices that are fed, in words: nobody should have to guess what an answer rests on.

use finding::Field;
use rig::FeedKind;

use crate::input::{Input, milliamps_text, volts_text};
use crate::outcome::{Assumed, Feed};

/// Everything that was assumed for these feeds, device by device.
pub(crate) fn assumed(input: &Input, feeds: &[Feed]) -> Vec<Assumed> {
    let mut out: Vec<Assumed> = feeds.iter().flat_map(|feed| of_feed(input, feed)).collect();
    for lack in input.lacks.iter().filter(|lack| !lack.unserved && input.need(&lack.device).is_none()) {
        let is_brick = input.bricks.iter().any(|brick| brick.tag == lack.device);
        for field in lack.fields.iter().filter(|_| !is_brick) {
            let words = format!("nobody knows {field}: {} stays on what feeds it now", lack.device);
            out.push(Assumed { device: lack.device.clone(), field: field.clone(), words });
        }
    }
    for brick in input.bricks.iter().filter(|brick| brick.intake_nw.is_some()) {
        let tag = &brick.tag;
        if brick.efficiency_assumed {
            let share = crate::energy::EFFICIENCY;
            let words = format!("nobody knows the efficiency of {tag}: {share} taken");
            out.push(Assumed { device: tag.clone(), field: Field::device(tag, "efficiency"), words });
        }
        if let Some(need) = input.need(tag).filter(|_| brick.intake_worked_out) {
            let draws = milliamps_text(input.needs[need].current_ua);
            let words = format!("nobody knows what {tag} takes: {draws}, what its outlets together may want");
            out.push(Assumed { device: tag.clone(), field: Field::device(tag, "power.current"), words });
        }
    }
    out
}

fn of_feed(input: &Input, feed: &Feed) -> Vec<Assumed> {
    let need = &input.needs[feed.need];
    let (tag, unknown) = (&need.tag, need.unknown);
    let mut out = Vec::new();
    if feed.kind == FeedKind::Adaptor {
        return out;
    }
    let names: Vec<String> = feed.outlets.iter().map(|&outlet| input.outlet_name(outlet)).collect();
    let names = crate::list::list(&names);
    let mut say = |key: &str, words: String| {
        out.push(Assumed { device: tag.clone(), field: Field::device(tag, key), words });
    };
    if unknown.draw {
        let all = feed.outlets.iter().map(|&outlet| input.draw_at(feed.need, outlet, feed.setting_mv)).min();
        let all = milliamps_text(all.unwrap_or(0));
        say(
            "power.current",
            format!(
                "nobody knows what {tag} draws: {names} feeds nothing else, and all {all} are kept for it"
            ),
        );
    }
    if unknown.volts {
        let volts = volts_text(need.low_mv);
        let reckoned =
            if need.supplies.is_some() { ", and what it gives on is reckoned from that" } else { "" };
        say(
            "power.volts",
            format!(
                "nobody knows the voltage of {tag}: {volts} taken{reckoned}; find out before it is plugged in"
            ),
        );
    }
    if let (true, Some(sign)) = (unknown.sign, need.sign) {
        let sign = sign.word().replace('-', " ");
        say(
            "power.sign",
            format!("nobody knows the polarity of {tag}: {sign} taken; find out before it is plugged in"),
        );
    }
    let joined = feed.outlets.iter().any(|&outlet| input.outlets[outlet].joined.is_some());
    if unknown.ground && !joined {
        let are = if feed.outlets.len() == 1 { "is" } else { "are" };
        say(
            "power.positive_ground",
            format!(
                "nobody knows whether {tag} has positive ground: {names} {are} isolated, and so it does not matter there"
            ),
        );
    }
    if unknown.ground && joined {
        say(
            "power.positive_ground",
            format!(
                "nobody knows whether {tag} has positive ground: taken as not, or {names}, which is not isolated, would be shorted"
            ),
        );
    }
    if unknown.class {
        say("power.class", format!("nobody knows whether {tag} is analogue: taken as digital"));
    }
    out
}
