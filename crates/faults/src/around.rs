//! Ways to play tonight without what is at fault.

use crate::input::{Input, Jack};
use crate::kind::Kind;
use crate::reach::Ways;
use crate::trials::{Complaint, joined, plugged_in, plugged_out, pulled, pulled_at, words_of};
use crate::walk::Walk;

/// A way to play without some parts.
#[derive(Debug, Clone, PartialEq)]
pub struct Around {
    /// What to do: `guitar into IN of D9`.
    pub act: String,
    /// The devices that are then not heard, by tag.
    pub without: Vec<String>,
    /// How long it takes.
    pub minutes: f64,
    /// Whether it needs a spare lead.
    pub needs_spare: bool,
}

/// Minutes of a switch, of pulling and of moving one plug, and of fitting a lead. Common practice, no source.
const SWITCHED: f64 = 0.2;
const PULLED: f64 = 0.5;
const MOVED: f64 = 1.0;
const FITTED: f64 = 2.0;

/// So many ways are told.
const TOLD: usize = 3;

/// Shares of likelihood that a way to play tonight avoids: as much as can be. Common practice, no source.
const AVOIDED: [f64; 3] = [0.8, 0.6, 0.4];

/// Ways to play tonight as things stand: around as much of what is left as any way avoids.
pub fn tonight(input: &Input, complaint: &Complaint, walk: &Walk) -> Vec<Around> {
    let ways = AVOIDED.iter().map(|share| around(input, complaint, &walk.most(*share)));
    ways.into_iter().find(|ways| !ways.is_empty()).unwrap_or_default()
}

/// Ways around parts that may be at fault: those that lose the fewest devices first, then the quickest.
pub fn around(input: &Input, complaint: &Complaint, broken: &[usize]) -> Vec<Around> {
    let (Some(source), Some(sink)) = (input.sources.get(complaint.source), input.sinks.get(complaint.sink))
    else {
        return Vec::new();
    };
    let plays = |touches: &Vec<bool>| !broken.iter().any(|part| touches[*part]);
    let as_played = Ways::new(input.nodes, &input.links);
    if as_played
        .touched(source.node, sink.node, input.parts.len())
        .is_some_and(|(touches, _)| plays(&touches))
    {
        // What is played passes none of them.
        return Vec::new();
    }
    let usual = devices(input, complaint, None);
    let lost = |passed: &[bool]| -> Vec<String> {
        let heard = devices(input, complaint, Some(passed));
        usual.iter().filter(|tag| !heard.contains(tag)).cloned().collect()
    };
    let mut out: Vec<Around> = Vec::new();
    let mut add = |act: String, without: Vec<String>, minutes: f64, needs_spare: bool| {
        out.push(Around { act, without, minutes, needs_spare });
    };
    // One lead at fault: another in its place loses nothing.
    if let [only] = broken {
        let part = &input.parts[*only];
        // One that hangs beside the way is not needed for it.
        let beside = pulled_at(input, *only).filter(|_| part.kind == Kind::Lead);
        let beside = beside.and_then(|jack| Some((jack, pulled(input, complaint, jack, &[])?)));
        if let Some((jack, passed)) = beside.filter(|(_, passed)| !passed.touches[*only]) {
            let act = format!("pull {} out of {}", part.id, words_of(&jack.port));
            add(act, lost(&passed.touches), PULLED, false);
        } else if matches!(part.kind, Kind::Lead | Kind::PowerLead) {
            add(format!("a spare lead in place of {}", part.id), Vec::new(), FITTED, true);
        }
        for powered in &input.powered {
            if let (Some((outlet, _)), Some(free)) = (&powered.outlet, &powered.free)
                && outlet == only
            {
                add(format!("power plug of {} into {free}", powered.device), Vec::new(), MOVED, false);
            }
        }
    }
    for off in &input.off {
        let ways = Ways::new(input.nodes, &off.links);
        let touched = ways.touched(source.node, sink.node, input.parts.len()).map(|(touches, _)| touches);
        if touched.is_some_and(|touches| plays(&touches)) {
            add(format!("switch {} off", off.device), vec![off.device.clone()], SWITCHED, false);
        }
    }
    let is_own = |jack: &Jack| {
        jack.pulls.is_some_and(|lead| source.leads.contains(&lead) || sink.leads.contains(&lead))
    };
    for jack in input.jacks.iter().filter(|jack| !is_own(jack)) {
        if jack.is_in {
            if let Some(passed) =
                plugged_in(input, complaint, jack, &[]).map(|passed| passed.touches).filter(plays)
            {
                add(format!("{} into {}", source.id, words_of(&jack.port)), lost(&passed), MOVED, false);
            }
        } else if let Some(passed) =
            plugged_out(input, complaint, jack, &[]).map(|passed| passed.touches).filter(plays)
        {
            let act = format!("lead of {} into {}", sink.id, words_of(&jack.port));
            add(act, lost(&passed), MOVED, false);
        }
    }
    let (outs, ins): (Vec<&Jack>, Vec<&Jack>) = input.jacks.iter().partition(|jack| !jack.is_in);
    for from in &outs {
        for to in &ins {
            let own = |jack: &Jack| jack.port.split_once('.').map(|(tag, _)| tag.to_owned());
            if own(from) == own(to) || broken.contains(&from.part) || broken.contains(&to.part) {
                continue;
            }
            if let Some(passed) = joined(input, complaint, from, to).filter(plays) {
                let act = format!("spare lead from {} to {}", words_of(&from.port), words_of(&to.port));
                add(act, lost(&passed), FITTED, true);
            }
        }
    }
    // What is always there: everything that the player owns, and nothing of the board.
    let own = [&source.leads[..], &sink.leads[..]].concat();
    if !broken.iter().any(|part| *part == source.part || *part == sink.part) {
        let is_good = own.iter().any(|lead| !broken.contains(lead));
        let by = if is_good { "" } else { " by a spare lead" };
        add(format!("{} straight into {}{by}", source.id, sink.id), usual.clone(), MOVED, !is_good);
    }
    out.sort_by(|a, b| {
        let key = |one: &Around| (one.without.len(), one.needs_spare);
        key(a).cmp(&key(b)).then(a.minutes.total_cmp(&b.minutes))
    });
    out.truncate(TOLD);
    out
}

/// The devices that are heard, by tag, in the order of the parts; `touches` as the board is played where it is left out.
fn devices(input: &Input, complaint: &Complaint, touches: Option<&[bool]>) -> Vec<String> {
    let usual;
    let touches = match touches {
        Some(touches) => touches,
        None => {
            let (source, sink) = (&input.sources[complaint.source], &input.sinks[complaint.sink]);
            let ways = Ways::new(input.nodes, &input.links);
            let Some(found) = ways.touched(source.node, sink.node, input.parts.len()) else {
                return Vec::new();
            };
            usual = found.0;
            &usual
        }
    };
    // A source that stands on the board is what is played: no way around loses it.
    let source = input.sources.get(complaint.source).map(|end| end.id.as_str());
    let heard = |at: usize| {
        let part = &input.parts[at];
        part.kind == Kind::Device && touches[at] && Some(part.id.as_str()) != source
    };
    (0..input.parts.len()).filter(|at| heard(*at)).map(|at| input.parts[at].id.clone()).collect()
}
