//! The answers of a way in words, the same in text, on the screen and on paper.

use crate::answers::Answers;
use crate::level::change as told;
use crate::longest::Longest;
use crate::one_more::{OneMore, OneMoreEverywhere};
use crate::outcome::{Figures, Way};
use crate::shown::StateFigures;

/// One question with its answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// What is asked, such as `longest lead from guitar`.
    pub question: String,
    /// What the answer is, such as `4.5 m`.
    pub answer: String,
}

/// Changes no larger than this are told as none, in dB: half of what a meter reads.
const NOTHING: f64 = 0.05;

/// Every question of a way that has an answer, in the order in which a builder asks.
pub fn asked(answers: &Answers, way: &Way) -> Vec<Said> {
    let mut out = Vec::new();
    let mut say = |question: String, answer: String| out.push(Said { question, answer });
    for travel in &answers.travel {
        let words = travel.figures.map_or_else(|| "nothing arrives".to_owned(), of_state);
        say(format!("{} at {}", travel.tag, travel.word()), words);
    }
    if way.aside {
        // No limit is held against it, so none says how long a lead may be.
        return out;
    }
    let is_found = |longest: &Longest| matches!(longest, Longest::Metres(_) | Longest::Beyond(_));
    let tried = if answers.leads_by_states_tried {
        "; by the worst states found, there are too many to look at all"
    } else {
        ""
    };
    let held = |longest: &Longest| match longest {
        Longest::NotFound => String::new(),
        _ => format!(", held to {}", answers.held_to),
    };
    // A longer lead would darken what 0 dB is as well, so the measure has to be named.
    let against = if is_found(&answers.lead_in) {
        format!(" against {} by today’s {:.1} m", answers.source, answers.lead_today)
    } else {
        String::new()
    };
    let tail = |longest: &Longest| if *longest == Longest::NotFound { "" } else { tried };
    let (lead_in, lead_out) = (&answers.lead_in, &answers.lead_out);
    say(
        format!("longest lead from {}", answers.source),
        length(lead_in, answers.leads_by_states_tried) + &held(lead_in) + &against + tail(lead_in),
    );
    say(
        format!("longest lead to {}", answers.sink),
        length(lead_out, answers.leads_by_states_tried) + &held(lead_out) + tail(lead_out),
    );
    if answers.one_more.is_none() {
        let why = "not worked out: what stands now is not known exactly, or it is more work than one question may take";
        say("one more device".to_owned(), why.to_owned());
    }
    if let Some(found) = &answers.one_more {
        let what = largest_change(way);
        let mut left_out =
            if found.complete { String::new() } else { "; other places: not worked out".to_owned() };
        if found.by_states_tried {
            left_out += "; by the worst states found, there are too many to look at all";
        }
        say(
            "one more device, hard bypass".to_owned(),
            by_place(found, &what, |one| Some(one.bypassed)) + &left_out,
        );
        if found.at.iter().any(|one| one.buffered.is_some()) {
            say(
                "one more device, buffered".to_owned(),
                by_place(found, &what, |one| one.buffered) + &left_out,
            );
        }
    }
    out
}

/// What is compared: the largest change that limits of treble are held against. With a volume pedal on the way that is of
/// tone where it is turned down, and at 4 kHz where it is not.
fn largest_change(way: &Way) -> String {
    if way.is_judged_by_tone() {
        return "largest change of tone, up or down,".to_owned();
    }
    let mut pedals: Vec<String> =
        way.turned.iter().filter(|turned| turned.by_tone).map(|turned| turned.tag.clone()).collect();
    pedals.dedup();
    if pedals.is_empty() {
        return "largest change at 4 kHz, up or down,".to_owned();
    }
    format!(
        "largest change of treble, up or down (at 4 kHz; of tone with {} turned down),",
        crate::words::list(&pedals)
    )
}

fn of_state(figures: StateFigures) -> String {
    format!(
        "{} dB at 4 kHz, tone {} dB, 1 kHz {} dB",
        told(figures.change_at_4k_db),
        told(figures.tone_change_db),
        told(-figures.insertion_loss_1k_db)
    )
}

fn length(longest: &Longest, by_states_tried: bool) -> String {
    match longest {
        Longest::None(limits) => {
            let words: Vec<&str> = limits.iter().map(|limit| limit.word()).collect();
            let lengths = if by_states_tried {
                "tried at 13 lengths up to 30 m"
            } else {
                "tried by 0.1 m up to 10 m and by 1 m up to 30 m"
            };
            format!("no length keeps the limits, {lengths}; out of limits is the {}", words.join(" and the "))
        }
        Longest::Metres(metres) => format!("{metres:.1} m"),
        Longest::Beyond(metres) => format!("more than {metres:.0} m"),
        Longest::NotFound => "not worked out: more work than one question may take".to_owned(),
    }
}

/// Places that come to the same are told together: `largest change at 4 kHz, up or down, 3.1 dB now; before A1.IN 3.4 dB; everywhere else
/// the same`.
fn by_place(found: &OneMoreEverywhere, what: &str, of: impl Fn(&OneMore) -> Option<Figures>) -> String {
    let mut groups: Vec<(f64, Vec<String>)> = Vec::new();
    for (figures, one) in found.at.iter().filter_map(|one| Some((of(one)?, one))) {
        let change = figures.change_at_4k_db;
        let is_same = |of: &f64| {
            told(*of) == told(change)
                || (of - found.now.change_at_4k_db).abs() < NOTHING
                    && (change - found.now.change_at_4k_db).abs() < NOTHING
        };
        match groups.iter_mut().find(|(of, _)| is_same(of)) {
            Some((_, places)) => places.push(one.place.to_string()),
            None => groups.push((change, vec![one.place.to_string()])),
        }
    }
    let is_now = |change: f64| (change - found.now.change_at_4k_db).abs() < NOTHING;
    let mut parts = vec![format!("{what} {} dB now", told(found.now.change_at_4k_db))];
    let (same, other): (Vec<_>, Vec<_>) = groups.into_iter().partition(|(change, _)| is_now(*change));
    let is_anything = !other.is_empty();
    parts.extend(
        other.into_iter().map(|(change, places)| format!("{} {} dB", places_words(&places), told(change))),
    );
    if !same.is_empty() {
        parts.push(
            if is_anything { "everywhere else the same" } else { "the same wherever it stands" }.to_owned(),
        );
    }
    parts.join("; ")
}

/// `after A1, A2 and A3`: places of one kind share their word.
fn places_words(places: &[String]) -> String {
    let mut out: Vec<String> = Vec::new();
    for word in ["before ", "after "] {
        let ports: Vec<&str> = places.iter().filter_map(|place| place.strip_prefix(word)).collect();
        match ports.as_slice() {
            [] => {}
            [one] => out.push(format!("{word}{one}")),
            [front @ .., last] => out.push(format!("{word}{} and {last}", front.join(", "))),
        }
    }
    out.join(", ")
}
